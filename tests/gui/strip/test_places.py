from __future__ import annotations

import itertools

import pytest

from aftercase.gui.strip.content import content_of
from aftercase.gui.strip.places import Sizes, closed_plan, opened_plan, resting_height_px

TEXT_PX = (12, 14, 15, 18, 22, 30, 36)


def test_the_closed_strip_is_a_band_of_about_34_pixels_and_a_row_of_signs(content):
    plan = closed_plan(content, Sizes(14))
    assert plan.foot_top_px + plan.foot_px - plan.band_top_px in range(32, 37)
    assert plan.height_px == resting_height_px(Sizes(14)) < 56


@pytest.mark.parametrize("text_px", TEXT_PX)
def test_everything_grows_with_the_text_and_no_row_of_words_is_lower_than_it(content, text_px):
    for plan in (closed_plan(content, Sizes(text_px)), opened_plan(content, Sizes(text_px))):
        for title in plan.titles:
            assert title.height_px >= text_px - 1
        lowest = max(place.top_px + place.height_px for place in plan.places)
        assert lowest <= plan.height_px


@pytest.mark.parametrize("text_px", TEXT_PX)
def test_the_lanes_of_the_opened_strip_lie_below_each_other(content, text_px):
    plan = opened_plan(content, Sizes(text_px))
    titles = sorted((title.top_px, title.height_px) for title in plan.titles)
    for (top, height), (next_top, _) in itertools.pairwise(titles):
        assert top + height <= next_top
    named = [title.text for title in plan.titles]
    assert named == [
        "Time", "Remarks", "Steps", "Events", "Pauses", "Not seen", "Probe", "Knife", "Knife"
    ]  # fmt: skip


def test_a_hand_is_named_once_for_all_of_its_instruments(by_hand, content):
    plan = opened_plan(content, Sizes(15))
    sides = [title.side for title in plan.titles if title.text in ("Probe", "Knife")]
    assert sides == ["main", "second", "not said"]


def test_an_empty_review_keeps_its_lanes_but_has_no_row_of_instruments(by_hand):
    empty = content_of(by_hand.review_of(), by_hand.guide, by_hand.frames, by_hand.bounds)
    plan = opened_plan(empty, Sizes(15))
    assert [title.text for title in plan.titles] == [
        "Time", "Remarks", "Steps", "Events", "Pauses", "Not seen"
    ]  # fmt: skip
    assert plan.titles[2].height_px == Sizes(15).step_px


def test_parts_of_steps_are_bars_without_words_in_the_closed_strip(content):
    steps = [p for p in closed_plan(content, Sizes(15)).places if p.row.lane == "steps"]
    assert [place.has_words for place in steps] == [True, False]
    assert steps[1].height_px < steps[0].height_px
    opened = [p for p in opened_plan(content, Sizes(15)).places if p.row.lane == "steps"]
    assert [place.has_words for place in opened] == [True, True]
    assert opened[1].top_px == opened[0].top_px + opened[0].height_px
