from __future__ import annotations

import numpy as np
import pytest

from aftercase.gui.strip.content import content_of, told, words_at
from aftercase.gui.strip.stretch import Stretch
from aftercase.media.frameclock import ClockPart, FrameClock
from aftercase.model.review import (
    Event,
    InstrumentSpan,
    PauseSpan,
    Remark,
    StepSpan,
    UnseenSpan,
)


def names(row):
    return [mark.words[0] for mark in row.marks]


def test_an_empty_review_has_nothing_to_show(by_hand):
    content = content_of(by_hand.review_of(), by_hand.guide, by_hand.frames, by_hand.bounds)
    assert [row.lane for row in content.rows] == ["remarks", "events"]
    assert not any(row.marks for row in content.rows)
    assert content.edges_us.size == 0
    assert words_at(content, 0, 40_000) == "nothing marked here"


def test_a_part_stands_below_its_whole(content):
    whole, parts = content.of("steps")
    assert names(whole) == ["Making the wound", "Nucleus removal", "Sealing"]
    assert names(parts) == ["Groove"]


def test_a_part_that_begins_with_its_whole_stands_below_it(by_hand):
    review = by_hand.review_of(
        steps=[
            StepSpan(**by_hand.span("a", 10, 12, step="groove")),
            StepSpan(**by_hand.span("b", 10, 30, step="nucleus")),
        ]
    )
    content = content_of(review, by_hand.guide, by_hand.frames, by_hand.bounds)
    assert [names(row) for row in content.of("steps")] == [["Nucleus removal"], ["Groove"]]


def test_spans_that_touch_stand_in_one_row(by_hand):
    review = by_hand.review_of(
        pauses=[
            PauseSpan(**by_hand.span("a", 1, 2)),
            PauseSpan(**by_hand.span("b", 2, 3)),
            PauseSpan(**by_hand.span("c", 2.96, 4)),
        ]
    )
    content = content_of(review, by_hand.guide, by_hand.frames, by_hand.bounds)
    rows = [[mark.id[0] for mark in row.marks] for row in content.of("pauses")]
    assert rows == [["a", "b"], ["c"]]


def test_each_instrument_has_a_row_in_each_hand_and_the_main_hand_comes_first(content):
    rows = [(row.hand, row.name) for row in content.of("instruments")]
    assert rows == [("main", "Probe"), ("second", "Knife"), ("not said", "Knife")]


def test_words_the_guide_does_not_know_are_shown_as_they_are(by_hand):
    review = by_hand.review_of(
        steps=[StepSpan(**by_hand.span("a", 1, 2, step="polish"))],
        instruments=[InstrumentSpan(**by_hand.span("b", 1, 2, instrument="hook"))],
        events=[Event(**by_hand.at("c", 1, kind="odd"))],
        unseen=[UnseenSpan(**by_hand.span("d", 1, 2, reason="fog"))],
    )
    content = content_of(review, by_hand.guide, by_hand.frames, by_hand.bounds)
    assert words_at(content, 1_000_000, 1_040_000) == (
        "polish (not in the guide); not seen: fog; hook (not in the guide) (hand: not said); "
        "odd (not in the guide)"
    )


def test_what_lies_outside_of_the_window_is_not_there(by_hand):
    window = Stretch(15_000_000, 65_000_000)
    content = content_of(by_hand.review, by_hand.guide, by_hand.frames, window)
    shown = {mark.id.rstrip("0") for row in content.rows for mark in row.marks}
    assert shown == {
        "wound", "nucleus", "groove", "probe", "knife", "pause", "unseen", "slip", "good"
    }  # fmt: skip


def test_the_words_at_a_frame_name_everything_that_is_there(content):
    at_us = 15_000_000
    assert words_at(content, at_us, at_us + 40_000) == (
        "Making the wound; Knife (hand: second); well done: Held well"
    )


def test_a_span_is_over_at_its_end(content):
    assert words_at(content, 94_960_000, 95_000_000) == "Sealing"
    assert words_at(content, 95_000_000, 95_040_000) == "nothing marked here"


