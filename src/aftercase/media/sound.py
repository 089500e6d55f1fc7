"""The sound of a recording on the recording's own clock: parts joined, gaps silent, no jumps."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

import numpy as np

from aftercase.clock import SECOND_US
from aftercase.errors import AftercaseError
from aftercase.media.parts import PartFacts
from aftercase.media.soundout import CHANNELS, RATE_HZ
from aftercase.media.soundstream import Samples, SoundStream, open_sound
from aftercase.media.tempo import at_speed, lead_frames

BLOCK_FRAMES: Final = RATE_HZ // 20
"""Moments of sound in a block: a twentieth of a second of hearing."""

_MOST_OFF_US: Final = 2 * SECOND_US


@dataclass(frozen=True, slots=True)
class SoundBlock:
    """Sound as it is heard at some speed.

    Args:
        at_us: The moment of the recording that its first sample is of.
        pcm: Interleaved signed 16-bit samples, `soundout.CHANNELS` at `soundout.RATE_HZ`.
    """

    at_us: int
    pcm: bytes


class SoundTrack:
    """The sound of a recording, read from any moment on; not for use by two threads.

    A part that is not there, cannot be read or has no sound is silent.

    Args:
        parts: The parts of the recording, in order.
    """

    def __init__(self, parts: Sequence[PartFacts]) -> None:
        self._parts = tuple(parts)
        self._streams: dict[int, SoundStream | None] = {}

    def has_sound(self) -> bool:
        """Claim that at least one part has sound; opens parts until one is found."""
        return any(self._stream(number) is not None for number in range(len(self._parts)))

    def blocks(self, at_us: int, rate: float = 1.0) -> Iterator[SoundBlock]:
        """Yield the sound from a moment on to the recording's end, in blocks of equal length.

        The first sample of the first block is the one nearest to the moment. The last block may
        be short. Nothing comes of a recording without sound.

        Args:
            at_us: The moment.
            rate: Speed, `tempo.SLOWEST` to `tempo.FASTEST`; the pitch stays.
        """
        if not self.has_sound():
            return
        begin_us = at_us - lead_frames(rate) * SECOND_US // RATE_HZ
        made = 0
        for samples in _in_blocks(at_speed(self._samples(begin_us), rate)):
            yield SoundBlock(at_us + int(made * rate * SECOND_US / RATE_HZ), samples.tobytes())
            made += len(samples)

    def close(self) -> None:
        """Close all files."""
        for stream in self._streams.values():
            if stream is not None:
                stream.close()
        self._streams.clear()

    def _samples(self, at_us: int) -> Iterator[Samples]:
        """Yield the sound from a moment on without a gap; before the recording it is silent."""
        done = 0
        for number, part in enumerate(self._parts):
            end = _frames_until(part.end_us, at_us)
            if end <= done:
                continue
            start = max(done, _frames_until(part.start_us, at_us))
            yield from _silence(start - done)
            yield from self._samples_of(number, at_us, start, end)
            done = end

    def _samples_of(self, number: int, at_us: int, start: int, end: int) -> Iterator[Samples]:
        """Yield a part's sound for the moments `[start, end)`, counted from `at_us`."""
        stream, part = self._stream(number), self._parts[number]
        done = start
        if stream is not None:
            zero_s = part.first_pts * part.time_base - Fraction(part.start_us - at_us, SECOND_US)
            """What the file's clock says at `at_us`."""
            for piece in stream.pieces_from(zero_s + Fraction(start, RATE_HZ)):
                place = round((piece.at_s - zero_s) * RATE_HZ)
                samples = piece.samples[max(0, done - place) : max(0, end - place)]
                if len(samples):
                    place = max(place, done)
                    yield from _silence(place - done)
                    yield samples
                    done = place + len(samples)
                if done >= end:
                    break
        yield from _silence(end - done)

    def _stream(self, number: int) -> SoundStream | None:
        """Return a part's sound; None where there is none."""
        if number not in self._streams:
            self._streams[number] = None
            with suppress(AftercaseError):  # the reader of pictures tells what is wrong with it
                self._streams[number] = _sound_of(self._parts[number])
        return self._streams[number]


def _sound_of(part: PartFacts) -> SoundStream | None:
    """Open a part's sound; None where there is none, or no telling which moment it belongs to.

    Where stamps restart within a file, one names several moments: the file then says it is not as
    long as its pictures are. Silence is better than another moment's sound.
    """
    stream = open_sound(part.path)
    if stream is None or not stream.clock_may_restart or stream.said_us is None:
        return stream
    if abs(stream.said_us - part.duration_us) < _MOST_OFF_US:
        return stream
    stream.close()
    return None


def _frames_until(us: int, from_us: int) -> int:
    """Return how many moments of sound lie in `[from_us, us)`; negative where it is before."""
    return -((from_us - us) * RATE_HZ // SECOND_US)


def _silence(n_frames: int) -> Iterator[Samples]:
    """Yield silence of some length, in small pieces."""
    while n_frames > 0:
        piece = np.zeros((min(n_frames, BLOCK_FRAMES), CHANNELS), np.int16)
        yield piece
        n_frames -= len(piece)


def _in_blocks(pieces: Iterator[Samples]) -> Iterator[Samples]:
    """Yield the same sound in blocks of `BLOCK_FRAMES`; the last may be shorter."""
    held: list[Samples] = []
    n_held = 0
    for piece in pieces:
        held.append(piece)
        n_held += len(piece)
        if n_held >= BLOCK_FRAMES:
            joined = np.concatenate(held)
            whole = n_held // BLOCK_FRAMES * BLOCK_FRAMES
            yield from np.split(joined[:whole], whole // BLOCK_FRAMES)
            held, n_held = [joined[whole:]], n_held - whole
    if n_held:
        yield np.concatenate(held)
