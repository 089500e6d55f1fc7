"""Menus and keys from the table of actions."""

from __future__ import annotations

from collections.abc import Mapping

from PyQt6.QtCore import QEvent, QObject, Qt
from PyQt6.QtGui import QAction, QKeyEvent, QKeySequence
from PyQt6.QtWidgets import (
    QAbstractButton,
    QAbstractSpinBox,
    QApplication,
    QComboBox,
    QLineEdit,
    QMainWindow,
    QMenu,
    QPlainTextEdit,
    QTextEdit,
    QWidget,
)

from aftercase.session.actions.action import Action, can_run
from aftercase.session.actions.table import ACTIONS, keys_of
from aftercase.session.stage import Stage

TAKES_KEYS = "takesKeys"
"""Property of a widget that answers plain keys itself while it or something in it has the focus."""

_TYPED_IN = (QLineEdit, QPlainTextEdit, QTextEdit, QAbstractSpinBox, QComboBox)
_PRESSES_A_BUTTON = "Space"


class Shortcuts(QObject):
    """The window's actions: one menu entry and its keys for each row of the table.

    Keys without Ctrl or a function key rest while something is typed in, and the key that presses
    a button while one has the focus.

    Args:
        window: The window whose menus and keys they are.
        stage: What the actions work on.
        chosen: Keys the person chose, by action id.
    """

    def __init__(self, window: QMainWindow, stage: Stage, chosen: Mapping[str, str]) -> None:
        super().__init__(window)
        self._window, self._stage = window, stage
        self.by_id = {action.id: self._made(action) for action in ACTIONS}
        self._fill_menus()
        self.take_keys(chosen)
        application = QApplication.instance()
        assert isinstance(application, QApplication)
        application.focusChanged.connect(self._focus_moved)

    def take_keys(self, chosen: Mapping[str, str]) -> None:
        """Use the keys a person chose."""
        self._keys = {action.id: keys_of(action, chosen) for action in ACTIONS}
        self.refresh()

    def refresh(self) -> None:
        """Let exactly those actions answer that can be done now."""
        focused = QApplication.focusWidget()
        for action in ACTIONS:
            entry = self.by_id[action.id]
            entry.setEnabled(can_run(action, self._stage))
            keys = self._keys[action.id] if self._stage.room in action.rooms else ()
            entry.setShortcuts([QKeySequence(key) for key in keys if not is_left_to(focused, key)])

    def _made(self, action: Action) -> QAction:
        entry = QAction(action.label, self._window)
        entry.setStatusTip(action.help)
        entry.setToolTip(action.help)
        entry.setAutoRepeat(action.menu == "Film")
        entry.setShortcutContext(Qt.ShortcutContext.WindowShortcut)
        entry.triggered.connect(lambda: self._run(action))
        self._window.addAction(entry)
        return entry

    def _run(self, action: Action) -> None:
        if can_run(action, self._stage):
            action.run(self._stage)

    def _fill_menus(self) -> None:
        bar = self._window.menuBar()
        assert bar is not None
        menus: dict[str, QMenu] = {}
        for action in ACTIONS:
            if action.menu not in menus:
                menu = bar.addMenu(f"&{action.menu}")
                assert menu is not None
                menus[action.menu] = menu
            menus[action.menu].addAction(self.by_id[action.id])

    def _focus_moved(self, old: QWidget | None, new: QWidget | None) -> None:
        if _what_answers(old) != _what_answers(new):
            self.refresh()


def leave_undo(field: QLineEdit | QPlainTextEdit) -> None:
    """Let undo and “do again” be the window's in a field whose text is kept as it is typed.

    The field's own undo would be one more edit, and the window's would then seem to do nothing.
    """
    field.installEventFilter(_LeavesUndo(field))


class _LeavesUndo(QObject):
    """Keeps a field from claiming the keys of undo for itself."""

    def eventFilter(self, watched: QObject | None, event: QEvent | None) -> bool:  # noqa: N802 - Qt's name
        """Leave the keys of undo and “do again” to the window."""
        if isinstance(event, QKeyEvent) and event.type() == QEvent.Type.ShortcutOverride:
            keys = (QKeySequence.StandardKey.Undo, QKeySequence.StandardKey.Redo)
            if any(event.matches(key) for key in keys):
                event.ignore()
                return True
        return super().eventFilter(watched, event)


def is_left_to(widget: QWidget | None, key: str) -> bool:
    """Claim that a key pressed now belongs to the focused widget."""
    takes_plain, is_button = _what_answers(widget)
    return (takes_plain and is_plain(key)) or (is_button and key == _PRESSES_A_BUTTON)


def _what_answers(widget: QWidget | None) -> tuple[bool, bool]:
    return takes_keys(widget), isinstance(widget, QAbstractButton)


def takes_keys(widget: QWidget | None) -> bool:
    """Claim that plain keys pressed now belong to the focused widget."""
    while widget is not None:
        if isinstance(widget, _TYPED_IN) or widget.property(TAKES_KEYS):
            return True
        if widget.isWindow():
            return False
        widget = widget.parentWidget()
    return False


def is_plain(key: str) -> bool:
    """Claim that a key is typed without Ctrl, Alt or Meta and is no function key.

    Example:
        >>> [is_plain(key) for key in ("T", "Shift+E", "Space", "Ctrl+Z", "F1")]
        [True, True, True, False, False]
    """
    *held, last = key.replace("++", "+Plus").split("+") if len(key) > 1 else [key]
    if {"Ctrl", "Alt", "Meta"} & set(held):
        return False
    return not (last.startswith("F") and last[1:].isdigit())
