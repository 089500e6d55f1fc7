"""Finding what stands in a panel by the name a screen reader says."""

from __future__ import annotations

from typing import Any

from PyQt6.QtWidgets import QComboBox, QPushButton, QWidget


def named(panel: QWidget, name: str) -> Any:
    """Return the one widget of a panel that a screen reader calls so."""
    [found] = [each for each in panel.findChildren(QWidget) if each.accessibleName() == name]
    return found


def choose(box: QComboBox, word: str) -> None:
    """Choose a word from a list that unfolds."""
    place = box.findData(word)
    assert place >= 0, f"{word} is not offered"
    box.setCurrentIndex(place)
    box.activated.emit(place)


def click(panel: QWidget, text: str) -> None:
    """Click the button with this text; it must be there to be clicked."""
    [button] = [each for each in panel.findChildren(QPushButton) if each.text() == text]
    assert button.isVisibleTo(panel)
    assert button.isEnabled()
    button.click()
