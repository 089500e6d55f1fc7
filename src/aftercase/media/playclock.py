"""The one clock of playing: monotonic, and bent a little towards the sound that is heard.

Sound devices run a little fast or slow, start late, stall and vanish. So none of them is the
clock: the computer's monotonic clock is, and a device that plays only makes it run up to 2 %
faster or slower until both agree.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from math import floor
from typing import Final

MOST_BEND: Final = 0.02
"""The largest share by which the clock runs faster or slower than asked."""

_WORKED_OFF_S: Final = 1.0
"""A difference is worked off as if over this time: jitter of a device is hardly followed, and a
device off by 0.1 % is followed a millisecond behind."""

_BEND_LASTS_S: Final = 0.25
"""How long one report of the device bends the clock; a device that plays reports far more often."""

_SECOND_US: Final = 1_000_000


class PlayClock:
    """A clock that stands, or runs at a rate on the recording's time; it never jumps by itself.

    Args:
        now: Monotonic seconds.

    Example:
        >>> seconds = iter([10.0, 10.5, 11.0])
        >>> clock = PlayClock(lambda: next(seconds))
        >>> clock.start(40_000, 2.0)
        >>> clock.position_us()
        1040000
        >>> clock.stop()
        2040000
    """

    def __init__(self, now: Callable[[], float] = time.monotonic) -> None:
        self._now = now
        self._from_us = 0.0
        self._from_s = 0.0
        self._rate = 0.0
        self._bend = 0.0

    @property
    def is_running(self) -> bool:
        """Claim that the clock runs, forwards or backwards."""
        return self._rate != 0

    @property
    def rate(self) -> float:
        """Return the rate asked for, without the bend; negative for reverse, 0 while it stands."""
        return self._rate

    def start(self, at_us: int, rate: float) -> None:
        """Run from a moment at a rate (1 is real time, negative runs back, 0 stands)."""
        self._from_us, self._from_s = float(at_us), self._now()
        self._rate, self._bend = float(rate), 0.0

    def position_us(self) -> int:
        """Return the moment it is, a whole microsecond not after it."""
        return floor(self._position_us(self._now()))

    def stop(self) -> int:
        """Stand still and return where."""
        self._settle()
        self._rate = self._bend = 0.0
        return floor(self._from_us)

    def heard(self, us: int | None) -> None:
        """Bend towards the moment whose sound is heard now; None when none is heard.

        Args:
            us: A moment on the recording's time. Without further reports its effect ends soon.
        """
        self._settle()
        if us is None or not self._rate:
            self._bend = 0.0
            return
        behind_s = (us - self._from_us) / (self._rate * _SECOND_US)
        self._bend = min(MOST_BEND, max(-MOST_BEND, behind_s / _WORKED_OFF_S))

    def _position_us(self, now_s: float) -> float:
        passed_s = max(0.0, now_s - self._from_s)
        bent_s = self._bend * min(passed_s, _BEND_LASTS_S)
        return self._from_us + (passed_s + bent_s) * self._rate * _SECOND_US

    def _settle(self) -> None:
        """Take the present as the new start, so that a change of pace changes no position."""
        now_s = self._now()
        self._from_us, self._from_s = self._position_us(now_s), max(self._from_s, now_s)
