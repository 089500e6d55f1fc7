"""What lies across the ring followed from picture to picture: when it came, and where it entered.

Time is counted in pictures on which the ring was seen: a cover, a blur or a lost eye neither ends
an entry nor begins one.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from statistics import median
from typing import Final

import numpy as np
from numpy.typing import NDArray

from aftercase.vision.crossings import Thing

Flags = NDArray[np.bool_]

LONGEST_LEAP_DEG: Final = 18.0
"""So far may a thing be from where it was a moment ago (tuned)."""

LONGEST_BLINK_S: Final = 0.6
"""So long may it not be found although the ring is seen (tuned)."""

LONGEST_UNSEEN_S: Final = 10.0
"""So long may the ring not be seen (own choice); after more, it is another entry."""

LONGEST_HIDDEN_S: Final = 3.0
"""So long may it lie under another thing (own choice): instruments that touch look like one."""

SHORTEST_S: Final = 0.8
"""Less is noise (own choice): nobody works with an instrument in so short a time."""

LEAST_CONTRAST: Final = 22.0
"""So far an instrument stands out in the middle of its pictures (tuned); fluid does less."""

LEAST_SHARE: Final = 0.5
"""On so many of those pictures it must be found (own choice): what flickers is fluid or light."""

SHADOW_S: Final = 2.0
"""So short a thing beside one that lies there all the time is its shadow or its reflection."""

SAME_PLACE_DEG: Final = 35.0
"""Entries no further from their place's middle are through one wound (own choice): an instrument
lies differently in it each time, and wounds are two to three hours apart."""

_RECENT: Final = 5


@dataclass(frozen=True)
class Entry:
    """Something across the ring from one picture looked at to another.

    Attributes:
        first: Number of the first picture it is on.
        stop: Number of the first picture it is no longer on.
        direction_deg: Where it enters: the middle of the half of its pictures on which it is
            narrower, and alone.
        share: Share of the pictures the ring was seen on, in between, that it was found on.
    """

    first: int
    stop: int
    direction_deg: float
    share: float


@dataclass
class _Followed:
    """One thing on the pictures it was found on, by their number.

    It is held until a later one where it may lie under another thing.
    """

    steps: list[tuple[int, Thing]]
    held: int = 0

    @property
    def first(self) -> int:
        return self.steps[0][0]

    @property
    def last(self) -> int:
        return self.steps[-1][0]

    @property
    def recent_deg(self) -> float:
        """Return where it was of late; one picture on which it is drawn wide does not count."""
        return middle_deg([thing.direction_deg for _, thing in self.steps[-_RECENT:]])

    def leap_deg(self, thing: Thing) -> float:
        """Return how far a thing is from it; nothing where the thing covers its place."""
        return max(0.0, apart_deg(self.recent_deg, thing.direction_deg) - thing.width_deg / 2)


def entries(found: Sequence[tuple[Thing, ...]], seen: Flags, rate_hz: float) -> tuple[Entry, ...]:
    """Return what came across the ring, in the order it came.

    Args:
        found: `things` of pictures in order.
        seen: On which of them the ring was seen.
        rate_hz: Pictures looked at in a second.
    """
    numbers = np.flatnonzero(seen).tolist()
    blink = max(1, round(LONGEST_BLINK_S * rate_hz))
    unseen = round(LONGEST_UNSEEN_S * rate_hz)
    followed: list[_Followed] = []
    for place, number in enumerate(numbers):
        earliest = max(number - unseen, numbers[max(0, place - blink)])
        still = [one for one in followed if max(one.last, one.held) >= earliest]
        followed += _followed_on(still, number, found[number], round(LONGEST_HIDDEN_S * rate_hz))
    whole = [one for one in _joined(followed, blink) if _is_instrument(one, seen, rate_hz)]
    return tuple(_entry(one, seen) for one in whole if not _is_shadow(one, whole, rate_hz))


def places_deg(directions_deg: Sequence[float]) -> tuple[int, ...]:
    """Return which place each entry is at: places counted from 0 in the order they come.

    Example:
        >>> places_deg([170.0, 248.0, 160.0])
        (0, 1, 0)
    """
    at: list[list[float]] = []
    numbers = []
    for direction in directions_deg:
        near = [n for n, ones in enumerate(at) if _is_near(direction, ones)]
        number = min(near, key=lambda n: apart_deg(direction, middle_deg(at[n])), default=len(at))
        if number == len(at):
            at.append([])
        at[number].append(direction)
        numbers.append(number)
    return tuple(numbers)


def apart_deg(one_deg: float, other_deg: float) -> float:
    """Return the angle between two directions, 0 to 180.

    Example:
        >>> apart_deg(350.0, 10.0)
        20.0
    """
    return abs((one_deg - other_deg + 180.0) % 360.0 - 180.0)


def middle_deg(directions_deg: Sequence[float]) -> float:
    """Return the middle of directions, of which at least one is given, 0 <= it < 360.

    Example:
        >>> round(middle_deg([350.0, 20.0, 356.0]), 6)
        356.0
    """
    first = directions_deg[0]
    off = [(one - first + 180.0) % 360.0 - 180.0 for one in directions_deg]
    return (first + median(off)) % 360.0 % 360.0


def _is_near(direction_deg: float, others_deg: Sequence[float]) -> bool:
    return apart_deg(direction_deg, middle_deg(others_deg)) <= SAME_PLACE_DEG


def _followed_on(
    still: list[_Followed], number: int, there: tuple[Thing, ...], hidden: int
) -> list[_Followed]:
    """Give each thing to the one it follows, and return those that are new.

    One that is left may lie under a thing that was given away: instruments that touch are one thing
    on the picture.
    """
    new, left = [], list(still)
    for thing in sorted(there, key=lambda thing: -thing.width_deg):
        nearest = min(left, key=lambda one: one.leap_deg(thing), default=None)
        if nearest is not None and nearest.leap_deg(thing) <= LONGEST_LEAP_DEG:
            left.remove(nearest)
            nearest.steps.append((number, thing))
        else:
            new.append(_Followed([(number, thing)]))
    for one in left:
        is_under = any(one.leap_deg(thing) == 0.0 for thing in there)
        if is_under and number - one.last <= hidden:
            one.held = number
    return new


def _joined(followed: list[_Followed], blink: int) -> list[_Followed]:
    """Join what goes on at the same place: one thing that was seen as two for a while."""
    whole: list[_Followed] = []
    for one in followed:
        same = [other for other in whole if _goes_on(other, one, blink)]
        if same:
            known = {number for number, _ in same[-1].steps}
            same[-1].steps.extend(step for step in one.steps if step[0] not in known)
            same[-1].steps.sort(key=lambda step: step[0])
        else:
            whole.append(one)
    return whole


def _goes_on(before: _Followed, after: _Followed, blink: int) -> bool:
    near = [step for step in before.steps if abs(step[0] - after.first) <= blink]
    return bool(near) and _Followed(near).leap_deg(after.steps[0][1]) <= LONGEST_LEAP_DEG


def _is_instrument(one: _Followed, seen: Flags, rate_hz: float) -> bool:
    n_seen = int(seen[one.first : one.last + 1].sum())
    return (
        n_seen >= SHORTEST_S * rate_hz
        and len(one.steps) >= LEAST_SHARE * n_seen
        and median(thing.contrast for _, thing in one.steps) >= LEAST_CONTRAST
    )


def _is_shadow(one: _Followed, whole: list[_Followed], rate_hz: float) -> bool:
    """Claim that something shows only for a moment while another thing lies there all the time."""
    is_short = (one.last + 1 - one.first) / rate_hz <= SHADOW_S
    return is_short and any(
        other is not one and other.first <= one.first and other.last >= one.last for other in whole
    )


def _entry(followed: _Followed, seen: Flags) -> Entry:
    first, stop = followed.first, followed.last + 1
    usual_deg = median(thing.width_deg for _, thing in followed.steps)
    directions = [
        thing.direction_deg for _, thing in followed.steps if thing.width_deg <= usual_deg
    ]
    share = len(followed.steps) / max(1, int(seen[first:stop].sum()))
    return Entry(first, stop, middle_deg(directions), min(1.0, share))
