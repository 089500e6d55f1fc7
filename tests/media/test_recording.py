"""Several files as one clock; films of 10 frames at 25 a second, so a part lasts 0.4 s."""

from dataclasses import replace
from fractions import Fraction

import pytest

from aftercase.errors import RecordingMissing, RecordingUnreadable, TimeOutside
from aftercase.media.recording import open_recording
from aftercase.media.watch import Watch, WorkCancelled


@pytest.fixture(scope="module")
def three_parts(film_folder, encoded):
    """Numbers run on: part k shows 10k to 10k + 9; each file's own clock starts elsewhere."""
    folder = film_folder / "parts"
    folder.mkdir()
    return [
        encoded(
            folder / f"REC_{k}.mp4",
            range(100 * k, 100 * k + 10),
            Fraction(1, 25),
            first_number=10 * k,
        )
        for k in range(3)
    ]


@pytest.fixture
def recording(three_parts):
    with open_recording(three_parts) as opened:
        yield opened


def test_no_part_is_no_recording():
    with pytest.raises(ValueError, match="at least one"):
        open_recording([])


def test_a_part_starts_where_the_last_frame_before_it_ends(recording):
    assert [part.start_us for part in recording.facts] == [0, 400_000, 800_000]
    assert [part.end_us for part in recording.facts] == [400_000, 800_000, 1_200_000]
    assert recording.starts_us().tolist() == [40_000 * k for k in range(30)]


def test_pictures_run_on_across_parts(recording, read_number):
    pictures = list(recording.pictures_in(360_000, 840_000))
    assert [read_number(p) for p in pictures] == list(range(9, 21))
    assert [p.times.part for p in pictures] == [0, *[1] * 10, 2]


def test_stepping_crosses_from_part_to_part(recording):
    assert recording.next_frame(399_999).start_us == 400_000
    assert recording.previous_frame(400_000).start_us == 360_000
    assert recording.previous_frame(0) is None
    assert recording.next_frame(1_199_999) is None
    assert recording.first_frame().start_us == 0
    assert recording.last_frame().start_us == 1_160_000


@pytest.mark.parametrize("us", [-1, 1_200_000])
def test_outside_the_recording_there_is_no_picture(recording, us):
    with pytest.raises(TimeOutside):
        recording.picture_at(us)


def test_frames_of_a_span_outside_are_none(recording):
    assert list(recording.frames_in(1_200_000, 2_000_000)) == []
    assert list(recording.frames_in(80_000, 80_000)) == []


def test_what_was_stored_is_found_again_without_difference(three_parts, recording):
    with open_recording(three_parts, stored=recording.facts) as again:
        assert again.facts == recording.facts
        assert again.differences == ()


def test_a_missing_part_keeps_its_place_on_the_clock(three_parts, recording, tmp_path, read_number):
    gone = tmp_path / "REC_1.mp4"
    paths = [three_parts[0], gone, three_parts[2]]
    stored = [replace(f, path=str(p)) for f, p in zip(recording.facts, paths, strict=True)]
    with open_recording(paths, stored=stored) as short:
        assert read_number(short.picture_at(800_000)) == 20
        assert [short.is_missing(part) for part in range(3)] == [False, True, False]
        for ask in (
            lambda: short.picture_at(400_000),
            lambda: short.next_frame(360_000),
            lambda: short.previous_frame(800_000),
            lambda: list(short.frames_in(0, 1_200_000)),
            short.starts_us,
        ):
            with pytest.raises(RecordingMissing, match=r"REC_1\.mp4") as caught:
                ask()
            assert caught.value.path == str(gone)


def test_a_missing_part_of_which_nothing_is_stored_cannot_be_opened(three_parts, tmp_path):
    with pytest.raises(RecordingMissing):
        open_recording([three_parts[0], tmp_path / "no.mp4"])


