"""Measuring on the desk: point, read the review, hear what is refused. Frames of 128 x 96 px."""

from __future__ import annotations

import math

import pytest

from aftercase.edit.header import change_header
from aftercase.edit.since import set_since
from aftercase.media.frameclock import FrameClock
from aftercase.metrics.picturecautions import NO_RULER
from aftercase.metrics.rulers import NOT_A_PATIENT
from aftercase.session.desk import Desk
from aftercase.session.opened import draft_of
from aftercase.session.settings import Settings
from aftercase.session.tasks.create import Wanted, new_case
from aftercase.session.verbs import looking, measuring

FRAME_US = 40_000
WIDE, HIGH = 128, 96
TWO = ((0.25, 0.5), (0.75, 0.5))


def ring(radius_px, n_points=8):
    turns = [2 * math.pi * n / n_points for n in range(n_points)]
    return tuple(
        (0.5 + radius_px * math.cos(t) / WIDE, 0.5 + radius_px * math.sin(t) / HIGH) for t in turns
    )


@pytest.fixture
def desk(film, tmp_path, at, new_id):
    wanted = Wanted("C1", "cataract-phaco", films=(film,), header={"setting": "patient"})
    opened = new_case(tmp_path / "c", wanted, at, new_id)
    stored = draft_of(opened, "T01", "teacher", new_id)
    clock = FrameClock.without_film(2_000_000)
    desk = Desk(opened, stored, clock, new_id, Settings())
    yield desk
    desk.close()


def optic(desk, size_mm=6.0):
    return measuring.pointed_ruler(desk, "optic", ring(30), size_mm, size_from="maker")


def test_at_first_there_is_no_ruler_and_a_measure_is_in_pixels(desk):
    assert measuring.ruler_here(desk) is None
    found = measuring.worked_out(desk, measuring.pointed_measure(desk, "length", TWO))
    assert found.cautions == (NO_RULER,)
    assert found.numbers[0].value == pytest.approx(64)
    assert desk.review.measures == ()


def test_a_ruler_is_kept_for_the_stretch_without_a_change_of_zoom_and_taken_by_what_follows(desk):
    desk.edit_header(lambda case: set_since(case, "zoom", 20 * FRAME_US, "x10"), "zoom")
    desk.show_moment(5 * FRAME_US)
    ruler = optic(desk)
    assert measuring.keep_ruler(desk, ruler)
    assert desk.selection == (ruler.id,)
    assert (ruler.start_us, ruler.end_us, ruler.at_us) == (0, 20 * FRAME_US, 5 * FRAME_US)
    assert measuring.ruler_here(desk).scale.mm_per_px == pytest.approx(0.1, rel=1e-4)
    desk.show_moment(7 * FRAME_US)
    measure = measuring.pointed_measure(desk, "length", TWO, plane="behind-cornea")
    assert (measure.calibration, measure.at_us) == (ruler.id, 7 * FRAME_US)
    assert measuring.keep_measure(desk, measure)
    assert measuring.worked_out(desk, desk.review.measures[0]).numbers[0].text.startswith("6.40 ±")
    desk.show_moment(20 * FRAME_US)
    assert measuring.ruler_here(desk) is None
    assert measuring.pointed_measure(desk, "length", TWO).calibration is None


def test_a_patient_s_size_is_refused_for_a_practice_eye_and_the_maker_s_is_not(desk):
    size_mm = measuring.USUAL_SIZES_MM["limbus"]
    ruler = measuring.pointed_ruler(desk, "limbus", ring(40), size_mm)
    desk.edit_header(lambda case: change_header(case, setting="practice-eye"), "setting")
    assert not measuring.keep_ruler(desk, ruler)
    assert (desk.words.text, desk.words.tone) == (NOT_A_PATIENT, "refused")
    own = measuring.pointed_ruler(desk, "limbus", ring(40), 12.0, size_from="maker")
    assert measuring.keep_ruler(desk, own)


def test_what_is_dragged_is_one_undo_and_so_is_what_is_kept(desk):
    measuring.keep_ruler(desk, optic(desk))
    measure = measuring.pointed_measure(desk, "length", TWO)
    measuring.keep_measure(desk, measure)
    for x in (0.3, 0.4, 0.5):
        assert measuring.change_ruler_or_measure(desk, measure.id, points=((x, 0.5), TWO[1]))
    assert desk.review.measures[0].points[0] == (0.5, 0.5)
    desk.undo()
    assert desk.review.measures[0].points == TWO
    desk.undo()
    assert desk.review.measures == ()
    desk.redo()
    assert desk.review.measures == (measure,)


def test_a_ruler_put_right_puts_right_what_was_measured_with_it(desk):
    ruler = optic(desk)
    measuring.keep_ruler(desk, ruler)
    measuring.keep_measure(desk, measuring.pointed_measure(desk, "length", TWO))
    assert measuring.change_ruler_or_measure(desk, ruler.id, size_mm=7.0)
    found = measuring.worked_out(desk, desk.review.measures[0])
    assert found.numbers[0].value == pytest.approx(64 * 7 / 60, rel=1e-4)


def test_a_ruler_taken_away_leaves_pixels_and_undo_brings_both_back(desk):
    ruler = optic(desk)
    measuring.keep_ruler(desk, ruler)
    measuring.keep_measure(desk, measuring.pointed_measure(desk, "length", TWO))
    assert measuring.take_away(desk, ruler.id)
    assert measuring.worked_out(desk, desk.review.measures[0]).cautions == (NO_RULER,)
    desk.undo()
    assert desk.review.measures[0].calibration == ruler.id
    assert measuring.take_away(desk, desk.review.measures[0].id)
    assert desk.review.measures == ()


def test_too_few_places_are_refused_in_words(desk):
    assert not measuring.keep_measure(desk, measuring.pointed_measure(desk, "length", TWO[:1]))
    assert desk.words.tone == "refused"
    assert "points" in desk.words.text
    assert not measuring.keep_ruler(desk, measuring.pointed_ruler(desk, "optic", TWO[:1], 6.0))
    gone = "x" * 26
    assert not measuring.take_away(desk, gone)
    assert not measuring.change_ruler_or_measure(desk, gone, note="x")


def test_a_tip_s_path_lies_on_its_first_frame(desk):
    times = (3 * FRAME_US, 5 * FRAME_US)
    desk.show_moment(5 * FRAME_US)
    measure = measuring.pointed_measure(desk, "tip-path", TWO, times_us=times)
    assert measure.at_us == 3 * FRAME_US
    assert measuring.keep_measure(desk, measure)


def test_going_from_mark_to_mark_stops_at_a_ruler_s_frame_not_at_its_span(desk):
    desk.edit_header(lambda case: set_since(case, "zoom", 20 * FRAME_US, "x10"), "zoom")
    desk.show_moment(22 * FRAME_US)
    measuring.keep_ruler(desk, optic(desk))
    desk.show_moment(30 * FRAME_US)
    measuring.keep_measure(desk, measuring.pointed_measure(desk, "length", TWO))
    assert looking.stops_us(desk) == (0, 22 * FRAME_US, 30 * FRAME_US)
