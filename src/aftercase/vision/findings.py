"""What follows from a scan's rows: states, crossings, gaps, the eye's way, likely boundaries.

All of it is a suggestion: it counts nowhere until a person accepts it.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from aftercase.vision.crossings import standing_out, things
from aftercase.vision.entries import Entry, apart_deg, entries
from aftercase.vision.running import running_median
from aftercase.vision.scan import SURE, Rows
from aftercase.vision.states import (
    BLACK_LIGHT,
    LIGHT_LEVELS,
    UNSEEN,
    ZOOM_SHARE,
    Column,
    State,
    cuts,
    runs,
    steps_for_good,
    unseen_states,
)

SHORTEST_GAP_S: Final = 0.5
"""Shorter ones are not suggested; a review's own threshold is asked for later."""

NO_EYE_SHARE: Final = 0.2
"""An eye on less than this share of the pictures is none: nothing is suggested then."""

FOLLOWED_S: Final = 1.0
FURTHEST_OFF: Final = 0.25
MOST_GROWN: Final = 0.12
"""A limbus this share of the radius off the middle of those within a second, or this much larger or
smaller, is wrong (own choice): an eye that is pushed goes there and stays for a while."""

Flags = NDArray[np.bool_]

_LIKELY: Final = 0.75
_BESIDE: Final = {"black": 1, "over-exposed": 1, "frozen": 2}
"""So many pictures before and after such a stretch change as it comes and goes."""


@dataclass(frozen=True)
class Stretch:
    """A suggested stretch of the recording.

    Attributes:
        kind: ``instrument``, ``gap``, or one of the picture's states.
        start_us: Where it starts.
        end_us: Where it ends, exclusive.
        confidence: 0 to 1.
        direction_deg: Where an instrument enters, clockwise from straight up on the picture.
    """

    kind: str
    start_us: int
    end_us: int
    confidence: float
    direction_deg: float | None = None


@dataclass(frozen=True)
class Boundary:
    """A moment at which a step may change: entries differ, and nothing was in the eye before."""

    at_us: int
    confidence: float


@dataclass(frozen=True)
class Findings:
    """What a scan suggests.

    Attributes:
        has_eye: An eye was found; if not, the rest is empty.
        states: Stretches that cannot be judged, and changes of the picture.
        instruments: What lay across the limbus, unnamed.
        gaps: When nothing did, between the first and the last of them.
        boundaries: Where steps may change.
    """

    has_eye: bool
    states: tuple[Stretch, ...] = ()
    instruments: tuple[Stretch, ...] = ()
    gaps: tuple[Stretch, ...] = ()
    boundaries: tuple[Boundary, ...] = ()


def findings(rows: Rows, end_us: int) -> Findings:
    """Return what a scan suggests.

    Args:
        rows: Of pictures evenly apart, in order.
        end_us: Where the recording ends.
    """
    if eye_share(rows) < NO_EYE_SHARE:
        return Findings(has_eye=False)
    if len(rows) == 1:
        return Findings(has_eye=True)
    starts_us = rows["at_us"]
    edges_us = np.append(starts_us, end_us)
    rate_hz = 1e6 / float(np.median(np.diff(starts_us)))
    limbus = followed_limbus(rows, rate_hz)
    states = _states(rows, limbus[:, 2], rate_hz)
    unseen = np.isnan(limbus[:, 2])
    for state in states:
        unseen[state.first : state.stop] |= state.kind in UNSEEN
    seen = rows["ring_seen"] & ~unseen[:, None, None]
    found = [things(out) for out in standing_out(rows["ring"], seen, rate_hz)]
    ring_seen = np.asarray(seen.any(axis=(1, 2)))
    there = entries(found, ring_seen, rate_hz)
    gaps = _gaps(there, ring_seen, rate_hz)
    return Findings(
        has_eye=True,
        states=tuple(_stretch_of(state, edges_us) for state in states),
        instruments=tuple(_instrument(one, edges_us, rows) for one in there),
        gaps=tuple(_gap(first, stop, edges_us, rows) for first, stop in gaps),
        boundaries=tuple(_boundaries(gaps, there, edges_us)),
    )


def eye_share(rows: Rows) -> float:
    """Return on which share of the pictures that are not black an eye was found."""
    light = rows["light"] >= BLACK_LIGHT
    return float((rows["limbus_confidence"][light] >= SURE).mean()) if light.any() else 0.0


