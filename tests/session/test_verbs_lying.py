"""How the eye lies, shown by a way on the picture: header, words, refusals.

Hours at the sides are those of a clock face that an examiner sees, turned: common practice.
"""

from __future__ import annotations

import math

import pytest

from aftercase.media.frameclock import FrameClock
from aftercase.metrics.rulers import NO_SIZE
from aftercase.model.case import SinceDegrees, SinceFlag, SinceWord, view_at
from aftercase.model.review import Drawing
from aftercase.session.desk import Desk
from aftercase.session.opened import draft_of
from aftercase.session.settings import Settings
from aftercase.session.tasks.create import Wanted, new_case
from aftercase.session.verbs import lying

FRAME_US = 40_000
WIDE, HIGH = 128, 96
CENTRE = (0.5, 0.5)


@pytest.fixture
def desk(film, tmp_path, at, new_id):
    wanted = Wanted("C1", "cataract-phaco", films=(film,))
    opened = new_case(tmp_path / "c", wanted, at, new_id)
    stored = draft_of(opened, "T01", "teacher", new_id)
    desk = Desk(opened, stored, FrameClock.without_film(2_000_000), new_id, Settings())
    yield desk
    desk.close()


def way(angle_deg, at_us=0):
    """A way of 30 px from the middle of the frame, clockwise from straight up."""
    right, up = math.sin(math.radians(angle_deg)), math.cos(math.radians(angle_deg))
    tip = (0.5 + 30 * right / WIDE, 0.5 - 30 * up / HIGH)
    return Drawing(shape="arrow", colour="sky", at_us=at_us, points=(CENTRE, tip))


def lies(desk, eye, seat, *, mirrored=False):
    desk.edit_header(
        lambda case: case.changed(
            eye=eye,
            seat=(SinceWord(from_us=0, value=seat),),
            mirrored=(SinceFlag(from_us=0, value=mirrored),),
        ),
        "say how the eye lies",
    )


def turn_at(desk, us=0):
    return view_at(desk.case, us).turn_deg


def test_without_eye_and_seat_it_is_refused_in_words_and_nothing_is_said(desk):
    assert not lying.say_turn(desk, "twelve", way(0), 0)
    assert (desk.words.text, desk.words.tone) == (lying.NO_SEAT, "refused")
    assert desk.case.turn_deg == ()
    assert "Hours are the picture’s" in lying.lying_words(desk.case, 0)


# Eye, seat, mirrored; where 12 lies with the surgeon's side at the bottom, and what is temporal.
AT_REST = [
    ("right", "temporal", False, 270, "at the bottom"),
    ("left", "temporal", False, 90, "at the bottom"),
    ("right", "superior", False, 180, "at the right"),
    ("left", "superior", False, 180, "at the left"),
    ("right", "temporal", True, 90, "at the bottom"),
    ("left", "superotemporal", False, 135, "between bottom and left"),
]


@pytest.mark.parametrize(("eye", "seat", "mirrored", "twelve_deg", "temporal"), AT_REST)
@pytest.mark.parametrize("turn_deg", [0, 20, 160, 275])
def test_showing_twelve_gives_the_camera_s_turn(
    desk, eye, seat, mirrored, twelve_deg, temporal, turn_deg
):
    lies(desk, eye, seat, mirrored=mirrored)
    assert lying.say_turn(desk, "twelve", way(twelve_deg + turn_deg), 0)
    assert abs((turn_at(desk) - turn_deg + 180) % 360 - 180) < 0.1
    if not turn_deg:
        assert f"Temporal is {temporal}" in desk.words.text


@pytest.mark.parametrize("turn_deg", [0, 20, 160, 275])
@pytest.mark.parametrize("mirrored", [False, True])
def test_showing_the_surgeon_s_side_gives_it_too(desk, mirrored, turn_deg):
    lies(desk, "left", "temporal", mirrored=mirrored)
    assert lying.say_turn(desk, "surgeon", way(180 + turn_deg), 0)
    assert abs((turn_at(desk) - turn_deg + 180) % 360 - 180) < 0.1


def test_the_words_say_every_side_and_both_halves(desk):
    lies(desk, "right", "temporal")
    lying.say_turn(desk, "twelve", way(270), 0)
    assert desk.words.text == (
        "From 0:00:00.000 on: Bottom 9, left 12, top 3, right 6. Temporal is at the bottom, nasal "
        "at the top. The camera is turned by 0 degrees."
    )


def test_it_holds_from_the_moment_on_and_what_was_said_before_stays(desk):
    lies(desk, "right", "temporal")
    desk.edit_header(
        lambda case: case.changed(turn_deg=(SinceDegrees(from_us=0, value=5.0),)), "turn"
    )
    lying.say_turn(desk, "twelve", way(290, 10 * FRAME_US), 10 * FRAME_US)
    assert turn_at(desk, 10 * FRAME_US - 1) == 5.0
    assert turn_at(desk, 10 * FRAME_US) == pytest.approx(20.0, abs=0.1)
    desk.undo()
    assert turn_at(desk, 10 * FRAME_US) == 5.0


def test_each_showing_is_undone_by_itself(desk):
    lies(desk, "right", "temporal")
    lying.say_turn(desk, "twelve", way(290), 0)
    lying.say_turn(desk, "twelve", way(300), 0)
    desk.undo()
    assert turn_at(desk) == pytest.approx(20.0, abs=0.1)


def test_a_superior_seat_needs_no_eye_but_then_no_side_is_temporal(desk):
    lies(desk, "not-said", "superior")
    assert lying.say_turn(desk, "twelve", way(180), 0)
    assert "Which side is temporal is not known" in desk.words.text


def test_a_film_whose_frames_have_no_known_size_is_refused(desk):
    lies(desk, "right", "temporal")
    parts = tuple(part.changed(width_px=0) for part in desk.case.parts)
    desk.edit_header(lambda case: case.changed(parts=parts), "parts")
    assert not lying.say_turn(desk, "twelve", way(270), 0)
    assert desk.words.text == NO_SIZE


def test_a_seat_is_said_for_as_long_as_the_one_it_corrects(desk):
    lying.say_seat(desk, "superior")
    assert desk.case.seat == (SinceWord(from_us=0, value="superior"),)
    lying.say_eye(desk, "left")
    assert desk.case.eye == "left"
