"""The sound of one file, brought to one rate, in pieces that say when they begin."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from itertools import chain
from typing import TYPE_CHECKING, Final, NamedTuple

import numpy as np
import numpy.typing as npt

from aftercase.media.container import fraction_of, open_container
from aftercase.media.kinds import ContainerKind
from aftercase.media.soundout import CHANNELS, RATE_HZ

if TYPE_CHECKING:
    from av.audio.frame import AudioFrame
    from av.audio.stream import AudioStream
    from av.container import InputContainer
    from av.packet import Packet

Samples = npt.NDArray[np.int16]
"""Sound at `soundout.RATE_HZ`, an array of (moments, channels)."""

_EARLIER_S: Final = Fraction(1, 2)
"""How long before the wanted moment a file is entered: a coding needs some sound before it to be
right. Before the start there may be a run-up, which only a seek to earlier finds."""

_NO_GAP_S: Final = Fraction(3, 100)
"""Stamps this near to the count of samples are rounded or jitter; farther off is a gap."""

_FAULTS_IN_A_ROW: Final = 64


class Piece(NamedTuple):
    """Some sound, and when it begins on the file's own clock."""

    at_s: Fraction
    samples: Samples


class SoundStream:
    """The sound of an open file. Use `open_sound`; not for use by two threads.

    Attributes:
        clock_may_restart: Stamps may jump or fall within the file.
        said_us: How long the file says it is, which is by its stamps; None when not said.
    """

    def __init__(self, container: InputContainer, kind: ContainerKind, stream: AudioStream) -> None:
        self.clock_may_restart = kind.clock_may_restart
        self.said_us = container.duration
        self._container = container
        self._stream = stream
        self._time_base = fraction_of(stream.time_base) or Fraction(1, RATE_HZ)

    def pieces_from(self, moment_s: Fraction) -> Iterator[Piece]:
        """Yield the sound from at or before a moment on; later where it itself begins later.

        Between pieces that touch lies exactly as much time as the earlier one is long. What
        cannot be decoded is a gap.
        """
        run: _Run | None = None
        for frame in self._frames(moment_s):
            at_s = None if frame.pts is None else frame.pts * self._time_base
            if run is None or not run.goes_on_with(frame, at_s):
                if run is not None:
                    yield from run.rest()
                run = None if at_s is None else _Run(frame, at_s)
            if run is not None:
                yield from run.taken(frame)
        if run is not None:
            yield from run.rest()

    def close(self) -> None:
        """Close the file."""
        self._container.close()

    def _frames(self, moment_s: Fraction) -> Iterator[AudioFrame]:
        import av  # late: `aftercase --help` must stay instant

        packets = self._packets_from(moment_s)
        faults = 0
        while faults < _FAULTS_IN_A_ROW:
            try:
                for packet in packets:
                    yield from self._stream.codec_context.decode(packet)
                    faults = 0
                return
            except av.EOFError:
                return
            except (av.FFmpegError, IndexError):  # the latter: see `container.Film.packets`
                faults += 1
                packets = self._packets()

    def _packets_from(self, moment_s: Fraction) -> Iterator[Packet[AudioStream]]:
        """Return the packets from so far before a moment that the sound is right from there on."""
        entry = int((moment_s - _EARLIER_S) / self._time_base)
        first = self._first_after(entry) or self._first_after(self._stream.start_time or 0)
        return self._packets() if first is None else chain([first], self._packets())

    def _first_after(self, ticks: int) -> Packet[AudioStream] | None:
        """Enter the file at a stamp and return the first packet there; None where that fails."""
        import av  # late, as above

        try:
            self._container.seek(ticks, stream=self._stream)
            return next(self._packets(), None)
        except (av.FFmpegError, IndexError):
            return None

    def _packets(self) -> Iterator[Packet[AudioStream]]:
        return self._container.demux(self._stream)


class _Run:
    """Sound without a gap, brought to the one rate as it comes."""

    def __init__(self, first: AudioFrame, at_s: Fraction) -> None:
        from av.audio.resampler import AudioResampler  # late, as above

        self._kind = _kind_of(first)
        self._resampler = AudioResampler(format="s16", layout="stereo", rate=RATE_HZ)
        self._at_s, self._rate_hz = at_s, first.sample_rate
        self._n_taken = self._n_given = 0

    def goes_on_with(self, frame: AudioFrame, at_s: Fraction | None) -> bool:
        """Claim that a frame follows without a gap; one without a stamp does."""
        if _kind_of(frame) != self._kind:
            return False
        expected_s = self._at_s + Fraction(self._n_taken, self._rate_hz)
        return at_s is None or abs(at_s - expected_s) <= _NO_GAP_S

    def taken(self, frame: AudioFrame) -> Iterator[Piece]:
        """Take a frame and yield what came out."""
        self._n_taken += frame.samples
        frame.pts = None
        return self._given(self._resampler.resample(frame))

    def rest(self) -> Iterator[Piece]:
        """Yield what is still inside."""
        return self._given(self._resampler.resample(None))

    def _given(self, frames: list[AudioFrame]) -> Iterator[Piece]:
        for frame in frames:
            samples = frame.to_ndarray().astype(np.int16, copy=False).reshape(-1, CHANNELS)
            yield Piece(self._at_s + Fraction(self._n_given, RATE_HZ), samples)
            self._n_given += len(samples)


def open_sound(path: str) -> SoundStream | None:
    """Open the sound of a film; None where it has none.

    Raises:
        RecordingMissing, RecordingRefused, RecordingUnreadable: See `container.open_film`.
    """
    from av.stream import Discard, Disposition  # late, as above

    container, kind = open_container(path)
    heard = [stream for stream in container.streams.audio if stream.codec_context is not None]
    if not heard:
        container.close()
        return None
    chosen = min(heard, key=lambda s: (not s.disposition & Disposition.default, s.index))
    for other in container.streams:
        if other.index != chosen.index:
            other.discard = Discard.all
    return SoundStream(container, kind, chosen)


def _kind_of(frame: AudioFrame) -> tuple[int, str, str]:
    return frame.sample_rate, frame.layout.name, frame.format.name
