"""What every record keeps: frozen, strict times, unknown fields, checked changes."""

from __future__ import annotations

import random
from typing import Any

import pytest
from pydantic import ValidationError

from aftercase.model.base import ID_SIGNS, Identified, id_source
from aftercase.model.case import (
    Case,
    GuideReference,
    Part,
    SinceDegrees,
    SinceFlag,
    SinceWord,
    Window,
    technique_at,
    value_at,
    view_at,
    window_of,
)
from aftercase.model.orientation import View
from aftercase.model.picture import FrameShape, PicturePoint, square_pixels
from aftercase.model.review import Event, Remark, Review, Span, StepSpan

SOME_ID = "a" * 26
GUIDE = GuideReference(id="cataract-phaco", guide_version="1.0")


def a_case(**fields: Any) -> Case:
    return Case.model_validate({"id": SOME_ID, "code": "PE-01", "guide": GUIDE, **fields})


def test_a_record_cannot_be_changed_in_place():
    span = Span(id=SOME_ID, start_us=0, end_us=1)
    with pytest.raises(ValidationError, match="frozen"):
        span.end_us = 2  # type: ignore[misc]


@pytest.mark.parametrize("moment", [1.0, "1", "0:01", True, None, 2**62 + 1])
def test_a_moment_is_a_whole_number_and_nothing_else(moment: object):
    with pytest.raises(ValidationError, match="start_us"):
        Span.model_validate({"id": SOME_ID, "start_us": moment, "end_us": 5})


def test_a_moment_in_a_file_is_as_strict():
    for moment in ("1.0", '"1"', "1e3", "true"):
        with pytest.raises(ValidationError, match="start_us"):
            Span.model_validate_json(f'{{"id":"{SOME_ID}","start_us":{moment},"end_us":5}}')


def test_fields_of_a_newer_minor_version_survive_at_every_depth():
    text = (
        f'{{"format":"aftercase/review","version":"1.7","id":"{SOME_ID}","case":"{SOME_ID}",'
        f'"reviewer":"T1","weather":{{"rain":true}},'
        f'"steps":[{{"id":"{"b" * 26}","step":"nucleus","start_us":0,"end_us":5,"mood":"calm"}}]}}'
    )
    review = Review.model_validate_json(text)
    again = Review.model_validate_json(review.model_dump_json())
    assert again == review
    assert again.model_dump()["weather"] == {"rain": True}
    assert again.model_dump()["steps"][0]["mood"] == "calm"
    assert again.version == "1.7"


def test_a_change_is_a_copy_that_keeps_unknown_fields():
    before = StepSpan.model_validate(
        {"id": SOME_ID, "step": "nucleus", "start_us": 0, "end_us": 5, "mood": "calm"}
    )
    after = before.changed(performer="trainee")
    assert (before.performer, after.performer) == ("not-said", "trainee")
    assert after.model_extra == {"mood": "calm"}


def test_a_change_is_checked():
    span = Span(id=SOME_ID, start_us=0, end_us=5)
    with pytest.raises(ValidationError, match="end_us"):
        span.changed(end_us=5.5)
    with pytest.raises(ValidationError, match="id"):
        span.changed(id="../elsewhere")


def test_an_id_has_26_small_letters_and_digits():
    new_id = id_source()
    ids = {new_id() for _ in range(500)}
    assert len(ids) == 500
    assert all(len(one) == 26 and set(one) <= set(ID_SIGNS) for one in ids)
    assert ID_SIGNS == "abcdefghijklmnopqrstuvwxyz0123456789"
    assert Identified(id=new_id()).id


def test_the_same_chance_gives_the_same_ids():
    one, other = id_source(random.Random(3)), id_source(random.Random(3))
    assert [one() for _ in range(5)] == [other() for _ in range(5)]


@pytest.mark.parametrize("wrong", ["a" * 25, "a" * 27, "A" * 26, "ä" * 26, "a" * 25 + "/", ""])
def test_another_shape_is_no_id(wrong: str):
    with pytest.raises(ValidationError, match="id"):
        Identified(id=wrong)


@pytest.mark.parametrize("wrong", ["../x", "a/b", ".hidden", "a b", "-a", "a-", "ä", "x" * 41, ""])
def test_a_code_is_safe_as_a_file_name(wrong: str):
    with pytest.raises(ValidationError, match="code"):
        a_case(code=wrong)


