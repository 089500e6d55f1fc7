"""Clock hours against the table an examiner and a surgeon agree on (common practice), and against
a second computation by vectors of a lying patient that knows no table."""

from __future__ import annotations

import math
from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from aftercase.model.orientation import (
    View,
    angle_between,
    angle_of,
    hour_at,
    hour_text,
    side_at,
    surgeon_hour,
    turn_from_twelve,
)

EYES = ("right", "left")
SEATS = ("temporal", "superior", "superotemporal", "superonasal")
BOTTOM, LEFT, TOP, RIGHT = 180.0, 270.0, 0.0, 90.0
TURNS = (0.0, 20.0, 160.0, -20.0, 90.0)

# Common practice: hours at the bottom, left, top and right of an unmirrored picture with the
# surgeon's side at the bottom.
UNMIRRORED = {
    ("right", "temporal"): ("9", "12", "3", "6"),
    ("left", "temporal"): ("3", "6", "9", "12"),
    ("right", "superior"): ("12", "3", "6", "9"),
    ("left", "superior"): ("12", "3", "6", "9"),
    ("right", "superotemporal"): ("10:30", "1:30", "4:30", "7:30"),
    ("left", "superotemporal"): ("1:30", "4:30", "7:30", "10:30"),
}
# The camera flips left and right; the surgeon's side stays at the bottom.
MIRRORED = {
    ("right", "temporal"): ("9", "6", "3", "12"),
    ("left", "temporal"): ("3", "12", "9", "6"),
    ("right", "superior"): ("12", "9", "6", "3"),
    ("left", "superior"): ("12", "9", "6", "3"),
}
# Where the temporal and the nasal side lie, as angles clockwise from straight up.
TEMPORAL_AND_NASAL = {
    ("right", "temporal"): (BOTTOM, TOP),
    ("left", "temporal"): (BOTTOM, TOP),
    ("right", "superior"): (RIGHT, LEFT),
    ("left", "superior"): (LEFT, RIGHT),
    ("right", "superotemporal"): (135.0, 315.0),
    ("left", "superotemporal"): (225.0, 45.0),
}


def view_from(eye: str, seat: str, *, turn_deg: float = 0.0, mirrored: bool = False) -> View:
    hour = surgeon_hour(eye, seat)
    assert hour is not None
    return View(hour, turn_deg, mirrored)


def hour_by_vectors(
    angle_deg: float, eye: str, seat: str, turn_deg: float, mirrored: bool
) -> float:
    """The hour of a picture's direction, from where patient, surgeon and microscope are.

    The patient lies on the back, seen from the ceiling: crown of the head towards +y, so the
    patient's right is towards -x. The surgeon sits at `seat`, the microscope looks straight down,
    the surgeon's side is the bottom of the picture.
    """
    temporal = (-1.0, 0.0) if eye == "right" else (1.0, 0.0)
    nasal = (-temporal[0], 0.0)
    crown = (0.0, 1.0)
    sides = {
        "temporal": (temporal,),
        "superior": (crown,),
        "superotemporal": (crown, temporal),
        "superonasal": (crown, nasal),
    }[seat]
    x, y = (sum(side[axis] for side in sides) for axis in (0, 1))
    length = math.hypot(x, y)
    up = (-x / length, -y / length)
    right = (up[1], -up[0])  # looking down: the view direction (0, 0, -1) crossed with up
    if mirrored:
        right = (-right[0], -right[1])
    a = math.radians(angle_deg - turn_deg)
    towards = tuple(up[axis] * math.cos(a) + right[axis] * math.sin(a) for axis in (0, 1))
    return math.degrees(math.atan2(towards[0], towards[1])) / 30 % 12


def apart(one: float, other: float, whole: float) -> float:
    return abs((one - other + whole / 2) % whole - whole / 2)


@pytest.mark.parametrize(("case", "hours"), [*UNMIRRORED.items()])
def test_the_unmirrored_table_holds(case: tuple[str, str], hours: tuple[str, ...]):
    view = view_from(*case)
    assert tuple(hour_text(hour_at(a, view)) for a in (BOTTOM, LEFT, TOP, RIGHT)) == hours


@pytest.mark.parametrize(("case", "hours"), [*MIRRORED.items()])
def test_the_mirrored_table_holds(case: tuple[str, str], hours: tuple[str, ...]):
    view = view_from(*case, mirrored=True)
    assert tuple(hour_text(hour_at(a, view)) for a in (BOTTOM, LEFT, TOP, RIGHT)) == hours


@pytest.mark.parametrize("case", UNMIRRORED)
def test_a_mirror_changes_left_and_right_and_nothing_else(case: tuple[str, str]):
    straight, flipped = view_from(*case), view_from(*case, mirrored=True)
    assert hour_at(BOTTOM, straight) == hour_at(BOTTOM, flipped)
    assert hour_at(TOP, straight) == hour_at(TOP, flipped)
    assert hour_at(LEFT, straight) == hour_at(RIGHT, flipped)
    assert hour_at(RIGHT, straight) == hour_at(LEFT, flipped)


@pytest.mark.parametrize(("case", "angles"), [*TEMPORAL_AND_NASAL.items()])
def test_the_temporal_and_the_nasal_side_lie_where_the_table_says(
    case: tuple[str, str], angles: tuple[float, float]
):
    eye, view = case[0], view_from(*case)
    assert [side_at(hour_at(angle, view), eye) for angle in angles] == ["temporal", "nasal"]


