from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as some

from aftercase.gui.strip.content import StripMark, content_of
from aftercase.gui.strip.drags import (
    MarkDrag,
    edge_at,
    edge_drag,
    mark_at,
    mark_drag,
    nearest,
    without,
)
from aftercase.gui.strip.hits import Hit
from aftercase.gui.strip.stretch import Stretch
from aftercase.media.frameclock import ClockPart, FrameClock

UNEVEN = np.array([0, 33_367, 66_734, 100_100, 300_000, 333_367], dtype=np.int64)
"""Starts at 29.97 frames a second, by ceiling, with a picture that stood still for 0.2 s."""

FREE = -1.0


def mark(content, name):
    return content.mark_by_id[name.ljust(26, "0")]


def drag_of(content, frames, name, edge, neighbour="", *, alone=False):
    hit = Hit("steps", (mark(content, name),), edge, neighbour.ljust(26, "0") if neighbour else "")
    return edge_drag(content, frames, hit, alone=alone)


@pytest.mark.parametrize(
    ("us", "expected"),
    [(0, 0), (16_683, 0), (16_684, 33_367), (200_000, 100_100), (200_100, 300_000)],
)
def test_an_edge_goes_to_the_nearest_frame(us, expected):
    frames = FrameClock([ClockPart(UNEVEN, 0, 366_734)])
    drag = MarkDrag(StripMark("", 0, 0, ("x",)), 0, Stretch(0, 366_734), np.empty(0, np.int64))
    assert mark_at(drag, us, frames, FREE) == (expected, expected)


def test_an_end_can_go_to_the_end_of_the_last_frame(content, by_hand):
    drag = drag_of(content, by_hand.frames, "seal", "end")
    assert edge_at(drag, 99_990_000, by_hand.frames, FREE) == 100_000_000
    assert edge_at(drag, 500_000_000, by_hand.frames, FREE) == 100_000_000


def test_a_frame_is_left_of_the_span_whichever_edge_is_dragged(content, by_hand):
    end = drag_of(content, by_hand.frames, "seal", "end")
    assert edge_at(end, 0, by_hand.frames, FREE) == 70_040_000
    start = drag_of(content, by_hand.frames, "seal", "start")
    assert edge_at(start, 99_000_000, by_hand.frames, FREE) == 94_960_000


def test_a_border_leaves_a_frame_of_both_spans(content, by_hand):
    drag = drag_of(content, by_hand.frames, "wound", "end", "nucleus")
    assert (drag.ended[:5], drag.begun[:7]) == ("wound", "nucleus")
    assert edge_at(drag, 0, by_hand.frames, FREE) == 10_040_000
    assert edge_at(drag, 99_000_000, by_hand.frames, FREE) == 59_960_000


def test_a_border_dragged_alone_leaves_the_neighbour_as_it_is(content, by_hand):
    drag = drag_of(content, by_hand.frames, "wound", "end", "nucleus", alone=True)
    assert (drag.ended[:5], drag.begun) == ("wound", "")
    assert edge_at(drag, 99_000_000, by_hand.frames, FREE) == 99_000_000


def test_an_edge_in_reach_of_another_goes_there_and_not_to_the_frame(content, by_hand):
    drag = drag_of(content, by_hand.frames, "seal", "start")
    # The pause ends at 70 s as well, where the seal began.
    assert edge_at(drag, 70_400_000, by_hand.frames, 600_000) == 70_000_000
    assert edge_at(drag, 70_700_000, by_hand.frames, 600_000) == 71_000_000
    assert edge_at(drag, 72_000_000, by_hand.frames, 600_000) == 72_000_000
    assert edge_at(drag, 70_490_000, by_hand.frames, FREE) == 70_480_000


def test_an_edge_is_not_drawn_back_to_where_it_was(content, by_hand):
    drag = drag_of(content, by_hand.frames, "seal", "end")
    assert edge_at(drag, 94_960_000, by_hand.frames, 600_000) == 94_960_000


def test_an_edge_that_would_snap_past_its_limit_stops_there(content, by_hand):
    drag = drag_of(content, by_hand.frames, "groove", "end")
    assert edge_at(drag, 25_010_000, by_hand.frames, 10_000_000) == 25_040_000


def test_a_moved_span_keeps_its_length_and_stays_inside_the_case(content, by_hand):
    drag = mark_drag(content, mark(content, "pause"), 65_000_000)
    assert mark_at(drag, 66_010_000, by_hand.frames, FREE) == (61_000_000, 71_000_000)
    assert mark_at(drag, 0, by_hand.frames, FREE) == (0, 10_000_000)
    assert mark_at(drag, 500_000_000, by_hand.frames, FREE) == (90_000_000, 100_000_000)


def test_either_end_of_a_moved_span_snaps_to_an_edge(content, by_hand):
    drag = mark_drag(content, mark(content, "pause"), 65_000_000)
    # Its end comes within 0.3 s of the groove's at 40 s; then its start of the seal's end.
    assert mark_at(drag, 35_300_000, by_hand.frames, 500_000) == (30_000_000, 40_000_000)


def test_a_moved_moment_lies_on_a_frames_start_never_on_the_end(content, by_hand):
    drag = mark_drag(content, mark(content, "slip"), 50_000_000)
    assert mark_at(drag, 99_999_999, by_hand.frames, FREE) == (99_960_000, 99_960_000)
    assert mark_at(drag, 50_030_000, by_hand.frames, FREE) == (50_040_000, 50_040_000)


def test_without_takes_away_one_of_several_edges_at_a_moment():
    edges = np.array([1, 5, 5, 5, 9])
    assert without(edges, 5, 1).tolist() == [1, 5, 5, 9]
    assert without(edges, 5, 9).tolist() == [1, 9]
    assert without(edges, 4, 1).tolist() == edges.tolist()


def test_no_edge_is_nearest_where_there_are_none():
    assert nearest(np.empty(0, np.int64), 5, 100) is None


@given(some.data())
def test_whatever_is_dragged_where_ever_it_lands_on_frames_and_is_never_empty(data):
    gaps = data.draw(some.lists(some.integers(1, 90_000), min_size=12, max_size=40))
    starts = np.concatenate([[0], np.cumsum(gaps)]).astype(np.int64)
    end_us = int(starts[-1]) + data.draw(some.integers(1, 90_000))
    frames = FrameClock([ClockPart(starts, 0, end_us)])
    first, last = sorted(
        data.draw(some.lists(some.integers(0, len(gaps)), min_size=2, max_size=2, unique=True))
    )
    span = StripMark("a" * 26, int(starts[first]), int(starts[last]), ("x",))
    bounds = Stretch(0, end_us)
    to_us = data.draw(some.integers(-end_us, 2 * end_us))
    drag = MarkDrag(span, span.start_us, bounds, np.array([end_us // 2]))
    start_us, stop_us = mark_at(drag, to_us, frames, FREE)
    edges = {*starts.tolist(), end_us}
    assert start_us in edges - {end_us}
    assert stop_us in edges
    assert start_us < stop_us


def test_an_edge_dragged_in_a_window_stays_in_the_window(by_hand):
    window = Stretch(15_000_000, 65_000_000)
    content = content_of(by_hand.review, by_hand.guide, by_hand.frames, window)
    drag = drag_of(content, by_hand.frames, "nucleus", "end")
    assert edge_at(drag, 90_000_000, by_hand.frames, FREE) == 65_000_000
    drag = drag_of(content, by_hand.frames, "wound", "start")
    assert edge_at(drag, 0, by_hand.frames, FREE) == 15_000_000
