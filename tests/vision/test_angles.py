"""Angles about a centre in every lie of the eye, and the clock-hour tables of common practice."""

from __future__ import annotations

import math

import pytest
from tests.hours_at_the_sides import AT_THE_SIDES, SIDES_DEG

from aftercase.model.orientation import (
    View,
    angle_between,
    angle_of,
    hour_at,
    surgeon_hour,
    turn_from_twelve,
)
from aftercase.vision.angles import apart_deg, line_of_three_and_nine_deg

LIES = pytest.mark.parametrize(("lies", "hours"), AT_THE_SIDES.items(), ids=str)


@pytest.mark.parametrize("turn_deg", [0.0, 20.0, 160.0, 275.5])
@LIES
def test_the_hours_of_both_eyes_seats_and_mirrors_at_any_turn(lies, hours, turn_deg):
    eye, seat, mirrored = lies
    view = View(surgeon_hour(eye, seat), turn_deg, mirrored)
    for side_deg, hour in zip(SIDES_DEG, hours, strict=True):
        turned = math.radians(side_deg + turn_deg)
        point = 500 + 80 * math.sin(turned), 400 - 80 * math.cos(turned)
        off = (hour_at(angle_between((500, 400), point), view) - hour + 6) % 12 - 6
        assert off == pytest.approx(0)


@LIES
def test_pointing_at_twelve_gives_the_turn_back(lies, hours):
    eye, seat, mirrored = lies
    at_surgeon = surgeon_hour(eye, seat)
    twelve = angle_of(12, View(at_surgeon, 160.0, mirrored))
    assert turn_from_twelve(twelve, at_surgeon, mirrored=mirrored) == pytest.approx(160.0)


@pytest.mark.parametrize("turn_deg", [0.0, 20.0, 160.0])
@LIES
def test_the_line_from_three_to_nine_is_the_one_that_joins_them(lies, hours, turn_deg):
    eye, seat, mirrored = lies
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
