"""Where sound goes: a device, nothing at all, or a simulated device with every fault."""

from __future__ import annotations

from typing import Final, Protocol

RATE_HZ: Final = 48_000
CHANNELS: Final = 2
BYTES_PER_FRAME: Final = 2 * CHANNELS
"""One moment of sound: a signed 16-bit number, in the computer's byte order, per channel."""


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

        None while there is no device or it has not begun to play. A device that stalls repeats
        itself.
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
