"""The device of Qt's: chosen, changed and lost while the clock runs; films without one are silent.

With AFTERCASE_SOUND_TEST=1 a film is played on the default device of this computer; see
docs/reference/sound.md for one without a loudspeaker.
"""
# ruff: noqa: N802, N815 (the names are Qt's)

from __future__ import annotations

import os
import sys
import time
from collections.abc import Callable, Sequence
from fractions import Fraction
from pathlib import Path
from typing import ClassVar

import av
import numpy as np
import pytest
from PyQt6.QtCore import QObject, pyqtSignal
from PyQt6.QtMultimedia import QAudio
from PyQt6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from aftercase.gui.sound import FilmSound, QtSound, find_sound
from aftercase.media.parts import PartFacts
from aftercase.media.playclock import PlayClock
from aftercase.media.recording import open_recording
from aftercase.media.sound import SoundBlock
from aftercase.media.soundout import BYTES_PER_FRAME, CHANNELS, RATE_HZ, NullSound, SoundOut

SECOND = bytes(BYTES_PER_FRAME * RATE_HZ)
A_FILM = (PartFacts("a.mp4", 1, 1, "", None, 0, 0, 1, 25, 0, 3_600_000_000, 64, 48),)


class Sink(QObject):
    """A stand-in for Qt's sink whose playing is set by hand."""

    stateChanged = pyqtSignal(object)
    made: ClassVar[list[Sink]] = []

    def __init__(self, device: Device, form: object) -> None:
        super().__init__()
        self.device, self.played_us, self.said_volume = device, 0, 1.0
        self.now = QAudio.State.IdleState
        self.fault = QAudio.Error.NoError
        self.written = bytearray()
        Sink.made.append(self)

    def setBufferSize(self, n_bytes: int) -> None:
        self.size = n_bytes

    def bytesFree(self) -> int:
        return self.size - len(self.written) + self.played_us * RATE_HZ * 4 // 1_000_000

    def write(self, pcm: bytes) -> int:
        self.written += pcm
        return len(pcm)

    def start(self) -> Sink:
        self.now = QAudio.State.ActiveState
        return self

    def stop(self) -> None:
        self.now = QAudio.State.StoppedState

    def suspend(self) -> None:
        self.now = QAudio.State.SuspendedState

    def resume(self) -> None:
        self.now = QAudio.State.ActiveState

    def state(self) -> QAudio.State:
        return self.now

    def error(self) -> QAudio.Error:
        return self.fault

    def processedUSecs(self) -> int:
        return self.played_us

    def volume(self) -> float:
        return self.said_volume

    def setVolume(self, volume: float) -> None:
        self.said_volume = volume

    def fail(self) -> None:
        """Stop as a device does that is pulled out."""
        self.fault, self.now = QAudio.Error.IOError, QAudio.State.StoppedState
        self.stateChanged.emit(self.now)


class Device:
    """A stand-in for Qt's name of a device; an empty one is none."""

    def __init__(self, name: str) -> None:
        self.name = name

    def isNull(self) -> bool:
        return not self.name


@pytest.fixture
def plug(monkeypatch: pytest.MonkeyPatch, qapp: QApplication) -> Callable[[str], None]:
    """Plug in a device, or none at all with an empty name; there is one called `first`."""
    current = [Device("first")]
    told: list[Callable[[], None]] = []

    class Devices:
        class audioOutputsChanged:  # noqa: N801 (so too)
            connect = told.append

        @staticmethod
        def defaultAudioOutput() -> Device:
            return current[0]

    def change(name: str) -> None:
        current[0] = Device(name)
        for tell in told:
            tell()

    Sink.made = []
    monkeypatch.setattr("PyQt6.QtMultimedia.QMediaDevices", Devices)
    monkeypatch.setattr("PyQt6.QtMultimedia.QAudioSink", Sink)
    return change


@pytest.fixture
def out(plug: Callable[[str], None]) -> QtSound:
    made = QtSound()
    made.open(RATE_HZ, CHANNELS)
    return made


# None --------------------------------------------------------------------------------------


