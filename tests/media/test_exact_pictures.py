"""Every kind of film against what other programs say: stamps by ffprobe, numbers in the pictures.

Nowhere is the reader compared with itself, save where a picture found by seeking must be the
same bytes as the one found by reading through.
"""

from __future__ import annotations

import random
from itertools import pairwise

import numpy as np
import pytest

from aftercase.clock import text_of, us_from_text
from aftercase.media.recording import open_recording

N_SEEKS = 50
RANK_COLUMNS = ("rank", "rows", "keys")


@pytest.fixture
def numbers_at(film, truth_of):
    """The independent list as {start: number}; pictures whose number is broken are left out."""
    truth = truth_of(film)
    assert len(truth.numbers) == len(truth.starts_us) > 0
    pairs = zip(truth.starts_us, truth.numbers, strict=True)
    return {start: number for start, number in pairs if number is not None}


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
    assert [p.times.start_us for p in pictures if not p.damaged] == list(truth_of(film).starts_us)
    assert sum(p.damaged for p in pictures) in film.losses
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
    whole = [start for start, picture in through.items() if not picture.doubtful]
    chance = random.Random(21)
    asked = [*chance.sample(whole, min(12, len(whole))), *whole[:-30:-1]]
    with open_recording([film.path]) as other:
        for start in asked:
            assert other.picture_at(start) == through[start]


def test_just_before_at_and_just_after_a_start(recording, numbers_at, read_number):
    starts = list(numbers_at)
    for earlier, start in pairwise(starts):
        before, at = recording.picture_at(start - 1), recording.picture_at(start)
        after = recording.picture_at(min(start + 1, recording.end_us - 1))
        assert before.times.end_us == at.times.start_us == start
        assert read_number(at) == numbers_at[start]
        if before.times.start_us == earlier:
            assert read_number(before) == numbers_at[earlier]
        if after.times.start_us in numbers_at:  # of equal stamps the earlier lasts 1 us
            assert read_number(after) == numbers_at[after.times.start_us]


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


def test_stepping_back_and_forth_over_every_key(film, recording, numbers_at, read_number):
    ranks, rows, keys = (np.asarray(getattr(recording.table(0), n)) for n in RANK_COLUMNS)
    starts = recording.starts_us().tolist()
    with open_recording([film.path]) as other:
        for rank in ranks[keys]:
            row = int((ranks[rows] < rank).sum())
            for near in (row, row - 1, row, row + 1, row):
                start = starts[min(max(near, 0), len(starts) - 1)]
                if start in numbers_at:
                    assert read_number(other.picture_at(start)) == numbers_at[start]


def test_a_printed_time_reads_back_as_the_same_frame(recording):
    for frame in recording.frames_in(recording.start_us, recording.end_us):
        if frame.end_us - frame.start_us > 1:  # of equal stamps only the last has a length
            assert recording.frame_at(us_from_text(text_of(frame.start_us))) == frame
