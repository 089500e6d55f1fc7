"""The film's sound on this computer's sound device, whichever that is at the moment."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Final

from PyQt6.QtCore import Qt, QTimer

from aftercase.media.parts import PartFacts
from aftercase.media.playclock import PlayClock
from aftercase.media.soundfeeder import MakeSupply, SoundFeeder
from aftercase.media.soundout import BYTES_PER_FRAME, RATE_HZ, NullSound, SoundOut
from aftercase.media.soundprocess import SoundProcess

if TYPE_CHECKING:
    from PyQt6.QtCore import QIODevice
    from PyQt6.QtMultimedia import QAudio, QAudioSink

_TICK_MS: Final = 10
_HOLDS_S: Final = 0.5
_STANDS_MS: Final = 2_000
"""A device that is paused is kept going this long, so that playing again is heard at once."""

_BYTES_PER_S: Final = RATE_HZ * BYTES_PER_FRAME
_SECOND_US: Final = 1_000_000

NO_LIBRARY: Final = "Films are silent: a sound library is missing on this computer ({reason})."
NO_DEVICE: Final = "Films are silent: no sound device is connected. One connected later is used."


class QtSound:
    """The default sound device, as `soundout.SoundOut`; another one when the default changes.

    What was written cannot be taken back from a device of Qt's without stopping it, and starting
    one anew can take seconds. So what is flushed is played at volume 0 and not counted.

    Raises:
        ImportError: QtMultimedia, or a library that it needs, is not there.
    """

    def __init__(self) -> None:
        from PyQt6 import QtMultimedia  # late: its libraries may be missing

        self._qt = QtMultimedia
        self._devices = QtMultimedia.QMediaDevices()
        self._devices.audioOutputsChanged.connect(self._look)
        self._device = QtMultimedia.QMediaDevices.defaultAudioOutput()
        self._rest = QTimer()
        self._rest.setSingleShot(True)
        self._rest.timeout.connect(self._suspend)
        self._sink: QAudioSink | None = None
        self._into: QIODevice | None = None
        self._channels = 0
        self._volume = self._set_volume = 1.0
        self._n_bytes = 0
        self._flushed_us = 0

    @property
    def volume(self) -> float:
        """How loud, 0 to 1."""
        return self._volume

    @volume.setter
    def volume(self, volume: float) -> None:
        self._volume = volume
        self._be_loud()

    @property
    def is_silent(self) -> bool:
        """Claim that there is no device, or the one there was has failed."""
        return self._device.isNull() or (self._channels > 0 and self._into is None)

    def open(self, rate_hz: int, channels: int) -> None:
        """Open the default device; see `SoundOut`."""
        if rate_hz != RATE_HZ:
            raise ValueError(f"sound comes at {RATE_HZ} a second")
        self._channels = channels
        self._begin()

    def write(self, pcm: bytes) -> int:
        """Take as much as there is room for; all of it where there is no device."""
        if self._sink is None or self._into is None:
            return len(pcm)
        room = self._sink.bytesFree() // BYTES_PER_FRAME * BYTES_PER_FRAME
        taken = max(0, self._into.write(pcm[:room])) if room else 0
        self._n_bytes += taken
        return taken

    def heard_us(self) -> int | None:
        """Return how much of what was written since it was flushed was played."""
        played_us = 0 if self._sink is None else self._sink.processedUSecs()
        if not played_us:
            return None
        self._be_loud()
        return played_us - self._flushed_us

    def pause(self) -> None:
        """Let the device stand, after a while."""
        self._rest.start(_STANDS_MS)

    def resume(self) -> None:
        """Let the device go on; one that failed is tried again."""
        self._rest.stop()
        if self._sink is not None:
            if self._sink.state() == self._qt.QAudio.State.SuspendedState:
                self._sink.resume()
        elif self._channels:
            self._begin()

    def flush(self) -> None:
        """Let nothing more be heard of what was written."""
        self._flushed_us = self._n_bytes * _SECOND_US // _BYTES_PER_S
        self._be_loud()

    def close(self) -> None:
        """Let the device go."""
        self._rest.stop()
        self._end()
        self._channels = 0

    def _look(self) -> None:
        """See which device is the default now, and go over to it."""
        device = self._qt.QMediaDevices.defaultAudioOutput()
        if device != self._device:
            self._device = device
            if self._channels:
                self._begin()

    def _begin(self) -> None:
        self._end()
        if self._device.isNull():
            return
        form = self._qt.QAudioFormat()
        form.setSampleRate(RATE_HZ)
        form.setChannelCount(self._channels)
        form.setSampleFormat(self._qt.QAudioFormat.SampleFormat.Int16)
        self._sink = self._qt.QAudioSink(self._device, form)
        self._sink.setBufferSize(int(_HOLDS_S * _BYTES_PER_S))
        self._sink.stateChanged.connect(self._notice)
        self._set_volume = self._sink.volume()
        self._into = self._sink.start()
        self._be_loud()

    def _end(self) -> None:
        sink, self._sink, self._into = self._sink, None, None
        self._n_bytes = self._flushed_us = 0
        if sink is not None:
            sink.stateChanged.disconnect(self._notice)
            sink.stop()
            sink.deleteLater()

    def _notice(self, state: QAudio.State) -> None:
        """Let a device go that failed, as one does that is unplugged; `resume` tries it again."""
        failed = self._sink is not None and self._sink.error() in (
            self._qt.QAudio.Error.FatalError,
            self._qt.QAudio.Error.IOError,
            self._qt.QAudio.Error.OpenError,
        )
        if failed and state == self._qt.QAudio.State.StoppedState:
            self._end()

    def _suspend(self) -> None:
        if self._sink is not None:
            self._sink.suspend()

    def _be_loud(self) -> None:
        """Set the volume, 0 while something that was flushed is played."""
        if self._sink is None:
            return
        is_stale = self._sink.processedUSecs() < self._flushed_us
        volume = 0.0 if is_stale else self._volume
        if volume != self._set_volume:
            self._set_volume = volume
            self._sink.setVolume(volume)


class FilmSound:
    """The film's sound beside the pictures; silent until a volume is set.

    It is what `playback.Player` takes for its sound.

    Args:
        out: The device.
        make_supply: Makes what reads a recording's sound.
    """

    def __init__(self, out: SoundOut, *, make_supply: MakeSupply = SoundProcess) -> None:
        self._feeder = SoundFeeder(out, make_supply=make_supply)
        self._timer = QTimer()
        self._timer.setTimerType(Qt.TimerType.PreciseTimer)
        self._timer.setInterval(_TICK_MS)
        self._timer.timeout.connect(self._feeder.tick)
        self._is_on = self._plays = False

    def set_volume(self, volume: float) -> None:
        """Let films be heard, 0 (not at all) to 1."""
        self._feeder.set_volume(volume)
        self._is_on = volume > 0
        self._tick_if_heard()

    def open(self, parts: Sequence[PartFacts]) -> None:
        """Get ready to play the sound of a recording."""
        self._feeder.open(parts)

    def play(self, at_us: int, rate: float, clock: PlayClock) -> None:
        """Play from a moment at a speed, and tell the clock what is heard."""
        self._feeder.play(at_us, rate, clock)
        self._plays = True
        self._tick_if_heard()

    def rest(self) -> None:
        """Be silent."""
        self._feeder.rest()
        self._plays = False
        self._tick_if_heard()

    def close(self) -> None:
        """Let the recording and the device go."""
        self.rest()
        self._feeder.close()

    def _tick_if_heard(self) -> None:
        if self._plays and self._is_on:
            self._timer.start()
        else:
            self._timer.stop()


def find_sound() -> tuple[FilmSound, str | None]:
    """Return what plays the sound of films, and why there is none to be heard, if so, in words."""
    try:
        out = QtSound()
    except ImportError as error:
        return FilmSound(NullSound()), NO_LIBRARY.format(reason=error.msg)
    return FilmSound(out), NO_DEVICE if out.is_silent else None
