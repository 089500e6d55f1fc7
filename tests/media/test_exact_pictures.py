"""Every kind of film against what other programs say: stamps by ffprobe, numbers in the pictures.

Nowhere is the reader compared with itself, save where a picture found by seeking must be the
same bytes as the one found by reading through.
"""

from __future__ import annotations

import random
from fractions import Fraction
from itertools import pairwise

import pytest

from aftercase.clock import text_of, us_from_text
from aftercase.media.recording import open_recording

# Made with 25 pictures a second, and ffprobe's stamps do not say so: the clock restarts, there
# are no stamps, or (ffprobe 5.1) it has none for pictures before time zero.
KNOWN_BY_MAKING = {
    "ts_clock_restarts",
    "ts_clock_jumps",
    "ts_same_twice",
    "bare_stream",
    "negative_start",
}
SCARRED = {"damaged_middle", "avi_without_index", "faststart_cut", "fragmented_cut"}
N_SEEKS = 50


def ceiling_us(ticks: int, time_base: Fraction) -> int:
    exact = ticks * time_base * 1_000_000
    return -(-exact.numerator // exact.denominator)


def true_starts(name, truth):
    """When each picture is shown, by the rules of the clock, from the independent stamps."""
    if name in KNOWN_BY_MAKING:
        return [40_000 * k for k in range(len(truth.numbers))]
    starts: list[int] = []
    for stamp in truth.stamps:
        if stamp is None:  # ffprobe 5.1 has none for the last B-frames of AVI; 25 a second
            starts.append(starts[-1] + 40_000)
            continue
        start = ceiling_us(stamp - truth.stamps[0], truth.time_base)
        starts.append(max(start, starts[-1] + 1) if starts else start)
    return starts


@pytest.fixture
def numbers_at(film, truth_of):
    """The independent list as {start: number}; pictures whose number is broken are left out."""
    truth = truth_of(film)
    assert len(truth.numbers) == len(truth.stamps) > 0
    starts = true_starts(film.name, truth)
    return {s: n for s, n in zip(starts, truth.numbers, strict=True) if n is not None}


@pytest.fixture
def recording(film):
    with open_recording([film.path]) as opened:
        yield opened


def test_every_picture_is_shown_at_its_true_time_in_order(
    film, recording, numbers_at, truth_of, read_number
):
    pictures = list(recording.pictures_in(recording.start_us, recording.end_us))
    delivered = {p.times.start_us: read_number(p) for p in pictures if not p.damaged}
    assert {start: delivered[start] for start in numbers_at} == numbers_at
    assert list(delivered) == sorted(delivered)
    beyond = len(pictures) - len(truth_of(film).numbers)
    if film.name in SCARRED:
        assert 0 <= beyond <= 2
        assert sum(p.damaged for p in pictures) == beyond
    else:
        assert beyond == 0
        assert not any(p.damaged for p in pictures)
    assert recording.stream(0).index == film.stream


def test_random_times_give_the_picture_shown_then(recording, numbers_at, read_number):
    chance = random.Random(20)
    starts = list(numbers_at)
    for _ in range(N_SEEKS):
        start = chance.choice([starts[0], starts[-1], *starts])
        end = recording.frame_at(start).end_us
        picture = recording.picture_at(chance.randrange(start, end))
        assert read_number(picture) == numbers_at[start]
        assert picture.times.start_us == start


def test_seeking_gives_the_same_bytes_as_reading_through(film, recording):
    through = {p.times.start_us: p for p in recording.pictures_in(0, recording.end_us)}
    chance = random.Random(21)
    with open_recording([film.path]) as other:
        for start in chance.sample(list(through), min(12, len(through))):
            picture = other.picture_at(start)
            if film.name not in SCARRED:
                assert picture == through[start]
    with open_recording([film.path]) as other:
        for start in [start for start in through if not through[start].damaged][:-30:-1]:
            picture = other.picture_at(start)
            if film.name not in SCARRED:
                assert picture == through[start]


def test_just_before_at_and_just_after_a_start(recording, numbers_at):
    starts = list(numbers_at)
    for earlier, start in pairwise(starts):
        before = recording.frame_at(start - 1)
        assert before.end_us == start
        assert before.start_us >= earlier
        assert recording.frame_at(start).start_us == start
        assert recording.frame_at(min(start + 1, recording.end_us - 1)).start_us >= start


def test_stepping_both_ways_over_the_whole_film(recording, numbers_at, read_number):
    forward = [recording.first_frame()]
    while (following := recording.next_frame(forward[-1].start_us)) is not None:
        forward.append(following)
    backward = [recording.last_frame()]
    while (previous := recording.previous_frame(backward[-1].start_us)) is not None:
        backward.append(previous)
    assert forward == backward[::-1]
    assert set(numbers_at) <= {frame.start_us for frame in forward}
    for frame in backward:
        if frame.start_us in numbers_at:
            picture = recording.picture_at(frame.start_us)
            assert read_number(picture) == numbers_at[frame.start_us]


def test_a_printed_time_reads_back_as_the_same_frame(recording):
    for frame in recording.frames_in(recording.start_us, recording.end_us):
        if frame.end_us - frame.start_us > 1:  # of equal stamps only the last has a length
            assert recording.frame_at(us_from_text(text_of(frame.start_us))) == frame
