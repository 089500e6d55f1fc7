"""Films that are made once for the benchmarks and kept in the user's cache folder."""

from __future__ import annotations

import os
import subprocess
from dataclasses import dataclass
from pathlib import Path

import platformdirs

_PIECE_S = 64
_FPS = 30


@dataclass(frozen=True)
class MadeFilm:
    """A film to measure with: 10 Mbit/s at full HD, noisy, two B-frames, closed groups.

    Attributes:
        name: What it is called in the table.
        path: Where it lies.
        seconds: How long it is.
        key_s: Seconds between places decoding can start from.
        fps: Frames a second.
    """

    name: str
    path: Path
    seconds: int
    key_s: int
    fps: int

    @property
    def n_frames(self) -> int:
        """How many frames it has."""
        return self.seconds * self.fps


def made_film(key_s: int, *, quick: bool, height_px: int = 1080, fps: int = _FPS) -> MadeFilm:
    """Return a film of 16 minutes, or of 64 seconds when it has to go quickly; 16 to 9.

    A piece of 64 seconds is encoded and its packets are repeated, so that the long film costs
    little time to make and still has a packet and a picture for every frame.
    """
    folder = Path(
        os.environ.get("AFTERCASE_BENCHMARK_FILMS")
        or platformdirs.user_cache_path("aftercase-benchmarks", appauthor=False)
    )
    name = f"{height_px}p{fps}-keys-{key_s}s"
    piece = folder / f"{name}-{_PIECE_S}s.mp4"
    if not piece.is_file():
        folder.mkdir(parents=True, exist_ok=True)
        _encode(piece, key_s * fps, height_px, fps)
    repeats = 1 if quick else 15
    film = piece if quick else folder / f"{name}-{repeats * _PIECE_S}s.mp4"
    if not film.is_file():
        _run(film, "-stream_loop", str(repeats - 1), "-i", str(piece), "-c", "copy")
    words = f"{repeats * _PIECE_S // 60} min, keys {key_s} s apart"
    return MadeFilm(words, film, repeats * _PIECE_S, key_s, fps)


def _encode(path: Path, group: int, height_px: int, fps: int) -> None:
    picture = (
        f"testsrc2=s={height_px * 16 // 9}x{height_px}:r={fps}:d={_PIECE_S},noise=alls=12:allf=t"
    )
    encoding = "-c:v libx264 -preset veryfast -bf 2 -sc_threshold 0 -pix_fmt yuv420p"
    kbits = 10_000 * height_px**2 // 1080**2
    rate = f"-b:v {kbits}k -maxrate {kbits * 6 // 5}k -bufsize {kbits * 2}k"
    keys = f"-g {group} -keyint_min {group}"
    _run(path, "-f", "lavfi", "-i", picture, *encoding.split(), *rate.split(), *keys.split())


def _run(path: Path, *options: str) -> None:
    """Make a file by the ffmpeg program; it appears under its name only when it is whole."""
    unfinished = path.with_name(f"unfinished-{path.name}")
    subprocess.run(["ffmpeg", "-v", "error", "-nostdin", "-y", *options, unfinished], check=True)
    unfinished.replace(path)
