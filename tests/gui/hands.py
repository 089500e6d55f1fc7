"""Hands on a window without a screen: they press its keys, type, and wait for what it does."""

from __future__ import annotations

import time
from collections.abc import Callable

from PyQt6.QtCore import QEvent, Qt
from PyQt6.QtGui import QKeyEvent, QKeySequence
from PyQt6.QtWidgets import QApplication, QWidget

SOON_S = 20.0


def until(holds: Callable[[], object], within_s: float = SOON_S) -> None:
    """Let the program go on until something holds; fails if it does not soon."""
    give_up_s = time.monotonic() + within_s
    while not holds():
        assert time.monotonic() < give_up_s, f"waited {within_s} s in vain"
        let_go_on()
        time.sleep(0.001)
    let_go_on()


def let_go_on() -> None:
    """Do what the event loop does in a round, also what it deletes."""
    QApplication.processEvents()
    QApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete.value)


def press(window: QWidget, *keys: str) -> None:
    """Press keys, named as in the table of actions, where the keyboard's focus is."""
    for key in keys:
        [combination] = [QKeySequence(key)[0]]
        target = QApplication.focusWidget() or window
        _send(target, combination.key(), combination.keyboardModifiers(), _text(key))
        QApplication.processEvents()


def type_text(window: QWidget, text: str) -> None:
    """Type a text, any language, into the widget that has the focus."""
    for sign in text:
        target = QApplication.focusWidget() or window
        _send(target, 0, Qt.KeyboardModifier.NoModifier, sign)
        QApplication.processEvents()


def _send(target: QWidget, key: int, modifiers: Qt.KeyboardModifier, text: str) -> None:
    """Send one key as the window system does: shortcuts are asked before the widget."""
    override = QKeyEvent(QEvent.Type.ShortcutOverride, key, modifiers, text)
    QApplication.sendEvent(target, override)
    for kind in (QEvent.Type.KeyPress, QEvent.Type.KeyRelease):
        QApplication.sendEvent(target, QKeyEvent(kind, key, modifiers, text))


def _text(key: str) -> str:
    return key.lower() if len(key) == 1 else ""
