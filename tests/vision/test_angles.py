"""Angles about a centre in every lie of the eye, and the clock-hour tables of common practice."""

from __future__ import annotations

import math

import pytest

from aftercase.model.orientation import (
    View,
    angle_between,
    angle_of,
    hour_at,
    hour_text,
    surgeon_hour,
    turn_from_twelve,
)
from aftercase.vision.angles import apart_deg, line_of_three_and_nine_deg

BOTTOM, LEFT, TOP, RIGHT = 180.0, 270.0, 0.0, 90.0

TABLE = [
    ("right", "temporal", False, ("9", "12", "3", "6")),
    ("left", "temporal", False, ("3", "6", "9", "12")),
    ("right", "superior", False, ("12", "3", "6", "9")),
    ("left", "superior", False, ("12", "3", "6", "9")),
    ("right", "superotemporal", False, ("10:30", "1:30", "4:30", "7:30")),
    ("left", "superotemporal", False, ("1:30", "4:30", "7:30", "10:30")),
    ("right", "temporal", True, ("9", "6", "3", "12")),
    ("left", "temporal", True, ("3", "12", "9", "6")),
    ("right", "superior", True, ("12", "9", "6", "3")),
    ("left", "superior", True, ("12", "9", "6", "3")),
]
"""Hours at the bottom, left, top and right of the picture, the surgeon at its bottom.

Source: the examiner's clock face turned by hand; common practice.
"""

CASES = [
    ("right", "temporal", False, 270, "12"),
    ("right", "temporal", False, 135, "7:30"),
    ("left", "temporal", False, 270, "6"),
    ("left", "temporal", False, 225, "4:30"),
    ("right", "superior", False, 90, "9"),
    ("left", "superior", False, 90, "9"),
    ("right", "temporal", True, 270, "6"),
]


@pytest.mark.parametrize("turn_deg", [0.0, 20.0, 160.0, 275.5])
@pytest.mark.parametrize(("eye", "seat", "mirrored", "hours"), TABLE)
def test_the_hours_of_both_eyes_seats_and_mirrors_at_any_turn(eye, seat, mirrored, hours, turn_deg):
    view = View(surgeon_hour(eye, seat), turn_deg, mirrored)
    for side_deg, hour in zip((BOTTOM, LEFT, TOP, RIGHT), hours, strict=True):
        turned = math.radians(side_deg + turn_deg)
        point = 500 + 80 * math.sin(turned), 400 - 80 * math.cos(turned)
        assert hour_text(hour_at(angle_between((500, 400), point), view)) == hour


@pytest.mark.parametrize("turn_deg", [0.0, 20.0, 160.0])
@pytest.mark.parametrize(("eye", "seat", "mirrored", "at_deg", "hour"), CASES)
def test_single_hours_at_any_turn(eye, seat, mirrored, at_deg, hour, turn_deg):
    view = View(surgeon_hour(eye, seat), turn_deg, mirrored)
    assert hour_text(hour_at(at_deg + turn_deg, view)) == hour


@pytest.mark.parametrize(("eye", "seat", "mirrored", "hours"), TABLE)
def test_pointing_at_twelve_gives_the_turn_back(eye, seat, mirrored, hours):
    at_surgeon = surgeon_hour(eye, seat)
    twelve = angle_of(12, View(at_surgeon, 160.0, mirrored))
    assert turn_from_twelve(twelve, at_surgeon, mirrored=mirrored) == pytest.approx(160.0)


@pytest.mark.parametrize("turn_deg", [0.0, 20.0, 160.0])
@pytest.mark.parametrize(("eye", "seat", "mirrored", "hours"), TABLE)
def test_the_line_from_three_to_nine_is_the_one_that_joins_them(
    eye, seat, mirrored, hours, turn_deg
):
    view = View(surgeon_hour(eye, seat), turn_deg, mirrored)
    line = line_of_three_and_nine_deg(view)
    assert {round(hour_at(line, view), 6), round(hour_at(line + 180, view), 6)} == {3, 9}


def test_the_line_stands_upright_on_a_picture_from_the_temple_and_lies_on_one_from_above():
    assert line_of_three_and_nine_deg(View(9)) == 0
    assert line_of_three_and_nine_deg(View(3)) == 0
    assert line_of_three_and_nine_deg(View(12)) == 90
    assert line_of_three_and_nine_deg(None) is None


@pytest.mark.parametrize(
    ("one_deg", "other_deg", "expected"),
    [(0, 0, 0), (10, 100, 90), (350, 20, 30), (20, 350, 30), (0, 180, 180), (90, 330, 120)],
)
def test_two_wounds_are_apart_by_the_shorter_way(one_deg, other_deg, expected):
    """By hand; 30 degrees are an hour."""

    def place(angle_deg):
        angle = math.radians(angle_deg)
        return 10 + 5 * math.sin(angle), 20 - 5 * math.cos(angle)

    assert apart_deg((10, 20), place(one_deg), place(other_deg)) == pytest.approx(expected)
