"""Stretches of a recording that cannot be judged, and moments at which the picture changed."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final, Literal, get_args

import numpy as np
from numpy.typing import NDArray

Column = NDArray[np.floating]
"""One number for each picture looked at, in order; NaN where there is none."""

Flags = NDArray[np.bool_]

Unseen = Literal["black", "frozen", "blurred", "over-exposed"]
"""Stretches in which nothing can be judged."""

Turn = Literal["cut", "light-switched", "zoom-changed"]
"""What changes the picture for good."""

UNSEEN: Final[tuple[Unseen, ...]] = get_args(Unseen)
TURNS: Final[tuple[Turn, ...]] = get_args(Turn)

BLACK_LIGHT: Final = 12.0
"""Grey levels; a cover or a lost signal is below, a dark room's eye above (own choice)."""

STILL_LEVELS: Final = 1.0
"""A camera's noise alone changes some block more than this from picture to picture."""

BLURRED_SHARE: Final = 0.8
"""Share of the recording's own best sharpness around the moment (tuned)."""

CLIPPED_SHARE: Final = 0.3
"""Share of the picture without any detail left (own choice)."""

CUT_TIMES: Final = 2.6
"""A cut changes the picture so many times as much as anything within two seconds (tuned)."""

CUT_TIMES_LEFT: Final = 2.5
"""And so many times as much as usual is left once both pictures are equally bright (tuned): where
only the light is switched, nothing is."""

CUT_LEVELS: Final = 5.0
"""Grey levels; less than that is not seen as a jump (own choice)."""

LIGHT_LEVELS: Final = 18.0
ZOOM_SHARE: Final = 0.04
"""How much the limbus must grow or shrink for good."""

_BEST: Final = 0.9
_BEST_AROUND_S: Final = 60.0
_SHORTEST_S: Final = {"black": 0.1, "frozen": 1.0, "blurred": 0.6, "over-exposed": 0.6}
_BLINK_S: Final = 0.45
_AROUND_CUT_S: Final = 2.0
_SETTLED_S: Final = 1.5
_LEFT: Final = 0.1


@dataclass(frozen=True)
class State:
    """A stretch, or a change that takes from one picture to another.

    Attributes:
        kind: One of `UNSEEN` or `TURNS`.
        first: Number of its first picture; of a change, the last one before it.
        stop: Number of the first picture after it.
        confidence: 0 to 1: how far beyond what is asked for, in the mean.
    """

    kind: Unseen | Turn
    first: int
    stop: int
    confidence: float


def runs(flags: Flags) -> list[tuple[int, int]]:
    """Return the stretches of True as (first, stop), in order.

    Example:
        >>> runs(np.array([True, False, True, True]))
        [(0, 1), (2, 4)]
    """
    edges = np.diff(np.concatenate([[0], flags.astype(np.int8), [0]]))
    starts, stops = np.flatnonzero(edges == 1), np.flatnonzero(edges == -1)
    return list(zip(starts.tolist(), stops.tolist(), strict=True))


def unseen_states(
    light: Column, most_change: Column, sharpness: Column, clipped: Column, rate_hz: float
) -> list[State]:
    """Return the stretches in which nothing can be judged, in order.

    Args:
        light: Mean brightness, 0 to 255.
        most_change: Difference from the picture before in the block that differs most.
        sharpness: As `look_of` tells it.
        clipped: Share of the picture that is as bright as can be.
        rate_hz: Pictures looked at in a second.
    """
    black = light < BLACK_LIGHT
    excess: dict[Unseen, Column] = {
        "black": 1 - light / BLACK_LIGHT,
        "frozen": np.where(black, -1.0, 1 - most_change / STILL_LEVELS),
        "blurred": np.where(
            black, -1.0, 1 - sharpness / (BLURRED_SHARE * _best(sharpness, rate_hz))
        ),
        "over-exposed": clipped / CLIPPED_SHARE - 1,
    }
    found = [state for kind, over in excess.items() for state in _stretches(kind, over, rate_hz)]
    return sorted(found, key=lambda state: (state.first, state.kind))


