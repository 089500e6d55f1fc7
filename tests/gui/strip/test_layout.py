from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as some

from aftercase.gui.strip.content import Row, StripMark, content_of
from aftercase.gui.strip.layout import (
    block_line,
    blocks_of,
    curve,
    fitting,
    frame_ticks,
    laid_out,
    ruler,
    signs_of,
)
from aftercase.gui.strip.places import Place, Sizes, closed_plan, opened_plan
from aftercase.gui.strip.stretch import Scale, Stretch
from aftercase.media.frameclock import ClockPart, FrameClock
from aftercase.model.review import Event, UnseenSpan

SIZES = Sizes(15)


def place_of(*spans_us, words=("Nucleus removal", "Nucleus")):
    marks = tuple(StripMark(str(n), start, end, words) for n, (start, end) in enumerate(spans_us))
    return Place(Row("steps", marks), "block", 0, 20)


def blocks(place, scale, width_of):
    found = blocks_of(place, scale, width_of)
    return list(
        zip(found.lefts_px.tolist(), found.rights_px.tolist(), found.numbers.tolist(), strict=True)
    )


def test_an_empty_row_has_no_blocks(by_hand):
    assert blocks(place_of(), by_hand.scale, by_hand.width_of) == []


def test_a_block_lies_where_its_span_does(by_hand):
    place = place_of((10_000_000, 20_000_000), (20_000_000, 60_000_000))
    assert blocks(place, by_hand.scale, by_hand.width_of) == [(100, 200, 0), (200, 600, 1)]


def test_what_falls_into_one_pixel_is_merged_and_still_a_pixel_wide(by_hand):
    crowd = [(50_000_000 + n * 10_000, 50_005_000 + n * 10_000) for n in range(9)]
    place = place_of(*crowd, (51_000_000, 60_000_000))
    assert blocks(place, by_hand.scale, by_hand.width_of) == [(500, 501, 0), (510, 600, 9)]


def test_two_thousand_spans_are_no_more_blocks_than_pixels(by_hand):
    place = place_of(*[(n * 50_000, n * 50_000 + 40_000) for n in range(2000)])
    found = blocks_of(place, by_hand.scale, by_hand.width_of)
    assert len(found.numbers) == 1000
    assert found.lefts_px.tolist() == list(range(1000))


def test_a_span_that_goes_on_beside_the_strip_has_its_edges_out_of_sight(by_hand):
    scale = Scale(Stretch(30_000_000, 40_000_000), 60, 1000)
    [(left, right, _)] = blocks(place_of((20_000_000, 60_000_000)), scale, by_hand.width_of)
    assert left < 60
    assert right > 1060


def test_the_longest_word_that_fits_is_written_and_none_where_none_does(by_hand):
    place = place_of(
        (0, 11_300_000),
        (20_000_000, 31_200_000),
        (40_000_000, 45_700_000),
        (60_000_000, 65_600_000),
    )
    # "Nucleus removal" is 15 letters of 7 pixels, "Nucleus" 49, with 4 pixels on both sides.
    found = blocks_of(place, by_hand.scale, by_hand.width_of)
    assert found.words == {0: "Nucleus removal", 1: "Nucleus", 2: "Nucleus"}


def test_a_word_has_the_room_that_is_in_sight_only(by_hand):
    scale = Scale(Stretch(50_000_000, 150_000_000), 0, 1000)
    found = blocks_of(place_of((0, 55_000_000)), scale, by_hand.width_of)
    assert found.words == {}


def test_a_word_never_hides_the_hatching_it_stands_on(by_hand):
    # "gap" is 21 pixels and 8 of room; 24 more stay hatched.
    for length_us, expected in ((5_200_000, {}), (5_300_000, {0: "gap"})):
        place = place_of((0, length_us), words=("gap",))
        hatched = Place(place.row, "hatch", 0, 20)
        assert blocks_of(hatched, by_hand.scale, by_hand.width_of).words == expected


def test_fitting_words_need_no_room_where_there_are_none():
    assert fitting((), 100.0, len) == ""


def test_signs_stand_side_by_side_and_the_crowded_ones_share_one():
    marks = [StripMark(str(n), n, n, ("x",)) for n in range(6)]
    signs = signs_of(marks, [100, 100, 105, 110, 112, 300], 14)
    # Each is 14 wide; the third would stand at 128, 23 from its moment at 105: too far by 2.
    assert [(sign.x_px, len(sign.marks)) for sign in signs] == [
        (100, 1),
        (114, 1 + 1),
        (128, 2),
        (300, 1),
    ]


@given(some.lists(some.floats(0, 1000), max_size=80))
def test_signs_never_overlap_and_stand_for_every_moment(at_px):
    marks = [StripMark(str(n), n, n, ("x",)) for n in range(len(at_px))]
    signs = signs_of(marks, sorted(at_px), 14)
    assert [mark for sign in signs for mark in sign.marks] == marks
    assert all(b.x_px - a.x_px >= 14 - 1e-9 for a, b in pairwise(signs))


