"""Numbers in pixels, out of the places that one measure consists of."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from types import MappingProxyType
from typing import Final

import numpy as np

from aftercase.vision.angles import apart_deg
from aftercase.vision.capsulorhexis import offset_px, overlap_on
from aftercase.vision.ellipse import Ellipse, Floats, ring_through
from aftercase.vision.paths import (
    US_A_SECOND,
    area_px2,
    crosses_itself,
    outline_circularity,
    path_length_px,
    perimeter_px,
)
from aftercase.vision.pointing import POINTING_PX, pointing_errors
from aftercase.vision.scale import pointing_at

_DEGREES_AN_HOUR: Final = 30.0


@dataclass(frozen=True)
class Places:
    """All places of one measure, each an array (n, 2) in square pixels.

    Attributes:
        points: What was measured.
        around: The limbus or the pupil, three and more on it, or its centre; may be empty.
        optic: The optic's edge; may be empty.
        times_us: When each of `points` was, for a tip's path.
    """

    points: Floats
    around: Floats
    optic: Floats
    times_us: tuple[int, ...]

    def moved(self, all_px: Floats) -> Places:
        """Return the same places moved to others, all of them one after the other."""
        first, second = len(self.points), len(self.points) + len(self.around)
        return Places(all_px[:first], all_px[first:second], all_px[second:], self.times_us)

    @property
    def all_px(self) -> Floats:
        """All places, one after the other."""
        return np.vstack([self.points, self.around, self.optic])


Pixels = Mapping[str, float]
"""Numbers by name, lengths in pixels and areas in square pixels; a number that is not known is
left out."""


def pixels_of(kind: str, places: Places) -> Pixels:
    """Return the numbers of a kind of measure; none where its places make no such thing."""
    if kind not in _KINDS or (kind == "area" and crosses_itself(places.points)):
        return {}
    return _KINDS[kind](places)


def errors_of(kind: str, places: Places, found: Pixels) -> Pixels:
    """Return how far off each number may be at 95 %, because of pointing."""
    names = list(found)

    def numbers(all_px: Floats) -> Floats:
        moved = _KINDS[kind](places.moved(all_px))
        # A nudge may make a circle of an ellipse, of which less is told: the other side counts.
        return np.array([moved.get(name, found[name]) for name in names])

    is_ring = kind in ("ring", "capsulorhexis")
    off_px = np.concatenate(
        [
            np.full(len(places.points), pointing_at(places.points) if is_ring else POINTING_PX),
            np.full(len(places.around), pointing_at(places.around)),
            np.full(len(places.optic), pointing_at(places.optic)),
        ]
    )
    return dict(zip(names, pointing_errors(numbers, places.all_px, off_px).tolist(), strict=True))


def centre_of(points_px: Floats) -> tuple[tuple[float, float], float] | None:
    """Return the centre and mean radius of a ring; of a single point itself and nought.

    None for no point, and for points on no ring.
    """
    if len(points_px) == 1:
        return (float(points_px[0, 0]), float(points_px[0, 1])), 0.0
    ring = _ring_of(points_px)
    return None if ring is None else (ring.centre_px, ring.mean_diameter_px / 2)


def _ring_of(points_px: Floats) -> Ellipse | None:
    return _ring_through(points_px.tobytes())


@lru_cache(maxsize=16)
def _ring_through(content: bytes) -> Ellipse | None:
    """Return the ring through points; while one place is nudged, the other rings stay as found."""
    return ring_through(np.frombuffer(content, dtype=np.float64).reshape(-1, 2))


def _length(places: Places) -> Pixels:
    return {"length": path_length_px(places.points)}


def _ring(places: Places) -> Pixels:
    ring = _ring_of(places.points)
    return {} if ring is None else _ring_numbers(ring)


def _ring_numbers(ring: Ellipse) -> dict[str, float]:
    numbers = {"mean_diameter": ring.mean_diameter_px}
    if not ring.is_circle:
        numbers |= {
            "longest_diameter": 2 * ring.long_px,
            "shortest_diameter": 2 * ring.short_px,
            "axis_ratio": ring.axis_ratio,
            "circularity": ring.circularity,
        }
    return numbers | {"perimeter": ring.perimeter_px, "area": ring.area_px2}


def _area(places: Places) -> Pixels:
    around_px = perimeter_px(places.points)
    if not around_px:
        return {}
    return {
        "area": area_px2(places.points),
        "perimeter": around_px,
        "circularity": outline_circularity(places.points),
    }


def _angle(places: Places) -> Pixels:
    centre = centre_of(places.around)
    if centre is None:
        return {}
    one, other = ((float(x), float(y)) for x, y in places.points)
    angle_deg = apart_deg(centre[0], one, other)
    return {"angle": angle_deg, "hours": angle_deg / _DEGREES_AN_HOUR}


def _capsulorhexis(places: Places) -> Pixels:
    ring = _ring_of(places.points)
    if ring is None:
        return {}
    return _ring_numbers(ring) | _offset(ring, places.around) | _overlap(ring, places.optic)


def _offset(ring: Ellipse, around: Floats) -> dict[str, float]:
    centre = centre_of(around)
    if centre is None:
        return {}
    off_px = offset_px(ring, centre[0])
    return {"offset": off_px} | ({"offset_share": off_px / centre[1]} if centre[1] else {})


def _overlap(ring: Ellipse, optic_px: Floats) -> dict[str, float]:
    optic = _ring_of(optic_px)
    overlap = None if optic is None else overlap_on(ring, optic)
    if overlap is None:
        return {}
    return {
        "covered": 100 * overlap.covered_share,
        "mean_overlap": overlap.mean_px,
        "least_overlap": overlap.least_px,
        "most_overlap": overlap.most_px,
    }


def _tip_path(places: Places) -> Pixels:
    length_px = path_length_px(places.points)
    times_s = np.array(places.times_us) / US_A_SECOND
    duration_s = float(times_s[-1] - times_s[0])
    return {
        "length": length_px,
        "duration": duration_s,
        "mean_speed": length_px / duration_s,
        "longest_wait": float(np.diff(times_s).max()),
    }


_KINDS: Final[Mapping[str, Callable[[Places], Pixels]]] = MappingProxyType(
    {
        "length": _length,
        "path": _length,
        "ring": _ring,
        "area": _area,
        "angle": _angle,
        "capsulorhexis": _capsulorhexis,
        "tip-path": _tip_path,
    }
)