def test_every_field_about_a_person_starts_as_not_said():
    span = StepSpan(id=SOME_ID, step="nucleus", start_us=0, end_us=1)
    said = (span.performer, span.help, span.takeover, span.takeover_reason, span.result)
    assert set(said) == {"not-said"}
    assert span.performer_code is None
    assert Event(id=SOME_ID, kind="surge", at_us=0).course is None


def test_a_remark_is_a_moment_until_it_has_an_end():
    assert Remark(id=SOME_ID, at_us=4).end_us is None


def test_infinite_numbers_are_refused():
    with pytest.raises(ValidationError, match="x"):
        PicturePoint(x=float("inf"), y=0.0, at_us=0)
    with pytest.raises(ValidationError, match="x"):
        PicturePoint(x=float("nan"), y=0.0, at_us=0)


def test_the_corners_of_the_frame_are_places_and_beyond_is_not():
    assert PicturePoint(x=0, y=1, at_us=0).y == 1
    with pytest.raises(ValidationError, match="y"):
        PicturePoint(x=0, y=1.01, at_us=0)


def test_a_place_becomes_square_pixels_by_the_pixel_aspect():
    # By hand: 1440 x 1080 stored, pixels 4:3 wide, is a 1920 x 1080 picture; a quarter from the
    # left is 480, half down is 540.
    shape = FrameShape(width_px=1440, height_px=1080, pixel_aspect=4 / 3)
    assert square_pixels(PicturePoint(x=0.25, y=0.5, at_us=0), shape) == pytest.approx((480, 540))
    assert square_pixels(PicturePoint(x=1, y=1, at_us=0), shape) == pytest.approx((1920, 1080))


def test_a_square_pixel_needs_no_aspect():
    shape = FrameShape(width_px=640, height_px=480)
    assert square_pixels(PicturePoint(x=0.5, y=0.25, at_us=0), shape) == (320, 120)


def test_the_window_is_the_whole_recording_unless_said():
    part = Part(
        id=SOME_ID,
        path="a.mp4",
        size_bytes=1,
        duration_us=90,
        quick_hash="",
        time_base=(1, 25),
        start_us=0,
        end_us=90,
    )
    assert window_of(a_case(parts=(part,))) == Window(start_us=0, end_us=90)
    assert window_of(a_case(stated_duration_us=70)) == Window(start_us=0, end_us=70)
    chosen = Window(start_us=10, end_us=20)
    assert window_of(a_case(parts=(part,), window=chosen)) == chosen


def test_no_value_is_in_force_before_the_first():
    assert value_at((), 5) is None
    assert value_at((SinceWord(from_us=6, value="tilt"),), 5) is None


def test_the_latest_value_is_in_force_in_whatever_order_they_are_written():
    words = (SinceWord(from_us=50, value="stop-and-chop"), SinceWord(from_us=0, value="tilt"))
    case = a_case(technique=words)
    assert [technique_at(case, us) for us in (0, 49, 50)] == ["tilt", "tilt", "stop-and-chop"]
    assert technique_at(a_case(), 0) == "not-said"


def test_an_eye_put_right_later_turns_the_view():
    seat = (SinceWord(from_us=0, value="temporal"),)
    assert view_at(a_case(seat=seat), 0) is None
    turn = (SinceDegrees(from_us=0, value=20.0),)
    right, left = (
        view_at(a_case(seat=seat, turn_deg=turn, eye=eye), 0) for eye in ("right", "left")
    )
    assert (right, left) == (View(9.0, 20.0), View(3.0, 20.0))


def test_a_camera_turn_that_is_not_said_gives_no_view():
    seat = (SinceWord(from_us=0, value="temporal"),)
    assert view_at(a_case(seat=seat, eye="right"), 0) is None


def test_seat_and_mirror_hold_from_their_moment_on():
    case = a_case(
        eye="right",
        seat=(SinceWord(from_us=0, value="temporal"), SinceWord(from_us=100, value="superior")),
        mirrored=(SinceFlag(from_us=100, value=True),),
        turn_deg=(SinceDegrees(from_us=0, value=0.0),),
    )
    assert view_at(case, 99) == View(9.0)
    assert view_at(case, 100) == View(12.0, 0.0, True)
