"""Ways on the picture: how long, how much they enclose, and a tip that was followed.

Points are arrays of shape (n, 2) in square pixels.
"""

from __future__ import annotations

import math

import numpy as np

from aftercase.vision.ellipse import Floats

US_A_SECOND = 1_000_000


def path_length_px(points_px: Floats) -> float:
    """Return the length of the way through points, straight from each to the next; 0 for one.

    Example:
        >>> path_length_px(np.array([[0.0, 0.0], [3.0, 4.0], [3.0, 5.0]]))
        6.0
    """
    return float(np.hypot(*np.diff(points_px, axis=0).T).sum())


def perimeter_px(points_px: Floats) -> float:
    """Return the length of a closed outline."""
    return path_length_px(np.vstack([points_px, points_px[:1]]))


def area_px2(points_px: Floats) -> float:
    """Return the area within a closed outline that does not cross itself, whichever way it runs.

    Source:
        Surveyor's formula, common practice.

    Example:
        >>> area_px2(np.array([[0.0, 0.0], [2.0, 0.0], [2.0, 3.0], [0.0, 3.0]]))
        6.0
    """
    x, y = (points_px - points_px.mean(axis=0)).T
    return abs(float(x @ np.roll(y, -1) - y @ np.roll(x, -1))) / 2


def outline_circularity(points_px: Floats) -> float:
    """Return 4 pi area over perimeter squared of an outline; nan where it has no length.

    Example:
        >>> round(outline_circularity(np.array([[0.0, 0], [1, 0], [1, 1], [0, 1]])), 4)
        0.7854
    """
    around_px = perimeter_px(points_px)
    return 4 * math.pi * area_px2(points_px) / around_px**2 if around_px else math.nan


def crosses_itself(points_px: Floats) -> bool:
    """Say whether two sides of a closed outline cross, so that its area means nothing."""
    starts, ends = points_px, np.roll(points_px, -1, axis=0)
    side_of_starts = _side(starts[:, None], ends[:, None], starts[None])
    side_of_ends = _side(starts[:, None], ends[:, None], ends[None])
    parted = side_of_starts * side_of_ends < 0
    return bool((parted & parted.T).any())


def _side(start: Floats, end: Floats, point: Floats) -> Floats:
    """Return on which side of a line points lie, by sign."""
    along, away = end - start, point - start
    side: Floats = along[..., 0] * away[..., 1] - along[..., 1] * away[..., 0]
    return side


def speeds_px_s(points_px: Floats, times_us: Floats) -> Floats:
    """Return the mean speed from each point to the next, in pixels a second.

    Args:
        points_px: Where the tip was, (n, 2).
        times_us: When, (n,), strictly increasing.

    Returns:
        (n - 1,); empty for one point.
    """
    distances: Floats = np.hypot(*np.diff(points_px, axis=0).T)
    return distances / (np.diff(times_us) / US_A_SECOND)


def n_movements(speeds: Floats, threshold: float) -> int:
    """Return how often a speed rises by more than a threshold and falls by more than it again.

    Before the first and after the last the tip is taken to rest. A rise or fall that is not larger
    than the threshold is part of the movement it lies in.

    Args:
        speeds: One after the other, 0 or more.
        threshold: In the same unit, more than 0.

    Source:
        A movement as a change of speed, acceleration and then deceleration, above a threshold is
        common practice in motion analysis of surgeons' hands; threshold for both sides: own choice.

    Example:
        >>> n_movements(np.array([1.0, 5.0, 4.5, 6.0, 1.0, 4.0, 0.5]), 2.0)
        2
    """
    count, moving, turn = 0, False, 0.0
    for speed in (*speeds.tolist(), 0.0):
        turn = max(turn, speed) if moving else min(turn, speed)
        if abs(speed - turn) > threshold:
            count += moving
            moving, turn = not moving, speed
    return count