@pytest.mark.parametrize(
    ("eye", "seat", "mirrored", "angle_deg", "answer"),
    [
        ("right", "temporal", False, 270, "12"),
        ("right", "temporal", False, 135, "7:30"),
        ("left", "temporal", False, 270, "6"),
        ("left", "temporal", False, 225, "4:30"),
        ("right", "superior", False, 90, "9"),
        ("left", "superior", False, 90, "9"),
        ("right", "temporal", True, 270, "6"),
    ],
)
def test_the_formula_answers_the_worked_examples(
    eye: str, seat: str, mirrored: bool, angle_deg: float, answer: str
):
    assert hour_text(hour_at(angle_deg, view_from(eye, seat, mirrored=mirrored))) == answer


def test_seated_at_the_temple_the_forehead_is_at_the_left_of_a_right_eye():
    assert angle_of(12, view_from("right", "temporal")) == LEFT


def test_seated_at_the_temple_the_forehead_is_at_the_right_of_a_left_eye():
    assert angle_of(12, view_from("left", "temporal")) == RIGHT


@pytest.mark.parametrize("eye", EYES)
@pytest.mark.parametrize("seat", SEATS)
@pytest.mark.parametrize("mirrored", [False, True])
@pytest.mark.parametrize("turn_deg", TURNS)
def test_the_vectors_of_a_lying_patient_give_the_same_hours(
    eye: str, seat: str, mirrored: bool, turn_deg: float
):
    view = view_from(eye, seat, turn_deg=turn_deg, mirrored=mirrored)
    for angle_deg in range(0, 360, 15):
        expected = hour_by_vectors(angle_deg, eye, seat, turn_deg, mirrored)
        assert apart(hour_at(angle_deg, view), expected, 12) < 1e-9


@pytest.mark.parametrize(
    ("eye", "seat", "mirrored", "turn_deg"), list(product(EYES, SEATS, (False, True), TURNS))
)
def test_an_hour_comes_back_from_its_angle(eye: str, seat: str, mirrored: bool, turn_deg: float):
    view = view_from(eye, seat, turn_deg=turn_deg, mirrored=mirrored)
    for halves in range(1, 25):
        angle_deg = angle_of(halves / 2, view)
        assert 0 <= angle_deg < 360
        assert hour_text(hour_at(angle_deg, view)) == hour_text(halves / 2)


@given(
    angle_deg=st.floats(-1000, 1000),
    surgeon_at=st.floats(0.001, 12),
    turn_deg=st.floats(-720, 720),
    mirrored=st.booleans(),
)
def test_hours_and_angles_stay_on_their_circles(
    angle_deg: float, surgeon_at: float, turn_deg: float, mirrored: bool
):
    view = View(surgeon_at, turn_deg, mirrored)
    hour = hour_at(angle_deg, view)
    assert 0 < hour <= 12
    back = angle_of(hour, view)
    assert 0 <= back < 360
    assert apart(back, angle_deg, 360) < 1e-6


@pytest.mark.parametrize("turn_deg", [0.0, 20.0, 160.0, 340.0])
@pytest.mark.parametrize("mirrored", [False, True])
def test_showing_where_twelve_is_gives_the_turn(turn_deg: float, mirrored: bool):
    shown = angle_of(12, View(9.0, turn_deg, mirrored))
    assert turn_from_twelve(shown, 9.0, mirrored=mirrored) == pytest.approx(turn_deg)


def test_a_seat_may_be_given_as_an_hour():
    assert surgeon_hour("not-said", "10.5") == 10.5
    assert surgeon_hour("right", "12") == 12


@pytest.mark.parametrize("seat", ["not-said", "", "0", "12.5", "-3", "nan", "inf", "at the foot"])
def test_a_seat_that_is_no_seat_gives_no_hour(seat: str):
    assert surgeon_hour("right", seat) is None


@pytest.mark.parametrize("seat", ["temporal", "superotemporal", "superonasal"])
def test_without_an_eye_only_the_superior_seat_is_known(seat: str):
    assert surgeon_hour("not-said", seat) is None
    assert surgeon_hour("not-said", "superior") == 12


def test_the_superonasal_seat_is_half_way_on_the_nasal_side():
    assert surgeon_hour("right", "superonasal") == 1.5
    assert surgeon_hour("left", "superonasal") == 10.5


def test_without_an_eye_only_superior_and_inferior_are_named():
    assert [side_at(hour, "not-said") for hour in (12, 3, 6, 9)] == [
        "superior",
        None,
        "inferior",
        None,
    ]


def test_an_hour_is_written_to_the_nearest_half():
    assert [hour_text(hour) for hour in (12, 0.3, 11.8, 6.6)] == ["12", "12:30", "12", "6:30"]


def test_a_direction_is_counted_clockwise_from_straight_up():
    centre = (100.0, 100.0)
    points = [(100, 50), (150, 100), (100, 150), (50, 100), (150, 50)]
    assert [angle_between(centre, point) for point in points] == [0, 90, 180, 270, 45]


def test_a_hair_left_of_straight_up_is_still_below_a_full_circle():
    assert 0 <= angle_between((0, 0), (-1e-300, -1)) < 360
