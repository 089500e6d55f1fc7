"""Where sound goes: a device, nothing at all, or a simulated device with every fault."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Final, Protocol

RATE_HZ: Final = 48_000
CHANNELS: Final = 2
BYTES_PER_FRAME: Final = 2 * CHANNELS
"""One moment of sound: a signed 16-bit number, in the computer's byte order, per channel."""

_SECOND_US: Final = 1_000_000


class SoundOut(Protocol):
    """A sound device that is written to; used by one thread.

    Attributes:
        volume: How loud, 0 to 1, as a share of amplitude.
    """

    volume: float

    @property
    def is_silent(self) -> bool:
        """Claim that nothing written is ever heard, as there is no device."""

    def open(self, rate_hz: int, channels: int) -> None:
        """Get ready for interleaved signed 16-bit samples; opened already, start anew."""

    def write(self, pcm: bytes) -> int:
        """Take sound to be played after what was written; return how many bytes were taken."""

    def heard_us(self) -> int | None:
        """Return how much of what was written since `open` or `flush` was played, microseconds.

        None while there is no device or it has not begun to play; negative while it still plays,
        unheard, what was flushed. A device that stalls repeats itself.
        """

    def pause(self) -> None:
        """Keep what was written and not yet played, silently."""

    def resume(self) -> None:
        """Go on after `pause`."""

    def flush(self) -> None:
        """Forget what was written and not yet played, and count what is played from 0."""

    def close(self) -> None:
        """Let the device go."""


class NullSound:
    """No device: everything is taken, nothing is heard."""

    is_silent = True

    def __init__(self) -> None:
        self.volume = 1.0

    def open(self, rate_hz: int, channels: int) -> None:
        """Do nothing."""

    def write(self, pcm: bytes) -> int:
        """Take it all."""
        return len(pcm)

    def heard_us(self) -> None:
        """Return None: nothing is heard."""

    def pause(self) -> None:
        """Do nothing."""

    def resume(self) -> None:
        """Do nothing."""

    def flush(self) -> None:
        """Do nothing."""

    def close(self) -> None:
        """Do nothing."""


class SimulatedSound:
    """A device with the faults of real ones, for tests; its time is the one injected.

    What lies between two calls happens at the earlier one's time.

    Args:
        now: Monotonic seconds.
        start_late_s: How long after it is opened or plugged in it begins to play.
        drift: By what share it plays too fast; negative for too slow.
        stalls: Stretches of time in which it stands still, from and until.
        unplugged: Stretches of time in which it is not there.
        says_every_s: How long it says the same of what was played.
        holds_us: How much it takes ahead.
        takes_back: What is flushed is gone at once; else it is played as silence.

    Attributes:
        played: What was played so far, in order: (seconds, sound).
    """

    def __init__(
        self,
        now: Callable[[], float],
        *,
        start_late_s: float = 1.8,
        drift: float = 0.001,
        stalls: Sequence[tuple[float, float]] = (),
        unplugged: Sequence[tuple[float, float]] = (),
        says_every_s: float = 0.005,
        holds_us: int = 500_000,
        takes_back: bool = True,
    ) -> None:
        self.volume = 1.0
        self.played: list[tuple[float, bytes]] = []
        self._now, self._last_s = now, now()
        self._start_late_s, self._drift = start_late_s, drift
        self._stalls, self._unplugged = tuple(stalls), tuple(unplugged)
        self._says_every_s, self._said_s = says_every_s, float("-inf")
        self._holds_bytes = holds_us * RATE_HZ // _SECOND_US * BYTES_PER_FRAME
        self._takes_back = takes_back
        self._queue = bytearray()
        self._due_frames = 0.0
        self._n_played = self._n_said = 0
        self._begins_s = float("inf")
        self._is_paused = False

    @property
    def is_silent(self) -> bool:
        """Claim that it is not plugged in now."""
        return any(start_s <= self._now() < end_s for start_s, end_s in self._unplugged)

    def open(self, rate_hz: int, channels: int) -> None:
        """Begin to play, late."""
        self._begins_s = self._now() + self._start_late_s
        self._is_paused = False
        self.flush()

    def write(self, pcm: bytes) -> int:
        """Take what there is room for; nothing is kept of it while it is not plugged in."""
        self._go_on()
        if self.is_silent:
            return len(pcm)
        taken = max(0, min(len(pcm), self._holds_bytes - len(self._queue)))
        self._queue += pcm[:taken]
        return taken

    def heard_us(self) -> int | None:
        """Return how much was played, as it was a moment ago; None before it begins."""
        self._go_on()
        if self.is_silent or self._now() < self._begins_s:
            return None
        if self._now() - self._said_s >= self._says_every_s:
            self._n_said, self._said_s = self._n_played, self._now()
        return self._n_said * _SECOND_US // RATE_HZ

    def pause(self) -> None:
        """Stand still."""
        self._go_on()
        self._is_paused = True

    def resume(self) -> None:
        """Go on."""
        self._go_on()
        self._is_paused = False

    def flush(self) -> None:
        """Forget what was not played."""
        self._go_on()
        self._queue = bytearray(0 if self._takes_back else len(self._queue))
        self._n_played = self._n_said = -(len(self._queue) // BYTES_PER_FRAME)
        self._due_frames = 0.0

    def close(self) -> None:
        """Play no more."""
        self._begins_s = float("inf")

    def _go_on(self) -> None:
        """Play what was to be played since the last call."""
        from_s, self._last_s = self._last_s, self._now()
        if self.is_silent:
            self._queue.clear()
            self._n_played = self._n_said = 0
            self._begins_s = self._last_s + self._start_late_s
        if self._is_paused or self._last_s < self._begins_s:
            return
        begun_s = max(from_s, self._begins_s)
        still_s = sum(_overlap_s(stall, (begun_s, self._last_s)) for stall in self._stalls)
        self._due_frames += (self._last_s - begun_s - still_s) * (1 + self._drift) * RATE_HZ
        n_bytes = min(int(self._due_frames) * BYTES_PER_FRAME, len(self._queue))
        self.played.append((begun_s, bytes(self._queue[:n_bytes])))
        del self._queue[:n_bytes]
        self._n_played += n_bytes // BYTES_PER_FRAME
        self._due_frames = self._due_frames % 1 if self._queue else 0.0


def _overlap_s(one: tuple[float, float], other: tuple[float, float]) -> float:
    return max(0.0, min(one[1], other[1]) - max(one[0], other[0]))
