from __future__ import annotations

import pytest

from aftercase.edit import records
from aftercase.edit.history import History
from aftercase.edit.measuring import (
    add_calibration,
    add_measure,
    change_calibration,
    change_measure,
    rulers_at,
)
from aftercase.edit.review import corrected, seal
from aftercase.errors import EditRefused, ReviewClosed
from aftercase.model.measure import Calibration, Measure
from aftercase.model.review import Review

THREE = ((0.25, 0.5), (0.5, 0.25), (0.75, 0.5))
TWO = THREE[:2]


def some_id(number):
    return f"id{number:024d}"


def ruler(number=50, **fields):
    given = {"start_us": 400, "end_us": 500, "at_us": 450, "basis": "optic", "points": THREE}
    return Calibration(id=some_id(number), **{**given, "size_mm": 6.0, **fields})


def measure(number=60, **fields):
    given = {"kind": "length", "at_us": 350, "points": TWO, "calibration": some_id(19)}
    return Measure(id=some_id(number), **{**given, **fields})


def of(review, number):
    return records.found(review, some_id(number))[1]


def test_a_new_review_has_nothing_measured():
    empty = Review(id=some_id(0), case=some_id(1), reviewer="T1")
    assert (empty.calibrations, empty.measures) == ((), ())
    assert rulers_at(empty, 0) == ()


def test_a_ruler_and_a_measure_stand_in_the_review_and_leave_the_old_one_as_it_was(review):
    after = add_measure(add_calibration(review, ruler()), measure())
    assert of(after, 50) == ruler()
    assert of(after, 60) == measure()
    assert len(review.calibrations) == 1
    assert Review.model_validate_json(after.model_dump_json()) == after


def test_a_measure_without_a_ruler_is_taken(review):
    assert of(add_measure(review, measure(calibration=None)), 60).calibration is None


def test_measures_stand_by_time(review):
    after = add_measure(review, measure(at_us=315))
    assert [int(one.id[2:]) for one in after.measures] == [20, 60, 21]


@pytest.mark.parametrize("at_us", [199, 400, 450])
def test_a_measure_outside_its_ruler_s_span_is_refused(at_us, review):
    """The ruler holds from 200, and no longer at 400."""
    with pytest.raises(EditRefused, match="outside") as caught:
        add_measure(review, measure(at_us=at_us))
    assert "calibrate again" in caught.value.hint
    assert add_measure(review, measure(at_us=200))
    assert add_measure(review, measure(at_us=399))


def test_a_tip_is_followed_within_its_ruler_s_span_only(review):
    path = {"kind": "tip-path", "points": THREE, "at_us": 380}
    with pytest.raises(EditRefused, match="outside"):
        add_measure(review, measure(**path, times_us=(380, 390, 400)))
    assert of(add_measure(review, measure(**path, times_us=(380, 390, 399))), 60).at_us == 380


@pytest.mark.parametrize(
    ("fields", "what"),
    [
        ({"points": THREE}, "points"),
        ({"points": ()}, "points"),
        ({"kind": "ring", "points": TWO}, "points"),
        ({"kind": "area", "points": TWO}, "points"),
        ({"kind": "capsulorhexis", "points": TWO}, "points"),
        ({"kind": "angle", "points": THREE}, "points"),
        ({"kind": "capsulorhexis", "points": THREE, "optic": TWO}, "optic"),
        ({"kind": "angle", "around": TWO}, "around"),
        ({"kind": "tip-path", "points": TWO}, "0 times"),
        ({"kind": "tip-path", "points": TWO, "times_us": (350, 350)}, "later"),
        ({"kind": "tip-path", "points": TWO, "times_us": (351, 352)}, "first time"),
        ({"times_us": (350, 360)}, "tip"),
        ({"calibration": some_id(99)}, "no calibration"),
        ({"calibration": some_id(12)}, "no calibration"),
    ],
)
def test_what_makes_no_measure_is_refused_with_the_reason(fields, what, review):
    with pytest.raises(EditRefused, match=what):
        add_measure(review, measure(**fields))


