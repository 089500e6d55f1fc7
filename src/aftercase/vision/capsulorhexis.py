"""The opening in the capsule against the limbus and against the optic."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np

from aftercase.vision.ellipse import Ellipse, Floats, unit

_DIRECTIONS: Final = 720
_TRACE: Final = 1e-9
"""What is left of two equal radii after rounding, as a share of them."""


@dataclass(frozen=True)
class Overlap:
    """How far the capsule lies over the optic's edge, all round.

    Attributes:
        covered_share: Share of the way round in which it does, 0..1.
        mean_px: Mean overlap along the optic's radii; where the edge is bare it counts as less
            than nothing.
        least_px: The least one; less than nothing where the optic's edge is bare.
        most_px: The most.
    """

    covered_share: float
    mean_px: float
    least_px: float
    most_px: float


def overlap_on(opening: Ellipse, optic: Ellipse) -> Overlap | None:
    """Return how far the capsule lies over the optic, along half-degree radii of the optic.

    Returns:
        None where the optic's centre lies outside the opening.

    Source:
        Own definition: in each direction from the optic's centre, the distance to the optic's edge
        less the distance to the opening's.

    Example:
        >>> round(overlap_on(Ellipse(0, 0, 2.5, 2.5), Ellipse(0, 0, 3.0, 3.0)).mean_px, 9)
        0.5
    """
    directions = np.arange(_DIRECTIONS) * 360.0 / _DIRECTIONS
    to_opening = _edge_from(opening, optic.centre_px, directions)
    if to_opening is None:
        return None
    overlaps = optic.reach_px(directions) - to_opening
    return Overlap(
        _share_above(overlaps, _TRACE * optic.long_px),
        float(overlaps.mean()),
        float(overlaps.min()),
        float(overlaps.max()),
    )


def _share_above(values: Floats, least: float) -> float:
    """Return the share of a closed curve that lies above a level, straight between its samples."""
    above, beyond = values - least, np.roll(values, -1) - least
    high, low = np.maximum(above, beyond), np.minimum(above, beyond)
    parted = np.where(low > 0, 1.0, np.where(high <= 0, 0.0, high / np.maximum(high - low, _TRACE)))
    return float(parted.mean())


def _edge_from(ring: Ellipse, start_px: tuple[float, float], directions: Floats) -> Floats | None:
    """Return the distance from a place inside a ring to its edge, in each direction."""
    along, across = unit(ring.long_deg), unit(ring.long_deg + 90.0)
    turned = np.stack([along / ring.long_px, across / ring.short_px])
    start = turned @ (np.asarray(start_px) - np.asarray(ring.centre_px))
    if start @ start >= 1:
        return None
    steps = unit(directions) @ turned.T
    squared, mixed = (steps**2).sum(axis=1), steps @ start
    edge: Floats = (-mixed + np.sqrt(mixed**2 + squared * (1 - start @ start))) / squared
    return edge


def offset_px(opening: Ellipse, centre_px: tuple[float, float]) -> float:
    """Return how far the opening's centre lies from another centre."""
    return math.dist(opening.centre_px, centre_px)