def cuts(mean: Column, greys: Column, left: Column, rate_hz: float) -> list[State]:
    """Return the moments at which pictures were left out.

    Args:
        mean: Mean difference from the picture before; NaN beside a black picture.
        greys: How far apart the two pictures' shares of greys are.
        left: What is left of the difference once both pictures are equally bright.
        rate_hz: Pictures looked at in a second.
    """
    around = max(2, round(_AROUND_CUT_S * rate_hz))
    changed = np.nan_to_num(mean * greys, nan=0.0)
    found = []
    for n in np.flatnonzero(np.nan_to_num(mean, nan=0.0) > CUT_LEVELS).tolist():
        times = float(changed[n]) / max([1e-6, *_around(changed, n, around)])
        usually_left = float(np.median(_around(left, n, around)))
        if times > CUT_TIMES and left[n] > CUT_TIMES_LEFT * usually_left:
            found.append(State("cut", n - 1, n + 1, min(1.0, times / CUT_TIMES / 2)))
    return found


def _around(values: Column, n: int, around: int) -> list[float]:
    """Return the known values on either side of one."""
    near = [*values[max(0, n - around) : n], *values[n + 1 : n + around + 1]]
    return [float(one) for one in near if np.isfinite(one)] or [0.0]


def steps_for_good(
    kind: Turn, values: Column, least: Callable[[float], float], rate_hz: float
) -> list[State]:
    """Return where a number goes from one level to another and stays there.

    Args:
        kind: What such a step is.
        values: The number; NaN where there is none.
        least: Says how much it must change, by the level before.
        rate_hz: Pictures looked at in a second.
    """
    settled = max(2, round(_SETTLED_S * rate_hz))
    before, after = _levels(values, settled)
    change = np.abs(after - before)
    wanted = np.array([least(float(one)) if np.isfinite(one) else np.inf for one in before])
    beyond = np.where(np.isfinite(change), change / np.where(wanted > 0, wanted, np.inf), 0.0)
    found = []
    for first, stop in runs(beyond > 1.0):
        most = first + int(np.argmax(beyond[first:stop]))
        start, end = max(0, most - settled), min(len(values), most + settled)
        share = (values[start:end] - before[most]) / (after[most] - before[most])
        start, end = (start + place for place in _turning(share))
        found.append(State(kind, start, end, min(1.0, float(beyond[most]) / 2)))
    return found


def _turning(share: Column) -> tuple[int, int]:
    """Return the last place near 0 before the values go to 1, and the one after the first there."""
    past = int(np.argmax(share > 0.5))
    before, after = (
        np.flatnonzero(share[:past] <= _LEFT),
        np.flatnonzero(share[past:] >= 1 - _LEFT),
    )
    first = int(before[-1]) if len(before) else max(0, past - 1)
    stop = past + (int(after[0]) if len(after) else 0) + 1
    return first, stop


def _levels(values: Column, settled: int) -> tuple[Column, Column]:
    """Return, for each place, the middle of the values before it and of those from it on."""
    padded = np.concatenate([np.full(settled, np.nan), values, np.full(settled, np.nan)])
    windows = np.lib.stride_tricks.sliding_window_view(padded, settled)
    ordered = np.sort(windows, axis=1)
    n_known = np.isfinite(ordered).sum(axis=1)
    middle = np.take_along_axis(ordered, np.maximum(0, (n_known - 1) // 2)[:, None], axis=1)[:, 0]
    middle[n_known < settled / 2] = np.nan
    n = len(values)
    return middle[:n], middle[settled : settled + n]


def _best(sharpness: Column, rate_hz: float) -> Column:
    """Return the best the recording does around each moment; rare outliers are left out."""
    around = max(1, round(_BEST_AROUND_S * rate_hz))
    best = np.empty(len(sharpness))
    for start in range(0, len(sharpness), around):
        near = sharpness[max(0, start - around) : start + 2 * around]
        known = near[np.isfinite(near)]
        best[start : start + around] = np.quantile(known, _BEST) if len(known) else np.inf
    return best


def _stretches(kind: Unseen, over: Column, rate_hz: float) -> list[State]:
    flags = np.nan_to_num(over, nan=-1.0) > 0
    blink = round(_BLINK_S * rate_hz)
    whole = [list(run) for run in runs(flags)]
    joined: list[list[int]] = []
    for run in whole:
        if joined and run[0] - joined[-1][1] <= blink:
            joined[-1][1] = run[1]
        else:
            joined.append(run)
    return [
        State(kind, first, stop, _confidence(over[first:stop]))
        for first, stop in joined
        if (stop - first) / rate_hz >= _SHORTEST_S[kind]
    ]


def _confidence(over: Column) -> float:
    """Return 1/2 for what is just beyond, and up to 1 for what is far beyond."""
    return float(np.clip(0.5 + np.nanmean(over), 0.0, 1.0))
