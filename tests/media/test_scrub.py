"""Scrub copies: the same frames, small and at once, and never a wrong one."""

from __future__ import annotations

import os
import random
import shutil

import numpy as np
import pytest

from aftercase.errors import WriteFailed
from aftercase.media import scrub
from aftercase.media.reader import RecordingReader
from aftercase.media.recording import open_recording
from aftercase.media.scrubbuild import build_copy
from aftercase.media.source import OpenRecording, PictureAt, PicturesIn
from aftercase.media.watch import Watch, WorkCancelled

KINDS = [
    "variable_drops",
    "ts_clock_restarts",
    "avi_without_index",
    "equal_stamps",
    "size_changes",
    "mpeg2_interlaced",
    "open_group_hevc",
    "odd_size",
    "two_films",
    "anamorphic",
]
TURNED = ["turned_90", "turned_180", "turned_270", "mirrored"]


@pytest.fixture(autouse=True)
def _short_segments(monkeypatch):
    """Films of the tests have 100 frames or so: several files of a copy."""
    monkeypatch.setattr(scrub, "SEGMENT_ROWS", 16)


@pytest.fixture
def cache(tmp_path):
    return tmp_path / "cache"


@pytest.fixture
def plain(made, tmp_path):
    return shutil.copy(made("25_closed").path, tmp_path / "film.mp4")


@pytest.fixture
def copied(plain, cache):
    build_copy(str(plain), kept_in=cache)
    return plain


def rgb_of(picture):
    pixels = picture.pixels
    rows = np.frombuffer(pixels.rgb, np.uint8).reshape(pixels.height_px, pixels.stride_bytes)
    return rows[:, : 3 * pixels.width_px].reshape(pixels.height_px, pixels.width_px, 3).astype(int)


def files_of(cache):
    return sorted(cache.glob("*.scrub"))


def test_without_a_copy_the_full_frame_is_shown_and_says_so(plain, cache):
    with open_recording([plain], cache=cache) as recording:
        asked = recording.picture_at(0, copy_will_do=True)
        assert asked == recording.picture_at(0)
        assert not asked.from_copy


@pytest.mark.parametrize("kind", KINDS)
def test_every_frame_of_the_copy_is_the_frame_of_the_film(kind, made, cache, read_number):
    path = made(kind).path
    build_copy(str(path), kept_in=cache)
    with open_recording([path], cache=cache) as recording:
        full = {p.times: p for p in recording.pictures_in(0, recording.end_us)}
        small = list(recording.pictures_in(0, recording.end_us, copy_will_do=True))
    assert [picture.times for picture in small] == list(full)
    assert all(picture.from_copy for picture in small)
    for picture in small:
        assert read_number(picture) == read_number(full[picture.times])
        assert picture.damaged == full[picture.times].damaged


def test_any_frame_in_any_order(copied, cache, read_number):
    with open_recording([copied], cache=cache) as recording:
        starts = recording.starts_us().tolist()
        order = [*range(len(starts))[::-1], *random.Random(6).choices(range(len(starts)), k=60)]
        for number in order:
            picture = recording.picture_at(starts[number], copy_will_do=True)
            assert picture.from_copy
            assert read_number(picture) == number


def test_the_exact_picture_is_still_the_films(copied, cache):
    with open_recording([copied]) as without, open_recording([copied], cache=cache) as recording:
        assert recording.picture_at(400_000) == without.picture_at(400_000)


def test_frames_that_cannot_be_decoded_are_placeholders_in_the_copy_too(made, cache):
    path = made("damaged_middle").path
    build_copy(str(path), kept_in=cache)
    with open_recording([path], cache=cache) as recording:
        full = list(recording.pictures_in(0, recording.end_us))
        small = list(recording.pictures_in(0, recording.end_us, copy_will_do=True))
    assert any(picture.damaged for picture in full)
    assert [p.damaged for p in small] == [p.damaged for p in full]
    assert {p.pixels.rgb for p in small if p.damaged} == {p.pixels.rgb for p in full if p.damaged}


@pytest.mark.parametrize(
    ("size", "options"),
    [
        ("1280x720", ()),  # untagged and HD
        ("1280x720", ("-colorspace", "bt470bg", "-color_range", "tv")),
        ("320x240", ()),  # untagged and small
        ("320x240", ("-colorspace", "bt709", "-color_range", "tv")),
        ("320x240", ("-pix_fmt", "yuvj420p", "-color_range", "pc")),
        ("321x241", ("-pix_fmt", "yuv444p")),
        ("320x240", ("-vf", "setsar=4/3")),
    ],
)
def test_colours_and_shape_are_those_of_the_film(size, options, tmp_path, cache, run_ffmpeg):
    film = tmp_path / "colours.mp4"
    # The colour of tissue: red, in which a wrong matrix shows most.
    picture = f"color=0xC03028:s={size}:d=0.2:r=25"
    run_ffmpeg("-f", "lavfi", "-i", picture, "-c:v", "libx264", "-crf", "10", *options, film)
    build_copy(str(film), kept_in=cache)
    with open_recording([film], cache=cache) as recording:
        full = recording.picture_at(0)
        small = recording.picture_at(0, copy_will_do=True)
    assert small.from_copy
    assert np.abs(rgb_of(small).mean((0, 1)) - rgb_of(full).mean((0, 1))).max() < 3
    assert small.pixels.pixel_aspect == full.pixels.pixel_aspect


@pytest.mark.parametrize("kind", TURNED)
def test_turn_and_mirror_are_the_films(kind, made, cache):
    path = made(kind).path
    build_copy(str(path), kept_in=cache)
    with open_recording([path], cache=cache) as recording:
        full = recording.picture_at(0).pixels
        small = recording.picture_at(0, copy_will_do=True).pixels
    assert (small.turn_deg, small.mirrored) == (full.turn_deg, full.mirrored) != (0, False)


