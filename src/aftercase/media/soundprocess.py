"""A recording's sound, read in a process of its own: a film that stops it stops nothing else.

Whoever asks never waits: blocks are taken when they are there. `process` does so for pictures.
"""

from __future__ import annotations

import multiprocessing
import signal
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass
from itertools import count
from typing import TYPE_CHECKING, Final, Protocol

from aftercase.media.parts import PartFacts
from aftercase.media.serving import end_with_asker
from aftercase.media.sound import SoundBlock, SoundTrack

if TYPE_CHECKING:
    from multiprocessing.connection import Connection

_ASKED_AHEAD: Final = 4
"""Blocks asked for before they are wanted."""

_GIVEN_UP_S: Final = 10.0
"""Without an answer for this long, as from a drive that hangs, the process is ended."""

_MOST_LOST: Final = 3
"""A recording whose sound ended so many processes is silent."""

_LIMIT_BYTES: Final = 1 << 29
_LEAVE_S: Final = 0.1


class SoundSupply(Protocol):
    """Gives a recording's sound, block by block, without making anyone wait."""

    def begin(self, at_us: int, rate: float) -> None:
        """Give the sound from a moment on, at a speed; what was begun before is forgotten."""

    def take(self) -> SoundBlock | None:
        """Return the next block; None while it is not there, and after the last."""

    def close(self) -> None:
        """Let the recording go."""


class SoundAtHand:
    """The sound of a recording, read whenever a block is taken."""

    def __init__(self, parts: Sequence[PartFacts]) -> None:
        self._track = SoundTrack(parts)
        self._blocks: Iterator[SoundBlock] = iter(())

    def begin(self, at_us: int, rate: float) -> None:
        """Give the sound from a moment on; see `SoundSupply`."""
        self._blocks = self._track.blocks(at_us, rate)

    def take(self) -> SoundBlock | None:
        """Return the next block, None after the last."""
        return next(self._blocks, None)

    def close(self) -> None:
        """Close the files."""
        self._track.close()


@dataclass(frozen=True, slots=True)
class _Begin:
    number: int
    at_us: int
    rate: float


@dataclass(frozen=True, slots=True)
class _Next:
    number: int


@dataclass(frozen=True, slots=True)
class _Given:
    """An answer to `_Next`; `block` is None after the last."""

    number: int
    block: SoundBlock | None


class SoundProcess:
    """The sound of a recording, read in a process of its own; used by one thread.

    Args:
        parts: The parts of the recording, in order.
        now: Monotonic seconds.
    """

    def __init__(
        self, parts: Sequence[PartFacts], *, now: Callable[[], float] = time.monotonic
    ) -> None:
        self._parts = tuple(parts)
        self._now = now
        self._numbers = count(1)
        self._number = 0
        self._n_asked = self._n_lost = 0
        self._answered_s = 0.0
        self._start()

    def begin(self, at_us: int, rate: float) -> None:
        """Give the sound from a moment on; see `SoundSupply`."""
        if self._n_asked and self._now() - self._answered_s > _GIVEN_UP_S:
            self._lose()
        if self._pipe is None and self._n_lost < _MOST_LOST:
            self._start()
        if not self._n_asked:
            self._answered_s = self._now()
        self._number = next(self._numbers)
        self._tell(_Begin(self._number, at_us, rate))
        for _ in range(_ASKED_AHEAD):
            self._ask()

    def take(self) -> SoundBlock | None:
        """Return the next block; None while it is not there, and after the last."""
        while (given := self._given()) is not None:
            if given.number == self._number and given.block is not None:
                self._ask()
                return given.block
        return None

    def close(self) -> None:
        """End the process."""
        self._lose()
        self._process.join(_LEAVE_S)

    def _start(self) -> None:
        context = multiprocessing.get_context("spawn")
        self._pipe: Connection | None
        self._pipe, far_end = context.Pipe()
        self._process = context.Process(
            target=serve_sound, args=(far_end, self._parts), name="sound", daemon=True
        )
        self._process.start()
        far_end.close()  # so that the pipe ends when the process does

    def _ask(self) -> None:
        self._tell(_Next(self._number))
        self._n_asked += 1

    def _tell(self, order: _Begin | _Next) -> None:
        if self._pipe is not None:
            with suppress(OSError):  # the process is gone: the next answer tells
                self._pipe.send(order)

    def _given(self) -> _Given | None:
        """Return the next answer if there is one."""
        try:
            if self._pipe is None or not self._pipe.poll():
                return None
            given: _Given = self._pipe.recv()
        except (EOFError, OSError):
            self._lose()
            return None
        self._n_asked -= 1
        self._answered_s = self._now()
        return given

    def _lose(self) -> None:
        """Let the process go without waiting for it: it may be stuck in a drive."""
        if self._pipe is not None:
            self._pipe.close()
            self._pipe = None
            self._process.kill()
            self._n_lost += 1
        self._n_asked = 0


def serve_sound(pipe: Connection, parts: Sequence[PartFacts]) -> None:
    """Serve a recording's sound through a pipe until the asker is gone."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the asker decides what an interrupt means
    end_with_asker(lambda: _LIMIT_BYTES)
    supply, number = SoundAtHand(parts), 0
    with suppress(EOFError, OSError):  # the asker is gone
        while True:
            order: _Begin | _Next = pipe.recv()
            if isinstance(order, _Begin):
                number = order.number
                supply.begin(order.at_us, order.rate)
            else:
                is_wanted = order.number == number
                pipe.send(_Given(order.number, supply.take() if is_wanted else None))
    supply.close()
