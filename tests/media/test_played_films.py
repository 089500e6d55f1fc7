"""The player on every kind of film: it lands on the frame that was asked for.

The frame on the screen says its own number; which number is shown when is told by an independent
list, of ffprobe and the ffmpeg program.
"""

from __future__ import annotations

import random
import time

import pytest

from aftercase.media.pictureworker import PictureWorker
from aftercase.media.playback import Player
from aftercase.media.reader import RecordingReader
from aftercase.media.source import OpenRecording

N_WISHES = 15
TICK_S = 0.004


class Hand:
    """A player without a thread, and a clock that is moved by hand."""

    def __init__(self, path):
        self.now_s = 0.0
        self.worker = PictureWorker(RecordingReader, threaded=False)
        self.player = Player(self.worker, now=lambda: self.now_s)
        self.player.open(OpenRecording(1, (str(path),)))
        self.settle()

    def settle(self):
        while self.worker.work() or self.worker.peek() is not None:
            self.player.tick()
        self.player.tick()

    def let_pass(self, seconds):
        """Let time pass; return the pictures a screen would show, in order, each once."""
        seen = []
        for _ in range(round(seconds / TICK_S)):
            while self.worker.work():
                pass
            if self.player.tick() and self.player.shown not in seen[-1:]:
                seen.append(self.player.shown)
            self.now_s += TICK_S
        return seen


@pytest.fixture
def numbers_at(film, truth_of):
    truth = truth_of(film)
    pairs = zip(truth.starts_us, truth.numbers, strict=True)
    return {start: number for start, number in pairs if number is not None}


@pytest.fixture
def hand(film):
    made = Hand(film.path)
    yield made
    made.player.close()


def test_going_and_stepping_land_on_the_very_frame(hand, numbers_at, read_number):
    player = hand.player
    chance = random.Random(40)
    starts = list(numbers_at)
    n_right = 0
    for _ in range(N_WISHES):
        wish = chance.choice(starts)
        frame = player.frames.frame_at(wish)
        player.go_to(chance.randrange(frame.start_us, frame.end_us))
        hand.settle()
        for n_frames in (0, 1, 1, -1, -1, -1, 3, -5):
            player.step(n_frames)
            hand.settle()
            assert player.is_exact
            assert player.shown.times == player.frames.frame_at(player.at_us)
            if player.at_us in numbers_at and not player.shown.damaged:
                assert read_number(player.shown) == numbers_at[player.at_us]
                n_right += 1
    assert n_right >= N_WISHES


def test_the_clock_of_frames_is_the_independent_list(film, hand, truth_of):
    starts_us = hand.player.frames.starts_in(0, hand.player.frames.end_us).tolist()
    assert set(truth_of(film).starts_us) <= set(starts_us)
    assert len(starts_us) - len(truth_of(film).starts_us) in film.losses


def test_played_at_its_own_speed_every_frame_is_shown(hand, numbers_at, read_number):
    player = hand.player
    player.play(1.0)
    seen = hand.let_pass(1.0)
    due = player.frames.starts_in(0, player.at_us + 1).tolist()
    lasting = [start for start in due if length_us(player, start) > 1_000_000 * TICK_S]
    assert set(lasting) <= {picture.times.start_us for picture in seen}
    for picture in seen:
        if picture.times.start_us in numbers_at and not picture.damaged:
            assert read_number(picture) == numbers_at[picture.times.start_us]


def test_played_backwards_frames_are_the_clocks_own(hand, numbers_at, read_number):
    player = hand.player
    player.go_to(player.frames.end_us)
    hand.settle()
    player.play(-1.0)
    for picture in hand.let_pass(0.5):
        if picture.times.start_us in numbers_at and not picture.damaged:
            assert read_number(picture) == numbers_at[picture.times.start_us]


def length_us(player, start_us):
    frame = player.frames.frame_at(start_us)
    return frame.end_us - frame.start_us


def test_the_reader_in_its_own_process_shows_the_same(made, read_number):
    player = Player()
    player.open(OpenRecording(1, (str(made("2997_long_groups").path),)))
    assert soon(player, lambda: player.is_exact)
    for n_frames in (70, -1, -1, 30, 1, -90):
        player.step(n_frames)
        assert soon(player, lambda: player.is_exact)
        assert read_number(player.shown) == player.frames.number_of(player.at_us)
    player.play(1.0)
    assert soon(player, lambda: player.at_us > 1_500_000)
    player.close()


def soon(player, claim, within_s=20.0):
    give_up_s = time.monotonic() + within_s
    while not claim():
        if time.monotonic() > give_up_s:
            return False
        player.tick()
        time.sleep(0.002)
    return True
