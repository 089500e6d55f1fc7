"""The clock against exact fractions, which know no rounding."""

from __future__ import annotations

import math
from bisect import bisect_right
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from aftercase.clock import (
    code_of_frame_number,
    frame_number_from_code,
    index_at,
    retimed,
    seconds_text,
    seconds_to_us,
    text_of,
    ticks_to_us,
    us_from_text,
    us_to_ms,
)
from aftercase.errors import TimeOutside, TimeUnreadable

TIME_BASES = (
    Fraction(1, 25),
    Fraction(1001, 30000),
    Fraction(1001, 60000),
    Fraction(1, 90000),
    Fraction(1, 1000),
)
AT_29_97 = Fraction(1001, 30000)
DAY_TICKS = 90_000 * 86_400

time_bases = st.sampled_from(TIME_BASES)
ticks = st.integers(-DAY_TICKS, DAY_TICKS)


def exact_frame_at(us: int | Fraction, time_base: Fraction) -> int:
    """Return the tick whose frame is shown at a moment: the last one not after it, exactly."""
    return math.floor(Fraction(us) / 1_000_000 / time_base)


@given(ticks, time_bases)
def test_the_frame_shown_at_a_frame_s_own_time_is_that_frame(tick, time_base):
    assert exact_frame_at(ticks_to_us(tick, time_base), time_base) == tick


@given(ticks, time_bases)
def test_ceiling_is_the_smallest_microsecond_not_before_the_tick(tick, time_base):
    exact = tick * time_base * 1_000_000
    us = ticks_to_us(tick, time_base)
    assert us - 1 < exact <= us


def test_floor_would_lose_two_frames_of_three_and_nearest_one_at_29_97():
    frames = range(3000)
    exact = [frame * AT_29_97 * 1_000_000 for frame in frames]
    wrong_by_floor = sum(exact_frame_at(math.floor(t), AT_29_97) != f for f, t in enumerate(exact))
    wrong_by_nearest = sum(exact_frame_at(round(t), AT_29_97) != f for f, t in enumerate(exact))
    wrong_by_ceiling = sum(exact_frame_at(math.ceil(t), AT_29_97) != f for f, t in enumerate(exact))
    assert (wrong_by_floor, wrong_by_nearest, wrong_by_ceiling) == (2000, 1000, 0)


def test_nearest_milliseconds_would_lose_about_half_of_the_frames_at_29_97():
    exact = [frame * AT_29_97 * 1_000 for frame in range(3000)]
    wrong = sum(exact_frame_at(round(t) * 1_000, AT_29_97) != f for f, t in enumerate(exact))
    assert 0.45 < wrong / 3000 < 0.55


@pytest.mark.parametrize("rate", [25, AT_29_97**-1, Fraction(60000, 1001), 120, 500])
@pytest.mark.parametrize("first", [0, 7, 1_078_920])
def test_a_printed_time_read_back_shows_the_same_frame(rate, first):
    time_base = 1 / Fraction(rate)
    for tick in range(first, first + 2000):
        start_us = ticks_to_us(tick, time_base)
        for printed in (text_of(start_us), seconds_text(start_us)):
            assert exact_frame_at(us_from_text(printed), time_base) == tick, printed