@pytest.mark.parametrize(
    ("fields", "expected"),
    [
        ({}, None),
        ({"takeover": "none"}, None),
        ({"takeover": "taken-over"}, (10, 30)),
        ({"takeover": "taken-over", "taken_over_us": 15_000_000}, (15, 30)),
        (
            {"takeover": "given-back", "taken_over_us": 15_000_000, "given_back_us": 20_000_000},
            (15, 20),
        ),
        ({"takeover": "given-back", "given_back_us": 20_000_000}, None),
    ],
)
def test_where_a_step_was_taken_over_is_shown_as_far_as_it_was_said(by_hand, fields, expected):
    review = by_hand.review_of(steps=[StepSpan(**by_hand.span("a", 10, 30, step="seal", **fields))])
    content = content_of(review, by_hand.guide, by_hand.frames, by_hand.bounds)
    found = [
        (mark.start_us / 1e6, mark.end_us / 1e6)
        for row in content.of("taken-over")
        for mark in row.marks
    ]
    assert found == ([expected] if expected else [])


def test_gaps_are_shown_and_are_nobodys_record(by_hand):
    gaps = ((5_000_000, 7_000_000),)
    content = content_of(by_hand.review, by_hand.guide, by_hand.frames, by_hand.bounds, gaps)
    [row] = content.of("gaps")
    assert names(row) == ["gap"]
    assert "" not in content.mark_by_id
    assert 5_000_000 in content.stops_us
    assert 5_000_000 not in content.edges_us


def test_a_missing_part_and_its_joint_are_shown(by_hand):
    film = ClockPart(by_hand.starts(50), 0, 2_000_000)
    missing = ClockPart(np.empty(0, dtype=np.int64), 2_000_000, 5_000_000)
    frames = FrameClock([film, missing])
    content = content_of(by_hand.review_of(), by_hand.guide, frames, Stretch(0, 5_000_000))
    [row] = content.of("missing")
    assert [(mark.start_us, mark.end_us) for mark in row.marks] == [(2_000_000, 5_000_000)]
    assert content.joints == ((2_000_000, 2),)


def test_a_case_without_any_film_says_so(by_hand):
    frames = FrameClock.without_film(5_000_000)
    content = content_of(by_hand.review_of(), by_hand.guide, frames, Stretch(0, 5_000_000))
    assert words_at(content, 0, 40_000) == "film not here"


def test_a_mark_is_told_with_its_times(content):
    marks = content.mark_by_id
    assert told(marks["wound".ljust(26, "0")]) == "Making the wound, 0:00:10.000 to 0:00:20.000"
    assert told(marks["slip".ljust(26, "0")]) == "slip: An slip, 0:00:50.000"


def test_only_marks_that_reach_into_a_stretch_are_seen_in_it(content):
    [whole, _] = content.of("steps")
    seen = [names(whole)[i] for i in range(3)[whole.seen_in(Stretch(20_000_000, 70_000_000))]]
    assert seen == ["Nucleus removal"]
    [events] = content.of("events")
    assert events.seen_in(Stretch(50_000_000, 80_000_000)) == slice(0, 1)


def test_a_row_is_never_torn_by_overlaps_however_many_there_are(by_hand):
    chance = np.random.default_rng(5)
    spans = [
        StepSpan(**by_hand.span(f"s{n:03d}", start, start + length, step="seal"))
        for n, (start, length) in enumerate(
            np.column_stack([chance.integers(0, 90, 200), chance.integers(1, 9, 200)]).tolist()
        )
    ]
    content = content_of(
        by_hand.review_of(steps=spans), by_hand.guide, by_hand.frames, by_hand.bounds
    )
    rows = content.of("steps")
    assert sum(len(row.marks) for row in rows) == 200
    for row in rows:
        assert (row.starts_us[1:] >= row.ends_us[:-1]).all()


def test_a_remark_of_a_kind_that_is_not_known_is_kept(by_hand):
    review = by_hand.review_of(remarks=[Remark(**by_hand.at("a", 3, kind="praise", text="Yes"))])
    content = content_of(review, by_hand.guide, by_hand.frames, by_hand.bounds)
    assert words_at(content, 3_000_000, 3_040_000) == "praise: Yes"
