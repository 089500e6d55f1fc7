"""All frames of a recording on its clock, as plain numbers: which is shown when, and the next."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Self

import numpy as np

from aftercase.clock import SECOND_US
from aftercase.media.packed import Ints
from aftercase.media.picture import FrameTimes
from aftercase.media.source import Opened

NOMINAL_US: Final = 40_000
"""Distance of the made-up frames where there is no film."""


@dataclass(frozen=True)
class ClockPart:
    """The frames of one part.

    Attributes:
        starts_us: Starts of its frames, strictly increasing; empty where the film is missing.
        start_us: Where the part begins.
        end_us: Where its last frame ends.
    """

    starts_us: Ints
    start_us: int
    end_us: int

    @property
    def is_missing(self) -> bool:
        """Claim that the part's film is not there."""
        return not len(self.starts_us)


class FrameClock:
    """Which frame is shown when; pure, and known without asking the reader.

    A part whose film is missing is one frame, from its start to its end.

    Args:
        parts: The parts in order, without holes between them, at least one.
        has_film: Whether these are frames of films; else a grid for moving about.

    Example:
        >>> clock = FrameClock.without_film(100_000)
        >>> clock.start_of(79_999), clock.next_start(0), clock.edge_us(80_000)
        (40000, 40000, 100000)
    """

    def __init__(self, parts: Sequence[ClockPart], *, has_film: bool = True) -> None:
        self.parts = tuple(parts)
        self.has_film = has_film
        shown = [
            np.array([part.start_us], dtype=np.int64) if part.is_missing else part.starts_us
            for part in self.parts
        ]
        self._starts: Ints = np.concatenate(shown)
        self._firsts = np.array([part.start_us for part in self.parts], dtype=np.int64)

    @classmethod
    def of_opened(cls, opened: Opened) -> Self:
        """Return the clock of a recording that a reader has opened."""
        parts = zip(opened.parts, opened.starts, strict=True)
        return cls(
            [
                ClockPart(np.frombuffer(starts, dtype=np.int64), facts.start_us, facts.end_us)
                for facts, starts in parts
            ]
        )

    @classmethod
    def without_film(cls, end_us: int) -> Self:
        """Return a clock for a case without a film at hand: a grid, so that marks can be read."""
        starts = np.arange(0, max(end_us, 1), NOMINAL_US, dtype=np.int64)
        return cls([ClockPart(starts, 0, max(end_us, 1))], has_film=False)

    def __len__(self) -> int:
        """Return how many frames there are."""
        return len(self._starts)

    @property
    def start_us(self) -> int:
        """Where the first frame starts."""
        return int(self._starts[0])

    @property
    def end_us(self) -> int:
        """Where the last frame ends."""
        return self.parts[-1].end_us

    def number_of(self, us: int) -> int:
        """Return the position of the frame shown at a moment, 0-based, for showing only.

        A moment before the first frame counts as it, one after the last as that.
        """
        return max(0, int(np.searchsorted(self._starts, us, side="right")) - 1)

    def frame_at(self, us: int) -> FrameTimes:
        """Return part, start and end of the frame shown at a moment; the nearest one outside."""
        return self._frame(self.number_of(us))

    def start_of(self, us: int) -> int:
        """Return the start of the frame shown at a moment; of the nearest one outside."""
        return int(self._starts[self.number_of(us)])

    def next_start(self, us: int) -> int | None:
        """Return the start of the frame after the one shown; None after the last."""
        number = self.number_of(us) + 1
        return int(self._starts[number]) if number < len(self) else None

    def previous_start(self, us: int) -> int | None:
        """Return the start of the frame before the one shown; None before the first."""
        number = self.number_of(us) - 1
        return int(self._starts[number]) if number >= 0 else None

    def stepped(self, us: int, n_frames: int) -> int:
        """Return the start of the frame so many on, or back; the last or first where it ends."""
        number = min(max(self.number_of(us) + n_frames, 0), len(self) - 1)
        return int(self._starts[number])

    def snapped(self, us: int) -> int:
        """Return the frame edge nearest to a moment: a frame's start, or the end of the last."""
        start_us = self.start_of(us)
        stop_us = self._frame(self.number_of(us)).end_us
        return start_us if us - start_us <= stop_us - us else stop_us

    def edge_us(self, us: int) -> int:
        """Return where a span that is ended on the shown frame ends.

        That is the frame's start; on the last frame, the end of the recording.
        """
        number = self.number_of(us)
        return self.end_us if number == len(self) - 1 else int(self._starts[number])

    def count_in(self, start_us: int, end_us: int) -> int:
        """Return how many frames start in ``[start_us, end_us)``."""
        first, stop = np.searchsorted(self._starts, [start_us, end_us], side="left")
        return max(0, int(stop - first))

    def starts_in(self, start_us: int, end_us: int) -> Ints:
        """Return the starts of the frames that start in ``[start_us, end_us)``."""
        first, stop = np.searchsorted(self._starts, [start_us, end_us], side="left")
        return self._starts[first:stop]

    def pace(self, us: int, rate: float, most_fps: int) -> int:
        """Return to how many frames one is shown, so that no more are than can be seen.

        Args:
            us: From where it is played; the frames of the second that follows are counted.
            rate: At which speed.
            most_fps: How many pictures a second can be seen.

        Example:
            >>> FrameClock.without_film(10_000_000).pace(0, 4.0, 60)
            2
        """
        n_frames = self.count_in(us, us + SECOND_US)
        return max(1, round(n_frames * rate / most_fps))

    def is_missing(self, us: int) -> bool:
        """Claim that the film of the part shown at a moment is not there."""
        return not self.has_film or self.parts[self._part(us)].is_missing

    def joints_us(self) -> tuple[int, ...]:
        """Return where one part ends and the next begins."""
        return tuple(part.start_us for part in self.parts[1:])

    def _part(self, us: int) -> int:
        return max(0, int(np.searchsorted(self._firsts, us, side="right")) - 1)

    def _frame(self, number: int) -> FrameTimes:
        start_us = int(self._starts[number])
        part = self._part(start_us)
        last = number + 1 == len(self) or int(self._starts[number + 1]) >= self.parts[part].end_us
        end_us = self.parts[part].end_us if last else int(self._starts[number + 1])
        return FrameTimes(part, start_us, end_us)
