"""The pupil, once the limbus is known.

The pupil may be black, grey or glow red, so the step at its edge may have any colour: what tells it
is that the spokes agree.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Final

import numpy as np

from aftercase.vision.ellipse import Ellipse
from aftercase.vision.outline import Outline, Search, evenness, fitted, most_even
from aftercase.vision.polar import Floats, ring_radii, spokes, steps, unrolled

_GROWTH: Final = 1.04
_HALF: Final = 2
_ARMS: Final = spokes(32)
_LEAST: Final = 0.38
_CLEAR_OF_LIMBUS: Final = 0.88
"""A pupil's edge stays within this share of the limbus; what lies further out is the limbus."""
_USUAL: Final = (0.70, 0.20)
"""Radius of a pupil wide open for surgery over that of the limbus, and how much that varies.

From memory: 6 to 8 mm, seen a seventh larger through the cornea, in a limbus of 11.7 mm.
"""
_SHIFTS: Final = np.array(
    [
        (x, y)
        for x in np.arange(-3, 4) * 0.05
        for y in np.arange(-3, 4) * 0.05
        if np.hypot(x, y) < 0.17
    ],
    np.float32,
)
"""Centres that are tried, off that of the limbus, over its radius."""
_FEW_SHIFTS: Final = np.array(
    [(x, y) for x in (-0.08, 0, 0.08) for y in (-0.08, 0, 0.08)], np.float32
)
_FEW_ARMS: Final = spokes(24)
_FIT: Final = Search(3, 0.8, 1.2, (0.06, 0.04), most_even)


def pupil_within(field: Floats, limbus: Ellipse, *, quickly: bool = False) -> Outline:
    """Return the pupil's edge within a limbus.

    Args:
        field: `colour_ratios` of every pixel: (height, width, 3).
        limbus: In pixels of the field.
        quickly: Try fewer centres on fewer spokes, and fit once.
    """
    shifts, arms = (_FEW_SHIFTS, _FEW_ARMS) if quickly else (_SHIFTS, _ARMS)
    circle = _circle_within(field, limbus, shifts, arms)
    return fitted(field, circle, replace(_FIT, rounds=1) if quickly else _FIT)


def _circle_within(field: Floats, limbus: Ellipse, shifts: Floats, arms: Floats) -> Ellipse:
    """Return the circle within the limbus on which the spokes agree best that there is a step."""
    radius = np.float32(limbus.radius_px)
    margin = _GROWTH**_HALF
    rings = ring_radii(_LEAST / margin, _CLEAR_OF_LIMBUS * margin, _GROWTH)
    centres = np.array([limbus.x_px, limbus.y_px], np.float32) + shifts * radius
    votes = np.clip(steps(unrolled(field, centres, rings * radius, arms), _HALF), -1, 1)
    edges = rings / np.sqrt(_GROWTH)
    inside = (edges > _LEAST) & (edges + np.hypot(*shifts.T)[:, None] < _CLEAR_OF_LIMBUS)
    usual = np.exp(-0.5 * ((edges - _USUAL[0]) / _USUAL[1]) ** 2)
    score = evenness(np.swapaxes(votes, 1, 2)) * usual * inside
    i, k = np.unravel_index(score.argmax(), score.shape)
    size = float(edges[k] * radius)
    return Ellipse(float(centres[i, 0]), float(centres[i, 1]), size, size)
