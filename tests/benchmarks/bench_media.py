"""Opening, finding, stepping, playing and scaling, beside three other ways, on long films."""

from __future__ import annotations

import random
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path

import numpy as np
from films import MadeFilm, made_film
from media_ways import (
    BarePyAV,
    Cv2,
    FfmpegProgram,
    Ours,
    Way,
    decode_by_ffmpeg,
    demuxed_by_pyav,
    listed_by_ffprobe,
    opened_by_cv2,
    opened_by_pyav,
)
from reporting import Promise, Table, in_turns, median_and_p95, ms, p95, seconds

from aftercase.media.recording import open_recording
from aftercase.media.scrubbuild import build_copy

WINDOW_PX = 960
N_RANDOM = 30
N_PROGRAM = 6
N_STEPS = 100
N_STEPS_ANEW = 6
N_IN_ORDER = 150
N_COPIED = 400
N_CHECKED = 6
HEADS = ("", Ours.name, BarePyAV.name, Cv2.name, FfmpegProgram.name)
NOTE = """1920 x 1080 at 30 a second, 10 Mbit/s, H.264 with two B-frames, very noisy. Milliseconds;
where there are two numbers, median and 95th percentile. Every way gives full R, G, B pictures.
Bare PyAV is told the stamps of all frames beforehand; cv2 only counts frames by the header and
lists none. The ffmpeg program starts anew for every picture that is not in order. “Right” counts
the pictures that are the frame asked for and not the one before or after it, by what ours shows."""


def sections(*, quick: bool) -> Iterator[tuple[Table, list[Promise]]]:
    """Yield a table and its promises for each film."""
    for key_s in (2, 8):
        film = made_film(key_s, quick=quick)
        rows: list[tuple[str, ...]] = []
        promises: list[Promise] = []
        with tempfile.TemporaryDirectory() as cache:
            _opening(film, Path(cache), rows, promises)
        ways: list[Way] = [Ours(film), BarePyAV(film), Cv2(film), FfmpegProgram(film)]
        _finding(film, ways, rows, promises)
        _stepping_back(film, ways, rows)
        _in_order(film, ways, rows)
        for way in ways:
            way.close()
        yield (
            Table(f"A film of {film.name}", HEADS, tuple(rows), NOTE if key_s == 2 else ""),
            promises,
        )
    yield _copying(made_film(8, quick=True))


def _opening(
    film: MadeFilm, cache: Path, rows: list[tuple[str, ...]], promises: list[Promise]
) -> None:
    def ours(kept_in: Path | None) -> int:
        with open_recording([film.path], cache=kept_in) as recording:
            return len(recording.table(0))

    works: list[Callable[[], int]] = [
        lambda: ours(None),
        lambda: demuxed_by_pyav(film),
        lambda: opened_by_cv2(film),
        lambda: listed_by_ffprobe(film),
    ]
    if {work() for work in works} != {film.n_frames}:
        raise AssertionError(f"not every way counts {film.n_frames} frames in {film.name}")
    times_s = in_turns(5, *works)
    ours(cache)
    again_s, bare_s = in_turns(9, lambda: ours(cache), lambda: opened_by_pyav(film))
    rows.append(("first open, all frames listed", *map(ms, times_s)))
    bare = f"{ms(bare_s)} without a list"
    rows.append(("second open", ms(again_s), bare, *["as the first"] * 2))
    name = f"first open, keys {film.key_s} s apart, beside a bare demux"
    promises.append(Promise(name, times_s[0] / times_s[1], 1.2, " times"))
    promises.append(Promise(f"second open, keys {film.key_s} s apart", 1000 * again_s, 50, " ms"))


def _finding(
    film: MadeFilm, ways: list[Way], rows: list[tuple[str, ...]], promises: list[Promise]
) -> None:
    order = random.Random(3).sample(range(1, film.n_frames - 1), N_RANDOM)
    times_s: list[list[float]] = [[] for _ in ways]
    for number, row in enumerate(order):
        for way, times in zip(ways, times_s, strict=True):
            if number < N_PROGRAM or not isinstance(way, FfmpegProgram):
                times.append(seconds(lambda way=way, row=row: way.frame(row)))
    rows.append(("a random frame", *map(median_and_p95, times_s)))
    right = [_n_right(ways[0], way, order[:N_CHECKED]) for way in ways]
    rows.append(("right", *(f"{n} of {N_CHECKED}" for n in right)))
    name = f"a random frame, keys {film.key_s} s apart, beside bare PyAV"
    promises.append(Promise(name, sum(times_s[0]) / sum(times_s[1]), 1.15, " times"))