def followed_limbus(rows: Rows, rate_hz: float) -> NDArray[np.float64]:
    """Return where the limbus was: centre x, y and mean radius in pixels, shape (n, 3).

    One that lies or measures unlike those within a second of it is wrong, and NaN, as is one that
    is not sure.

    Args:
        rows: Of a scan.
        rate_hz: Pictures looked at in a second.
    """
    limbus = rows["limbus"]
    each = np.column_stack([limbus[:, :2], limbus[:, 2:4].mean(axis=1)])
    each[~(rows["limbus_confidence"] >= SURE)] = np.nan
    usual = running_median(each, max(1, round(FOLLOWED_S * rate_hz)))
    off = np.hypot(*(each - usual)[:, :2].T) / usual[:, 2]
    grown = np.abs(each[:, 2] / usual[:, 2] - 1)
    each[(off > FURTHEST_OFF) | (grown > MOST_GROWN)] = np.nan
    return each


def _states(rows: Rows, radius_px: Column, rate_hz: float) -> list[State]:
    unseen = unseen_states(
        rows["light"], rows["change_most"], rows["sharpness"], rows["clipped"], rate_hz
    )
    unlit, still = ("black", "over-exposed"), ("black", "over-exposed", "frozen")
    light = np.where(_beside(unseen, unlit, len(rows)), np.nan, rows["light"])
    change = np.where(_beside(unseen, still, len(rows)), np.nan, rows["change_mean"])
    turns = [
        *cuts(change, rows["change_greys"], rows["motion_around"], rate_hz),
        *steps_for_good("light-switched", light, lambda level: LIGHT_LEVELS, rate_hz),
        *steps_for_good("zoom-changed", radius_px, lambda radius: ZOOM_SHARE * radius, rate_hz),
    ]
    return sorted([*unseen, *turns], key=lambda state: (state.first, state.kind))


def _beside(states: Iterable[State], kinds: Collection[str], n: int) -> Flags:
    """Return which pictures are in states of some kinds, or next to one."""
    beside = np.zeros(n, dtype=np.bool_)
    for state in states:
        if state.kind in kinds:
            next_to = _BESIDE[state.kind]
            beside[max(0, state.first - next_to) : state.stop + next_to] = True
    return beside


def _gaps(there: Iterable[Entry], seen: Flags, rate_hz: float) -> list[tuple[int, int]]:
    """Return when nothing lies across, between the first and the last that does, all of it seen."""
    held = np.zeros(len(seen), dtype=np.bool_)
    for one in there:
        held[one.first : one.stop] = True
    if not held.any():
        return []
    first, last = np.flatnonzero(held)[[0, -1]]
    idle = ~held
    idle[:first] = idle[last:] = False
    return [
        (start, stop)
        for start, stop in runs(idle)
        if (stop - start) / rate_hz >= SHORTEST_GAP_S and seen[start:stop].mean() > _LIKELY
    ]


def _boundaries(
    gaps: Sequence[tuple[int, int]], there: Sequence[Entry], edges_us: NDArray[np.int64]
) -> list[Boundary]:
    """Return the ends of gaps after which something enters elsewhere, or after a longer rest."""
    found = []
    for start, stop in gaps:
        before = [one for one in there if abs(one.stop - start) <= 1]
        after = [one for one in there if abs(one.first - stop) <= 1]
        moved = min(
            (
                apart_deg(one.direction_deg, other.direction_deg)
                for one in before
                for other in after
            ),
            default=180.0,
        )
        rest_s = float(edges_us[stop] - edges_us[start]) / 1e6
        confidence = min(0.9, 0.3 + 0.1 * rest_s + (0.3 if moved > 30.0 else 0.0))
        found.append(Boundary(int(edges_us[stop]), confidence))
    return found


def _stretch_of(state: State, edges_us: NDArray[np.int64]) -> Stretch:
    start_us, end_us = int(edges_us[max(0, state.first)]), int(edges_us[state.stop])
    return Stretch(state.kind, start_us, end_us, state.confidence)


def _instrument(one: Entry, edges_us: NDArray[np.int64], rows: Rows) -> Stretch:
    sure = _sureness(rows, one.first, one.stop)
    start_us, end_us = int(edges_us[one.first]), int(edges_us[one.stop])
    return Stretch("instrument", start_us, end_us, sure * one.share, one.direction_deg)


def _gap(first: int, stop: int, edges_us: NDArray[np.int64], rows: Rows) -> Stretch:
    sure = _sureness(rows, first, stop)
    return Stretch("gap", int(edges_us[first]), int(edges_us[stop]), sure)


def _sureness(rows: Rows, first: int, stop: int) -> float:
    """Return how sure the eye was, in the mean of the pictures it was found on."""
    known = rows["limbus_confidence"][first:stop]
    known = known[np.isfinite(known)]
    return float(known.mean()) if len(known) else 0.0
