from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as some

from aftercase.gui.strip.stretch import Scale, Stretch, following, panned, within, zoomed

BOUNDS = Stretch(1000, 11_000)


def test_a_stretch_never_leaves_the_bounds():
    assert within(Stretch(0, 500), BOUNDS) == Stretch(1000, 1500)
    assert within(Stretch(10_900, 11_400), BOUNDS) == Stretch(10_500, 11_000)
    assert within(Stretch(0, 50_000), BOUNDS) == BOUNDS


def test_zooming_in_keeps_the_moment_under_the_pointer_where_it_is():
    shown = zoomed(BOUNDS, 0.5, 3500, BOUNDS, 1)
    assert shown == Stretch(2250, 7250)
    before, after = Scale(BOUNDS, 40, 800), Scale(shown, 40, 800)
    assert before.x_of(3500) == after.x_of(3500) == 240


def test_zooming_out_and_in_again_shows_the_same():
    shown = Stretch(4000, 5000)
    wide = zoomed(shown, 2, 4250, BOUNDS, 1)
    assert zoomed(wide, 0.5, 4250, BOUNDS, 1) == shown


def test_zooming_stops_at_the_whole_case_and_at_the_shortest_stretch():
    assert zoomed(Stretch(4000, 5000), 100, 4500, BOUNDS, 1) == BOUNDS
    assert zoomed(Stretch(4000, 5000), 0.001, 4500, BOUNDS, 320).length_us == 320


@given(
    some.integers(1000, 10_999), some.integers(1, 10_000), some.floats(0.01, 100),
    some.integers(0, 12_000), some.integers(1, 20_000),
)  # fmt: skip
def test_whatever_is_zoomed_lies_inside_the_bounds_and_is_not_empty(
    start, length, factor, at, least
):
    shown = within(Stretch(start, start + length), BOUNDS)
    after = zoomed(shown, factor, at, BOUNDS, least)
    assert BOUNDS.start_us <= after.start_us < after.end_us <= BOUNDS.end_us


def test_panning_stops_at_both_ends():
    assert panned(Stretch(2000, 3000), 500, BOUNDS) == Stretch(2500, 3500)
    assert panned(Stretch(2000, 3000), -5000, BOUNDS) == Stretch(1000, 2000)
    assert panned(Stretch(2000, 3000), 50_000, BOUNDS) == Stretch(10_000, 11_000)


def test_a_moment_in_sight_moves_nothing():
    shown = Stretch(2000, 3000)
    assert following(shown, 2000, 2999, BOUNDS) is shown


def test_a_moment_that_ran_out_of_sight_has_most_of_the_strip_ahead_of_it():
    assert following(Stretch(2000, 3000), 2999, 3000, BOUNDS) == Stretch(2900, 3900)
    assert following(Stretch(5000, 6000), 5000, 4999, BOUNDS) == Stretch(4099, 5099)


@pytest.mark.parametrize("us", [1000, 2345, 10_999])
def test_a_place_on_the_strip_gives_back_its_moment(us):
    scale = Scale(BOUNDS, 66, 20_000)
    assert scale.us_at(scale.x_of(us)) == us


def test_places_beside_the_strip_are_its_ends():
    scale = Scale(BOUNDS, 66, 1000)
    assert (scale.us_at(0), scale.us_at(5000)) == (1000, 11_000)


def test_several_moments_lie_where_each_of_them_does():
    scale = Scale(BOUNDS, 66, 1000)
    moments = np.array([1000, 6000, 11_000])
    assert scale.xs_of(moments).tolist() == [66, 566, 1066]
    assert [scale.x_of(int(us)) for us in moments] == [66, 566, 1066]