def test_stored_facts_rule_and_the_difference_is_told(three_parts, recording, read_number):
    first = recording.facts[0]
    stored = [replace(first, first_pts=first.first_pts - first.time_base_den // 25)]
    with open_recording(three_parts[:1], stored=stored) as shifted:
        # The first stamp is now a frame later than it was, so every picture starts later.
        assert read_number(shifted.picture_at(40_000)) == 0
        assert read_number(shifted.picture_at(399_999)) == 8
        with pytest.raises(TimeOutside):
            shifted.picture_at(0)
        assert [(d.part, d.fact) for d in shifted.differences] == [(0, "first stamp")]
        assert "first stamp was" in str(shifted.differences[0])
        assert shifted.end_us == 400_000
        assert shifted.last_frame().end_us == 400_000


def test_ticks_of_another_time_base_are_not_compared(three_parts, recording, read_number):
    stored = [replace(recording.facts[0], time_base_num=1, time_base_den=90_000, first_pts=77)]
    with open_recording(three_parts[:1], stored=stored) as remade:
        assert read_number(remade.picture_at(0)) == 0
        assert {d.fact for d in remade.differences} == {"time base", "first stamp"}


def test_a_stream_that_is_no_longer_there_is_chosen_anew_and_told(three_parts, recording):
    stored = [replace(recording.facts[0], stream=5, quick_hash="")]
    with open_recording(three_parts[:1], stored=stored) as other:
        assert [(d.fact, d.stored, d.found) for d in other.differences] == [
            ("picture stream", "5", "0")
        ]


def test_facts_for_some_parts_only_are_a_mistake(three_parts, recording):
    with pytest.raises(ValueError, match="all of them or for none"):
        open_recording(three_parts, stored=recording.facts[:1])


def test_opening_can_be_stopped(three_parts):
    with pytest.raises(WorkCancelled):
        open_recording(three_parts, watch=Watch(cancelled=lambda: True))


def test_opening_tells_bytes_read_up_to_all(three_parts):
    told = []
    watch = Watch(progress=lambda done, total: told.append((done, total)))
    open_recording(three_parts[:1], watch=watch).close()
    size = three_parts[0].stat().st_size
    assert told[-1] == (size, size)
    assert all(0 <= done <= total == size for done, total in told)


def test_a_film_that_shows_nothing_is_unreadable(tmp_path, made):
    path = tmp_path / "cut.mp4"
    whole = made("faststart_cut").path.read_bytes()
    path.write_bytes(whole[: whole.index(b"mdat") + 4])
    with pytest.raises(RecordingUnreadable):
        open_recording([path])


def test_a_shrunk_picture_keeps_its_time_and_its_shape(recording, read_number):
    picture = recording.picture_at(120_000, max_side_px=128)
    assert (picture.pixels.width_px, picture.pixels.height_px) == (128, 72)
    assert read_number(picture) == 3
    assert picture.times == recording.frame_at(120_000)


def test_a_damaged_picture_keeps_its_number_and_is_grey(made):
    with open_recording([made("faststart_cut").path]) as recording:
        last = recording.picture_at(recording.end_us - 1, max_side_px=64)
        assert last.damaged
        assert set(last.pixels.rgb) == {0x60}
        assert len(last.pixels.rgb) == 64 * 36 * 3
        assert recording.picture_at(recording.end_us - 1).damaged


def test_hundreds_of_seeks_start_no_threads(made):
    import threading
    from pathlib import Path

    tasks = Path("/proc/self/task")
    with open_recording([made("25_closed").path]) as recording:
        kept = [recording.picture_at(40_000 * (37 * k % 100)) for k in range(20)]
        before = len(list(tasks.iterdir())) if tasks.exists() else threading.active_count()
        kept += [recording.picture_at(40_000 * (37 * k % 100)) for k in range(100)]
        after = len(list(tasks.iterdir())) if tasks.exists() else threading.active_count()
    assert after <= before
    assert len(kept) == 120


def test_decoded_frames_do_not_wait_for_the_collector(made):
    import gc

    with open_recording([made("25_closed").path]) as recording:
        gc.collect()
        gc.disable()
        try:
            assert len(list(recording.pictures_in(0, 4_000_000))) == 100
            kept = [item for item in gc.get_objects() if type(item).__name__ == "VideoFrame"]
        finally:
            gc.enable()
    assert len(kept) < 10
