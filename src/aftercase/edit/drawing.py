"""Drawing on the frame a remark is about, and taking a drawing back."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final

from aftercase.edit.records import change, found
from aftercase.errors import EditRefused
from aftercase.model.remark_rules import drawn_points_problem
from aftercase.model.review import MOST_DRAWN_POINTS, Drawing, Remark, Review

_SMALLEST: Final = 0.004
"""A drawing narrower and lower than this share of the frame cannot be seen as one."""

_FINEST: Final = 0.0005
"""How far a thinned way may lie beside the hand's, in shares of the frame: a pixel in 2000."""

_DIGITS: Final = 5

Place = tuple[float, float]


def draw(review: Review, remark_id: str, drawing: Drawing) -> Review:
    """Add a drawing to a remark, over those it has; a freehand way is thinned.

    Raises:
        ReviewClosed: The review is sealed or released.
        EditRefused: There is no such remark, or the drawing is too small or has too few points.
    """
    remark = _remark(review, remark_id)
    points = drawing.points
    if drawing.shape == "freehand":
        points = thinned(points)
    tidy = drawing.changed(points=tidied(points))
    if problem := drawn_points_problem(tidy):
        raise EditRefused(f"This drawing cannot be kept: {problem}.")
    if max(max(axis) - min(axis) for axis in zip(*tidy.points, strict=True)) < _SMALLEST:
        raise EditRefused(
            "This drawing is too small to be seen.",
            hint="Drag from where it begins to where it ends.",
        )
    return change(review, remark_id, drawings=(*remark.drawings, tidy))


def undraw(review: Review, remark_id: str, drawing: Drawing) -> Review:
    """Take a drawing off a remark; of two that are alike, the later.

    Raises:
        ReviewClosed: The review is sealed or released.
        EditRefused: There is no such remark, or it has no such drawing.
    """
    drawings = list(_remark(review, remark_id).drawings)
    if drawing not in drawings:
        raise EditRefused("This drawing is not on the remark.")
    del drawings[len(drawings) - 1 - drawings[::-1].index(drawing)]
    return change(review, remark_id, drawings=tuple(drawings))


def tidied(points: Sequence[Place]) -> tuple[Place, ...]:
    """Return places in shares of a frame as they are kept: to a 25th of a pixel in 3,840."""
    return tuple((round(x, _DIGITS), round(y, _DIGITS)) for x, y in points)


def thinned(points: Sequence[Place]) -> tuple[Place, ...]:
    """Return the points of a hand's way that are needed to follow it, 500 at most.

    Source:
        Ramer 1972; Douglas and Peucker 1973: the point furthest from the straight line between
        two kept ones is kept too, until none is further than the tolerance. From memory.

    Example:
        >>> thinned([(0.1, 0.1), (0.2, 0.2), (0.3, 0.3), (0.3, 0.9)])
        ((0.1, 0.1), (0.3, 0.3), (0.3, 0.9))
    """
    within = _FINEST
    kept = _followed(points, within)
    while len(kept) > MOST_DRAWN_POINTS:
        within *= 2
        kept = _followed(points, within)
    return kept


def _followed(points: Sequence[Place], within: float) -> tuple[Place, ...]:
    if len(points) < 3:
        return tuple(points)
    last = len(points) - 1
    kept, stretches = {0, last}, [(0, last)]
    while stretches:
        start, end = stretches.pop()
        between = range(start + 1, end)
        off = [_distance(points[place], points[start], points[end]) for place in between]
        if off and max(off) > within:
            furthest = start + 1 + off.index(max(off))
            kept.add(furthest)
            stretches += [(start, furthest), (furthest, end)]
    return tuple(points[place] for place in sorted(kept))


def _distance(point: Place, start: Place, end: Place) -> float:
    """Return how far a point lies from the straight stretch between two others."""
    along = end[0] - start[0], end[1] - start[1]
    length = math.hypot(*along)
    if not length:
        return math.dist(point, start)
    share = ((point[0] - start[0]) * along[0] + (point[1] - start[1]) * along[1]) / length**2
    nearest = max(0.0, min(1.0, share))
    return math.dist(point, (start[0] + nearest * along[0], start[1] + nearest * along[1]))


def _remark(review: Review, remark_id: str) -> Remark:
    _, record = found(review, remark_id)
    if not isinstance(record, Remark):
        raise EditRefused("Only a remark can be drawn on.")
    return record
