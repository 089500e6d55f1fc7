"""Keys in words, as the table of actions writes them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from PyQt6.QtCore import QKeyCombination, Qt
from PyQt6.QtGui import QKeyEvent, QKeySequence

from aftercase.session.actions.action import Action
from aftercase.session.actions.table import ACTIONS, Clash, clashes, keys_of

_ONLY_HELD: Final = frozenset(
    {
        Qt.Key.Key_Shift,
        Qt.Key.Key_Control,
        Qt.Key.Key_Alt,
        Qt.Key.Key_AltGr,
        Qt.Key.Key_Meta,
        Qt.Key.Key_CapsLock,
        Qt.Key.Key_NumLock,
        Qt.Key.Key_unknown,
    }
)
_KEPT: Final = {
    Qt.Key.Key_Tab: "Tab moves from one control to the next and stays free.",
    Qt.Key.Key_Backtab: "Tab moves from one control to the next and stays free.",
    Qt.Key.Key_Escape: "Escape leaves what is open and stays free.",
}
_ROOMS: Final = {"start": "on the start page", "review": "in the review", "replay": "in the replay"}


def is_only_held(event: QKeyEvent) -> bool:
    """Claim that a key is one that is held while another is pressed."""
    return event.key() in _ONLY_HELD


def why_kept(event: QKeyEvent) -> str:
    """Return why a key cannot be given to an action, empty where it can."""
    return _KEPT.get(Qt.Key(event.key()), "")


def pressed_key(event: QKeyEvent) -> str:
    """Return a pressed key in the table's words.

    A sign that needs Shift on this keyboard is that sign alone: another keyboard may not need it.
    """
    held = event.modifiers() & ~Qt.KeyboardModifier.KeypadModifier
    if _is_sign(event.text()):
        held &= ~Qt.KeyboardModifier.ShiftModifier
    combination = QKeyCombination(held, Qt.Key(event.key()))
    return QKeySequence(combination).toString(QKeySequence.SequenceFormat.PortableText)


def _is_sign(text: str) -> bool:
    return len(text) == 1 and text.isprintable() and not text.isalpha() and not text.isspace()


def shown_key(key: str) -> str:
    """Return a key of the table as this computer's keyboard calls it."""
    return QKeySequence(key).toString(QKeySequence.SequenceFormat.NativeText) or key


def shown_keys(action: Action, chosen: Mapping[str, str]) -> str:
    """Return an action's keys for showing, “no key” where it has none."""
    keys = keys_of(action, chosen)
    return " or ".join(shown_key(key) for key in keys) if keys else "no key"


def new_clashes(chosen: Mapping[str, str], action_id: str, key: str) -> tuple[Clash, ...]:
    """Return the clashes of an action that giving it a key would bring."""
    known = set(clashes(chosen))
    return tuple(
        clash
        for clash in clashes({**chosen, action_id: key})
        if clash not in known and action_id in (clash.first, clash.second)
    )


def others_in(found: tuple[Clash, ...], action_id: str) -> tuple[Action, ...]:
    """Return the other actions of an action's clashes."""
    ids = {clash.second if clash.first == action_id else clash.first for clash in found}
    return tuple(action for action in ACTIONS if action.id in ids)


def clash_words(key: str, action: Action, others: tuple[Action, ...]) -> str:
    """Return a clash in words."""
    listed = " and ".join(f"“{other.label}”" for other in others)
    rooms = {room for other in others for room in other.rooms} & set(action.rooms)
    where = " and ".join(words for room, words in _ROOMS.items() if room in rooms)
    return f"{shown_key(key)} already means {listed} {where}."


def without_clash(
    chosen: Mapping[str, str], action: Action, key: str, others: tuple[Action, ...]
) -> dict[str, str]:
    """Return the keys after one was given to an action and taken from others.

    An action that had further keys keeps the first that is left.
    """
    left = {
        other.id: next((own for own in keys_of(other, chosen) if own != key), "")
        for other in others
    }
    return {**chosen, **left, action.id: key}
