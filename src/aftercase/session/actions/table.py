"""All actions in the order of the menus, and which keys they have."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from aftercase.session.actions.action import Action
from aftercase.session.actions.around import (
    CASE_ACTIONS,
    HELP_ACTIONS,
    REPLAY_ACTIONS,
    STRIP_ACTIONS,
)
from aftercase.session.actions.film import FILM_ACTIONS
from aftercase.session.actions.marking import CHANGE_ACTIONS, MARK_ACTIONS, REMARK_ACTIONS

ACTIONS: Final[tuple[Action, ...]] = (
    *CASE_ACTIONS,
    *FILM_ACTIONS,
    *MARK_ACTIONS,
    *REMARK_ACTIONS,
    *CHANGE_ACTIONS,
    *STRIP_ACTIONS,
    *REPLAY_ACTIONS,
    *HELP_ACTIONS,
)


@dataclass(frozen=True)
class Clash:
    """Two actions that would answer the same key in the same room."""

    key: str
    first: str
    second: str


def keys_of(action: Action, chosen: Mapping[str, str]) -> tuple[str, ...]:
    """Return an action's keys: the one a person chose, else its own; an empty choice is no key."""
    if action.id not in chosen:
        return action.keys
    return (chosen[action.id],) if chosen[action.id] else ()


def clashes(chosen: Mapping[str, str]) -> tuple[Clash, ...]:
    """Return every two actions that share a key in a room, given the keys a person chose.

    Example:
        >>> clashes({})
        ()
        >>> clashes({"pause": "T"})
        (Clash(key='T', first='pause', second='takeover'),)
    """
    found = []
    for place, action in enumerate(ACTIONS):
        for other in ACTIONS[place + 1 :]:
            if set(action.rooms) & set(other.rooms):
                shared = set(keys_of(action, chosen)) & set(keys_of(other, chosen))
                found += [Clash(key, action.id, other.id) for key in sorted(shared)]
    return tuple(found)


SIGNS: Final = "abcdefghijklmnopqrstuvwxyz0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ"
"""What the second of two keys can be: one for each step, instrument or event, in the guide's order.
"""


def signs_for(ids: tuple[str, ...]) -> dict[str, str]:
    """Return the second key of each of a guide's words; those past the last sign have none.

    Example:
        >>> signs_for(("groove", "crack"))
        {'groove': 'a', 'crack': 'b'}
    """
    return dict(zip(ids, SIGNS, strict=False))
