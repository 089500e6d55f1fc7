"""The player as a hand meets it: steps, jumps, drags and playing, beside two others in one run."""

from __future__ import annotations

import itertools
import random
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import numpy as np
from films import MadeFilm, made_film
from player_ways import Came, Cv2, Ours, QtsPlayer, Seen, Way
from reporting import Promise, Table, median_and_p95, ms, p95, seconds

N_PLACES = 30
N_HELD = 90
N_DRAGGED = 60
N_CHECKED = 6
HELD_S = 1 / 30
"""How fast a key that is held down repeats itself."""

REST_S = 0.5
"""How long a hand looks before it takes a single step."""

PLAY_S = 8.0
FAST = 60
HEADS = ("", Ours.name, QtsPlayer.name, Cv2.name)
NOTE = """From the key, or the pointer's move, to the picture: milliseconds, median and 95th
percentile. Full 1920 x 1080 pictures; ours come from a process of its own and are taken as the
window takes them. “Held” repeats a key 30 times a second. “Right” counts the pictures that are the
frame asked for and not its neighbour. cv2 knows no quick picture, and is called and waited for."""


def sections(*, quick: bool) -> Iterator[tuple[Table, list[Promise]]]:
    """Yield what hands meet on two films, and how a film of 60 a second plays."""
    with tempfile.TemporaryDirectory() as cache:
        for key_s in (2, 8):
            yield _by_hand(made_film(key_s, quick=quick), Path(cache), noted=key_s == 2)
        yield _playing(made_film(2, quick=True, fps=FAST), Path(cache))


def _by_hand(film: MadeFilm, cache: Path, *, noted: bool) -> tuple[Table, list[Promise]]:
    promises: list[Promise] = []
    rows = [_first_pictures(film, cache, promises)]
    ours = Ours(film, cache)
    ways: list[Way] = [ours, QtsPlayer(film), Cv2(film)]
    rows += _jumps(film, ways, promises)
    rows.append(_drags(film, ours, promises))
    rows += _single_steps(film, ways, promises)
    rows += _held_steps(film, ways, promises)
    for way in ways:
        way.close()
    title = f"The player on a film of {film.name}"
    return Table(title, HEADS, tuple(rows), NOTE if noted else ""), promises


def _first_pictures(film: MadeFilm, cache: Path, promises: list[Promise]) -> tuple[str, ...]:
    """Return how long each way takes to show the first picture, its process included."""

    def took(make: Callable[[], Way]) -> float:
        def opened() -> None:
            made.append(make())

        made: list[Way] = []
        times_s = []
        for _ in range(3):
            times_s.append(seconds(opened))
            made.pop().close()
        return min(times_s)

    Ours(film, cache).close()  # so that the list of frames is kept
    times_s = [took(make) for make in (lambda: Ours(film, cache), lambda: QtsPlayer(film),
                                       lambda: Cv2(film))]  # fmt: skip
    name = f"first picture of a film opened before, keys {film.key_s} s apart"
    promises.append(Promise(name, 1000 * times_s[0], 1000, " ms"))
    return ("first picture, opened before", *map(ms, times_s))


def _jumps(film: MadeFilm, ways: list[Way], promises: list[Promise]) -> list[tuple[str, ...]]:
    places = random.Random(11).sample(range(1, film.n_frames - 1), N_PLACES)
    came: list[list[Came]] = [[] for _ in ways]
    for row in places:
        for way, found in zip(ways, came, strict=True):
            found.append(way.go(row))
            way.idle(0.05)
    first_s = [[one.first_s for one in found] for found in came]
    exact_s = [[one.exact_s for one in found] for found in came]
    right = [_n_right(ways[0], found, places) for found in came]
    what = f"keys {film.key_s} s apart, 95th percentile"
    promises.append(Promise(f"a jump, first picture, {what}", 1000 * p95(first_s[0]), 50, " ms"))
    if film.key_s <= 2:
        promises.append(Promise(f"a jump, exact, {what}", 1000 * p95(exact_s[0]), 250, " ms"))
    return [
        ("a jump, first picture", *map(median_and_p95, first_s)),
        ("a jump, the frame itself", *map(median_and_p95, exact_s)),
        ("right", *(f"{n} of {N_CHECKED}" for n in right)),
    ]


def _n_right(ours: Way, came: list[Came], places: list[int]) -> int:
    """Return how many pictures are the frame asked for and not one beside it, by what we show."""
    n_right = 0
    for one, row in zip(came[:N_CHECKED], places, strict=False):
        seen = one.picture.astype(np.int16)
        beside = [ours.go(row + k).picture for k in (-1, 0, 1)]
        distances = [int(np.abs(seen - picture).sum()) for picture in beside]
        n_right += distances[1] == min(distances)
    return n_right


