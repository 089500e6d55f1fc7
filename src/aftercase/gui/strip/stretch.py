"""Which stretch of the clock the strip shows, and where on it a moment lies; all pure."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
import numpy.typing as npt

Ints = npt.NDArray[np.int64]
Floats = npt.NDArray[np.float64]
Pixels = npt.NDArray[np.uint32]

_AHEAD: Final = 0.9
"""Share of the strip that lies ahead of the playhead after it ran out of sight."""


@dataclass(frozen=True)
class Stretch:
    """A stretch of the clock, ``[start_us, end_us)``, at least a microsecond long."""

    start_us: int
    end_us: int

    @property
    def length_us(self) -> int:
        """How long it is."""
        return self.end_us - self.start_us

    def holds(self, us: int) -> bool:
        """Claim that a moment lies in it."""
        return self.start_us <= us < self.end_us


def within(wanted: Stretch, bounds: Stretch) -> Stretch:
    """Return a stretch moved, and shortened where it must be, so that it lies inside another."""
    length_us = min(wanted.length_us, bounds.length_us)
    start_us = min(max(wanted.start_us, bounds.start_us), bounds.end_us - length_us)
    return Stretch(start_us, start_us + length_us)


def zoomed(
    shown: Stretch, factor: float, about_us: int, bounds: Stretch, least_us: int
) -> Stretch:  # fmt: skip
    """Return a stretch `factor` times as long in which a moment stays where it was.

    Args:
        shown: What is shown now.
        factor: More than 0; below 1 shows less of the clock, and that larger.
        about_us: What stays in its place; the nearer end where it lies outside.
        bounds: What is never left.
        least_us: The shortest stretch, which wins over the factor but not over the bounds.

    Example:
        >>> zoomed(Stretch(0, 1000), 0.5, 250, Stretch(0, 1000), 10)
        Stretch(start_us=125, end_us=625)
    """
    length_us = max(round(shown.length_us * factor), least_us, 1)
    about_us = min(max(about_us, shown.start_us), shown.end_us)
    share = (about_us - shown.start_us) / shown.length_us
    start_us = about_us - round(share * length_us)
    return within(Stretch(start_us, start_us + length_us), bounds)


def panned(shown: Stretch, by_us: int, bounds: Stretch) -> Stretch:
    """Return a stretch moved along the clock, stopping at the bounds."""
    return within(Stretch(shown.start_us + by_us, shown.end_us + by_us), bounds)


def following(shown: Stretch, from_us: int, us: int, bounds: Stretch) -> Stretch:
    """Return the stretch that keeps a moment in sight; the same one while it is.

    Where it ran out, most of the strip lies ahead of it, whichever way it runs.
    """
    if shown.holds(us):
        return shown
    behind = 1 - _AHEAD if us >= from_us else _AHEAD
    start_us = us - round(behind * shown.length_us)
    return within(Stretch(start_us, start_us + shown.length_us), bounds)


@dataclass(frozen=True)
class Scale:
    """Where moments lie on the strip.

    Attributes:
        shown: The stretch that is shown.
        left_px: Where it begins.
        width_px: How wide it is, more than 0.
    """

    shown: Stretch
    left_px: float
    width_px: float

    @property
    def right_px(self) -> float:
        """Where it ends."""
        return self.left_px + self.width_px

    @property
    def us_per_px(self) -> float:
        """How much of the clock one pixel shows."""
        return self.shown.length_us / self.width_px

    def x_of(self, us: int) -> float:
        """Return where a moment lies; outside the strip where it is not shown."""
        return self.left_px + (us - self.shown.start_us) / self.us_per_px

    def xs_of(self, us: Ints) -> Floats:
        """Return where several moments lie."""
        return self.left_px + (us - self.shown.start_us) / self.us_per_px

    def us_at(self, x_px: float) -> int:
        """Return the moment that lies at a place; the nearest that is shown."""
        us = self.shown.start_us + round((x_px - self.left_px) * self.us_per_px)
        return min(max(us, self.shown.start_us), self.shown.end_us)