def test_without_a_device_films_are_silent_and_it_says_so_in_words(plug: Callable[[str], None]):
    plug("")
    sound, why = find_sound()
    assert why is not None
    assert "no sound device" in why
    sound.close()


def test_without_the_library_films_are_silent_and_it_says_which_is_missing(
    qapp: QApplication, monkeypatch: pytest.MonkeyPatch
):
    class NoLibrary:
        """Lets the import fail as it does where a library of the system is missing."""

        def find_spec(self, name: str, path: object, target: object = None) -> None:
            if name == "PyQt6.QtMultimedia":
                raise ImportError("libpulse.so.0: cannot open shared object file")

    monkeypatch.delitem(sys.modules, "PyQt6.QtMultimedia")
    monkeypatch.delattr("PyQt6.QtMultimedia", raising=False)
    monkeypatch.setattr(sys, "meta_path", [NoLibrary(), *sys.meta_path])
    sound, why = find_sound()
    assert why is not None
    assert "libpulse.so.0" in why
    clock = PlayClock()
    sound.set_volume(1.0)
    sound.open(A_FILM)
    clock.start(0, 1.0)
    sound.play(0, 1.0, clock)
    sound.close()


def test_with_a_device_there_is_nothing_to_say(plug: Callable[[str], None]):
    sound, why = find_sound()
    assert why is None
    sound.close()


# One ---------------------------------------------------------------------------------------


def test_what_is_written_goes_to_the_default_device_as_far_as_there_is_room(out: QtSound):
    [sink] = Sink.made
    assert sink.device.name == "first"
    assert out.write(SECOND) == len(SECOND) // 2
    assert out.write(SECOND) == 0
    sink.played_us = 100_000
    assert out.write(SECOND) == len(SECOND) // 10


def test_a_device_says_nothing_until_it_moves(out: QtSound):
    out.write(SECOND)
    assert out.heard_us() is None
    Sink.made[0].played_us = 20_000
    assert out.heard_us() == 20_000


