"""Several streams in a file: the film is found, the choice is offered, covers are not films."""

import pytest

from aftercase.errors import RecordingRefused
from aftercase.media.facts import describe
from aftercase.media.recording import open_recording


def test_the_default_stream_is_taken_and_the_other_is_offered(made):
    facts = describe(made("two_films").path)
    assert facts.stream == 1
    assert [(c.index, c.width_px, c.height_px) for c in facts.choices] == [
        (1, 256, 144),
        (0, 64, 36),
    ]


def test_the_other_stream_can_be_chosen_and_is_remembered(made):
    path = made("two_films").path
    with open_recording([path], streams=[0]) as preview:
        # Made with 2 s of 25 pictures a second.
        assert preview.starts_us().tolist() == [40_000 * k for k in range(50)]
        assert preview.picture_at(0).pixels.width_px == 64
        stored = preview.facts
    assert stored[0].stream == 0
    with open_recording([path], stored=stored) as again:
        assert again.picture_at(0).pixels.width_px == 64
        assert again.differences == ()
    assert describe(path, stream=0).n_frames == 50


def test_without_a_default_the_largest_is_taken(tmp_path, made, run_ffmpeg):
    path = tmp_path / "both.mkv"
    run_ffmpeg(
        *("-i", made("two_films").path, "-map", "0:0", "-map", "0:1", "-c", "copy"),
        *("-disposition:v:0", "0", "-disposition:v:1", "0", path),
    )
    assert describe(path).stream == 1


@pytest.mark.parametrize(("name", "stream"), [("two_films", 5), ("cover_first_mp4", 1)])
def test_a_stream_that_is_none_or_a_cover_is_refused(made, name, stream):
    path = made(name).path
    with pytest.raises(RecordingRefused, match=f"no picture stream {stream}") as caught:
        open_recording([path], streams=[stream])
    assert str(describe(path).stream) in caught.value.hint
    assert caught.value.path == str(path)


def test_a_choice_for_some_parts_only_is_a_mistake(made):
    path = made("two_films").path
    with pytest.raises(ValueError, match="for every path"):
        open_recording([path, path], streams=[0])


@pytest.mark.parametrize("name", ["cover_first_mp4", "cover_first_mkv"])
def test_a_cover_is_never_the_film(made, name):
    facts = describe(made(name).path)
    assert (facts.width_px, facts.height_px) == (256, 144)
    assert facts.n_frames == 80


def test_sound_subtitles_and_time_code_are_left_alone(made):
    facts = describe(made("many_streams").path)
    assert [choice.index for choice in facts.choices] == [facts.stream]
    assert facts.has_sound
    assert facts.duration_us == 3_200_000


def test_sound_before_or_longer_than_the_picture_moves_no_picture(made):
    for name, n_frames in (("sound_first", 80), ("sound_longer", 50), ("edit_list_delay", 80)):
        with open_recording([made(name).path]) as recording:
            assert recording.start_us == 0
            assert recording.end_us == 40_000 * n_frames


def test_each_picture_has_the_size_it_was_filmed_with(made, read_number):
    with open_recording([made("size_changes").path]) as recording:
        pictures = list(recording.pictures_in(0, recording.end_us))
        sizes = [(p.pixels.width_px, p.pixels.height_px) for p in pictures]
        assert sizes == [(256, 144)] * 50 + [(128, 72)] * 50
        assert read_number(recording.picture_at(0)) == 0  # back over the change


def test_the_parts_of_a_card_are_one_recording(made, read_number):
    first = made("card").path
    parts = [first.with_name(f"REC0001_0{k}.MP4") for k in (1, 2, 3)]
    with open_recording(parts) as recording:
        pictures = recording.pictures_in(0, recording.end_us)
        assert [read_number(picture) for picture in pictures] == list(range(150))


def test_a_part_cut_inside_an_open_group_runs_on_after_the_one_before(made, read_number):
    later = made("open_group_part").path
    parts = [later.with_name("part0.ts"), later]
    with open_recording(parts) as recording:
        numbers = [read_number(p) for p in recording.pictures_in(0, recording.end_us)]
        border = recording.facts[1].start_us
        assert read_number(recording.picture_at(border)) == numbers[len(numbers) - 24]
    assert None not in numbers
    assert numbers == sorted(set(numbers))  # what is missing lay in the group that was cut