@pytest.mark.parametrize(
    ("fields", "what"),
    [
        ({"points": TWO[:1]}, "points"),
        ({"basis": "limbus", "points": TWO}, "points"),
        ({"basis": "known-length", "points": THREE}, "points"),
        ({"at_us": 500}, "frame"),
        ({"at_us": 399}, "frame"),
    ],
)
def test_what_makes_no_ruler_is_refused_with_the_reason(fields, what, review):
    with pytest.raises(EditRefused, match=what):
        add_calibration(review, ruler(**fields))


def test_a_ruler_of_an_empty_span_is_refused(review):
    with pytest.raises(EditRefused):
        add_calibration(review, ruler(end_us=400))


def test_a_long_way_drawn_by_hand_is_thinned_and_a_ring_of_as_many_points_refused(review):
    way = tuple((n / 1000, 0.5 + (n % 2) / 10) for n in range(1000))
    kept = of(add_measure(review, measure(kind="path", points=way)), 60).points
    assert 2 <= len(kept) <= 500
    assert (kept[0], kept[-1]) == (way[0], way[-1])
    with pytest.raises(EditRefused, match="1000 points"):
        add_measure(review, measure(kind="ring", points=way))


def test_places_are_kept_to_the_pixel_of_any_film(review):
    after = add_measure(review, measure(points=((1 / 3, 2 / 3), (0.1, 0.7777777))))
    assert of(after, 60).points == ((0.33333, 0.66667), (0.1, 0.77778))
    moved = change_measure(after, some_id(60), points=((0.1, 2 / 3), (0.2, 0.2)))
    assert of(moved, 60).points == ((0.1, 0.66667), (0.2, 0.2))


def test_a_changed_size_or_point_keeps_the_id(review):
    resized = change_calibration(review, some_id(19), size_mm=12.0, size_from="measured")
    assert (of(resized, 19).size_mm, of(resized, 19).size_from) == (12.0, "measured")
    moved = change_measure(review, some_id(20), points=((0.1, 0.1), (0.2, 0.2)))
    assert of(moved, 20).points == ((0.1, 0.1), (0.2, 0.2))
    assert of(change_measure(review, some_id(20), calibration=None), 20).calibration is None


def test_a_ruler_s_span_cannot_leave_what_was_measured_with_it_behind(review):
    """Measures with it stand at 310 and from 320 to 340."""
    assert change_calibration(review, some_id(19), start_us=250, end_us=341)
    for fields in ({"end_us": 340}, {"start_us": 320, "at_us": 330}):
        with pytest.raises(EditRefused, match="outside"):
            change_calibration(review, some_id(19), **fields)


def test_a_change_to_something_else_is_refused(review):
    with pytest.raises(EditRefused, match="Only a measure"):
        change_measure(review, some_id(19), note="x")
    with pytest.raises(EditRefused, match="Only a calibration"):
        change_calibration(review, some_id(20), note="x")
    with pytest.raises(EditRefused, match="points"):
        change_measure(review, some_id(20), points=THREE)
    with pytest.raises(EditRefused, match="size_mm"):
        change_calibration(review, some_id(19), size_mm=0.0)


def test_the_ruler_whose_frame_is_nearest_comes_first(review):
    after = add_calibration(review, ruler(start_us=250, end_us=500, at_us=380))
    assert [int(one.id[2:]) for one in rulers_at(after, 350)] == [50, 19]
    assert [int(one.id[2:]) for one in rulers_at(after, 310)] == [19, 50]
    assert [int(one.id[2:]) for one in rulers_at(after, 400)] == [50]
    assert rulers_at(after, 500) == ()


def test_measuring_is_undone_and_done_again(review):
    measured = add_measure(review, measure())
    history = History(review).edited(measured, "measure")
    assert history.undone().present == review
    assert history.undone().redone().present == measured


def test_a_closed_review_is_not_measured_on_and_a_correction_keeps_what_was(review):
    closed = seal(review)
    for edit in (
        lambda: add_measure(closed, measure()),
        lambda: add_calibration(closed, ruler()),
        lambda: change_measure(closed, some_id(20), note="x"),
        lambda: change_calibration(closed, some_id(19), note="x"),
    ):
        with pytest.raises(ReviewClosed):
            edit()
    draft = corrected(closed, "ab" * 32)
    assert (draft.measures, draft.calibrations) == (review.measures, review.calibrations)
