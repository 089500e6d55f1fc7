"""Giving actions other keys: press the new one, and see first whom it belongs to."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from PyQt6.QtCore import QEvent, QObject, Qt
from PyQt6.QtGui import QKeyEvent
from PyQt6.QtWidgets import QVBoxLayout, QWidget

from aftercase.gui.pages.building import button, label, row, say
from aftercase.gui.pages.key_words import (
    clash_words,
    is_only_held,
    new_clashes,
    others_in,
    pressed_key,
    shown_key,
    shown_keys,
    why_kept,
    without_clash,
)
from aftercase.gui.pages.keys_table import KeysTable
from aftercase.gui.shortcuts import TAKES_KEYS
from aftercase.session.actions.action import Action


class KeysForm(QWidget):
    """The list of keys, and what changes the present row's.

    Args:
        chosen: Keys the person chose, by action id.
        keep: Called with all chosen keys after each change.
    """

    def __init__(self, chosen: Mapping[str, str], keep: Callable[[dict[str, str]], object]) -> None:
        super().__init__()
        self._chosen, self._keep = dict(chosen), keep
        self._waiting: Action | None = None
        self._offer: tuple[Action, str, tuple[Action, ...]] | None = None
        self.table = KeysTable(chosen)
        self.table.list.itemActivated.connect(lambda item: self._begin())
        self.table.list.currentItemChanged.connect(lambda now, before: self._show())
        self.words = label("", "")
        self._new = button("New key", self._begin, "Give it a new key")
        self._none = button("No key", lambda: self._give(""), "Let it have no key")
        self._own = button("Its own key again", self._reset, "Give it its own key again")
        self._all = button("All own keys again", self._reset_all, "Give all their own keys again")
        self._take = button("Take it", self._take_offered)
        self._leave = button("Leave it", self._drop_offer, "Leave the key to whom it belongs")
        self._catcher = _Catcher(self._caught)
        self.setProperty(TAKES_KEYS, True)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self.table)
        column.addWidget(self.words)
        column.addLayout(row(self._take, self._leave))
        column.addLayout(row(self._new, self._none, self._own, self._all))
        self._show()

    def _begin(self) -> None:
        """Wait for the new key of the present row."""
        self._waiting = self.table.action
        if self._waiting is None:
            return
        self._offer = None
        say(
            self.words, f"Press the new key for “{self._waiting.label}”; Escape leaves it as it is."
        )
        self._show_buttons()
        self.table.list.installEventFilter(self._catcher)
        self.table.list.setFocus(Qt.FocusReason.OtherFocusReason)

    def _caught(self, event: QKeyEvent) -> None:
        action = self._waiting
        if action is None or is_only_held(event):
            return
        self._stop_waiting()
        if event.key() == Qt.Key.Key_Escape:
            self._show()
        elif kept := why_kept(event):
            self._show(kept)
        else:
            self._consider(action, pressed_key(event))

    def _consider(self, action: Action, key: str) -> None:
        others = others_in(new_clashes(self._chosen, action.id, key), action.id)
        if not others:
            self._give(key)
            return
        self._offer = (action, key, others)
        after = without_clash(self._chosen, action, key, others)
        left = [f"“{other.label}” would have {shown_keys(other, after)}." for other in others]
        say(self.words, " ".join([clash_words(key, action, others), *left]), "warn")
        self._take.setText(f"Take {shown_key(key)} for “{action.label}”")
        self._show_buttons()
        self._leave.setFocus(Qt.FocusReason.OtherFocusReason)

    def _take_offered(self) -> None:
        if self._offer is not None:
            action, key, others = self._offer
            self._offer = None
            self._choose(without_clash(self._chosen, action, key, others))

    def _drop_offer(self) -> None:
        self._offer = None
        self._show()
        self.table.list.setFocus(Qt.FocusReason.OtherFocusReason)

    def _give(self, key: str) -> None:
        action = self.table.action
        if action is not None:
            self._choose({**self._chosen, action.id: key})

    def _reset(self) -> None:
        action = self.table.action
        if action is None:
            return
        without = {one: key for one, key in self._chosen.items() if one != action.id}
        taken = [
            other
            for key in action.keys
            for other in others_in(new_clashes(without, action.id, key), action.id)
        ]
        if taken:
            self._consider(action, action.keys[0])
        else:
            self._choose(without)

    def _reset_all(self) -> None:
        self._choose({})

    def _choose(self, chosen: dict[str, str]) -> None:
        self._chosen = chosen
        self._keep(dict(chosen))
        self.table.show_keys(chosen)
        self._show()
        self.table.list.setFocus(Qt.FocusReason.OtherFocusReason)

    def _show(self, words: str = "") -> None:
        """Say which key the present row has, or something else."""
        self._stop_waiting()
        self._offer = None
        action = self.table.action
        if action is None:
            said = "Choose a row; Return gives it a new key."
        else:
            said = words or f"“{action.label}”: {shown_keys(action, self._chosen)}."
        say(self.words, said, "warn" if words else "")
        self._show_buttons()

    def _show_buttons(self) -> None:
        offers = self._offer is not None
        self._take.setVisible(offers)
        self._leave.setVisible(offers)
        has_row = self.table.action is not None and self._waiting is None
        for choice in (self._new, self._none, self._own):
            choice.setEnabled(has_row and not offers)
        self._all.setEnabled(bool(self._chosen))

    def _stop_waiting(self) -> None:
        self._waiting = None
        self.table.list.removeEventFilter(self._catcher)


class _Catcher(QObject):
    """Hands on the next key instead of letting it do anything."""

    def __init__(self, caught: Callable[[QKeyEvent], None]) -> None:
        super().__init__()
        self._caught = caught

    def eventFilter(self, watched: QObject | None, event: QEvent | None) -> bool:  # noqa: N802
        """Take keys, and keep the window's own from answering."""
        if event is not None and event.type() == QEvent.Type.ShortcutOverride:
            event.accept()
            return True
        if isinstance(event, QKeyEvent) and event.type() == QEvent.Type.KeyPress:
            self._caught(event)
            return True
        return False
