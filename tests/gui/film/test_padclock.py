"""Where hours lie on the pad, against the table of an eye's sides on a picture."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.hours_at_the_sides import AT_THE_SIDES, SIDES_DEG

from aftercase.gui.film.padclock import HOUR_KEYS, HourEntry, PadClock, shorter_way
from aftercase.model.orientation import View, surgeon_hour


@pytest.mark.parametrize(("lies", "hours"), AT_THE_SIDES.items(), ids=str)
def test_the_hours_at_the_four_sides_are_those_of_the_table(lies, hours):
    eye, seat, flipped = lies
    clock = PadClock(View(surgeon_hour(eye, seat), mirrored=flipped))
    assert clock.name == "eye"
    assert clock.runs_clockwise is not flipped
    for angle_deg, hour in zip(SIDES_DEG, hours, strict=True):
        assert clock.hour_at(angle_deg) == hour
        assert clock.angle_of(hour) == angle_deg


def test_where_the_view_is_not_known_the_hours_are_those_of_the_screen():
    clock = PadClock(None)
    assert clock.name == "picture"
    assert [clock.angle_of(hour) for hour in (3, 6, 9, 12)] == [90, 180, 270, 0]
    assert [clock.hour_at(angle) for angle in (90, 180, 270, 0, 105)] == [3, 6, 9, 12, 3.5]


def test_beside_the_eye_s_hour_stands_the_picture_s():
    clock = PadClock(View(9.0))
    assert [clock.picture_hour(hour) for hour in (9, 12, 3, 6, 7.5)] == [6, 9, 12, 3, 4.5]


@given(
    st.builds(
        PadClock,
        st.one_of(
            st.none(), st.builds(View, st.floats(0.5, 12), st.floats(-180, 180), st.booleans())
        ),
    ),
    st.sampled_from([half / 2 for half in range(1, 25)]),
)
def test_the_hour_that_lies_in_an_hour_s_direction_is_that_hour(clock, hour):
    assert clock.hour_at(clock.angle_of(hour)) == hour


@pytest.mark.parametrize(
    ("signs", "hour"),
    [
        ("1", 1),
        ("9", 9),
        ("0", 10),
        ("-", 11),
        ("=", 12),
        ("10", 10),
        ("11", 11),
        ("12", 12),
        ("7.", 7.5),
        ("7,", 7.5),
        ("7..", 7),
        ("=.", 0.5),
        ("12.", 0.5),
        ("78", 8),
        ("71", 1),
        ("110", 10),
    ],
)
def test_an_hour_is_entered_by_a_key_or_typed(signs, hour):
    entry = HourEntry()
    for sign in signs:
        entry = entry.pressed(sign)
    assert (entry.hour, entry.to_hour, entry.is_whole) == (hour, None, True)


def test_every_hour_has_a_key():
    assert sorted(HOUR_KEYS.values()) == list(range(1, 13))


def test_a_stretch_is_two_hours_with_a_t_between_them():
    entry = HourEntry()
    for sign in "3.t5":
        entry = entry.pressed(sign)
    assert (entry.hour, entry.to_hour, entry.is_whole) == (3.5, 5.0, True)


def test_a_stretch_without_its_end_is_not_kept():
    assert not HourEntry(3.0).pressed("T").is_whole


@pytest.mark.parametrize("sign", ["", "x", "t", ".", "/", " "])
def test_keys_that_mean_nothing_yet_are_left_to_others(sign):
    assert HourEntry().pressed(sign) is None


def test_what_was_entered_last_is_taken_back_first():
    entry = HourEntry(3.0, 5.0, wants_end=True)
    entry = entry.taken_back()
    assert (entry.hour, entry.to_hour, entry.wants_end) == (3.0, None, True)
    entry = entry.taken_back()
    assert (entry.hour, entry.is_whole) == (3.0, True)
    assert entry.taken_back() == HourEntry()


@pytest.mark.parametrize(
    ("hours", "way"),
    [
        ((3, 5), (3, 5)),
        ((5, 3), (3, 5)),
        ((11, 1), (11, 1)),
        ((1, 11), (11, 1)),
        ((12, 6), (12, 6)),
    ],
)
def test_a_dragged_stretch_goes_the_shorter_way_as_hours_run(hours, way):
    assert shorter_way(*hours) == way
