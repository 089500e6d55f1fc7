"""Clock hours of the eye from places on the picture, and back.

An examiner facing the patient names the hours: 12 superior, clockwise. A microscope picture is
turned, never flipped, unless the camera flips it. The picture is everywhere the one that is shown,
after what the film's file says of turning and mirroring; see `picture`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

DEGREES_AN_HOUR: Final = 30.0
SEATS: Final = ("temporal", "superior", "superotemporal", "superonasal")
_TEMPORAL_HOUR: Final = {"right": 9.0, "left": 3.0}
_SUPERIOR: Final = 12.0


@dataclass(frozen=True)
class View:
    """How the eye lies in the picture as shown during a stretch of the clock.

    Attributes:
        surgeon_hour: Clock hour of the eye at the surgeon's side, 0 < hour <= 12.
        turn_deg: How far the surgeon's side lies clockwise of the picture's bottom, in degrees.
        mirrored: Whether the camera flips left and right.
    """

    surgeon_hour: float
    turn_deg: float = 0.0
    mirrored: bool = False


def surgeon_hour(eye: str, seat: str) -> float | None:
    """Return the eye's clock hour at the surgeon's side, or None where it cannot be known.

    Args:
        eye: ``right``, ``left``, or anything else for not said.
        seat: A word of `SEATS`, or an hour such as ``10.5``; anything else is not said.

    Source:
        Common practice: temporal is 9 in a right eye and 3 in a left eye, superior is 12.

    Example:
        >>> surgeon_hour("right", "superotemporal"), surgeon_hour("left", "superotemporal")
        (10.5, 1.5)
    """
    if seat == "superior":
        return _SUPERIOR
    try:
        hour = float(seat)
    except ValueError:
        pass
    else:
        return hour if 0 < hour <= _SUPERIOR else None
    temporal = _TEMPORAL_HOUR.get(eye)
    if temporal is None or seat not in SEATS:
        return None
    side = temporal if seat.endswith("temporal") else 12.0 - temporal
    return side if seat == "temporal" else _half_way_to_twelve(side)


def _half_way_to_twelve(side: float) -> float:
    """Return the hour half way between 12 and the side at 3 or 9."""
    return side / 2 if side == _TEMPORAL_HOUR["left"] else (side + 12.0) / 2


def hour_at(angle_deg: float, view: View) -> float:
    """Return the eye's clock hour of a direction on the picture.

    Args:
        angle_deg: Clockwise from straight up on the picture as shown, in degrees.
        view: How the eye lies in the picture.

    Returns:
        Hour, 0 < hour <= 12.

    Source:
        Hour = (B + s (a - 180) / 30) mod 12, from the clock face an examiner sees (common
        practice); B the hour at the surgeon's side, s +1 unmirrored and -1 mirrored.

    Example:
        >>> hour_at(270, View(surgeon_hour=9))
        12.0
    """
    sign = -1.0 if view.mirrored else 1.0
    untwisted = angle_deg - view.turn_deg
    hour = (view.surgeon_hour + sign * (untwisted - 180.0) / DEGREES_AN_HOUR) % 12.0
    return hour or 12.0


def angle_of(hour: float, view: View) -> float:
    """Return the direction on the picture of an eye's clock hour, the inverse of `hour_at`.

    Returns:
        Degrees clockwise from straight up, 0 <= angle < 360.

    Example:
        >>> angle_of(12, View(surgeon_hour=9))
        270.0
    """
    sign = -1.0 if view.mirrored else 1.0
    return _on_the_circle(
        180.0 + sign * (hour - view.surgeon_hour) * DEGREES_AN_HOUR + view.turn_deg
    )


def turn_from_twelve(angle_deg: float, surgeon_at: float, *, mirrored: bool = False) -> float:
    """Return the camera's turn from the place where a person showed 12 o'clock.

    Example:
        >>> turn_from_twelve(290.0, 9.0)
        20.0
    """
    straight = angle_of(12.0, View(surgeon_hour=surgeon_at, mirrored=mirrored))
    return _on_the_circle(angle_deg - straight)


def side_at(hour: float, eye: str) -> str | None:
    """Return the side of the eye an hour names, or None for an eye that is not said.

    Example:
        >>> side_at(9, "right"), side_at(9, "left"), side_at(12, "left")
        ('temporal', 'nasal', 'superior')
    """
    temporal = _TEMPORAL_HOUR.get(eye)
    quarter = round(hour / 3) * 3 % 12
    if quarter in (0, 6):
        return "superior" if quarter == 0 else "inferior"
    if temporal is None:
        return None
    return "temporal" if quarter == temporal else "nasal"


def hour_text(hour: float) -> str:
    """Return an hour as on a clock, to the half.

    Example:
        >>> hour_text(7.5), hour_text(12.0), hour_text(0.2)
        ('7:30', '12', '12')
    """
    halves = round(hour * 2) % 24
    whole, half = divmod(halves, 2)
    return f"{whole or 12}:30" if half else f"{whole or 12}"


def angle_between(centre: tuple[float, float], point: tuple[float, float]) -> float:
    """Return the direction from a centre to a point, clockwise from straight up, in degrees.

    Both in square pixels of what is looked at, x to the right and y downwards.

    Example:
        >>> angle_between((0, 0), (1, 0))
        90.0
    """
    return _on_the_circle(math.degrees(math.atan2(point[0] - centre[0], centre[1] - point[1])))


def _on_the_circle(angle_deg: float) -> float:
    """Return an angle as 0 <= angle < 360; one remainder alone turns -1e-20 into 360."""
    return angle_deg % 360.0 % 360.0
