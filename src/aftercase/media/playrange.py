"""Which frames of a recording may be shown, and which are played; pure."""

from __future__ import annotations

from dataclasses import dataclass

from aftercase.media.frameclock import FrameClock


@dataclass(frozen=True, slots=True)
class Stretch:
    """What is played of a recording, ``[start, end)``, and whether again and again."""

    start_us: int
    end_us: int
    again: bool


@dataclass(frozen=True, slots=True)
class PlayRange:
    """The frames of a recording within bounds, and within what is played of it.

    Attributes:
        frames: All frames.
        bounds: The stretch nothing outside of which is shown, ``[start, end)``; None for all.
        stretch: What is played of it; None for all.

    Example:
        >>> clock = FrameClock.without_film(400_000)
        >>> span = PlayRange(clock, (50_000, 300_000), Stretch(0, 130_000, again=True))
        >>> span.bounds_us, span.played_us, span.first_us, span.last_us
        ((50000, 300000), (50000, 130000), 40000, 120000)
        >>> span.bounded(390_000), span.played_from(120_000, rate=1.0)
        (280000, 40000)
    """

    frames: FrameClock
    bounds: tuple[int, int] | None = None
    stretch: Stretch | None = None

    @property
    def bounds_us(self) -> tuple[int, int]:
        """What may be shown, ``[start, end)``; at least a frame."""
        start_us, end_us = self.bounds or (self.frames.start_us, self.frames.end_us)
        start_us = min(max(start_us, self.frames.start_us), self.frames.end_us - 1)
        return start_us, max(start_us + 1, min(end_us, self.frames.end_us))

    @property
    def played_us(self) -> tuple[int, int]:
        """What is played, ``[start, end)``; empty where the stretch is out of bounds."""
        start_us, end_us = self.bounds_us
        if self.stretch is None:
            return start_us, end_us
        return max(start_us, self.stretch.start_us), min(end_us, self.stretch.end_us)

    @property
    def first_us(self) -> int:
        """Start of the first frame that is played."""
        return self.frames.start_of(self.played_us[0])

    @property
    def last_us(self) -> int:
        """Start of the last frame that is played."""
        return self.frames.start_of(self.played_us[1] - 1)

    def is_played(self, us: int) -> bool:
        """Claim that the frame shown at a moment is played, and the moment not after the end."""
        return self.first_us <= us < self.played_us[1]

    def bounded(self, us: int) -> int:
        """Return the start of the frame shown at a moment, or at the nearest that may be shown."""
        start_us, end_us = self.bounds_us
        return self.frames.start_of(min(max(us, start_us), end_us - 1))

    def played_from(self, at_us: int, rate: float) -> int:
        """Return the frame to play from: the given one, or the other end's where it is the last."""
        if rate > 0:
            return self.first_us if at_us >= self.last_us else at_us
        return self.last_us if at_us <= self.first_us else at_us
