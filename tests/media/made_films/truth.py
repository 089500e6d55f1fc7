"""What other programs say of a film, or what is known from how it was made."""

from __future__ import annotations

import json
import subprocess
import tempfile
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from pathlib import Path

import numpy as np
from made_films.catalogue import ALL, Kind, Plan, film_path
from made_films.making import FFMPEG, FFPROBE, ProgramMissing
from made_films.numbered import HEIGHT_PX, WIDTH_PX, number_in
from made_films.store import kept

STEP_US = 40_000
"""Of the films made with 25 pictures a second."""


@dataclass(frozen=True)
class Truth:
    """Pictures in the order they are shown: start on the clock, own number, MD5 of the planes.

    The number is None where the decoded picture does not say one.
    """

    starts_us: tuple[int, ...]
    numbers: tuple[int | None, ...]
    planes_md5: tuple[str, ...]


@cache
def truth_of(name: str) -> Truth:
    """The independent list: stamps by ffprobe, numbers and planes by the ffmpeg program."""
    path = kept(f"truth-{name}", lambda folder: _written(folder, name))
    return Truth(*map(tuple, json.loads(path.read_text())))


def _written(folder: Path, name: str) -> Path:
    if FFMPEG is None or FFPROBE is None:
        raise ProgramMissing("ffprobe and ffmpeg are not installed")
    made, film = ALL[name], film_path(name)
    stream = made.stream if isinstance(made, Kind) else 0
    numbers, planes = _decoded(film, stream)
    path = folder / "truth.json"
    path.write_text(json.dumps([_starts(made, film, stream, len(numbers)), numbers, planes]))
    return path


def _starts(made: Plan | Kind, film: Path, stream: int, n: int) -> list[int]:
    if isinstance(made, Plan):
        return clock_of(made.stamps, made.time_base)
    if made.even_us is not None:
        return [made.even_us * k for k in range(n)]
    stamps, time_base = _probed(film, stream)
    return clock_of(stamps, time_base)


def clock_of(stamps: tuple[int | None, ...], time_base: Fraction) -> list[int]:
    """Stamps on our clock, by its rules: from the first, rounded up, never twice the same."""
    starts: list[int] = []
    for stamp in stamps:
        if stamp is None:  # ffprobe 5.1 has none for the last B pictures of AVI; 25 a second
            starts.append(starts[-1] + STEP_US)
            continue
        exact = (stamp - stamps[0]) * time_base * 1_000_000
        start = -(-exact.numerator // exact.denominator)
        starts.append(max(start, starts[-1] + 1) if starts else start)
    return starts


def _probed(film: Path, stream: int) -> tuple[tuple[int | None, ...], Fraction]:
    command = [FFPROBE, "-v", "quiet", "-of", "json", "-select_streams", str(stream)]
    command += ["-show_streams", "-show_frames", "-show_entries"]
    command += ["stream=time_base:frame=pts,best_effort_timestamp", f"file:{film}"]
    said = json.loads(subprocess.run(command, capture_output=True, check=False).stdout)
    stamps = tuple(f.get("pts", f.get("best_effort_timestamp")) for f in said["frames"])
    return stamps, Fraction(said["streams"][0]["time_base"])


def _decoded(film: Path, stream: int) -> tuple[list[int | None], list[str]]:
    each = ["-map", f"0:{stream}", "-fps_mode", "passthrough", "-autoscale", "0"]
    grey = ["-vf", f"scale={WIDTH_PX}:{HEIGHT_PX}", "-f", "rawvideo", "-pix_fmt", "gray", "-"]
    with tempfile.TemporaryDirectory() as folder:
        listing = Path(folder) / "planes"
        command = [FFMPEG, "-v", "quiet", "-noautorotate", "-i", f"file:{film}"]
        command += [*each, *grey, *each, "-f", "framemd5", str(listing)]
        raw = subprocess.run(command, capture_output=True, check=False).stdout
        lines = listing.read_text().splitlines()
    pictures = np.frombuffer(raw, np.uint8).reshape(-1, HEIGHT_PX, WIDTH_PX)
    planes = [line.split(",")[5].strip() for line in lines if not line.startswith("#")]
    return [number_in(picture) for picture in pictures], planes