@given(st.integers(-(10**15), 10**15))
def test_both_ways_of_printing_read_back_to_the_same_millisecond(us):
    expected = -((-us) // 1000) * 1000
    assert us_from_text(text_of(us)) == us_from_text(seconds_text(us)) == expected
    assert us_to_ms(us) * 1000 == expected


@pytest.mark.parametrize(
    ("text", "us"),
    [
        ("0", 0),
        ("-0", 0),
        ("83.5", 83_500_000),
        ("83,5", 83_500_000),
        ("83.", 83_000_000),
        (".5", 500_000),
        ("-.5", -500_000),
        (" 7 ", 7_000_000),
        ("1:23", 83_000_000),
        ("01:23.5", 83_500_000),
        ("1:02:03,004", 3_723_004_000),
        ("-0:00:00.040", -40_000),
        ("100:00:00", 360_000_000_000),
        ("0.0000001", 1),
        ("0:00.0000001", 1),
        ("-0.0000001", 0),
        ("-0:00.0000001", 0),
        ("999999999999", 999_999_999_999_000_000),
    ],
)
def test_a_typed_time_is_read(text, us):
    assert us_from_text(text) == us


@pytest.mark.parametrize(
    "text",
    [
        "",
        " ",
        "abc",
        "NaN",
        "inf",
        "-inf",
        "1e9",
        "0x10",
        "1:99",
        "1:60:00",
        "1:2:3:4",
        "1::2",
        ":",
        "-",
        ".",
        "--1",
        "+1",
        "1_000",
        "1,000.5",
        "1.2.3",
        "1:-2",
        "١٢",
        "１２",
        "²",
        "1\n2",
        "1:23\x00",
        "∞",
        "9" * 13,
        "9" * 5000,
        "1:" * 2000,
        "0." + "1" * 5000,
        "9" * 5000 + ":00:00",
    ],
)
def test_what_is_no_time_is_refused_with_what_to_give(text):
    with pytest.raises(TimeUnreadable) as caught:
        us_from_text(text)
    assert "seconds" in caught.value.hint
    assert len(caught.value.message) < 100


@given(st.text(max_size=40))
def test_any_text_is_a_time_or_refused_and_nothing_else_happens(text):
    try:
        us = us_from_text(text)
    except TimeUnreadable:
        return
    assert -(2**62) < us < 2**62


def test_seconds_as_a_fraction_go_up_to_the_next_microsecond():
    assert seconds_to_us(0) == 0
    assert seconds_to_us(Fraction(1, 3)) == 333_334
    assert seconds_to_us(Fraction(-1, 3)) == -333_333


def test_no_frame_is_shown_where_there_are_none():
    with pytest.raises(TimeOutside):
        index_at([], 0)


def test_no_frame_is_shown_before_the_first():
    with pytest.raises(TimeOutside, match=r"0:00:00\.010"):
        index_at([10_001], 10_000)


def test_the_last_frame_stays_for_every_later_moment():
    assert [index_at([0, 40_000], us) for us in (0, 39_999, 40_000, 10**12)] == [0, 0, 1, 1]


def test_a_mark_moves_with_its_frame_and_not_by_added_microseconds():
    old = [ticks_to_us(n, AT_29_97) for n in range(300)]
    new = [ticks_to_us(n + 100, AT_29_97) for n in range(300)]
    assert [retimed(us, old, new) for us in old] == new
    added = [us + new[0] for us in old]
    shown = [exact_frame_at(us, AT_29_97) - 100 for us in added]
    assert sum(frame != number for number, frame in enumerate(shown)) == 0
    # The other way round, shortening by the cut's own length, adding loses frames.
    taken_off = [us - new[0] for us in new]
    early = [exact_frame_at(us, AT_29_97) for us in taken_off]
    assert sum(frame != number for number, frame in enumerate(early)) == 100


@given(st.lists(st.integers(1, 10**6), min_size=1, max_size=30), st.data())
def test_retiming_is_the_position_looked_up_in_the_new_list(steps, data):
    old = [sum(steps[: n + 1]) for n in range(len(steps))]
    new = [7 * start for start in old]
    us = data.draw(st.integers(old[0], old[-1] + 10))
    assert retimed(us, old, new) == new[bisect_right(old, us) - 1]


def test_lists_of_different_length_are_our_own_fault():
    with pytest.raises(ValueError, match="same length"):
        retimed(0, [0, 1], [0])


@given(st.integers(0, 25 * 86_400 - 1))
def test_a_time_code_counts_frames(number):
    seconds, frames = divmod(number, 25)
    by_hand = f"{seconds // 3600:02d}:{seconds // 60 % 60:02d}:{seconds % 60:02d}:{frames:02d}"
    assert code_of_frame_number(number, Fraction(25)) == by_hand
    assert frame_number_from_code(by_hand, Fraction(25)) == number


def test_a_time_code_above_a_hundred_frames_a_second_reads_back():
    code = code_of_frame_number(119, Fraction(120))
    assert code == "00:00:00:119"
    assert frame_number_from_code(code, Fraction(120)) == 119


@pytest.mark.parametrize(
    "code", ["", "1:2:3", "00:00:00:25", "00:60:00:00", "00:00:00;00", "٠٠:00:00:00", "x" * 5000]
)
def test_what_is_no_time_code_at_25_frames_a_second_is_refused(code):
    with pytest.raises(TimeUnreadable) as caught:
        frame_number_from_code(code, Fraction(25))
    assert len(caught.value.message) < 100
