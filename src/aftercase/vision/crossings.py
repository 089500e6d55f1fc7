"""What lies across the ring outside the limbus, and where.

An instrument has another colour than the ring on either side of it, and it comes and goes: a
direction is crossed where its colour stands out from those beside it by more than it does when
nothing is there.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from aftercase.vision.rings import N_DIRECTIONS

Flags = NDArray[np.bool_]
Floats = NDArray[np.float32]

STEP_DEG: Final = 360.0 / N_DIRECTIONS
STANDS_OUT: Final = 12.0
"""Colour distance, in units of 8-bit CIE L*a*b*, by which a direction must stand out (tuned)."""

AT_REST: Final = 0.15
"""Nothing lies across a direction for at least so much of the time (tuned)."""

LIES_THERE: Final = 48.0
"""What stands out so far even at rest in one band is no part of the eye (tuned)."""

AROUND_S: Final = 300.0
"""How far before and after what a direction is like at rest is looked for (own choice)."""

_BESIDE, _BESIDE_STEP = 30, 3
"""Directions on either side that one is compared with: a quarter of the ring each."""

_BESIDE_OF: Final = (
    np.arange(N_DIRECTIONS)[:, None] + np.arange(-_BESIDE, _BESIDE + 1, _BESIDE_STEP)
) % N_DIRECTIONS

_BESIDE_WHAT_LIES: Final = 4
_BANDS_NEEDED: Final = 2
_NARROWEST: Final = 2
_HOLE: Final = 2


@dataclass(frozen=True)
class Thing:
    """Something across the ring at one moment.

    Attributes:
        direction_deg: Where its middle enters, clockwise from straight up on the picture.
        width_deg: How much of the ring it covers.
        contrast: How far its colour stands out, in units of 8-bit CIE L*a*b*: the middle of the
            bands, each where it does most.
    """

    direction_deg: float
    width_deg: float
    contrast: float


def standing_out(rings: NDArray[np.uint8], on_picture: Flags, rate_hz: float) -> Floats:
    """Return by how much more each place differs from those beside it than when nothing is there.

    Args:
        rings: `ring_around` of pictures in order, shape (n, directions, bands, 3).
        on_picture: Which places are on the picture and were looked at, shape (n, directions,
            bands).
        rate_hz: Pictures looked at in a second.

    Returns:
        Colour distances in units of 8-bit CIE L*a*b*, shape (n, directions, bands); NaN where
        nothing was seen, and in directions where something lies for good.
    """
    if not len(rings):
        return np.zeros(rings.shape[:3], dtype=np.float32)
    apart = _apart(rings, on_picture)
    rest = _at_rest(apart, max(1, round(AROUND_S * rate_hz)))
    return np.where(_is_taken(rest)[..., None], np.float32(np.nan), apart - rest)


def _is_taken(rest: Floats) -> Flags:
    """Return where something lies for good that the eye moves under: a lid, or what holds it."""
    lies = np.asarray((np.nan_to_num(rest, nan=0.0) > LIES_THERE).any(axis=-1))
    taken = lies.copy()
    for shift in range(1, _BESIDE_WHAT_LIES + 1):
        taken |= np.roll(lies, shift, axis=-1) | np.roll(lies, -shift, axis=-1)
    return taken


def crossed(out: Floats) -> Flags:
    """Return where something lies across the ring.

    It must stand out in two bands, as far as they are on the picture.

    Args:
        out: `standing_out`, shape (..., bands).

    Returns:
        Shape (...); False where nothing was seen.
    """
    n_seen = np.isfinite(out).sum(axis=-1)
    far = np.nan_to_num(out, nan=0.0) > STANDS_OUT
    hits: Flags = (n_seen > 0) & (far.sum(axis=-1) >= np.clip(n_seen, 1, _BANDS_NEEDED))
    return hits


def things(out: Floats) -> tuple[Thing, ...]:
    """Return what lies across the ring at one moment.

    What goes into the eye lies across the limbus: what stands out nowhere in the innermost band,
    such as a lid and its holder, is left out.

    Args:
        out: `standing_out` of it, shape (directions, bands).
    """
    at_limbus = ~(out[:, 0] <= STANDS_OUT)  # what is off the picture there may be
    closed = _closed(crossed(out))
    if closed.all():
        return (Thing(0.0, 360.0, _contrast(out)),)
    found = []
    for start in np.flatnonzero(closed & ~np.roll(closed, 1)).tolist():
        length = int(np.argmin(np.roll(closed, -start)))
        covered = np.arange(start, start + length) % N_DIRECTIONS
        if length >= _NARROWEST and at_limbus[covered].any():
            middle = (start + (length - 1) / 2) * STEP_DEG
            found.append(Thing(middle % 360.0, length * STEP_DEG, _contrast(out[covered])))
    return tuple(found)


def _contrast(out: Floats) -> float:
    most = np.nan_to_num(out, nan=-np.inf).max(axis=0)
    return float(np.median(most[np.isfinite(most)]))


def _apart(rings: NDArray[np.uint8], on_picture: Flags) -> Floats:
    """Return each place's colour distance from the middle of those beside it, NaN if unseen."""
    apart = np.full(rings.shape[:3], np.nan, dtype=np.float32)
    for n in np.flatnonzero(on_picture.any(axis=(1, 2))).tolist():
        middle = _middle_beside(rings[n], on_picture[n])
        off = np.sqrt(((rings[n] - middle) ** 2).sum(axis=-1))
        apart[n] = np.where(on_picture[n], off, np.nan)
    return apart


def _middle_beside(ring: NDArray[np.uint8], seen: Flags) -> Floats:
    """Return the middle of the colours seen beside each place, itself included."""
    if seen.all():  # nearly always, and in a tenth of the time
        half = _BESIDE // _BESIDE_STEP
        return np.partition(ring[_BESIDE_OF], half, axis=1)[:, half].astype(np.float32)
    now = np.where(seen[..., None], ring.astype(np.float32), np.nan)
    return _median_of_seen(np.swapaxes(now[_BESIDE_OF], 0, 1))


def _median_of_seen(values: Floats) -> Floats:
    """Return the median along the first axis of what is not NaN; NaN where all is."""
    ordered = np.sort(values, axis=0)  # NaN goes last
    n_seen = np.isfinite(ordered).sum(axis=0)
    low, high = np.maximum(0, (n_seen - 1) // 2), np.maximum(0, n_seen // 2)
    both = np.stack([np.take_along_axis(ordered, one[None], axis=0)[0] for one in (low, high)])
    middle: Floats = both.mean(axis=0)
    return middle


def _at_rest(apart: Floats, around: int) -> Floats:
    """Return how far each place is apart when nothing is there, near in time."""
    rest = np.empty_like(apart)
    for start in range(0, len(apart), around):
        near = apart[max(0, start - around) : start + 2 * around]
        ordered = np.sort(near, axis=0)
        place = (np.isfinite(ordered).sum(axis=0) * AT_REST).astype(np.int64)
        rest[start : start + around] = np.take_along_axis(ordered, place[None], axis=0)[0]
    return rest


def _closed(hits: Flags) -> Flags:
    """Fill holes of a few directions; the ring has no ends."""
    closed = hits.copy()
    for gap in range(1, _HOLE + 1):
        for shift in range(1, gap + 1):
            closed |= np.roll(hits, shift) & np.roll(hits, shift - gap - 1)
    return closed