def test_the_copy_of_an_interlaced_film_shows_no_combs(tmp_path, cache, run_ffmpeg):
    """Where something moves between two fields, every second row would stand out from the full."""
    film = tmp_path / "fields.mp4"
    run_ffmpeg(
        *("-f", "lavfi", "-i", "testsrc2=s=320x240:r=50:d=0.4,interlace", "-c:v", "libx264"),
        *("-flags", "+ildct+ilme", "-crf", "10", "-pix_fmt", "yuv420p", film),
    )
    build_copy(str(film), kept_in=cache)
    with open_recording([film], cache=cache) as recording:
        full = rgb_of(recording.picture_at(80_000))
        small = rgb_of(recording.picture_at(80_000, copy_will_do=True))
    assert np.abs(small - full).max() < 90  # with combs, a bright edge is off by up to 200


def test_a_copy_is_at_most_480_lines_high(tmp_path, cache, run_ffmpeg):
    film = tmp_path / "large.mp4"
    run_ffmpeg("-f", "lavfi", "-i", "testsrc2=s=1920x1080:d=0.2:r=25", film)
    build_copy(str(film), kept_in=cache)
    with open_recording([film], cache=cache) as recording:
        small = recording.picture_at(0, copy_will_do=True)
        shrunk = recording.picture_at(0, max_side_px=854)
    assert (small.pixels.width_px, small.pixels.height_px) == (854, 480)
    assert np.abs(rgb_of(small) - rgb_of(shrunk)).mean() < 8


def test_building_tells_its_progress_in_frames(plain, cache):
    told = []
    build_copy(str(plain), kept_in=cache, watch=Watch(progress=lambda *step: told.append(step)))
    assert told == [(n, 100) for n in range(101)]


def test_a_stopped_build_goes_on_after_the_last_finished_file(plain, cache, read_number):
    done = []

    def stop_late():
        return len(done) > 40

    with pytest.raises(WorkCancelled):
        build_copy(
            str(plain), kept_in=cache, watch=Watch(lambda *step: done.append(step), stop_late)
        )
    assert len(files_of(cache)) == 2
    earlier = {file: file.stat().st_mtime_ns for file in files_of(cache)}
    with open_recording([plain], cache=cache) as recording:
        starts = recording.starts_us().tolist()
        half = [recording.picture_at(us, copy_will_do=True) for us in starts]
    assert [picture.from_copy for picture in half] == [True] * 32 + [False] * 68
    assert [read_number(picture) for picture in half] == list(range(100))
    assert build_copy(str(plain), kept_in=cache).n_new_rows == 68
    assert {file: file.stat().st_mtime_ns for file in earlier} == earlier
    assert build_copy(str(plain), kept_in=cache).n_new_rows == 0


def test_a_copy_that_grows_is_seen_by_who_has_the_film_open(plain, cache):
    with open_recording([plain], cache=cache) as recording:
        assert not recording.picture_at(0, copy_will_do=True).from_copy
        build_copy(str(plain), kept_in=cache)
        assert recording.picture_at(0, copy_will_do=True).from_copy


def test_a_film_that_changed_has_no_copy(copied, cache):
    os.utime(copied, ns=(1, 1))
    with open_recording([copied], cache=cache) as recording:
        assert not recording.picture_at(0, copy_will_do=True).from_copy


def test_a_damaged_copy_never_shows_a_wrong_frame(copied, cache, read_number):
    first = files_of(cache)[0]
    whole = first.read_bytes()
    for place in range(0, len(whole), len(whole) // 50):
        first.write_bytes(whole[:place] + bytes([whole[place] ^ 0x10]) + whole[place + 1 :])
        with open_recording([copied], cache=cache) as recording:
            starts = recording.starts_us().tolist()[:16]
            pictures = [recording.picture_at(us, copy_will_do=True) for us in starts]
        assert [read_number(picture) for picture in pictures] == list(range(16))
        assert not all(picture.from_copy for picture in pictures)


def test_a_file_of_a_copy_that_is_cut_off_is_built_again(copied, cache):
    first = files_of(cache)[0]
    for kept_bytes in (0, 100):
        first.write_bytes(first.read_bytes()[:kept_bytes])
        assert build_copy(str(copied), kept_in=cache).n_new_rows == 16


def test_a_file_of_another_place_is_not_taken(copied, cache):
    first, second, *_ = files_of(cache)
    first.write_bytes(second.read_bytes())
    with open_recording([copied], cache=cache) as recording:
        assert not recording.picture_at(0, copy_will_do=True).from_copy


def test_a_copy_that_cannot_be_written_is_told(plain, tmp_path):
    occupied = tmp_path / "a file, no folder"
    occupied.write_bytes(b"")
    with pytest.raises(WriteFailed):
        build_copy(str(plain), kept_in=occupied)


def test_a_reader_shows_the_copy_if_asked(copied, cache):
    reader = RecordingReader()
    (opened,) = reader.answers(OpenRecording(1, (str(copied),), cache=str(cache)))
    (exact,) = reader.answers(PictureAt(2, 40_000))
    (quick,) = reader.answers(PictureAt(3, 40_000, copy_will_do=True))
    *row, _ = reader.answers(PicturesIn(4, 0, opened.end_us, copy_will_do=True))
    reader.close()
    assert not exact.picture.from_copy
    assert quick.picture.from_copy
    assert quick.picture.times == exact.picture.times
    assert len(row) == 100
    assert all(shown.picture.from_copy for shown in row)
