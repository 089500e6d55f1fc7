"""Try usual ways of reading a frame and ours on every kind of film, and write the table.

``python tests/media/compare_readers.py`` asks each way for up to 50 pictures of every film in
random order, first and last among them, in a process of its own, reads the number in each picture
that comes back, and puts the table into docs/reference/recordings.md.
"""

from __future__ import annotations

import json
import random
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parent))

from made_films.catalogue import ALL, Kind, film_path
from made_films.making import ProgramMissing
from made_films.numbered import number_in, number_of
from made_films.truth import truth_of

PAGE = Path(__file__).resolve().parents[2] / "docs" / "reference" / "recordings.md"
BEGIN, END = "<!-- table of readers -->", "<!-- end of the table of readers -->"
N_ASKED = 50
PATIENCE_S = 60
NOTHING = None

Asked = list[tuple[int, int]]
"""(start in microseconds, place in display order) of each picture that is asked for."""


def ours(path: Path, asked: Asked, stream: int) -> Iterator[int | None]:
    from aftercase.media.recording import open_recording

    with open_recording([path]) as recording:
        for start_us, _ in asked:
            yield number_of(recording.picture_at(start_us))


def library_by_time(path: Path, asked: Asked, stream: int) -> Iterator[int | None]:
    """Seek to the time in microseconds, decode until a picture's time is not before it."""
    yield from _by_library(path, asked, stream, by_stamp=False)


def library_by_stamp(path: Path, asked: Asked, stream: int) -> Iterator[int | None]:
    """Seek to the stamp, decode until a picture's stamp is not before it."""
    yield from _by_library(path, asked, stream, by_stamp=True)


def _by_library(path: Path, asked: Asked, index: int, *, by_stamp: bool) -> Iterator[int | None]:
    import av

    with av.open(str(path)) as container:
        stream = container.streams[index]
        first = next(container.decode(stream))
        for start_us, _ in asked:
            try:
                if by_stamp:
                    wanted = first.pts + round(start_us / 1_000_000 / stream.time_base)
                    container.seek(wanted, stream=stream)
                    found = (f for f in container.decode(stream) if f.pts >= wanted)
                else:
                    time_s = float(f"{first.time + start_us / 1_000_000:.6f}")
                    container.seek(int(time_s * 1_000_000))
                    found = (f for f in container.decode(stream) if f.time >= time_s)
                frame = next(found, None)
            except (av.FFmpegError, TypeError):
                frame = None
            yield NOTHING if frame is None else number_in(frame.to_ndarray(format="gray"))


def opencv_by_frame(path: Path, asked: Asked, stream: int) -> Iterator[int | None]:
    """Set the number of the frame, read."""
    yield from _by_opencv(path, asked, by_frame=True)


def opencv_by_ms(path: Path, asked: Asked, stream: int) -> Iterator[int | None]:
    """Set the milliseconds since the first picture, read."""
    yield from _by_opencv(path, asked, by_frame=False)


def _by_opencv(path: Path, asked: Asked, *, by_frame: bool) -> Iterator[int | None]:
    import cv2

    capture = cv2.VideoCapture(str(path))
    for start_us, place in asked:
        if by_frame:
            capture.set(cv2.CAP_PROP_POS_FRAMES, place)
        else:
            capture.set(cv2.CAP_PROP_POS_MSEC, start_us / 1000)
        there, picture = capture.read()
        yield number_in(_upright(picture)) if there and picture is not None else NOTHING


def _upright(picture: np.ndarray) -> np.ndarray:
    """A picture as it was decoded: opencv turns those that ask for it, in one way or the other."""
    grey = picture.mean(axis=2) if picture.ndim == 3 else picture
    turned = [np.rot90(grey, quarters) for quarters in range(4)]
    return next((one for one in turned if number_in(one) is not None), grey)


WAYS: dict[str, Callable[[Path, Asked, int], Iterator[int | None]]] = {
    "Aftercase": ours,
    "PyAV by time": library_by_time,
    "PyAV by stamp": library_by_stamp,
    "OpenCV by frame": opencv_by_frame,
    "OpenCV by ms": opencv_by_ms,
}


