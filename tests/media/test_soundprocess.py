"""Sound read in a process of its own: the same sound, never waited for, whatever ends it."""

from __future__ import annotations

import os
import signal
import time
from collections.abc import Callable, Iterator
from fractions import Fraction
from pathlib import Path

import av
import numpy as np
import pytest

from aftercase.media.parts import PartFacts
from aftercase.media.recording import open_recording
from aftercase.media.sound import SoundBlock, SoundTrack
from aftercase.media.soundprocess import SoundProcess

SECOND_US = 1_000_000
SOON_S = 20.0
AT_ONCE_S = 0.1
SECONDS = 3


@pytest.fixture(scope="module")
def parts(tmp_path_factory: pytest.TempPathFactory) -> tuple[PartFacts, ...]:
    """A film of three seconds whose sound is chance."""
    path = tmp_path_factory.mktemp("sound") / "chance.mkv"
    chance = np.random.default_rng(3)
    with av.open(str(path), "w") as container:
        picture = container.add_stream("libx264", rate=25)
        picture.width, picture.height, picture.pix_fmt = 64, 48, "yuv420p"
        sound = container.add_stream("flac", rate=48_000, layout="stereo")
        for number in range(SECONDS * 25):
            frame = av.VideoFrame(64, 48, "yuv420p")
            frame.pts, frame.time_base = number, Fraction(1, 25)
            container.mux(picture.encode(frame))
            samples = chance.integers(-9000, 9000, (1, 2 * 1920), np.int16)
            heard = av.AudioFrame.from_ndarray(samples, format="s16", layout="stereo")
            heard.sample_rate, heard.pts = 48_000, number * 1920
            heard.time_base = Fraction(1, 48_000)
            container.mux(sound.encode(heard))
        container.mux(picture.encode())
        container.mux(sound.encode())
    with open_recording([path]) as recording:
        return recording.facts


class SetByHand:
    def __init__(self) -> None:
        self.now_s = 0.0

    def __call__(self) -> float:
        return self.now_s


@pytest.fixture
def seconds() -> SetByHand:
    return SetByHand()


@pytest.fixture
def supply(parts: tuple[PartFacts, ...], seconds: SetByHand) -> Iterator[SoundProcess]:
    made = SoundProcess(parts, now=seconds)
    yield made
    made.close()


def taken(supply: SoundProcess, n_blocks: int, within_s: float = SOON_S) -> list[SoundBlock]:
    """Take so many blocks, or as many as come within a time."""
    give_up_s = time.monotonic() + within_s
    blocks: list[SoundBlock] = []
    while len(blocks) < n_blocks and time.monotonic() < give_up_s:
        block = supply.take()
        if block is None:
            time.sleep(0.002)
        else:
            blocks.append(block)
    return blocks


@pytest.mark.parametrize(("at_us", "rate"), [(0, 1.0), (1_300_000, 1.0), (500_000, 2.0)])
def test_it_gives_what_is_read_without_it(
    supply: SoundProcess, parts: tuple[PartFacts, ...], at_us: int, rate: float
):
    wanted = list(SoundTrack(parts).blocks(at_us, rate))
    supply.begin(at_us, rate)
    assert taken(supply, len(wanted)) == wanted
    assert len(wanted) > 20
    assert taken(supply, 1, AT_ONCE_S) == []  # nothing comes after the last


def test_nothing_is_waited_for(supply: SoundProcess):
    before_s = time.monotonic()
    assert supply.take() is None
    supply.begin(0, 1.0)
    supply.take()
    assert time.monotonic() - before_s < AT_ONCE_S


def test_what_was_begun_before_is_forgotten(supply: SoundProcess):
    supply.begin(0, 1.0)
    assert taken(supply, 3)[0].at_us == 0
    for at_us in (400_000, 800_000, 2_000_000):
        supply.begin(at_us, 1.0)
    assert [block.at_us for block in taken(supply, 3)] == [2_000_000, 2_050_000, 2_100_000]


def test_a_film_without_sound_gives_nothing(film_maker: Callable[..., Path]):
    with open_recording([film_maker("mute.mp4", 25)]) as recording:
        supply = SoundProcess(recording.facts)
    supply.begin(0, 1.0)
    assert taken(supply, 1, 1.0) == []
    supply.close()


def test_a_process_that_ended_is_silence_and_the_next_beginning_starts_another(
    supply: SoundProcess,
):
    supply.begin(0, 1.0)
    assert len(taken(supply, 2)) == 2
    supply._process.kill()
    supply._process.join()
    assert len(taken(supply, 100, AT_ONCE_S)) <= 4  # what was on its way
    supply.begin(1_000_000, 1.0)
    assert taken(supply, 1)[0].at_us == 1_000_000


def test_a_recording_that_ends_process_after_process_is_silent(supply: SoundProcess):
    for _ in range(3):
        supply.begin(0, 1.0)
        assert taken(supply, 1)
        supply._process.kill()
        supply._process.join()
        taken(supply, 100, AT_ONCE_S)
    supply.begin(0, 1.0)
    assert taken(supply, 1, 0.5) == []


def test_a_process_that_hangs_is_given_up_after_ten_seconds(
    supply: SoundProcess, seconds: SetByHand
):
    supply.begin(0, 1.0)
    assert taken(supply, 1)
    hung = supply._process
    assert hung.pid is not None
    os.kill(hung.pid, signal.SIGSTOP)
    supply.begin(500_000, 1.0)
    seconds.now_s += 9
    supply.begin(600_000, 1.0)
    assert supply._process is hung
    seconds.now_s += 2
    supply.begin(1_000_000, 1.0)
    assert supply._process is not hung
    assert taken(supply, 1)[0].at_us == 1_000_000
    hung.join(SOON_S)
    assert not hung.is_alive()


def test_closing_ends_the_process_at_once(parts: tuple[PartFacts, ...]):
    supply = SoundProcess(parts)
    supply.begin(0, 1.0)
    process = supply._process
    before_s = time.monotonic()
    supply.close()
    assert time.monotonic() - before_s < 0.2
    process.join(SOON_S)
    assert not process.is_alive()
    assert supply.take() is None
