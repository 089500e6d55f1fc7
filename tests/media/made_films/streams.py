"""Films with more than one stream, and recordings in parts."""

from __future__ import annotations

import shutil
from pathlib import Path

from made_films.making import X264, base, coded, ffmpeg, sound

AWKWARD_NAME = "Öp 10:30 – 手術 #1 100%.mp4"
SUBTITLE = "1\n00:00:00,500 --> 00:00:01,500\nphaco\n"


def cover(folder: Path) -> Path:
    path = folder / "cover.png"
    ffmpeg("-f", "lavfi", "-i", "color=red:s=600x600", "-frames:v", "1", path)
    return path


def cover_first_mp4(folder: Path) -> Path:
    path = folder / "cover.mp4"
    ffmpeg(
        *("-i", cover(folder), "-i", base(), "-map", "0", "-map", "1", "-c", "copy"),
        *("-disposition:v:0", "attached_pic", path),
    )
    return path


def cover_first_mkv(folder: Path) -> Path:
    """Matroska forgets that the picture was a cover, and it is not a still's coding either."""
    path = folder / "cover.mkv"
    ffmpeg(
        *("-i", cover(folder), "-i", base(), "-map", "0", "-map", "1"),
        *("-c:v:0", "mjpeg", "-c:v:1", "copy", path),
    )
    return path


def two_films(folder: Path) -> Path:
    path = folder / "two.mp4"
    ffmpeg(
        *("-f", "lavfi", "-i", "testsrc2=s=64x36:d=2", "-i", base(), "-map", "0", "-map"),
        *("1", "-c:v:0", "libx264", "-c:v:1", "copy", "-disposition:v:0", "0"),
        *("-disposition:v:1", "default", path),
    )
    return path


def many_streams(folder: Path) -> Path:
    """Three sound tracks, subtitles and a time code track around the picture."""
    words, path = folder / "words.srt", folder / "many.mov"
    words.write_text(SUBTITLE, encoding="utf-8")
    ffmpeg(
        *(*sound(3), *sound(2), *sound(5), "-i", words, "-i", base()),
        *("-map", "0", "-map", "1", "-map", "3", "-map", "4", "-map", "2"),
        *("-c:v", "copy", "-c:s", "mov_text", "-timecode", "10:00:00:00", path),
    )
    return path


def sound_longer(folder: Path) -> Path:
    return coded(folder / "sound.mp4", *X264, n=50, inputs=sound(4))


def awkward_name(folder: Path) -> Path:
    return Path(shutil.copy(base(), folder / AWKWARD_NAME))


def card(folder: Path) -> Path:
    """Three parts of one recording, as a recorder splits it; the first is returned."""
    for part in range(3):
        coded(folder / f"REC0001_0{part + 1}.MP4", *X264, n=50, first=50 * part)
    return folder / "REC0001_01.MP4"
