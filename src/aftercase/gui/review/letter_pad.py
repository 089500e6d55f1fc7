"""The second of two keys: a pad of signs below the film, which goes on meanwhile."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

from PyQt6.QtCore import Qt, pyqtSignal
from PyQt6.QtGui import QKeyEvent
from PyQt6.QtWidgets import (
    QGridLayout,
    QLabel,
    QLineEdit,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from aftercase.gui.elided import ElidedButton
from aftercase.session.actions.table import signs_for

_COLUMNS: Final = 3
_MOST_HIGH_PX: Final = 190
_CLASS_SIGNS: Final = {
    "action": "○",
    "slip": "△",
    "complication": "◆",
    "rescue": "✚",
    "outside": "□",
}


@dataclass(frozen=True)
class PadChoice:
    """One thing the pad offers."""

    id: str
    name: str
    said_as: tuple[str, ...] = ()
    prefix: str = ""


class LetterPad(QWidget):
    """A sign for each choice; “/” searches, Escape leaves.

    Args:
        title: What is chosen.
        choices: All choices in the guide's order; their signs follow from it.
        first: Ids of the choices that are shown first, with the signs they always have.
        chosen: What is done with the one that is chosen.
    """

    answered = pyqtSignal()

    def __init__(
        self,
        title: str,
        choices: tuple[PadChoice, ...],
        first: tuple[str, ...],
        chosen: Callable[[str], object],
    ) -> None:
        super().__init__()
        self._chosen = chosen
        self._signs = signs_for(tuple(choice.id for choice in choices))
        self._by_sign = {sign: word for word, sign in self._signs.items()}
        order = {word: place for place, word in enumerate(first)}
        self._choices = sorted(choices, key=lambda choice: order.get(choice.id, len(order)))
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName(title)
        head = QLabel(f"{title}: press its sign. “/” searches, Esc leaves.")
        head.setProperty("role", "heading")
        head.setWordWrap(True)
        self._search = QLineEdit()
        self._search.setAccessibleName("Search by name")
        self._search.hide()
        self._search.textChanged.connect(lambda _: self._show())
        self._search.returnPressed.connect(self._take_first)
        self._inner = QWidget()
        self._grid = QGridLayout(self._inner)
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._grid.setSpacing(2)
        area = QScrollArea()
        area.setWidgetResizable(True)
        area.setWidget(self._inner)
        area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        area.setFixedHeight(_MOST_HIGH_PX)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        for widget in (head, self._search, area):
            column.addWidget(widget)
        self._show()

    def shown(self) -> list[str]:
        """Return the ids of what is offered now."""
        return [choice.id for choice in self._offered()]

    def keyPressEvent(self, event: QKeyEvent | None) -> None:  # noqa: N802 - Qt's name
        """Take the choice whose sign was pressed."""
        if event is None:
            return
        text = event.text()
        if event.key() == Qt.Key.Key_Escape:
            self.answered.emit()
        elif text == "/":
            self._search.show()
            self._search.setFocus(Qt.FocusReason.ShortcutFocusReason)
        elif text in self._by_sign:
            self._take(self._by_sign[text])
        else:
            super().keyPressEvent(event)

    def _offered(self) -> list[PadChoice]:
        words = self._search.text().casefold()
        return [
            choice
            for choice in self._choices
            if any(words in said.casefold() for said in (choice.name, *choice.said_as))
        ]

    def _show(self) -> None:
        while (item := self._grid.takeAt(0)) is not None:
            old = item.widget()
            if old is not None:
                old.deleteLater()
        for place, choice in enumerate(self._offered()):
            sign = self._signs.get(choice.id, "")
            button = ElidedButton(f"{sign}   {choice.prefix}{choice.name}".strip())
            button.setStyleSheet("text-align: left; padding: 2px 6px;")
            button.setAccessibleName(f"{choice.name}, sign {sign}" if sign else choice.name)
            button.clicked.connect(lambda _, word=choice.id: self._take(word))
            self._grid.addWidget(button, place // _COLUMNS, place % _COLUMNS)

    def _take_first(self) -> None:
        offered = self._offered()
        if offered:
            self._take(offered[0].id)

    def _take(self, word: str) -> None:
        self._chosen(word)
        self.answered.emit()


def class_legend() -> str:
    """Return what the shapes mean, in words."""
    return ", ".join(f"{shape} {word}" for word, shape in _CLASS_SIGNS.items())


def class_prefix(event_class: str) -> str:
    """Return the shape that says an event's class, for its button; `class_legend` has the words."""
    return f"{_CLASS_SIGNS.get(event_class, '·')} "
