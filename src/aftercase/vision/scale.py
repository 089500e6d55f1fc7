"""How large a pixel is, in millimetres, from something of known size; and how far off that may be.

All errors are half-widths at 95 %, as shares of the value.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

import numpy as np

from aftercase.vision.ellipse import (
    WIDEST_GAP_DEG,
    Ellipse,
    Floats,
    ring_through,
    scatter_px,
    widest_gap_deg,
)
from aftercase.vision.pointing import POINTING_PX, pointing_errors

WHITE_TO_WHITE_MM: Final = 11.71
"""Mean horizontal diameter of 390 people's corneas, SD 0.42 mm (Rüfer 2005, Cornea 24:259)."""

NORMAL_95: Final = 1.96
ASSUMED_ERROR_MM: Final = NORMAL_95 * 0.42
"""From the same study; 7.0 % of 11.71 mm."""

DEVICE_ERROR_MM: Final = 0.33
"""How far apart two devices read one eye's white-to-white at 95 %: the median of 81 comparisons.

Source:
    Review of 41 studies, J Refract Surg 2024;40:e182, read in its abstract: limits of agreement
    0.65 mm wide.
"""

OPTIC_MM: Final = 6.0
"""Usual diameter of an optic (common practice): often so, not always."""

OPTIC_ERROR_MM: Final = 0.1
"""How far a made optic may be off its stated diameter (ISO 11979-3, from memory)."""

LESS_TALL: Final = 1 - 10.44 / 11.25
"""By how much a cornea is less tall than wide: 10.44 and 11.25 mm by ruler (Malaysian students)."""

CORNEA_MAGNIFIES: Final = 1.16
CORNEA_MAGNIFIES_ERROR: Final = 0.05
"""How much larger what lies behind the cornea looks: 115.9 % (SD 3.1), about 110 to 120 %.

Source:
    A known ring of 5.30 mm looked 6.14 mm wide; 40 eyes of 37 patients, Korean study, December 2011
    to April 2012, read in its abstract. The error is 2 SD, rounded, own choice.
"""

_TURNED_LIMIT: Final = 0.97
_PIXELS_AN_END: Final = 2


@dataclass(frozen=True)
class Scale:
    """How large a pixel is.

    Attributes:
        mm_per_px: Millimetres per square pixel's side.
        size_error: How well the ruler's own size is known.
        pointing_error: What pointing at the ruler adds.
        notes: Sentences that belong to it.
    """

    mm_per_px: float
    size_error: float
    pointing_error: float
    notes: tuple[str, ...] = ()

    @property
    def error(self) -> float:
        """Both together."""
        return math.hypot(self.size_error, self.pointing_error)


def scale_of_length(
    ends_px: Floats, size_mm: float, size_error_mm: float, *, pointing_px: float = POINTING_PX
) -> Scale | None:
    """Return the scale of a length between two points; None where they are one.

    Example:
        >>> scale = scale_of_length(np.array([[0.0, 0.0], [440.0, 0.0]]), 11.8, 0.0)
        >>> round(scale.mm_per_px, 6)
        0.026818
    """
    return _scale(ends_px, _distance, size_mm, size_error_mm, pointing_px)


def scale_of_optic(
    points_px: Floats,
    size_mm: float = OPTIC_MM,
    size_error_mm: float = OPTIC_ERROR_MM,
    *,
    pointing_px: float = POINTING_PX,
) -> Scale | None:
    """Return the scale of an optic, by two ends of a diameter or three and more points on its edge.

    Its mean diameter counts: a tilt by 7 degrees makes that 0.4 % smaller.

    Returns:
        None where the points are one, or lie on no ring.
    """
    if len(points_px) == _PIXELS_AN_END:
        return scale_of_length(points_px, size_mm, size_error_mm, pointing_px=pointing_px)

    def width(points: Floats) -> float:
        ring = ring_through(points)
        return math.nan if ring is None else ring.mean_diameter_px

    return _scale(points_px, width, size_mm, size_error_mm, pointing_px)


def scale_of_limbus(
    points_px: Floats,
    line_deg: float | None,
    size_mm: float = WHITE_TO_WHITE_MM,
    size_error_mm: float = ASSUMED_ERROR_MM,
    *,
    pointing_px: float = POINTING_PX,
) -> Scale | None:
    """Return the scale of the limbus, whose size is that along the eye's 3-9 line.

    Three or four points, or points on a part of it, make a circle, in which tall and wide are
    mixed: half of what a cornea is less tall is added to the error, and twice as much as it is
    where most of the limbus is left empty, since its ends are that much more curved. Where it is
    not known which way the 3-9 line lies, the longest diameter is taken for it and the whole of
    what a cornea is less tall is added.

    Args:
        points_px: Three and more points on it.
        line_deg: Which way the 3-9 line lies on the picture; None where not known.
        size_mm: White-to-white.
        size_error_mm: How far off that may be at 95 %.
        pointing_px: How far off a point may be at 95 %.

    Returns:
        None where the points lie on no ring.
    """

    def width(points: Floats) -> float:
        ring = ring_through(points)
        if ring is None:
            return math.nan
        return 2 * ring.long_px if line_deg is None else ring.width_px(line_deg)

    scale = _scale(points_px, width, size_mm, size_error_mm, pointing_px)
    ring = ring_through(points_px)
    if scale is None or ring is None:
        return None
    shape_error, notes = _limbus_notes(points_px, ring, line_deg)
    size_error = math.hypot(scale.size_error, shape_error)
    return Scale(scale.mm_per_px, size_error, scale.pointing_error, notes)


def _limbus_notes(
    points_px: Floats, ring: Ellipse, line_deg: float | None
) -> tuple[float, tuple[str, ...]]:
    """Return what the shape of the limbus adds to the error, and what is to be said of it."""
    if ring.is_circle:
        is_part = widest_gap_deg(points_px, ring) > WIDEST_GAP_DEG
        return 2 * LESS_TALL if is_part else LESS_TALL / 2, (
            "The limbus was taken as a circle, though a cornea is less tall than wide: point at "
            "five and more places, all round.",
        )
    if line_deg is None:
        return LESS_TALL, (
            "Eye, seat or camera turn is not said, so the longest diameter of the limbus was taken "
            "for the one from 3 to 9.",
        )
    if ring.width_px(line_deg) < _TURNED_LIMIT * ring.width_px(line_deg + 90.0):
        return 0.0, (
            "The limbus is taller than wide along the eye’s own clock. Are eye, seat and camera "
            "turn right?",
        )
    return 0.0, ()


def _scale(
    points_px: Floats,
    width: Callable[[Floats], float],
    size_mm: float,
    size_error_mm: float,
    pointing_px: float,
) -> Scale | None:
    width_px = width(points_px)
    if not math.isfinite(width_px) or width_px <= 0:
        return None
    off_px = pointing_errors(
        lambda points: np.array([width(points)]), points_px, pointing_at(points_px, pointing_px)
    )
    return Scale(size_mm / width_px, size_error_mm / size_mm, float(off_px[0]) / width_px)


def pointing_at(points_px: Floats, pointing_px: float = POINTING_PX) -> float:
    """Return how far off points on a ring may be at 95 %: as they scatter about it, if more."""
    ring = ring_through(points_px)
    scattered = 0.0 if ring is None else NORMAL_95 * scatter_px(points_px, ring)
    return max(pointing_px, scattered)


def _distance(points_px: Floats) -> float:
    return float(np.hypot(*(points_px[1] - points_px[0])))
