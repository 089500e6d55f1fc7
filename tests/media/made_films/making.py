"""How the corpus makes films: pictures piped into the ffmpeg program or encoded with PyAV."""

from __future__ import annotations

import shutil
import subprocess
from collections.abc import Iterable
from fractions import Fraction
from pathlib import Path

import av
import numpy as np
from made_films.numbered import HEIGHT_PX, WIDTH_PX, grey_picture
from made_films.store import kept

FFMPEG, FFPROBE = shutil.which("ffmpeg"), shutil.which("ffprobe")
X264 = ("-c:v", "libx264", "-preset", "veryfast", "-g", "12", "-bf", "2")


class ProgramMissing(Exception):
    """The ffmpeg programs are not installed, or the one installed lacks an encoder."""


def ffmpeg(*arguments: str | Path, pictures: Iterable[np.ndarray] = ()) -> None:
    if FFMPEG is None:
        raise ProgramMissing("the ffmpeg program is not installed")
    command = [FFMPEG, "-v", "error", "-y", *map(str, arguments)]
    raw = b"".join(picture.tobytes() for picture in pictures)
    done = subprocess.run(command, input=raw, check=False, capture_output=True)
    if b"Unknown encoder" in done.stderr:
        raise ProgramMissing(done.stderr.decode(errors="replace").splitlines()[0])
    if done.returncode:
        raise RuntimeError(f"{command}: {done.stderr.decode(errors='replace')}")


def coded(
    path: Path,
    *arguments: str | Path,
    n: int = 80,
    first: int = 0,
    rate: str = "25",
    size: tuple[int, int] = (WIDTH_PX, HEIGHT_PX),
    inputs: tuple[str | Path, ...] = (),
) -> Path:
    """Pipe numbered pictures into the ffmpeg program."""
    width, height = size
    ffmpeg(
        *("-f", "rawvideo", "-pix_fmt", "gray", "-s", f"{width}x{height}", "-r", rate),
        *("-i", "-", *inputs, "-pix_fmt", "yuv420p", *arguments, path),
        pictures=(grey_picture(first + k, width, height) for k in range(n)),
    )
    return path


def encode(
    path: Path,
    stamps: Iterable[int],
    time_base: Fraction,
    *,
    first_number: int = 0,
    options: dict[str, str] | None = None,
) -> Path:
    """Write an H.264 film with PyAV; one picture per stamp, in the given time base."""
    with av.open(str(path), "w") as container:
        stream = container.add_stream("libx264", rate=Fraction(30))
        stream.width, stream.height, stream.pix_fmt = WIDTH_PX, HEIGHT_PX, "yuv420p"
        stream.codec_context.time_base = time_base
        stream.options = {"preset": "veryfast", "g": "12", "bf": "2", **(options or {})}
        for number, stamp in enumerate(stamps, first_number):
            frame = av.VideoFrame.from_ndarray(grey_picture(number), format="gray")
            frame = frame.reformat(format="yuv420p")
            frame.pts, frame.time_base = stamp, time_base
            container.mux(stream.encode(frame))
        container.mux(stream.encode(None))
    return path


def base(n: int = 80) -> Path:
    """The plain film that others are cut, damaged and repacked from."""
    return kept(f"base{n}", lambda folder: coded(folder / "base.mp4", *X264, n=n))


def repacked(folder: Path, name: str, *arguments: str | Path, before: tuple[str, ...] = ()) -> Path:
    path = folder / name
    ffmpeg(*before, "-i", base(), "-c", "copy", *arguments, path)
    return path


def joined(path: Path, *pieces: bytes) -> Path:
    path.write_bytes(b"".join(pieces))
    return path


def cut(path: Path, whole: Path, share: float) -> Path:
    content = whole.read_bytes()
    return joined(path, content[: int(len(content) * share)])


def sound(seconds: int) -> tuple[str, ...]:
    return ("-f", "lavfi", "-i", f"sine=d={seconds}")


def even(n: int, step: int = 1, start: int = 0) -> tuple[int, ...]:
    return tuple(start + k * step for k in range(n))