def _drags(film: MadeFilm, ours: Ours, promises: list[Promise]) -> tuple[str, ...]:
    """Return how soon pictures follow a pointer that moves over a tenth of the film."""
    begin, reach = film.n_frames // 2, film.n_frames // 10
    times_s = []
    for k in range(N_DRAGGED):
        took_s = ours.drag(begin + k * reach // N_DRAGGED)
        times_s.append(took_s)
        ours.idle(max(0.0, HELD_S - took_s))
    name = f"a drag, a picture of the place, keys {film.key_s} s apart, 95th percentile"
    promises.append(Promise(name, 1000 * p95(times_s), 50, " ms"))
    return ("a drag, a picture of the place", median_and_p95(times_s), "", "")


def _single_steps(
    film: MadeFilm, ways: list[Way], promises: list[Promise]
) -> list[tuple[str, ...]]:
    places = random.Random(12).sample(range(100, film.n_frames - 100), N_PLACES // 2)
    rows = []
    for what, n_frames in (("on", 1), ("back", -1)):
        times_s: list[list[float]] = [[] for _ in ways]
        for row in places:
            for way, times in zip(ways, times_s, strict=True):
                way.go(row)
                way.idle(REST_S)
                times.append(way.step(n_frames).exact_s)
        rows.append((f"one frame {what}, after a look", *map(median_and_p95, times_s)))
        name = f"one frame {what}, keys {film.key_s} s apart, 95th percentile"
        promises.append(Promise(name, 1000 * p95(times_s[0]), 50, " ms"))
    return rows


def _held_steps(film: MadeFilm, ways: list[Way], promises: list[Promise]) -> list[tuple[str, ...]]:
    middle = film.n_frames // 2
    rows = []
    for what, n_frames in (("on", 1), ("back", -1)):
        cells = []
        for way in ways:
            way.go(middle)
            way.idle(REST_S)
            times_s = [_held(way, n_frames) for _ in range(N_HELD)]
            cells.append(f"{median_and_p95(times_s)} (longest {ms(max(times_s))})")
            if isinstance(way, Ours):
                name = f"one frame {what}, held, keys {film.key_s} s apart, 95th percentile"
                promises.append(Promise(name, 1000 * p95(times_s), 50, " ms"))
        rows.append((f"one frame {what}, held", *cells))
    return rows


def _held(way: Way, n_frames: int) -> float:
    begun_s = time.perf_counter()
    took_s = way.step(n_frames).exact_s
    way.idle(max(0.0, HELD_S - (time.perf_counter() - begun_s)))
    return took_s


def _playing(film: MadeFilm, cache: Path) -> tuple[Table, list[Promise]]:
    ways: list[Way] = [Ours(film, cache), QtsPlayer(film), Cv2(film)]
    rows, promises = [], []
    for rate, step in ((1.0, 1), (2.0, 2)):
        played = [_Played(way.play(600, rate, PLAY_S), film.fps * rate, step) for way in ways]
        rows += [
            (f"at {rate:g} times: pictures a second", *(f"{one.per_s:.1f}" for one in played)),
            ("steps between them, frames", *(one.steps for one in played)),
            ("late by more than one frame", *(str(one.n_late) for one in played)),
            ("latest, ms", *(ms(one.latest_s) for one in played)),
        ]
        promises += [
            Promise(f"1080p60 at {rate:g}: frames late by more than one", played[0].n_late, 0, ""),
            Promise(f"1080p60 at {rate:g}: steps other than {step}", played[0].n_uneven, 0, ""),
        ]
    for way in ways:
        way.close()
    note = f"""{PLAY_S:g} s of it. A picture is late by how much longer after its time it came than
the earliest of them. cv2 reads every frame, as soon as it is due or it can."""
    title = "Playing 1920 x 1080 at 60 a second, full pictures"
    return Table(title, HEADS, tuple(rows), note), promises


class _Played:
    """What was on the screen while playing.

    Args:
        seen: The frames as they came; several in one moment are seen as the last of them.
        fps: Frames of the film that are due in a second.
        step: How many frames from one picture to the next are right.
    """

    def __init__(self, seen: list[Seen], fps: float, step: int) -> None:
        once = [next(group) for _, group in itertools.groupby(seen, key=lambda one: one.row)]
        steps = [after.row - before.row for before, after in itertools.pairwise(once)]
        offsets_s = [one.at_s - one.row / fps for one in once]
        late_s = [offset_s - min(offsets_s) for offset_s in offsets_s]
        counts = {size: steps.count(size) for size in sorted(set(steps))}
        self.per_s = len(steps) / (once[-1].at_s - once[0].at_s)
        self.steps = ", ".join(f"{n} of {size}" for size, n in counts.items())
        self.n_uneven = sum(size != step for size in steps)
        self.latest_s = max(late_s)
        self.n_late = sum(one > step / fps for one in late_s)