def test_a_word_is_not_written_where_a_sign_of_the_closed_strip_stands(by_hand):
    unseen = UnseenSpan(**by_hand.span("a", 20, 40))
    alone = by_hand.review_of(unseen=[unseen])
    beside = by_hand.review_of(
        unseen=[unseen], events=[Event(**by_hand.at("b", 39, kind="an-slip"))]
    )
    over = by_hand.review_of(unseen=[unseen], events=[Event(**by_hand.at("b", 22, kind="an-slip"))])

    def words(review, plan):
        content = content_of(review, by_hand.guide, by_hand.frames, by_hand.bounds)
        layout = laid_out(plan(content, SIZES), by_hand.scale, by_hand.width_of)
        [row] = [drawn for drawn in layout.drawn if drawn.place.row.lane == "unseen"]
        return list(row.blocks.words.values())

    assert words(alone, closed_plan) == words(beside, closed_plan) == ["not seen"]
    assert words(over, closed_plan) == []
    assert words(over, opened_plan) == ["not seen"]


def test_the_opened_strip_names_events_that_have_room_before_the_next(by_hand):
    events = [
        Event(**by_hand.at(n, s, kind="an-slip")) for n, s in (("a", 10), ("b", 50), ("c", 52))
    ]
    content = content_of(
        by_hand.review_of(events=events), by_hand.guide, by_hand.frames, by_hand.bounds
    )
    layout = laid_out(opened_plan(content, SIZES), by_hand.scale, by_hand.width_of)
    [row] = [drawn for drawn in layout.drawn if drawn.place.row.lane == "events"]
    assert [sign.word for sign in row.signs] == ["An slip", "", "An slip"]


def test_the_ruler_counts_in_round_steps_as_close_as_they_are_readable(by_hand):
    times = ruler(by_hand.scale, by_hand.width_of)
    assert [text for _, text in times][:4] == ["0:00:00", "0:00:15", "0:00:30", "0:00:45"]
    assert [x for x, _ in times][:3] == [0, 150, 300]


def test_the_ruler_shows_milliseconds_where_steps_are_shorter_than_a_second(by_hand):
    scale = Scale(Stretch(10_000_000, 11_000_000), 0, 1000)
    assert ruler(scale, by_hand.width_of)[1] == (200.0, "0:00:10.200")


def test_the_ruler_writes_nothing_where_something_else_stands_or_the_strip_ends(by_hand):
    # A time takes 11 letters of 7 pixels and 8 of room: 85.
    scale = Scale(Stretch(0, 95_000_000), 0, 950)
    times = ruler(scale, by_hand.width_of, [(300, 340)])
    assert [x for x, _ in times] == [0, 150, 300, 450, 600, 750, 900]
    assert [text for _, text in times] == [
        "0:00:00", "0:00:15", "", "0:00:45", "0:01:00", "0:01:15", ""
    ]  # fmt: skip


def test_frames_are_ticks_only_where_they_can_be_told_apart(by_hand):
    assert frame_ticks(by_hand.frames, by_hand.scale) == []
    scale = Scale(Stretch(10_000_000, 10_200_000), 0, 1000)
    assert frame_ticks(by_hand.frames, scale) == [0, 200, 400, 600, 800]


def test_uneven_frames_are_ticks_where_they_start():
    frames = FrameClock([ClockPart(np.array([0, 40_000, 45_000, 160_000]), 0, 200_000)])
    scale = Scale(Stretch(0, 200_000), 0, 1000)
    assert frame_ticks(frames, scale) == [0, 200, 225, 800]


def test_a_curve_keeps_the_highest_of_what_falls_into_a_pixel():
    numbers = np.zeros(1000)
    numbers[505] = 8.0
    points = curve(numbers, 100_000_000, Scale(Stretch(0, 100_000_000), 0, 100))
    assert [x for x, height in points if height] == [50.0]
    assert max(height for _, height in points) == 1.0


def test_a_curve_of_nothing_or_of_no_numbers_is_flat():
    scale = Scale(Stretch(0, 1_000_000), 0, 10)
    assert curve(np.empty(0), 1_000_000, scale) == []
    assert {height for _, height in curve(np.full(5, np.nan), 1_000_000, scale)} == {0.0}


def line_by_loop(spans, tones, edge, width):
    line = [0] * (width + 1)
    for (left, right), tone in zip(spans, tones, strict=True):
        for x in range(left, right):
            line[x] = tone
    for left, right in spans:
        line[left] = line[right] = edge
    return line[:width]


@pytest.mark.parametrize("seed", range(20))
def test_a_line_of_blocks_is_the_same_as_drawn_pixel_by_pixel(seed):
    chance = np.random.default_rng(seed)
    edges = np.sort(chance.choice(400, 40, replace=False)).tolist()
    joined = chance.random(39) < 0.5
    spans = [(a, b) for a, b, keep in zip(edges[:-1], edges[1:], joined, strict=True) if keep]
    tones = chance.integers(1, 2**32, len(spans), dtype=np.uint32)
    lefts, rights = (np.array(side, dtype=np.int64) for side in zip(*spans, strict=True))
    ours = block_line(lefts, rights, tones, np.uint32(7), 400)
    assert ours.tolist() == line_by_loop(spans, tones.tolist(), 7, 400)
