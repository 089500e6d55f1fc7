"""Damaged films: what breaks others is told or shown as damage, and never stops the program."""

from __future__ import annotations

from aftercase.media.recording import open_recording

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
