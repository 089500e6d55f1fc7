"""Sound in step with the clock on a simulated device with every fault.

Every moment of the sound played here carries its own moment of the recording as a number, so that
what the device plays can be compared with what the clock says then.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

import numpy as np
import pytest

from aftercase.media.parts import PartFacts
from aftercase.media.playclock import PlayClock
from aftercase.media.sound import BLOCK_FRAMES, SoundBlock
from aftercase.media.soundfeeder import SoundFeeder
from aftercase.media.soundout import RATE_HZ, NullSound, SimulatedSound

SECOND_US = 1_000_000
TICK_S = 0.005
BEGUN_S = 100.0
AT_US = 5 * SECOND_US
A_RECORDING = (PartFacts("a.mp4", 1, 1, "", None, 0, 0, 1, 25, 0, 3600 * SECOND_US, 64, 48),)
TEN_US = 10
"""Moments are numbered in tens of microseconds from 1 on, so that none looks like silence."""


class Numbered:
    """A supply whose every moment of sound is the number of its moment of the recording."""

    def __init__(self, parts: Sequence[PartFacts]) -> None:
        self.begun: list[tuple[int, float]] = []
        self.closed = False
        self._blocks: Iterator[SoundBlock] = iter(())

    def begin(self, at_us: int, rate: float) -> None:
        self.begun.append((at_us, rate))
        self._blocks = self._numbered(at_us, rate)

    def take(self) -> SoundBlock | None:
        return next(self._blocks, None)

    def close(self) -> None:
        self.closed = True

    def _numbered(self, at_us: int, rate: float) -> Iterator[SoundBlock]:
        first = 0
        while True:
            frames = np.arange(first, first + BLOCK_FRAMES)
            moments_us = at_us + frames * rate * SECOND_US / RATE_HZ
            numbers = np.round(moments_us / TEN_US).astype("<u4") + 1
            yield SoundBlock(int(moments_us[0]), numbers.tobytes())
            first += BLOCK_FRAMES


class Slow(Numbered):
    """A supply that may give nothing for a while, as from a drive that is slow to answer."""

    is_waiting = False

    def take(self) -> SoundBlock | None:
        return None if self.is_waiting else super().take()


class Soundless(Numbered):
    """A supply of a film without sound."""

    def take(self) -> None:
        return None


@dataclass
class Played:
    """What a run on a simulated device came to.

    Attributes:
        off_ms: How far each heard moment was from the clock, in hearing time.
        at_s: When each was heard, from the start on.
        paces: The clock's speed over each tick, as a share of the one asked for.
    """

    off_ms: np.ndarray
    at_s: np.ndarray
    paces: np.ndarray

    def heard_s(self, start_s: float, end_s: float) -> float:
        """How many seconds of sound were heard within a stretch of time."""
        return np.count_nonzero((self.at_s >= start_s) & (self.at_s < end_s)) / RATE_HZ


@dataclass
class Run:
    """A feeder at work on a simulated device."""

    faults: dict[str, object] = field(default_factory=dict)
    rate: float = 1.0
    make_supply: type[Numbered] = Numbered
    delay_us: int = 0

    def __post_init__(self) -> None:
        self.now_s = BEGUN_S
        self.out = SimulatedSound(lambda: self.now_s, **self.faults)  # type: ignore[arg-type]
        self.clock = PlayClock(lambda: self.now_s)
        self.supplies: list[Numbered] = []
        self.feeder = SoundFeeder(
            self.out, make_supply=self._made, now=lambda: self.now_s, delay_us=self.delay_us
        )
        self.seen: list[tuple[float, int]] = []

    def _made(self, parts: Sequence[PartFacts]) -> Numbered:
        self.supplies.append(self.make_supply(parts))
        return self.supplies[-1]

    def begin(self, at_us: int = AT_US, volume: float = 1.0) -> Run:
        self.feeder.set_volume(volume)
        self.feeder.open(A_RECORDING)
        self.play(at_us)
        return self

    def play(self, at_us: int) -> None:
        self.clock.start(at_us, self.rate)
        self.feeder.play(at_us, self.rate, self.clock)

    def go_on(self, for_s: float, *, ticks: bool = True) -> None:
        end_s = self.now_s + for_s
        while self.now_s < end_s:
            self.now_s += TICK_S
            self.out.heard_us()
            self.seen.append((self.now_s, self.clock.position_us()))
            if ticks:
                self.feeder.tick()

    def played(self) -> Played:
        seen_s, positions_us = np.array(self.seen).T
        when, moments = [], []
        for begun_s, sound in self.out.played:
            numbers = np.frombuffer(sound, "<u4").astype(np.int64)
            heard = np.flatnonzero(numbers)
            when.append(begun_s + heard / RATE_HZ)
            moments.append((numbers[heard] - 1) * TEN_US)
        at_s, heard_us = np.concatenate(when), np.concatenate(moments)
        off_us = heard_us - np.interp(at_s, seen_s, positions_us)
        paces = np.diff(positions_us) / (np.diff(seen_s) * SECOND_US * self.rate)
        return Played(off_us / self.rate / 1000, at_s - BEGUN_S, paces)


FAULTS: dict[str, dict[str, object]] = {
    "a perfect device": {"start_late_s": 0.02, "drift": 0},
    "1.8 s late and 0.1 % fast": {},
    "1.8 s late and 0.1 % slow": {"drift": -0.001},
    "five seconds late": {"start_late_s": 5.0},
    "a stall of a second": {"stalls": [(110, 111)]},
    "many stalls of a second": {"stalls": [(t, t + 1) for t in (105, 108.5, 111, 113.7)]},
    "unplugged for five seconds": {"unplugged": [(110, 115)]},
    "unplugged for two seconds": {"unplugged": [(105, 107)]},
    "unplugged for good": {"unplugged": [(110, 1e9)]},
    "says where it is ten times a second": {"says_every_s": 0.1},
}


@pytest.mark.parametrize("name", FAULTS)
def test_what_is_heard_is_in_step_within_40_ms_and_the_clock_bends_by_2_per_cent(name: str):
    run = Run(FAULTS[name]).begin()
    run.go_on(20)
    played = run.played()
    assert played.heard_s(0, 20) > 5
    assert np.abs(played.off_ms).max() < 40
    assert played.paces.min() >= 0.98 - 1e-3  # a microsecond's rounding in 5 ms
    assert played.paces.max() <= 1.02 + 1e-3


@pytest.mark.parametrize("rate", [0.25, 0.5, 1.5, 2.0, 4.0])
def test_so_it_is_at_every_speed(rate: float):
    run = Run({"stalls": [(107, 108)]}, rate=rate).begin()
    run.go_on(12)
    played = run.played()
    assert played.heard_s(0, 12) > 8
    assert np.abs(played.off_ms).max() < 40


@pytest.mark.parametrize("says_every_s", [0.005, 0.1])
@pytest.mark.parametrize("held_up_s", [0.15, 0.5, 3.0])
def test_one_who_ticks_late_finds_it_in_step_again(held_up_s: float, says_every_s: float):
    run = Run({"says_every_s": says_every_s}).begin()
    run.go_on(5)
    run.go_on(held_up_s, ticks=False)
    run.go_on(5)
    played = run.played()
    assert np.abs(played.off_ms).max() < 40
    assert played.heard_s(5 + held_up_s + 0.15, 9.9) == pytest.approx(4.75 - held_up_s, abs=0.01)


def test_being_held_up_for_less_than_was_written_ahead_is_not_heard():
    run = Run({"start_late_s": 0, "drift": 0}).begin()
    run.go_on(3)
    run.go_on(0.15, ticks=False)
    run.go_on(3)
    assert run.played().heard_s(1, 6) == pytest.approx(5, abs=0.001)


def test_sound_that_is_slow_to_come_is_heard_again_as_soon_as_it_comes():
    run = Run({"start_late_s": 0.02, "says_every_s": 0.1}, make_supply=Slow).begin()
    run.go_on(4)
    [supply] = run.supplies
    assert isinstance(supply, Slow)
    supply.is_waiting = True
    run.go_on(1)
    supply.is_waiting = False
    came_s = run.now_s - BEGUN_S
    run.go_on(3)
    played = run.played()
    assert played.heard_s(4.3, came_s) == 0
    assert played.heard_s(came_s + 0.01, came_s + 3) == pytest.approx(2.99, abs=0.005)
    assert np.abs(played.off_ms).max() < 40


def test_a_device_that_is_plugged_in_again_is_heard_at_once():
    run = Run({"start_late_s": 0.02, "unplugged": [(105, 107)]}).begin()
    run.go_on(10)
    played = run.played()
    assert played.heard_s(5, 7) == 0
    assert played.heard_s(7.2, 10) == pytest.approx(2.8, abs=0.01)
    assert np.abs(played.off_ms).max() < 40


def test_a_device_that_jumps_about_is_heard_nevertheless():
    often = [(t, t + 0.06) for t in np.arange(102, 110, 0.2)]
    run = Run({"start_late_s": 0.02, "stalls": often}).begin()
    run.go_on(10)
    assert run.played().heard_s(2, 10) > 4


def test_a_stall_too_short_to_be_seen_costs_at_most_a_tick_out_of_step():
    run = Run({"stalls": [(110, 110.1)]}).begin()
    run.go_on(15)
    played = run.played()
    assert np.count_nonzero(np.abs(played.off_ms) >= 40) <= 2 * TICK_S * RATE_HZ
    assert np.abs(played.off_ms).max() < 110
    assert played.heard_s(10.6, 14) == pytest.approx(3.4, abs=0.01)


def test_the_pictures_clock_never_waits_for_a_device():
    run = Run({"start_late_s": 0, "drift": 0, "stalls": [(102, 103)]}).begin()
    run.go_on(5)
    assert run.clock.position_us() == pytest.approx(AT_US + 5 * SECOND_US, abs=10_000)


def test_without_a_device_the_clock_runs_alone_and_nothing_is_read():
    now_s = 0.0
    clock = PlayClock(lambda: now_s)
    feeder = SoundFeeder(NullSound(), make_supply=Numbered, now=lambda: now_s)
    feeder.set_volume(1.0)
    feeder.open(A_RECORDING)
    clock.start(0, 1.0)
    feeder.play(0, 1.0, clock)
    now_s = 3.0
    feeder.tick()
    assert clock.position_us() == 3 * SECOND_US
    assert feeder._supply is None


def test_a_film_without_sound_leaves_the_device_alone():
    run = Run(make_supply=Soundless).begin()
    run.go_on(2)
    passed_us = (run.now_s - BEGUN_S) * SECOND_US
    assert run.out.played == []
    assert run.clock.position_us() == pytest.approx(AT_US + passed_us, abs=1)


@pytest.mark.parametrize("rate", [-1.0, 0.1, 8.0])
def test_reverse_and_odd_speeds_are_silent(rate: float):
    run = Run(rate=rate).begin()
    run.go_on(1)
    assert run.out.played == []
    assert [supply.begun for supply in run.supplies] == [[]]


def test_at_volume_nought_nothing_is_read():
    run = Run().begin(volume=0.0)
    run.go_on(1)
    assert run.supplies == []
    assert run.out.played == []


def test_sound_turned_on_while_it_plays_is_in_step_and_turned_off_ends():
    run = Run({"start_late_s": 0.1}).begin(volume=0.0)
    run.go_on(2)
    run.feeder.set_volume(0.5)
    run.go_on(2)
    run.feeder.set_volume(0.0)
    run.go_on(2)
    played = run.played()
    assert run.out.volume == 0.0
    assert np.abs(played.off_ms).max() < 40
    assert played.heard_s(0, 2) == 0
    assert played.heard_s(2.5, 4) == pytest.approx(1.5, abs=0.02)
    assert played.heard_s(4.01, 6) == 0


@pytest.mark.parametrize("takes_back", [True, False])
@pytest.mark.parametrize("rested_s", [0.0, 1.0])
def test_resting_is_silent_and_playing_elsewhere_lets_nothing_old_be_heard(
    takes_back: bool, rested_s: float
):
    run = Run({"start_late_s": 0.05, "takes_back": takes_back}).begin()
    run.go_on(2)
    run.clock.stop()
    run.feeder.rest()
    n_played = len(run.out.played)
    run.go_on(rested_s)
    assert not any(any(sound) for _, sound in run.out.played[n_played:])
    run.play(60 * SECOND_US)
    run.go_on(2)
    since = b"".join(sound for _, sound in run.out.played[n_played:])
    numbers = np.frombuffer(since, "<u4")
    heard_us = (numbers[numbers > 0].astype(np.int64) - 1) * TEN_US
    assert heard_us[0] == pytest.approx(60 * SECOND_US, abs=260_000)
    assert (np.diff(heard_us) >= 0).all()


@pytest.mark.parametrize(
    ("takes_back", "silent_s"),
    [(True, 0.08), (False, 0.26)],  # what was written ahead must run out where it cannot be taken
)
def test_a_device_that_runs_is_heard_soon_after_a_jump(takes_back: bool, silent_s: float):
    run = Run({"start_late_s": 1.8, "takes_back": takes_back}).begin()
    run.go_on(4)
    run.feeder.rest()
    began_s = run.now_s - BEGUN_S
    run.play(AT_US)
    run.go_on(1)
    played = run.played()
    assert played.heard_s(began_s + silent_s, began_s + 1) == pytest.approx(1 - silent_s, abs=0.001)
    since = played.at_s > began_s
    assert np.abs(played.off_ms[since]).max() < 40


def test_sound_far_too_late_is_begun_anew_instead_of_read():
    run = Run({"start_late_s": 60.0}).begin()
    run.go_on(62)
    [supply] = run.supplies
    assert len(supply.begun) <= 3
    assert supply.begun[-1][0] == pytest.approx(AT_US + 60 * SECOND_US, abs=SECOND_US)
    assert np.abs(run.played().off_ms).max() < 40


def test_a_device_heard_later_than_it_says_is_written_to_earlier():
    run = Run({"start_late_s": 0.05, "drift": 0}, delay_us=150_000).begin()
    run.go_on(5)
    assert run.played().off_ms == pytest.approx(150, abs=2)


def test_a_device_that_takes_little_at_a_time_is_in_step():
    run = Run({"start_late_s": 0.1, "holds_us": 30_000}).begin()
    run.go_on(5)
    played = run.played()
    assert np.abs(played.off_ms).max() < 40
    assert played.heard_s(1, 5) == pytest.approx(4, abs=0.02)


def test_another_recording_ends_the_reading_of_the_one_before():
    run = Run().begin()
    run.go_on(1)
    run.feeder.open(A_RECORDING)
    first, second = run.supplies
    assert (first.closed, second.closed) == (True, False)
    run.feeder.close()
    assert second.closed
