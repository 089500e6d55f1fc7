from __future__ import annotations

import numpy as np
import pytest

from aftercase.vision.crossings import Thing
from aftercase.vision.entries import apart_deg, entries, middle_deg, places_deg

RATE_HZ = 5.0


def bar(direction, width=12.0, contrast=40.0):
    return Thing(direction, width, contrast)


def followed(moments, unseen=()):
    seen = np.ones(len(moments), np.bool_)
    seen[list(unseen)] = False
    return entries([tuple(one) for one in moments], seen, RATE_HZ)


def spans(found):
    return [(one.first, one.stop, round(one.direction_deg)) for one in found]


def test_nothing_has_no_entries():
    assert followed([]) == ()
    assert followed([[]] * 20) == ()


def test_a_bar_that_comes_stays_and_goes_is_one_entry():
    [entry] = followed([[]] * 5 + [[bar(170)]] * 10 + [[]] * 5)
    assert (entry.first, entry.stop, entry.direction_deg, entry.share) == (5, 15, 170.0, 1.0)


def test_two_bars_at_once_are_two_entries_each_with_its_own_time():
    moments = [[bar(170)]] * 5 + [[bar(170), bar(248)]] * 15 + [[bar(170)]] * 5
    assert spans(followed(moments)) == [(0, 25, 170), (5, 20, 248)]


def test_a_bar_that_is_out_for_a_second_came_twice():
    moments = [[bar(170)]] * 10 + [[]] * 5 + [[bar(170)]] * 10
    assert spans(followed(moments)) == [(0, 10, 170), (15, 25, 170)]


def test_a_blink_of_two_pictures_does_not_split_an_entry():
    [entry] = followed([[bar(170)]] * 10 + [[]] * 2 + [[bar(172)]] * 10)
    assert (entry.first, entry.stop) == (0, 22)
    assert entry.share == pytest.approx(20 / 22)


def test_a_stretch_that_was_not_seen_does_not_split_an_entry():
    moments = [[bar(170)]] * 10 + [[]] * 20 + [[bar(172)]] * 10
    [entry] = followed(moments, unseen=range(10, 30))
    assert (entry.first, entry.stop, entry.share) == (0, 40, 1.0)
    assert len(followed(moments)) == 2  # had it been seen, it would be two


def test_after_a_minute_unseen_it_is_another_entry():
    moments = [[bar(170)]] * 10 + [[]] * 300 + [[bar(170)]] * 10
    assert len(followed(moments, unseen=range(10, 310))) == 2


def test_an_instrument_that_is_turned_slowly_stays_the_same():
    [entry] = followed([[bar(160 + n)] for n in range(60)])
    assert entry.direction_deg == pytest.approx(189.5)


def test_a_bar_elsewhere_is_another_one():
    moments = [[bar(170)]] * 10 + [[bar(60)]] * 10
    assert spans(followed(moments)) == [(0, 10, 170), (10, 20, 60)]


def test_across_straight_up_a_bar_stays_the_same():
    [entry] = followed([[bar((355 + n) % 360)] for n in range(11)])
    assert apart_deg(entry.direction_deg, 0.0) < 1e-9


def test_what_is_wide_for_a_moment_does_not_break_what_goes_on():
    wide = [[bar(160, 54)], [bar(148, 30)], [bar(140, 12)]]
    [entry] = followed([[bar(170, 24)]] * 10 + wide + [[bar(171, 24)]] * 10)
    assert (entry.first, entry.stop) == (0, 23)


def test_two_that_touch_for_two_seconds_are_still_two_afterwards():
    apart, one = [bar(170, 24), bar(210, 12)], [bar(186, 60)]
    found = followed([apart] * 20 + [one] * 10 + [apart] * 20)
    assert spans(found) == [(0, 50, 170), (0, 50, 210)]


def test_one_that_lies_under_another_for_ten_seconds_went_out_and_came_again():
    apart, one = [bar(170, 24), bar(210, 12)], [bar(186, 60)]
    found = followed([apart] * 20 + [one] * 50 + [apart] * 20)
    assert [(each.first, each.stop) for each in found] == [(0, 90), (0, 20), (70, 90)]


@pytest.mark.parametrize(
    "moments",
    [
        [[]] * 5 + [[bar(268)]] * 3 + [[]] * 5,  # 0.6 s
        [[bar(141, contrast=17.0)]] * 12,  # as faint as fluid
        [[bar(90)], [], [], []] * 6,  # flickers
    ],
    ids=["short", "faint", "flickering"],
)
def test_what_is_short_faint_or_flickers_is_no_entry(moments):
    assert followed(moments) == ()


def test_what_shows_for_a_moment_beside_what_is_there_all_the_time_is_its_shadow():
    moments = [[bar(170)]] * 10 + [[bar(170), bar(210)]] * 6 + [[bar(170)]] * 10
    assert spans(followed(moments)) == [(0, 26, 170)]


def test_the_middle_of_directions_lies_among_them_across_straight_up_too():
    assert middle_deg([10.0]) == 10.0
    assert apart_deg(middle_deg([350.0, 0.0, 10.0]), 0.0) < 1e-9
    assert middle_deg([90.0, 100.0, 240.0]) == pytest.approx(100.0)


def test_places_are_counted_in_the_order_they_come():
    assert places_deg([]) == ()
    assert places_deg([170.0]) == (0,)
    assert places_deg([54.0, 246.0, 244.0, 297.0, 171.0, 168.0, 160.0, 246.0]) == (
        *(0, 1, 1, 2, 3, 3, 3, 1),
    )
    assert places_deg([355.0, 5.0, 180.0]) == (0, 0, 1)
