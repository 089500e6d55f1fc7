"""Films whose true stamps are those they were made with; no other program is needed."""

from __future__ import annotations

import random
from fractions import Fraction

import pytest

from aftercase.clock import text_of, us_from_text
from aftercase.media.recording import open_recording


def planned_starts(plan):
    seconds = [(stamp - plan.stamps[0]) * plan.time_base for stamp in plan.stamps]
    return [-(-(s * 1_000_000).numerator // (s * 1_000_000).denominator) for s in seconds]


def test_frames_are_shown_when_the_film_was_made_to_show_them(planned):
    path, plan = planned
    with open_recording([path]) as recording:
        assert recording.starts_us().tolist() == planned_starts(plan)


def test_sequential_and_random_pictures_say_their_own_number(planned, read_number):
    path, plan = planned
    starts = planned_starts(plan)
    with open_recording([path]) as recording:
        pictures = recording.pictures_in(0, recording.end_us)
        assert [read_number(p) for p in pictures] == list(range(len(starts)))
    chance = random.Random(3)
    with open_recording([path]) as recording:
        for _ in range(50):
            number = chance.randrange(len(starts))
            assert read_number(recording.picture_at(starts[number])) == number


def test_the_picture_before_a_start_is_the_one_before(planned, read_number):
    path, plan = planned
    with open_recording([path]) as recording:
        for number, start in list(enumerate(planned_starts(plan)))[1::7]:
            assert read_number(recording.picture_at(start - 1)) == number - 1
            assert read_number(recording.picture_at(start)) == number
            assert read_number(recording.picture_at(start + 1)) == number


def test_printed_milliseconds_read_back_as_the_same_picture(planned, read_number):
    path, plan = planned
    with open_recording([path]) as recording:
        for number, start in enumerate(planned_starts(plan)):
            frame = recording.frame_at(us_from_text(text_of(start)))
            assert frame.start_us == start, number


@pytest.mark.parametrize(
    ("name", "us", "number"),
    [
        # By hand: 29.97 a second, frame k starts at k * 1001/30 ms.
        ("2997_long_groups", 33_366, 0),
        ("2997_long_groups", 33_367, 1),
        ("2997_long_groups", 66_733, 1),
        ("2997_long_groups", 66_734, 2),
        # By hand: 59.94 a second, frame 3 starts at 50.05 ms.
        ("5994", 50_049, 2),
        ("5994", 50_050, 3),
        # The film's first stamp is 1.5015 s; the clock starts at its first picture.
        ("late_start", 0, 0),
        ("late_start", 33_367, 1),
    ],
)
def test_borders_worked_out_by_hand(made, read_number, name, us, number):
    with open_recording([made(name).path]) as recording:
        assert read_number(recording.picture_at(us)) == number


def test_the_last_frame_ends_a_packet_duration_after_its_start(made):
    with open_recording([made("25_closed").path]) as recording:
        assert recording.end_us == 4_000_000
        assert recording.last_frame().start_us == 3_960_000


def test_a_nanosecond_time_base_keeps_its_exactness():
    # 2**53 ns would not survive a float nor a product in 64 bits.
    from aftercase.media.frametable import us_of_ticks

    ticks = [0, 999, 1000, 1001, 2**53 + 1, -1]
    expected = [0, 1, 1, 2, -(-(2**53 + 1) // 1000), 0]
    import numpy as np

    assert us_of_ticks(np.array(ticks), Fraction(1, 10**9)).tolist() == expected
