"""Angles between two places about a centre, and the line of the eye's own clock."""

from __future__ import annotations

from aftercase.model.orientation import View, angle_between, angle_of

Place = tuple[float, float]
"""x to the right and y downwards, in square pixels."""


def apart_deg(centre_px: Place, one_px: Place, other_px: Place) -> float:
    """Return the angle between two places about a centre, the shorter way round.

    Returns:
        Degrees, 0 <= angle <= 180; the same in a mirrored picture. 30 degrees are an hour.

    Example:
        >>> apart_deg((0, 0), (0, -1), (1, 0))
        90.0
    """
    between = abs(angle_between(centre_px, one_px) - angle_between(centre_px, other_px))
    return min(between, 360.0 - between)


def line_of_three_and_nine_deg(view: View | None) -> float | None:
    """Return which way the eye's 3-9 line lies on the picture, None where that is not known.

    Example:
        >>> line_of_three_and_nine_deg(View(surgeon_hour=9)), line_of_three_and_nine_deg(None)
        (0.0, None)
    """
    return None if view is None else angle_of(3.0, view) % 180.0
