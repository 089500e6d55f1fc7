"""Devices that are none: nothing, and the simulated one with its faults."""

from __future__ import annotations

import pytest

from aftercase.media.soundout import (
    BYTES_PER_FRAME,
    CHANNELS,
    RATE_HZ,
    NullSound,
    SimulatedSound,
    SoundOut,
)

A_SECOND = bytes(range(1, 5)) * RATE_HZ


class Seconds:
    def __init__(self) -> None:
        self.now_s = 50.0

    def __call__(self) -> float:
        return self.now_s


@pytest.fixture
def seconds() -> Seconds:
    return Seconds()


def opened(seconds: Seconds, **faults: object) -> SimulatedSound:
    device = SimulatedSound(seconds, holds_us=2_000_000, **faults)  # type: ignore[arg-type]
    device.open(RATE_HZ, CHANNELS)
    return device


def heard_after(device: SoundOut, seconds: Seconds, passed_s: float) -> int | None:
    """Let time pass in steps, and return what the device says then."""
    end_s = seconds.now_s + passed_s
    while seconds.now_s < end_s:
        seconds.now_s = min(end_s, seconds.now_s + 0.005)
        heard_us = device.heard_us()
    return heard_us


def test_nothing_takes_everything_and_is_never_heard():
    nothing: SoundOut = NullSound()
    nothing.open(RATE_HZ, CHANNELS)
    assert nothing.write(A_SECOND) == len(A_SECOND)
    assert nothing.is_silent
    assert nothing.heard_us() is None


def test_a_device_plays_what_was_written_in_order(seconds: Seconds):
    device = opened(seconds, start_late_s=0, drift=0)
    device.write(A_SECOND)
    assert heard_after(device, seconds, 0.5) == pytest.approx(500_000, abs=6_000)
    assert heard_after(device, seconds, 1.0) == 1_000_000  # and then there is nothing more
    assert b"".join(sound for _, sound in device.played) == A_SECOND


def test_a_late_device_says_nothing_until_it_begins(seconds: Seconds):
    device = opened(seconds, start_late_s=1.8, drift=0)
    device.write(A_SECOND)
    assert heard_after(device, seconds, 1.7) is None
    assert heard_after(device, seconds, 0.4) == pytest.approx(300_000, abs=6_000)


def test_a_fast_device_plays_a_thousandth_more(seconds: Seconds):
    device = opened(seconds, start_late_s=0, drift=0.001, says_every_s=0)
    device.write(A_SECOND * 2)
    assert heard_after(device, seconds, 1.0) == pytest.approx(1_001_000, abs=50)


def test_a_stalled_device_repeats_itself_and_goes_on(seconds: Seconds):
    device = opened(seconds, start_late_s=0, drift=0, stalls=[(50.2, 51.2)], says_every_s=0)
    device.write(A_SECOND)
    assert heard_after(device, seconds, 0.6) == pytest.approx(200_000, abs=50)
    assert heard_after(device, seconds, 0.5) == pytest.approx(200_000, abs=50)
    assert heard_after(device, seconds, 0.3) == pytest.approx(400_000, abs=50)


def test_an_unplugged_device_is_silent_forgets_and_starts_late_again(seconds: Seconds):
    device = opened(seconds, start_late_s=0.1, drift=0, unplugged=[(50.3, 51.0)], says_every_s=0)
    device.write(A_SECOND)
    assert heard_after(device, seconds, 0.4) is None
    assert device.is_silent
    assert device.write(A_SECOND) == len(A_SECOND)
    assert heard_after(device, seconds, 0.65) is None
    assert not device.is_silent
    played = sum(len(sound) for _, sound in device.played) // BYTES_PER_FRAME
    assert played == pytest.approx(0.2 * RATE_HZ, abs=300)


def test_a_full_device_takes_only_what_fits(seconds: Seconds):
    device = opened(seconds, start_late_s=0)
    assert device.write(A_SECOND * 3) == 2 * len(A_SECOND)
    assert device.write(A_SECOND) == 0


def test_a_paused_device_keeps_what_was_written_and_a_flushed_one_does_not(seconds: Seconds):
    device = opened(seconds, start_late_s=0, drift=0, says_every_s=0)
    device.write(A_SECOND)
    heard_after(device, seconds, 0.2)
    device.pause()
    assert heard_after(device, seconds, 1.0) == pytest.approx(200_000, abs=50)
    device.resume()
    assert heard_after(device, seconds, 0.2) == pytest.approx(400_000, abs=50)
    device.flush()
    assert heard_after(device, seconds, 0.2) == 0


def test_a_closed_device_plays_no_more(seconds: Seconds):
    device = opened(seconds, start_late_s=0)
    device.write(A_SECOND)
    device.close()
    assert heard_after(device, seconds, 0.5) is None