def asked_of(name: str) -> tuple[Asked, list[int]]:
    """What is asked for, and the numbers that are right."""
    truth = truth_of(name)
    readable = [
        (start, place, number)
        for place, (start, number) in enumerate(zip(truth.starts_us, truth.numbers, strict=True))
        if number is not None
    ]
    inner = readable[1:-1]
    chosen = [readable[0], readable[-1]][: len(readable)]
    chosen += random.Random(30).sample(inner, min(len(inner), N_ASKED - len(chosen)))
    random.Random(31).shuffle(chosen)
    return [(start, place) for start, place, _ in chosen], [number for *_, number in chosen]


def answer(way: str, name: str) -> list[int | None] | str:
    """The numbers that came back, or in a word why none did."""
    command = [sys.executable, __file__, "--ask", way, name]
    try:
        done = subprocess.run(command, capture_output=True, text=True, timeout=PATIENCE_S)
    except subprocess.TimeoutExpired:
        return "hangs"
    if done.returncode < 0:
        return "crashes"
    if done.returncode:
        return "fails"
    return json.loads(done.stdout.splitlines()[-1])


def cell(got: list[int | None] | str, right: list[int]) -> str:
    """`all 50`, or how many were right, how far off the worst was and how many never came."""
    if isinstance(got, str):
        return got
    n_right = sum(a == b for a, b in zip(got, right, strict=True))
    if n_right == len(right):
        return f"all {n_right}"
    off = max((abs(a - b) for a, b in zip(got, right, strict=True) if a is not None), default=0)
    none = sum(number is None for number in got)
    return (
        f"**{n_right}/{len(right)}**"
        + (f" ±{off}" if off else "")
        + (f", none {none}" if none else "")
    )


def ask(way: str, name: str) -> None:
    """Print what one way answers; run in a process of its own."""
    asked, _ = asked_of(name)
    made = ALL[name]
    stream = made.stream if isinstance(made, Kind) else 0
    with closing(WAYS[way](film_path(name), asked, stream)) as numbers:
        print(json.dumps([None if n is None else int(n) for n in numbers]))


def table() -> list[str]:
    lines = ["| film | what it is | frames | " + " | ".join(WAYS) + " |"]
    lines.append("|---" * (3 + len(WAYS)) + "|")
    n_right, n_asked, n_whole = dict.fromkeys(WAYS, 0), 0, dict.fromkeys(WAYS, 0)
    for name, made in ALL.items():
        try:
            _, right = asked_of(name)
        except ProgramMissing as missing:
            print(f"left out: {name}: {missing}")
            continue
        n_asked += len(right)
        cells = []
        for way in WAYS:
            got = answer(way, name)
            cells.append(cell(got, right))
            if isinstance(got, list):
                n_right[way] += sum(a == b for a, b in zip(got, right, strict=True))
                n_whole[way] += got == right
        n_frames = len(truth_of(name).starts_us)
        lines.append(f"| {name} | {made.says} | {n_frames} | " + " | ".join(cells) + " |")
        print(lines[-1], flush=True)
    sums = [f"{n_right[way]}/{n_asked} = {100 * n_right[way] // n_asked} %" for way in WAYS]
    lines.append("| **all** | | | " + " | ".join(sums) + " |")
    wholes = [f"{n_whole[way]} of {len(lines) - 3}" for way in WAYS]
    lines.append("| films wholly right | | | " + " | ".join(wholes) + " |")
    return lines


def main() -> None:
    lines = table()
    page = PAGE.read_text(encoding="utf-8")
    before, rest = page.split(BEGIN)
    _, after = rest.split(END)
    PAGE.write_text("\n".join([before + BEGIN, "", *lines, "", END + after]), encoding="utf-8")
    print(f"written: {PAGE}")


if __name__ == "__main__":
    if sys.argv[1:2] == ["--ask"]:
        ask(*sys.argv[2:])
    else:
        main()