def _n_right(ours: Way, way: Way, rows: list[int]) -> int:
    """Return how often a way gives the frame asked for, and not a neighbour that is more alike."""
    n_right = 0
    for row in rows:
        seen = way.frame(row).astype(np.int16)
        near = list(ours.run(row - 1, 3, None))
        distances = [int(np.abs(seen - one).sum()) for one in near]
        n_right += distances[1] == min(distances)
    return n_right


def _stepping_back(film: MadeFilm, ways: list[Way], rows: list[tuple[str, ...]]) -> None:
    last = film.n_frames * 2 // 3
    cells = []
    for way in ways:
        n = N_STEPS if isinstance(way, Ours) else N_STEPS_ANEW
        times_s = [seconds(lambda way=way, k=k: way.frame(last - k)) for k in range(n)]
        cells.append(f"{ms(sum(times_s) / n)} (longest {ms(max(times_s))})")
    rows.append(("one step back, mean", *cells))


def _in_order(film: MadeFilm, ways: list[Way], rows: list[tuple[str, ...]]) -> None:
    for what, width_px in (("in order", None), (f"in order, {WINDOW_PX} px wide", WINDOW_PX)):
        first = film.n_frames // 3

        def play(way: Way, first: int = first, width_px: int | None = width_px) -> int:
            return sum(1 for _ in way.run(first, N_IN_ORDER, width_px))

        times_s = in_turns(2, *(lambda way=way: play(way) for way in ways))
        rows.append((f"{what}, a frame", *(ms(time_s / N_IN_ORDER) for time_s in times_s)))


def _each_frame(ours: Ours, order: list[int]) -> list[float]:
    """Return how long each frame of the copy takes, the shortest of three rounds."""
    rounds = [
        [seconds(lambda row=row: ours.frame(row, copy_will_do=True)) for row in order]
        for _ in range(3)
    ]
    return [min(times) for times in zip(*rounds, strict=True)]


def _copying(film: MadeFilm) -> tuple[Table, list[Promise]]:
    """Return what a scrub copy costs and gives, on a minute of the film with the long groups."""
    with tempfile.TemporaryDirectory() as folder:
        caches = (Path(folder) / str(n) for n in range(2))
        build_s, decode_s = in_turns(
            2,
            lambda: build_copy(str(film.path), kept_in=next(caches)),
            lambda: decode_by_ffmpeg(film),
        )
        cache = Path(folder) / "0"
        size_bytes = sum(file.stat().st_size for file in cache.glob("*.scrub"))
        ours = Ours(film, cache)
        chance = random.Random(5)
        order = [chance.randrange(film.n_frames) for _ in range(N_COPIED)]
        random_s = _each_frame(ours, order)
        back_s = _each_frame(ours, [film.n_frames - 1 - k for k in range(N_COPIED)])
        ours.close()
    share = size_bytes / film.path.stat().st_size
    back_fps = N_COPIED / sum(back_s)
    minutes = film.seconds / 60
    rows = (
        ("building", f"{build_s:.1f} s; the ffmpeg program decodes the film in {decode_s:.1f} s"),
        ("size", f"{size_bytes / minutes / 1e6:.0f} MB a minute, {share:.0%} of the film"),
        ("a random frame", f"{median_and_p95(random_s)} ms"),
        ("backwards", f"{median_and_p95(back_s)} ms; {back_fps / film.fps:.0f} times real time"),
    )
    promises = [
        Promise("building a copy beside decoding by ffmpeg", build_s / decode_s, 1.4, " times"),
        Promise("size of a copy beside its film at 10 Mbit/s", share, 0.4, " times"),
        Promise("a random frame of a copy, 95th percentile", 1000 * p95(random_s), 5, " ms"),
        Promise("reverse at 4 times, a frame, 95th percentile", 1000 * p95(back_s), 8.33, " ms"),
    ]
    return Table(
        f"The scrub copy of {film.seconds} s of the film, keys 8 s apart", ("", ""), rows
    ), promises
