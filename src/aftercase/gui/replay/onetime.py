"""One time for several players, so that they go on in step."""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import Protocol

from aftercase.media.parts import PartFacts
from aftercase.media.playclock import PlayClock
from aftercase.media.soundtrack import Silence


class Playing(Protocol):
    """What a player tells of itself."""

    @property
    def state(self) -> str:
        """What it does."""


class Beginning(Silence):
    """A silent soundtrack that knows whether its player's clock runs."""

    def __init__(self) -> None:
        self.has_begun = False

    def open(self, parts: tuple[PartFacts, ...]) -> None:
        """Be at rest."""
        self.has_begun = False

    def play(self, at_us: int, rate: float, clock: PlayClock) -> None:
        """Take note that the first picture is there and the clock runs."""
        self.has_begun = True

    def rest(self) -> None:
        """Take note that the clock stands."""
        self.has_begun = False


class OneTime:
    """Monotonic seconds that stand still while a player that plays has no picture yet.

    Every player needs another time to find its first picture. All of them read this time, which
    goes on only when each that plays has one: so none is ahead of another.

    Args:
        now: Monotonic seconds.

    Example:
        >>> from types import SimpleNamespace
        >>> seconds = iter([1.0, 3.0, 4.0, 6.0])
        >>> together = OneTime(lambda: next(seconds))
        >>> player, beginning = SimpleNamespace(state="playing"), Beginning()
        >>> together.add(player, beginning)
        >>> together(), together()
        (0.0, 0.0)
        >>> beginning.has_begun = True
        >>> together(), together()
        (1.0, 3.0)
    """

    def __init__(self, now: Callable[[], float] = time.monotonic) -> None:
        self._now = now
        self._players: list[tuple[Playing, Beginning]] = []
        self._told_s, self._last_s = 0.0, 0.0

    def add(self, player: Playing, beginning: Beginning) -> None:
        """Wait for one more player."""
        self._players.append((player, beginning))

    def __call__(self) -> float:
        """Return the time."""
        now_s = self._now()
        if all(one.has_begun for player, one in self._players if player.state == "playing"):
            self._told_s += now_s - self._last_s
        self._last_s = now_s
        return self._told_s
