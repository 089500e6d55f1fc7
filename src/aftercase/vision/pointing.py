"""How far off a number may be because nobody points at the exact place."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

import numpy as np

from aftercase.vision.ellipse import Floats

POINTING_PX: Final = 2.0
"""How far off a pointed place may be along each axis, at 95 %, in pixels of the film (own choice).

On a film of 1080 lines that is shown half as large it is one pixel of the screen.
"""

_NUDGE: Final = 0.05


def pointing_errors(
    numbers: Callable[[Floats], Floats],
    points_px: Floats,
    pointing_px: float | Floats = POINTING_PX,
) -> Floats:
    """Return how far off numbers may be at 95 % when each of their points may be.

    Args:
        numbers: Works the numbers out of points, (n, 2) to (k,).
        points_px: The points as they were pointed at.
        pointing_px: How far off a point may be along x and along y, independently, at 95 %;
            one for all, or (n,).

    Returns:
        Half-widths at 95 %, (k,), in the units of the numbers.

    Source:
        Propagation of uncertainty to first order (JCGM 100:2008, 5.1.2), slopes by
        differences.
    """
    here = numbers(points_px)
    squares = np.zeros(here.shape)
    off_px = np.broadcast_to(pointing_px, len(points_px))
    for place in np.ndindex(points_px.shape):
        slopes = [(_nudged(numbers, points_px, place, by) - here) / by for by in (_NUDGE, -_NUDGE)]
        # The steeper side counts: a distance of nothing is off to every side, and never below.
        squares += (np.abs(slopes).max(axis=0) * off_px[place[0]]) ** 2
    return np.sqrt(squares)


def _nudged(
    numbers: Callable[[Floats], Floats], points_px: Floats, place: tuple[int, ...], by_px: float
) -> Floats:
    points = points_px.copy()
    points[place] += by_px
    return numbers(points)
