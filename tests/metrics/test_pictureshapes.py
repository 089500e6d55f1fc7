"""What is drawn of a measure lies where it was pointed at, and on the frame."""

from __future__ import annotations

import math

import pytest

from aftercase.metrics.pictureshapes import measure_drawings, ruler_drawings
from aftercase.model.case import Case, GuideReference, Part, frame_shape
from aftercase.model.measure import Calibration, Measure
from aftercase.model.picture import shown_px
from aftercase.model.review import Review


def some_id(number):
    return f"id{number:024d}"


def case(**shown):
    film = Part(
        id=some_id(9), path="a.mp4", size_bytes=1, duration_us=100, quick_hash="",
        time_base=(1, 1000), start_us=0, end_us=100,
        **{"width_px": 1000, "height_px": 500, **shown},
    )  # fmt: skip
    guide = GuideReference(id="g", guide_version="1.0")
    return Case(id=some_id(1), code="C1", guide=guide, parts=(film,))


def circle(x_px, y_px, radius_px, n_points=8):
    turns = [2 * math.pi * n / n_points for n in range(n_points)]
    return tuple(
        ((x_px + radius_px * math.cos(t)) / 1000, (y_px + radius_px * math.sin(t)) / 500)
        for t in turns
    )


def drawn(kind, points, the_case=None, rulers=(), **fields):
    measure = Measure(id=some_id(3), kind=kind, at_us=20, points=points, **fields)
    review = Review(id=some_id(4), case=some_id(1), reviewer="T1", calibrations=rulers)
    return measure_drawings(the_case or case(), review, measure)


TWO = ((0.25, 0.5), (0.5, 0.5))
THREE = (*TWO, (0.5, 0.75))


@pytest.mark.parametrize("kind", ["ring", "length", "angle", "area"])
def test_what_has_no_points_or_no_frame_size_draws_nothing(kind):
    assert drawn(kind, ()) == ()
    assert drawn(kind, THREE, case(width_px=0)) == ()


def test_a_length_is_a_line_on_its_frame():
    (line,) = drawn("length", TWO)
    assert (line.shape, line.points) == ("line", TWO)
    assert (line.part, line.at_us, line.colour) == (0, 20, "sky")


def test_a_path_is_a_way_and_an_area_comes_back_to_its_start():
    (way,) = drawn("path", THREE)
    assert way.points == THREE
    (outline,) = drawn("area", THREE)
    assert outline.points == (*THREE, THREE[0])


@pytest.mark.parametrize(
    "shown", [{}, {"shown_turn_deg": 90}, {"shown_turn_deg": 270, "shown_mirrored": True}]
)
def test_a_ring_is_drawn_round_its_centre_however_the_film_is_shown(shown):
    (ring,) = drawn("ring", circle(400, 250, 100), case(**shown))
    assert len(ring.points) > 100
    assert ring.points[0] == pytest.approx(ring.points[-1])
    for x, y in ring.points:
        assert math.hypot(x * 1000 - 400, y * 500 - 250) == pytest.approx(100, abs=0.01)


def test_a_ring_that_reaches_out_of_the_frame_is_drawn_in_pieces_on_it():
    """A ring of 300 px on a frame 500 px high: what is left are its two sides."""
    assert len(drawn("ring", circle(500, 250, 240))) == 1
    left, right, low = (0.2, 0.5), (0.8, 0.5), (0.7598, 0.8)
    pieces = drawn("ring", (left, right, low))
    assert len(pieces) == 2
    places = [place for piece in pieces for place in piece.points]
    assert all(0 <= x <= 1 and 0 <= y <= 1 for x, y in places)
    assert {x < 0.5 for x, _ in pieces[0].points} != {x < 0.5 for x, _ in pieces[1].points}


def test_an_angle_is_drawn_from_its_centre_to_both_wounds():
    one, other = drawn("angle", TWO, around=((0.5, 0.25),))
    assert one.points == ((0.5, 0.25), TWO[0])
    assert other.points == ((0.5, 0.25), TWO[1])
    assert drawn("angle", TWO) == ()


def test_an_opening_lies_over_limbus_and_optic_each_in_its_own_colour():
    edge = circle(500, 250, 80)
    everything = drawn(
        "capsulorhexis", edge, around=circle(500, 250, 200), optic=circle(500, 250, 100)
    )
    assert [one.colour for one in everything] == ["white", "orange", "sky"]


def test_a_ruler_is_a_ring_or_a_line():
    def ruler(basis, points):
        return Calibration(
            id=some_id(2), start_us=0, end_us=100, at_us=10, basis=basis, points=points, size_mm=6.0
        )

    (line,) = ruler_drawings(case(), ruler("known-length", TWO))
    assert (line.points, line.at_us) == (TWO, 10)
    (ring,) = ruler_drawings(case(), ruler("limbus", circle(500, 250, 200)))
    assert len(ring.points) > 100
    assert ruler_drawings(case(width_px=0), ruler("limbus", circle(500, 250, 200))) == ()
    assert ruler_drawings(case(), ruler("limbus", ())) == ()


def test_what_is_drawn_is_shown_where_it_was_measured():
    """A point right on the edge is on the line that is drawn, as the picture is shown."""
    turned = case(shown_turn_deg=90)
    shape_px = [shown_px(x, y, frame_shape(turned, 0)) for x, y in circle(400, 250, 100)]
    (ring,) = drawn("ring", circle(400, 250, 100), turned)
    line_px = [shown_px(x, y, frame_shape(turned, 0)) for x, y in ring.points]
    for point in shape_px:
        assert min(math.dist(point, one) for one in line_px) < 2
