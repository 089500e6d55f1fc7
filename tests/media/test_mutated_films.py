"""Damaged films: what breaks others is told or shown as damage, and never stops the program."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

from aftercase.media.container import Film
from aftercase.media.recording import open_recording

TESTS = Path(__file__).parents[1]
CORPUS = TESTS / "corpus" / "films"
LOOK = TESTS / "long" / "mutated_films"
WELL = ("fine", "damage shown", "told: recording-")

STUFFING = b"\x47\x1f\xff\x10" + b"\xff" * 184
"""A null packet of a transport stream (ISO/IEC 13818-1: PID 0x1fff), to be passed over."""


def test_sound_that_begins_while_the_film_runs_loses_no_picture(tmp_path, run_ffmpeg):
    """Far from both ends, so that it is not heard of at the opening."""
    silent, sounding = tmp_path / "silent.ts", tmp_path / "sounding.ts"
    picture = ("-f", "lavfi", "-i", "testsrc2=s=128x72:r=25:d=2")
    tone = ("-f", "lavfi", "-i", "sine=d=2")
    run_ffmpeg(*picture, "-c:v", "libx264", silent)
    run_ffmpeg(*picture, *tone, "-c:v", "libx264", "-c:a", "aac", sounding)
    gap = STUFFING * 30_000
    path = tmp_path / "film.ts"
    path.write_bytes(silent.read_bytes() + gap + sounding.read_bytes() + gap + silent.read_bytes())
    with open_recording([path]) as recording:
        pictures = list(recording.pictures_in(0, recording.end_us))
    assert len(pictures) == 3 * 50
    assert not any(picture.damaged for picture in pictures)


def looked_at(tmp_path_factory, *arguments):
    """What became of films that were looked at, each in a process of its own."""
    if not sys.platform.startswith("linux"):
        pytest.skip("the look at mutated films needs Linux")
    folder = tmp_path_factory.mktemp("mutated")
    command = [sys.executable, str(LOOK), "--folder", str(folder), *map(str, arguments)]
    done = subprocess.run(command, capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    return [json.loads(line) for line in done.stdout.splitlines()]


def test_forty_mutated_films_are_shown_or_told(tmp_path_factory):
    fates = looked_at(tmp_path_factory, "--count", 40)
    assert [fate["seed"] for fate in fates] == list(range(40))
    assert [fate for fate in fates if not fate["outcome"].startswith(WELL)] == []
    assert len({fate["outcome"] for fate in fates}) >= 3


def test_every_film_that_once_broke_something_is_shown_or_told(tmp_path_factory):
    fates = looked_at(tmp_path_factory, "--watched", *sorted(CORPUS.iterdir()))
    assert {fate["base"]: fate["outcome"] for fate in fates} == {
        "one-packet-two-pictures.avi": "fine",
        "stream-begins-within.ts": "fine",
        "too-many-frames.mp4": "told: recording-unreadable",
    }


def test_a_long_damaged_stretch_is_decoded_a_few_times_not_once_for_each_frame(
    tmp_path, run_ffmpeg, monkeypatch
):
    """600 of 1000 frames are zeroed; each alone would be searched for to the end of the film."""
    path = tmp_path / "film.mp4"
    picture = ("-f", "lavfi", "-i", "testsrc2=s=128x72:r=25:d=40")
    run_ffmpeg(*picture, "-c:v", "libx264", "-g", "12", "-bf", "2", path)
    content = bytearray(path.read_bytes())
    start, end = len(content) // 5, len(content) * 4 // 5
    content[start:end] = bytes(end - start)
    path.write_bytes(content)
    fed = 0
    decode = Film.decode

    def counted(film, packet, number, **how):
        nonlocal fed
        fed += 1
        return decode(film, packet, number, **how)

    monkeypatch.setattr(Film, "decode", counted)
    with open_recording([path]) as recording:
        pictures = list(recording.pictures_in(0, recording.end_us))
    assert len(pictures) == 1000
    assert 500 < sum(picture.damaged for picture in pictures) < 700
    assert fed < 2 * 1000
