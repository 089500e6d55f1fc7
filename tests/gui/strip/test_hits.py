from __future__ import annotations

import pytest

from aftercase.gui.strip.content import content_of
from aftercase.gui.strip.hits import hit_at, ids_in
from aftercase.gui.strip.layout import laid_out
from aftercase.gui.strip.places import Sizes, closed_plan, opened_plan
from aftercase.gui.strip.stretch import Scale, Stretch
from aftercase.model.review import PauseSpan

SIZES = Sizes(15)


@pytest.fixture
def opened(by_hand, content):
    return laid_out(opened_plan(content, SIZES), by_hand.scale, by_hand.width_of)


@pytest.fixture
def closed(by_hand, content):
    return laid_out(closed_plan(content, SIZES), by_hand.scale, by_hand.width_of)


def middle_of(layout, lane, number=0):
    """Return the height of the middle of a lane's row."""
    place = [drawn.place for drawn in layout.drawn if drawn.place.row.lane == lane][number]
    return place.top_px + place.height_px / 2


def short(hit):
    return tuple(mark_id.rstrip("0") for mark_id in hit.ids), hit.edge, hit.neighbour.rstrip("0")


def test_beside_the_clock_nothing_is_hit(opened):
    assert not hit_at(opened, -40, middle_of(opened, "steps")).is_on_clock
    assert not hit_at(opened, 1040, middle_of(opened, "steps")).is_on_clock
    assert hit_at(opened, 1004, middle_of(opened, "steps")).is_on_clock


def test_the_body_of_a_span_is_hit_in_its_row(opened):
    assert short(hit_at(opened, 400, middle_of(opened, "steps"), None)) == (("nucleus",), "", "")
    groove_px = middle_of(opened, "steps", 1)
    assert short(hit_at(opened, 320, groove_px, None)) == (("groove",), "", "")


def test_between_the_marks_only_the_lane_is_hit(opened):
    hit = hit_at(opened, 650, middle_of(opened, "steps"), None)
    assert (hit.lane, hit.marks) == ("steps", ())


def test_a_part_lies_above_its_whole_where_the_strip_is_closed(closed):
    bar_px = middle_of(closed, "steps", 1)
    assert short(hit_at(closed, 320, bar_px)) == (("groove",), "", "")
    assert short(hit_at(closed, 450, bar_px)) == (("nucleus",), "", "")


def test_an_event_lies_above_what_it_stands_on(closed):
    assert short(hit_at(closed, 499, middle_of(closed, "events"))) == (("slip",), "", "")
    assert short(hit_at(closed, 620, middle_of(closed, "events"))) == (("pause",), "", "")


@pytest.mark.parametrize(
    ("x_px", "expected"),
    [
        (94.9, ((), "", "")),
        (95.1, (("wound",), "start", "")),
        (104.9, (("wound",), "start", "")),
        (105.1, (("wound",), "", "")),
        (594, (("nucleus",), "", "")),
        (596, (("nucleus",), "end", "")),
        (604, (("nucleus",), "end", "")),
        (606, ((), "", "")),
    ],
)
def test_an_edge_is_hit_from_five_pixels_off_on_both_sides(opened, x_px, expected):
    assert short(hit_at(opened, x_px, middle_of(opened, "steps"), None)) == expected


@pytest.mark.parametrize("x_px", [196, 199, 200, 201, 204])
def test_an_edge_that_two_spans_share_is_the_border_of_both(opened, x_px):
    expected = (("wound",), "end", "nucleus")
    assert short(hit_at(opened, x_px, middle_of(opened, "steps"), None)) == expected


def test_a_narrow_span_can_still_be_grabbed_by_its_body(by_hand):
    review = by_hand.review_of(pauses=[PauseSpan(**by_hand.span("a", 50, 50.9))])
    content = content_of(review, by_hand.guide, by_hand.frames, by_hand.bounds)
    layout = laid_out(opened_plan(content, SIZES), by_hand.scale, by_hand.width_of)
    y_px = middle_of(layout, "pauses")
    hits = [short(hit_at(layout, x, y_px, None))[1] for x in (501, 504.5, 508)]
    assert hits == ["start", "", "end"]


def test_a_span_thinner_than_a_pixel_is_hit_from_close_by(by_hand):
    review = by_hand.review_of(pauses=[PauseSpan(**by_hand.span("a", 50, 50.04))])
    content = content_of(review, by_hand.guide, by_hand.frames, by_hand.bounds)
    layout = laid_out(opened_plan(content, SIZES), by_hand.scale, by_hand.width_of)
    y_px = middle_of(layout, "pauses")
    assert [bool(hit_at(layout, x, y_px).marks) for x in (497, 499, 502, 503)] == [
        False, True, True, False
    ]  # fmt: skip


def test_without_handles_an_edge_is_part_of_the_body(opened):
    assert short(hit_at(opened, 199, middle_of(opened, "steps"), ())) == (("wound",), "", "")


def test_only_the_edges_of_given_spans_can_be_grabbed(opened, by_hand):
    y_px = middle_of(opened, "steps")
    handles = {by_hand.id("nucleus")}
    assert short(hit_at(opened, 102, y_px, handles))[1] == ""
    assert short(hit_at(opened, 598, y_px, handles)) == (("nucleus",), "end", "")
    assert short(hit_at(opened, 202, y_px, handles)) == (("wound",), "end", "nucleus")


def test_an_edge_out_of_sight_cannot_be_grabbed(by_hand, content):
    scale = Scale(Stretch(20_400_000, 30_000_000), 0, 1000)
    layout = laid_out(opened_plan(content, SIZES), scale, by_hand.width_of)
    assert short(hit_at(layout, 1, middle_of(layout, "steps"), None)) == (("nucleus",), "", "")


def test_a_rectangle_selects_what_it_touches_in_its_lanes(opened, by_hand):
    steps, probes = middle_of(opened, "steps"), middle_of(opened, "instruments")
    whole = Stretch(19_000_000, 61_000_000)
    assert {i.rstrip("0") for i in ids_in(opened, whole, steps - 1, steps + 1)} == {
        "wound", "nucleus"
    }  # fmt: skip
    everything = {i.rstrip("0") for i in ids_in(opened, whole, steps, probes)}
    assert everything == {"wound", "nucleus", "groove", "slip", "pause", "unseen", "probe"}
    assert ids_in(opened, Stretch(1_000_000, 9_000_000), 0, 1000) == ()
