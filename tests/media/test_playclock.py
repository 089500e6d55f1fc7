"""The play clock: exact by itself, bent by 2 % at most, never back."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from aftercase.media.playclock import MOST_BEND, PlayClock

SECOND_US = 1_000_000


class Seconds:
    """A clock that is set by hand."""

    def __init__(self) -> None:
        self.now_s = 1000.0

    def __call__(self) -> float:
        return self.now_s

    def pass_by(self, seconds: float) -> None:
        self.now_s += seconds


@pytest.fixture
def seconds() -> Seconds:
    return Seconds()


@pytest.fixture
def clock(seconds: Seconds) -> PlayClock:
    return PlayClock(seconds)


def test_a_clock_that_was_never_started_stands_at_nought(clock: PlayClock, seconds: Seconds):
    seconds.pass_by(5)
    assert (clock.position_us(), clock.is_running, clock.rate) == (0, False, 0)


@pytest.mark.parametrize("rate", [0.25, 0.5, 1.0, 2.0, 4.0, -1.0, -4.0])
def test_it_runs_by_the_computers_clock_at_its_rate(
    clock: PlayClock, seconds: Seconds, rate: float
):
    clock.start(7_000_000, rate)
    seconds.pass_by(1.5)
    assert clock.position_us() == 7_000_000 + rate * 1_500_000
    assert clock.rate == rate


def test_stopping_says_where_and_it_stays_there(clock: PlayClock, seconds: Seconds):
    clock.start(0, 1.0)
    seconds.pass_by(2)
    assert clock.stop() == 2 * SECOND_US
    seconds.pass_by(2)
    assert clock.position_us() == 2 * SECOND_US
    assert not clock.is_running


def test_a_sound_that_is_heard_in_step_changes_nothing(clock: PlayClock, seconds: Seconds):
    clock.start(0, 1.0)
    for _ in range(100):
        seconds.pass_by(0.01)
        clock.heard(clock.position_us())
    assert clock.position_us() == pytest.approx(SECOND_US, abs=2)


@pytest.mark.parametrize(("off_us", "pace"), [(900_000, 1.02), (-900_000, 0.98)])
def test_a_sound_far_off_bends_it_by_two_per_cent(
    clock: PlayClock, seconds: Seconds, off_us: int, pace: float
):
    clock.start(5 * SECOND_US, 1.0)
    clock.heard(5 * SECOND_US + off_us)
    assert clock.position_us() == 5 * SECOND_US
    seconds.pass_by(0.1)
    assert clock.position_us() == pytest.approx(5 * SECOND_US + pace * 100_000, abs=1)


def test_a_device_that_says_nothing_more_bends_no_longer(clock: PlayClock, seconds: Seconds):
    clock.start(0, 1.0)
    clock.heard(900_000)
    seconds.pass_by(1)
    after_a_second_us = clock.position_us()
    seconds.pass_by(1)
    assert clock.position_us() - after_a_second_us == pytest.approx(SECOND_US, abs=1)
    assert after_a_second_us <= 1_005_000  # a quarter of a second at 2 %


def test_hearing_nothing_ends_the_bend_at_once(clock: PlayClock, seconds: Seconds):
    clock.start(0, 1.0)
    clock.heard(900_000)
    clock.heard(None)
    seconds.pass_by(0.2)
    assert clock.position_us() == 200_000


def test_a_clock_that_stands_is_moved_by_no_sound(clock: PlayClock, seconds: Seconds):
    clock.start(40_000, 0)
    clock.heard(900_000)
    seconds.pass_by(1)
    assert clock.position_us() == 40_000


def test_a_device_slow_by_a_thousandth_is_followed_a_millisecond_behind(
    clock: PlayClock, seconds: Seconds
):
    clock.start(0, 1.0)
    for step in range(1, 1001):
        seconds.pass_by(0.01)
        heard_us = round(step * 0.01 * 0.999 * SECOND_US)
        clock.heard(heard_us)
    assert clock.position_us() - heard_us == pytest.approx(1_000, abs=100)


def test_a_computers_clock_that_is_set_back_does_not_set_it_back(
    clock: PlayClock, seconds: Seconds
):
    clock.start(0, 1.0)
    seconds.pass_by(1)
    clock.heard(SECOND_US)
    seconds.pass_by(-5)
    assert clock.position_us() == SECOND_US
    clock.heard(SECOND_US)
    seconds.pass_by(5)
    assert clock.position_us() == SECOND_US


REPORTS = st.lists(
    st.tuples(
        st.floats(0, 0.5),
        st.none() | st.integers(-5 * SECOND_US, 500 * SECOND_US),
    ),
    max_size=60,
)


@given(REPORTS, st.sampled_from([0.25, 1.0, 4.0, -1.0]))
def test_whatever_is_heard_it_never_jumps_runs_back_or_bends_by_more(reports, rate):
    seconds = Seconds()
    clock = PlayClock(seconds)
    clock.start(100 * SECOND_US, rate)
    for passed_s, heard_us in reports:
        before_us = clock.position_us()
        clock.heard(heard_us)
        assert abs(clock.position_us() - before_us) <= 1  # rounding, no jump
        seconds.pass_by(passed_s)
        run_us = (clock.position_us() - before_us) / rate
        plain_us = passed_s * SECOND_US
        slack_us = 2 / abs(rate)  # two roundings
        assert plain_us * (1 - MOST_BEND) - slack_us <= run_us
        assert run_us <= plain_us * (1 + MOST_BEND) + slack_us
