"""The clock of frames, by hand: a part of three frames, a missing one, a part of two."""

import numpy as np
import pytest

from aftercase.media.frameclock import ClockPart, FrameClock
from aftercase.media.parts import PartFacts
from aftercase.media.picture import FrameTimes
from aftercase.media.source import Opened


def part(starts, start_us, end_us):
    return ClockPart(np.array(starts, dtype=np.int64), start_us, end_us)


@pytest.fixture
def clock():
    return FrameClock([part([0, 40, 90], 0, 130), part([], 130, 500), part([500, 540], 500, 580)])


def test_one_frame_is_shown_at_every_moment():
    one = FrameClock([part([0], 0, 40)])
    assert (len(one), one.start_us, one.end_us) == (1, 0, 40)
    assert [one.start_of(us) for us in (-5, 0, 39, 40, 99)] == [0] * 5
    assert (one.next_start(0), one.previous_start(0), one.stepped(0, 7)) == (None, None, 0)
    assert one.edge_us(0) == 40


def test_a_frame_is_shown_from_its_start_until_the_next_one(clock):
    assert [clock.start_of(us) for us in (0, 39, 40, 89, 90, 129)] == [0, 0, 40, 40, 90, 90]
    assert clock.frame_at(50) == FrameTimes(0, 40, 90)


def test_outside_the_nearest_frame_counts(clock):
    assert (clock.start_of(-1), clock.start_of(580), clock.start_of(10**9)) == (0, 540, 540)


def test_a_missing_part_is_one_frame_long_and_keeps_its_place(clock):
    assert clock.frame_at(300) == FrameTimes(1, 130, 500)
    assert [clock.is_missing(us) for us in (129, 130, 499, 500)] == [False, True, True, False]
    assert clock.next_start(90) == 130
    assert clock.previous_start(500) == 130
    assert clock.frame_at(90) == FrameTimes(0, 90, 130)
    assert clock.frame_at(579) == FrameTimes(2, 540, 580)


def test_stepping_goes_from_frame_to_frame_and_stops_at_the_ends(clock):
    assert [clock.stepped(45, n) for n in (-9, -1, 0, 1, 2, 3, 9)] == [0, 0, 40, 90, 130, 500, 540]


def test_the_nearest_edge_is_a_start_or_the_end_of_the_last_frame(clock):
    edges = {0: 0, 19: 0, 20: 0, 21: 40, 64: 40, 66: 90, 559: 540, 561: 580, 900: 580}
    assert {us: clock.snapped(us) for us in edges} == edges


def test_a_span_ends_at_the_shown_frames_start_and_on_the_last_at_the_end(clock):
    assert [clock.edge_us(us) for us in (0, 50, 300, 539, 540, 579)] == [0, 40, 130, 500, 580, 580]


def test_frames_are_counted_by_their_starts(clock):
    assert clock.count_in(0, 90) == 2
    assert clock.count_in(1, 91) == 2
    assert clock.count_in(40, 40) == 0
    assert clock.count_in(90, 40) == 0
    assert clock.starts_in(40, 501).tolist() == [40, 90, 130, 500]


def test_joints_are_where_parts_meet(clock):
    assert clock.joints_us() == (130, 500)


def test_what_a_reader_opened_becomes_the_clock():
    facts = [
        PartFacts("a", 1, 80, "", None, 0, 0, 1, 25, 0, 80, 8, 8),
        PartFacts("b", 1, 50, "", None, 0, 0, 1, 25, 80, 130, 8, 8),
    ]
    starts = (np.array([0, 40], dtype=np.int64).tobytes(), b"")
    clock = FrameClock.of_opened(Opened(1, tuple(facts), (), 130, starts))
    assert (len(clock), clock.end_us, clock.is_missing(80)) == (3, 130, True)


@pytest.mark.parametrize(
    ("step_us", "rate", "pace"),
    [
        (40_000, 1.0, 1),  # 25 a second
        (40_000, 4.0, 2),  # 100: every second one, 50 are seen
        (16_683, 1.0, 1),  # 59.94
        (16_683, 2.0, 2),  # 119.88
        (16_683, 4.0, 4),
        (8_333, 1.0, 2),  # 120
        (8_333, 0.25, 1),
        (40_000, -4.0, 1),
    ],
)
def test_no_more_pictures_come_than_can_be_seen(step_us, rate, pace):
    clock = FrameClock([part(np.arange(0, 4_000_000, step_us), 0, 4_000_000)])
    assert clock.pace(1_000_000, rate, 60) == pace


def test_without_film_there_is_a_grid_and_no_picture():
    grid = FrameClock.without_film(100_000)
    assert not grid.has_film
    assert grid.is_missing(0)
    assert (len(grid), grid.end_us, grid.stepped(0, 9)) == (3, 100_000, 80_000)
    assert len(FrameClock.without_film(0)) == 1