def test_what_was_flushed_is_played_without_being_heard_or_counted(out: QtSound):
    [sink] = Sink.made
    out.volume = 0.7
    out.write(SECOND[: len(SECOND) // 5])
    sink.played_us = 50_000
    assert out.heard_us() == 50_000
    out.flush()
    assert sink.said_volume == 0.0
    out.write(SECOND[: len(SECOND) // 5])
    sink.played_us = 199_000
    assert out.heard_us() == -1_000
    assert sink.said_volume == 0.0
    sink.played_us = 230_000
    assert out.heard_us() == 30_000
    assert sink.said_volume == 0.7
    assert len(Sink.made) == 1  # starting one anew can take seconds


def test_a_paused_device_stands_after_a_while_and_goes_on(
    out: QtSound, monkeypatch: pytest.MonkeyPatch, qtbot: QtBot
):
    [sink] = Sink.made
    monkeypatch.setattr("aftercase.gui.sound._STANDS_MS", 20)
    out.pause()
    assert sink.now == QAudio.State.ActiveState
    qtbot.waitUntil(lambda: sink.now == QAudio.State.SuspendedState)
    out.resume()
    assert sink.now == QAudio.State.ActiveState


# Another -----------------------------------------------------------------------------------


def test_another_default_device_is_gone_over_to_and_counts_from_nought(
    out: QtSound, plug: Callable[[str], None]
):
    out.volume = 0.5
    out.write(SECOND)
    Sink.made[0].played_us = 300_000
    assert out.heard_us() == 300_000
    plug("headphones")
    first, second = Sink.made
    assert first.now == QAudio.State.StoppedState
    assert (second.device.name, second.said_volume) == ("headphones", 0.5)
    assert out.heard_us() is None
    assert not out.is_silent


def test_unplugged_it_is_silent_takes_everything_and_comes_back(
    out: QtSound, plug: Callable[[str], None]
):
    plug("")
    assert out.is_silent
    assert out.heard_us() is None
    assert out.write(SECOND) == len(SECOND)
    plug("first again")
    assert not out.is_silent
    assert Sink.made[-1].device.name == "first again"


def test_a_device_that_fails_is_let_go_and_tried_again_at_the_next_play(out: QtSound):
    Sink.made[0].fail()
    assert out.is_silent
    assert out.heard_us() is None
    out.resume()
    assert not out.is_silent
    assert len(Sink.made) == 2


def test_a_closed_device_is_not_opened_by_a_change(out: QtSound, plug: Callable[[str], None]):
    out.close()
    plug("headphones")
    assert len(Sink.made) == 1
    assert Sink.made[0].now == QAudio.State.StoppedState


# Ticking -----------------------------------------------------------------------------------


class Taking(NullSound):
    """A device that plays at once whatever it is given."""

    is_silent = False

    def __init__(self) -> None:
        super().__init__()
        self.n_bytes = 0

    def write(self, pcm: bytes) -> int:
        self.n_bytes += len(pcm)
        return len(pcm)


class Endless:
    """Sound that is always there."""

    def __init__(self, parts: Sequence[PartFacts]) -> None:
        self._at_us = 0

    def begin(self, at_us: int, rate: float) -> None:
        self._at_us = at_us

    def take(self) -> SoundBlock:
        self._at_us += 50_000
        return SoundBlock(self._at_us - 50_000, SECOND[: len(SECOND) // 20])

    def close(self) -> None: ...


def test_it_ticks_by_itself_while_it_plays_and_is_to_be_heard_and_only_then(
    qtbot: QtBot,
):
    out = Taking()
    device: SoundOut = out
    sound = FilmSound(device, make_supply=Endless)
    clock = PlayClock()
    sound.open(A_FILM)
    clock.start(0, 1.0)
    sound.play(0, 1.0, clock)
    assert not sound._timer.isActive()  # silent until a volume is set
    sound.set_volume(1.0)
    assert sound._timer.isActive()
    qtbot.waitUntil(lambda: out.n_bytes > 0)
    sound.rest()
    assert not sound._timer.isActive()
    sound.close()


# For real ----------------------------------------------------------------------------------


def film_with_tone(path: Path, seconds: int) -> Path:
    with av.open(str(path), "w") as container:
        picture = container.add_stream("libx264", rate=25)
        picture.width, picture.height, picture.pix_fmt = 64, 48, "yuv420p"
        sound = container.add_stream("pcm_s16le", rate=RATE_HZ, layout="mono")
        moments = np.arange(seconds * RATE_HZ)
        tone = (3000 * np.sin(2 * np.pi * 440 * moments / RATE_HZ)).astype(np.int16)
        for number in range(seconds * 25):
            frame = av.VideoFrame(64, 48, "yuv420p")
            frame.pts, frame.time_base = number, Fraction(1, 25)
            container.mux(picture.encode(frame))
            block = tone[number * 1920 : (number + 1) * 1920].reshape(1, -1)
            heard = av.AudioFrame.from_ndarray(block, format="s16", layout="mono")
            heard.sample_rate, heard.pts = RATE_HZ, number * 1920
            container.mux(sound.encode(heard))
        container.mux(picture.encode())
    return path


@pytest.mark.skipif(
    os.environ.get("AFTERCASE_SOUND_TEST") != "1", reason="AFTERCASE_SOUND_TEST=1 plays a tone"
)
def test_a_real_device_plays_in_step_with_the_clock(tmp_path: Path, qapp: QApplication):
    with open_recording([film_with_tone(tmp_path / "tone.mov", 12)]) as recording:
        facts = recording.facts
    sound, why = find_sound()
    assert why is None
    sound.set_volume(1.0)
    sound.open(facts)
    clock = PlayClock()
    clock.start(0, 1.0)
    began_s = time.monotonic()
    sound.play(0, 1.0, clock)
    off_us = []
    while time.monotonic() - began_s < 8:
        qapp.processEvents()
        time.sleep(0.004)
        played_us = sound._feeder._out.heard_us()
        heard_us = sound._feeder._written.moment_at(played_us or 0, 1.0)
        if heard_us is not None and played_us:
            off_us.append(heard_us - clock.position_us())
    passed_s = time.monotonic() - began_s
    sound.close()
    assert clock.position_us() / 1e6 == pytest.approx(passed_s, rel=0.02)
    assert len(off_us) > 100
    assert max(map(abs, off_us)) < 40_000
