"""How the eye lies on the picture: shown by pointing, said in the header, told in a sentence."""

from __future__ import annotations

from typing import Final, Literal

from aftercase.clock import text_of
from aftercase.metrics.rulers import HOW_SHOWN, NO_SIZE, shown_as_decoded, square_points
from aftercase.model.base import NOT_SAID
from aftercase.model.case import Case, frame_shape, value_at, view_at
from aftercase.model.orientation import (
    View,
    angle_between,
    angle_of,
    hour_at,
    hour_text,
    surgeon_hour,
    turn_from_twelve,
)
from aftercase.model.review import Drawing
from aftercase.session.desk import Desk
from aftercase.session.verbs import header

Shown = Literal["twelve", "surgeon"]
"""What is shown on the picture: where 12 is, or where the surgeon sits."""

NO_SEAT: Final = (
    "Eye side and the surgeon’s seat must be said first, else nothing on the picture has an hour. "
    "Both can be said here by one key."
)
_BOTTOM_DEG: Final = 180.0
_EDGES: Final = (("bottom", 180.0), ("left", 270.0), ("top", 0.0), ("right", 90.0))
_WAYS: Final = (
    "at the top", "between top and right", "at the right", "between bottom and right",
    "at the bottom", "between bottom and left", "at the left", "between top and left",
)  # fmt: skip
_WAY_DEG: Final = 45.0
_TEMPORAL_HOUR: Final = {"right": 9.0, "left": 3.0}


def seat_at(case: Case, us: int) -> str:
    """Return where the surgeon sits at a moment, ``not-said`` where nobody said."""
    return value_at(case.seat, us) or NOT_SAID


def say_eye(desk: Desk, eye: str) -> bool:
    """Say which eye it is."""
    return header.set_fields(desk, "say the eye side", {"eye": eye})


def say_seat(desk: Desk, seat: str) -> bool:
    """Say where the surgeon sits: from the start, or since the moment it was last said for."""
    since = [entry.from_us for entry in desk.case.seat if entry.from_us <= desk.at_us]
    from_us = max(since, default=header.FROM_THE_START)
    return header.say_since(desk, "seat", from_us, seat, "say the surgeon’s seat")


def say_turn(desk: Desk, shown: Shown, way: Drawing, from_us: int) -> bool:
    """Set the camera's turn, from a moment on, from a way that was shown on the picture.

    Args:
        desk: The desk.
        shown: What the way leads to.
        way: From the middle of the eye to there.
        from_us: From when on it holds.

    Returns:
        Whether it was said; why not is told.
    """
    turn_deg = _turn_deg(desk, shown, way)
    if turn_deg is None:
        return False
    label = "show where 12 is" if shown == "twelve" else "show where the surgeon sits"
    header.say_since(desk, "turn_deg", from_us, turn_deg, label, quiet=True)
    desk.hand.end_merging()
    if value_at(desk.case.turn_deg, from_us) != turn_deg:
        return False  # refused, and told
    desk.tell(f"From {text_of(from_us)} on: {lying_words(desk.case, from_us)}")
    return True


def lying_words(case: Case, us: int) -> str:
    """Say how the eye lies on the picture at a moment, or what is not said for that."""
    missing = [
        words
        for is_missing, words in (
            (surgeon_hour(case.eye, seat_at(case, us)) is None, "eye side or seat"),
            (value_at(case.turn_deg, us) is None, "the camera’s turn"),
        )
        if is_missing
    ]
    view = view_at(case, us)
    if view is None:
        return f"Not said: {' and '.join(missing)}. Hours are the picture’s, 12 at its top."
    hours = ", ".join(f"{edge} {hour_text(hour_at(angle, view))}" for edge, angle in _EDGES)
    mirrored = " The camera changes left and right." if view.mirrored else ""
    turn = f"The camera is turned by {view.turn_deg:g} degrees.{mirrored}"
    return f"{hours[:1].upper()}{hours[1:]}. {_sides(case, view)} {turn}"


def lying_caution(case: Case, part: int) -> str:
    """Return what is to be said of a film of which it is not known how it is shown."""
    return HOW_SHOWN if case.parts and shown_as_decoded(case, part) else ""


def _turn_deg(desk: Desk, shown: Shown, way: Drawing) -> float | None:
    case = desk.case
    at_hour = surgeon_hour(case.eye, seat_at(case, way.at_us))
    if at_hour is None:
        desk.tell(NO_SEAT, "refused")
        return None
    shape = frame_shape(case, way.part)
    if shape is None:
        desk.tell(NO_SIZE, "refused")
        return None
    ends = square_points((way.points[0], way.points[-1]), shape)
    angle_deg = angle_between((float(ends[0, 0]), float(ends[0, 1])), tuple(ends[1].tolist()))
    if shown == "surgeon":
        turn_deg = angle_deg - _BOTTOM_DEG
    else:
        mirrored = bool(value_at(case.mirrored, way.at_us))
        turn_deg = turn_from_twelve(angle_deg, at_hour, mirrored=mirrored)
    return round(turn_deg % 360.0, 1) % 360.0


def _sides(case: Case, view: View) -> str:
    temporal = _TEMPORAL_HOUR.get(case.eye)
    if temporal is None:
        return "Which side is temporal is not known: the eye side is not said."
    return (
        f"Temporal is {_way(angle_of(temporal, view))}, nasal "
        f"{_way(angle_of(12.0 - temporal, view))}."
    )


def _way(angle_deg: float) -> str:
    return _WAYS[round(angle_deg / _WAY_DEG) % len(_WAYS)]
