from __future__ import annotations

import math
import random
from itertools import pairwise

import pytest

from aftercase.edit import records
from aftercase.edit.drawing import draw, thinned, undraw
from aftercase.edit.review import corrected, seal
from aftercase.errors import EditRefused, ReviewClosed
from aftercase.model.review import Drawing, Review


def some_id(number):
    return f"id{number:024d}"


def drawing(shape="arrow", points=((0.1, 0.2), (0.4, 0.5)), colour="sky", at_us=220):
    return Drawing(shape=shape, colour=colour, at_us=at_us, points=points)


def drawings(review, number=12):
    return records.found(review, some_id(number))[1].drawings


def test_a_remark_has_no_drawings_at_first(review):
    assert all(remark.drawings == () for remark in review.remarks)


def test_one_drawing_lies_on_its_remark_and_nowhere_else(review):
    after = draw(review, some_id(12), drawing())
    assert drawings(after) == (drawing(),)
    assert drawings(after, 13) == ()
    assert drawings(review) == ()


def test_a_later_drawing_lies_over_an_earlier_one(review):
    after = draw(draw(review, some_id(12), drawing()), some_id(12), drawing(colour="white"))
    assert [one.colour for one in drawings(after)] == ["sky", "white"]


def test_drawn_and_undrawn_is_the_same_review(review):
    once = draw(review, some_id(12), drawing())
    twice = draw(once, some_id(12), drawing("ring"))
    assert undraw(twice, some_id(12), drawing("ring")) == once
    assert undraw(once, some_id(12), drawing()) == review


def test_of_two_alike_the_later_goes(review):
    after = review
    for colour in ("sky", "white", "sky"):
        after = draw(after, some_id(12), drawing(colour=colour))
    after = undraw(after, some_id(12), drawing())
    assert [one.colour for one in drawings(after)] == ["sky", "white"]


def test_what_is_drawn_reads_back_from_a_file(review):
    way = tuple((0.1 + 0.8 * n / 99, 0.5 + 0.3 * math.sin(n / 5)) for n in range(100))
    after = draw(draw(review, some_id(12), drawing()), some_id(12), drawing("freehand", way))
    assert Review.model_validate_json(after.model_dump_json()) == after


def test_the_points_of_a_drawing_are_kept_to_the_pixel_of_any_film(review):
    """Five digits are a 25th of a pixel in 3,840."""
    after = draw(review, some_id(12), drawing(points=((1 / 3, 2 / 3), (0.1, 0.7777777))))
    assert drawings(after)[0].points == ((0.33333, 0.66667), (0.1, 0.77778))


def test_deleting_a_remark_takes_its_drawings_along(review):
    after = records.delete(draw(review, some_id(12), drawing()), some_id(12))
    assert [remark.drawings for remark in after.remarks] == [()]


def test_a_remark_that_is_moved_leaves_its_drawing_on_the_frame_it_was_drawn_on(review):
    after = records.change(draw(review, some_id(12), drawing()), some_id(12), at_us=100)
    assert drawings(after)[0].at_us == 220


def test_a_correction_keeps_what_was_drawn(review):
    after = corrected(seal(draw(review, some_id(12), drawing())), "ab" * 32)
    assert drawings(after) == (drawing(),)


@pytest.mark.parametrize(
    ("shape", "points"),
    [
        ("arrow", ((0.1, 0.1),)),
        ("arrow", ((0.1, 0.1), (0.2, 0.2), (0.3, 0.1))),
        ("ring", ()),
        ("line", ((0.1, 0.1), (0.2, 0.2), (0.3, 0.1))),
        ("freehand", ((0.1, 0.1),)),
        ("freehand", ()),
    ],
)
def test_a_shape_with_the_wrong_number_of_points_is_refused(shape, points, review):
    with pytest.raises(EditRefused, match="points"):
        draw(review, some_id(12), drawing(shape, points))


@pytest.mark.parametrize("shape", ["arrow", "ring", "line", "freehand"])
def test_a_click_without_a_drag_draws_nothing(shape, review):
    with pytest.raises(EditRefused, match="too small") as caught:
        draw(review, some_id(12), drawing(shape, ((0.5, 0.5), (0.501, 0.5))))
    assert "Drag" in caught.value.hint


def test_only_remarks_are_drawn_on(review):
    with pytest.raises(EditRefused, match="Only a remark"):
        draw(review, some_id(11), drawing())
    with pytest.raises(EditRefused, match=some_id(999)):
        draw(review, some_id(999), drawing())
    with pytest.raises(EditRefused, match="not on the remark"):
        undraw(review, some_id(12), drawing())


def test_a_closed_review_is_not_drawn_on(review):
    drawn = draw(review, some_id(12), drawing())
    with pytest.raises(ReviewClosed):
        draw(seal(drawn), some_id(12), drawing())
    with pytest.raises(ReviewClosed):
        undraw(seal(drawn), some_id(12), drawing())


def distance_to_way(point, way):
    """Distance of a point to a line through points, by trying 200 places on each stretch."""
    return min(
        math.dist(point, (x0 + (x1 - x0) * t / 200, y0 + (y1 - y0) * t / 200))
        for (x0, y0), (x1, y1) in pairwise(way)
        for t in range(201)
    )


def test_thinning_few_points_changes_nothing():
    assert thinned(()) == ()
    assert thinned(((0.1, 0.1),)) == ((0.1, 0.1),)
    assert thinned(((0.1, 0.1), (0.2, 0.5))) == ((0.1, 0.1), (0.2, 0.5))


def test_a_corner_is_kept_and_what_lies_between_goes():
    way = [(0.1, n / 100) for n in range(10, 60)] + [(0.1 + n / 100, 0.6) for n in range(40)]
    assert thinned(way) == ((0.1, 0.1), (0.1, 0.6), (0.49, 0.6))


def test_a_hand_s_way_is_followed_within_a_pixel_by_far_fewer_points():
    chance = random.Random(3)
    way = [
        (0.5 + 0.3 * math.cos(n / 40) + chance.gauss(0, 1e-4), 0.5 + 0.3 * math.sin(n / 40))
        for n in range(250)
    ]
    kept = thinned(way)
    assert (kept[0], kept[-1]) == (way[0], way[-1])
    # A chord that leaves a circle of radius 0.3 by 0.0005 spans 0.1155: 54 would do for 6.25.
    assert 54 <= len(kept) < 2 * 54
    assert max(distance_to_way(point, kept) for point in way) < 0.0005 + 0.0001


def test_a_closed_way_comes_back_to_where_it_began():
    way = [(0.5 + 0.2 * math.cos(n / 10), 0.5 + 0.2 * math.sin(n / 10)) for n in range(63)]
    kept = thinned([*way, way[0]])
    assert kept[0] == kept[-1]
    assert len(kept) > 10


def test_a_scribble_is_never_refused_for_its_length(review):
    chance = random.Random(4)
    way = tuple((chance.random(), chance.random()) for _ in range(3000))
    after = draw(review, some_id(12), drawing("freehand", way))
    assert 2 <= len(drawings(after)[0].points) <= 500
