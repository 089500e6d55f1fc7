"""The second of two keys: a sign for each step, instrument or event, while the film goes on."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

from PyQt6.QtCore import Qt, pyqtSignal
from PyQt6.QtGui import QKeyEvent
from PyQt6.QtWidgets import QLabel, QLineEdit, QVBoxLayout, QWidget

from aftercase.gui.host import Host
from aftercase.gui.review.searching import is_said
from aftercase.gui.review.sign_list import SignList, SignRow
from aftercase.session.actions.table import signs_for

_HINT: Final = "Press its sign. “/” searches, Esc leaves."


@dataclass(frozen=True)
class PadChoice:
    """One thing the pad offers.

    Attributes:
        id: What is chosen.
        name: What it is called.
        said_as: Other words it can be found by.
        word: What else is to be known of it, such as that it runs.
        look: Class of an event, shown by its shape.
        is_on: Whether choosing it ends or takes back what is there.
    """

    id: str
    name: str
    said_as: tuple[str, ...] = ()
    word: str = ""
    look: str = ""
    is_on: bool = False


class LetterPad(QWidget):
    """Offers choices by one key each.

    Args:
        host: The window.
        title: What is chosen.
        choices: All choices in the guide's order; their signs follow from it.
        first: Ids of the choices that are shown first, with the signs they always have.
        chosen: What is done with the one that is chosen.
    """

    answered = pyqtSignal()
    beside = True
    """It stands in the column beside the film, so that the picture keeps its size."""

    def __init__(
        self,
        host: Host,
        title: str,
        choices: tuple[PadChoice, ...],
        first: tuple[str, ...],
        chosen: Callable[[str], object],
    ) -> None:
        super().__init__()
        self._chosen = chosen
        self._signs = signs_for(tuple(choice.id for choice in choices))
        order = {word: place for place, word in enumerate(first)}
        self._choices = sorted(choices, key=lambda choice: order.get(choice.id, len(order)))
        self.setAccessibleName(title)
        head, hint = _wrapped(title, "heading"), _wrapped(_HINT, "soft")
        self._search = _Search()
        self._search.setAccessibleName("Search by name")
        self._search.setPlaceholderText("Search by name")
        self._search.hide()
        self._search.textChanged.connect(lambda _: self._show())
        self._search.returnPressed.connect(self._take_first)
        self._search.left.connect(self.answered)
        self._list = SignList(host, title)
        self._search.down.connect(self._list.setFocus)
        self._list.taken.connect(self._take)
        self._list.left.connect(self.answered)
        self._list.search_wanted.connect(self._open_search)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        for widget in (head, hint, self._search, self._list):
            column.addWidget(widget)
        self.setFocusProxy(self._list)
        self._show()

    def shown(self) -> list[str]:
        """Return the ids of what is offered now."""
        return [row.id for row in self._list.shown()]

    def _open_search(self) -> None:
        self._search.show()
        self._search.setFocus(Qt.FocusReason.ShortcutFocusReason)

    def _show(self) -> None:
        typed = self._search.text()
        self._list.show_rows(
            tuple(
                SignRow(
                    choice.id,
                    self._signs.get(choice.id, ""),
                    choice.name,
                    choice.word,
                    choice.look,
                    choice.is_on,
                )
                for choice in self._choices
                if is_said(typed, " ".join((choice.name, *choice.said_as)))
            )
        )

    def _take_first(self) -> None:
        """Take what was found first; where nothing is looked for, nothing is meant."""
        offered = self.shown()
        if offered and self._search.text().strip():
            self._take(offered[0])

    def _take(self, word: str) -> None:
        self.answered.emit()
        self._chosen(word)


class _Search(QLineEdit):
    """A field that is left by Esc, and for the list below by the down key."""

    left = pyqtSignal()
    down = pyqtSignal()

    def keyPressEvent(self, event: QKeyEvent | None) -> None:  # noqa: N802 - Qt's name
        """Type, or go."""
        if event is None:
            return
        if event.key() == Qt.Key.Key_Escape:
            self.left.emit()
        elif event.key() == Qt.Key.Key_Down:
            self.down.emit()
        else:
            super().keyPressEvent(event)


def _wrapped(text: str, role: str) -> QLabel:
    label = QLabel(text)
    label.setWordWrap(True)
    label.setProperty("role", role)
    return label
