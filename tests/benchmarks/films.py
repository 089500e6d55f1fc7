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
    name = f"{height_px}p{fps}-keys-{key_s}s"
    piece = _folder() / f"{name}-{_PIECE_S}s.mp4"
    if not piece.is_file():
        piece.parent.mkdir(parents=True, exist_ok=True)
        _encode(piece, key_s * fps, height_px, fps)
    return _repeated(piece, f"keys {key_s} s apart", key_s, fps, quick=quick)


def made_eye_film(*, quick: bool) -> MadeFilm:
    """Return the example's film as a recorder would have kept it: full HD, 30 a second, noisy."""
    example = Path(__file__).parents[2] / "sample_media" / "demo.mp4"
    piece = _folder() / f"eye-1080p{_FPS}-{_PIECE_S}s.mp4"
    if not piece.is_file():
        piece.parent.mkdir(parents=True, exist_ok=True)
        looks = f"fps={_FPS},scale=1920:1080,noise=alls=12:allf=t"
        _run(piece, "-i", str(example), "-t", str(_PIECE_S), "-vf", looks, *_coding(2 * _FPS, 1080))
    return _repeated(piece, "of an eye", 2, _FPS, quick=quick)


def _folder() -> Path:
    return Path(
        os.environ.get("AFTERCASE_BENCHMARK_FILMS")
        or platformdirs.user_cache_path("aftercase-benchmarks", appauthor=False)
    )


def _repeated(piece: Path, words: str, key_s: int, fps: int, *, quick: bool) -> MadeFilm:
    """Return the piece itself, or a film of 16 minutes that repeats its packets."""
    seconds = _PIECE_S if quick else 15 * _PIECE_S
    film = piece.with_name(piece.name.replace(f"-{_PIECE_S}s.", f"-{seconds}s."))
    if not film.is_file():
        _run(film, "-stream_loop", "14", "-i", str(piece), "-c", "copy")
    return MadeFilm(f"{seconds // 60} min, {words}", film, seconds, key_s, fps)


def _encode(path: Path, group: int, height_px: int, fps: int) -> None:
    picture = (
        f"testsrc2=s={height_px * 16 // 9}x{height_px}:r={fps}:d={_PIECE_S},noise=alls=12:allf=t"
    )
    _run(path, "-f", "lavfi", "-i", picture, *_coding(group, height_px))


def _coding(group: int, height_px: int) -> list[str]:
    """Return how films are coded: about 10 Mbit/s at full HD, two B-frames, closed groups."""
    encoding = "-c:v libx264 -preset veryfast -bf 2 -sc_threshold 0 -pix_fmt yuv420p -an"
    kbits = 10_000 * height_px**2 // 1080**2
    rate = f"-b:v {kbits}k -maxrate {kbits * 6 // 5}k -bufsize {kbits * 2}k"
    keys = f"-g {group} -keyint_min {group}"
    return [*encoding.split(), *rate.split(), *keys.split()]


def _run(path: Path, *options: str) -> None:
    """Make a file by the ffmpeg program; it appears under its name only when it is whole."""
    unfinished = path.with_name(f"unfinished-{path.name}")
    subprocess.run(["ffmpeg", "-v", "error", "-nostdin", "-y", *options, unfinished], check=True)
    unfinished.replace(path)
