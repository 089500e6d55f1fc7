"""Saying more of a mark: who did a step and with what help, why a pause, which hand."""

from __future__ import annotations

from typing import Any, Final

from PyQt6.QtCore import Qt, pyqtSignal
from PyQt6.QtGui import QKeyEvent
from PyQt6.QtWidgets import QComboBox, QGridLayout, QLabel, QLineEdit, QPushButton, QWidget

from aftercase.clock import text_of
from aftercase.model.base import NOT_SAID
from aftercase.model.guide import Guide
from aftercase.model.review import (
    HANDS,
    PERFORMERS,
    TAKEOVERS,
    Event,
    InstrumentSpan,
    Mark,
    PauseSpan,
    StepSpan,
    UnseenSpan,
)
from aftercase.session.desk import Desk
from aftercase.session.verbs.changing import name_of, relabel
from aftercase.session.verbs.marking import say_of_mark

Choices = tuple[tuple[str, str], ...]
_COLUMNS: Final = 3


def _words(ids: tuple[str, ...]) -> Choices:
    return tuple((word, word.replace("-", " ")) for word in ids)


def _named(named: tuple[Any, ...]) -> Choices:
    found = tuple((one.id, one.name) for one in named)
    return found if any(word == NOT_SAID for word, _ in found) else (_UNSAID, *found)


_UNSAID: Final = (NOT_SAID, "not said")


def fields_of(guide: Guide, mark: Mark) -> tuple[tuple[str, str, Choices], ...]:
    """Return what can be said of a mark: the field, its name, and the words it offers."""
    if isinstance(mark, StepSpan):
        return (
            ("performer", "Done by", _words(PERFORMERS)),
            ("help", "Help given", _named(guide.help)),
            ("takeover", "Takeover", _words(TAKEOVERS)),
            ("takeover_reason", "Why taken over", _named(guide.takeover_reasons)),
        )
    if isinstance(mark, PauseSpan):
        return (("cause", "Cause", _named(guide.pause_causes)),)
    if isinstance(mark, UnseenSpan):
        return (("reason", "Why it cannot be seen", _named(guide.unseen_reasons)),)
    if isinstance(mark, InstrumentSpan):
        return (("hand", "Hand", _words(HANDS)),)
    return ()


def names_for(guide: Guide, mark: Mark) -> Choices:
    """Return the words of the guide a mark can be renamed to; none for one without a name."""
    for kind, named in (
        (StepSpan, guide.steps),
        (InstrumentSpan, guide.instruments),
        (Event, guide.events),
    ):
        if isinstance(mark, kind):
            return tuple((one.id, one.name) for one in named)
    return ()


class SayingAsk(QWidget):
    """The fields of one mark; each is an edit that can be undone.

    Args:
        desk: The case on the desk.
        mark: The mark.
    """

    answered = pyqtSignal()

    def __init__(self, desk: Desk, mark: Mark) -> None:
        super().__init__()
        self._desk, self._id = desk, mark.id
        name = name_of(desk, mark)
        self.setAccessibleName(f"About {name}")
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 0, 0, 0)
        start_us = getattr(mark, "start_us", getattr(mark, "at_us", 0))
        head = QLabel(f"{name} at {text_of(start_us)[:-4]}")
        head.setProperty("role", "heading")
        grid.addWidget(head, 0, 0, 1, 4)
        done = QPushButton("Done (Esc)")
        done.clicked.connect(self.answered.emit)
        grid.addWidget(done, 0, 5)
        widgets: list[tuple[str, QWidget]] = []
        for field, label, choices in fields_of(desk.guide, mark):
            widgets.append((label, self._choice(label, field, choices, getattr(mark, field))))
        if names := names_for(desk.guide, mark):
            widgets.append(("Called", self._renaming(names, mark)))
        widgets.append(("Note", self._note(mark.note)))
        for place, (label, widget) in enumerate(widgets):
            row, column = 1 + place // _COLUMNS, 2 * (place % _COLUMNS)
            grid.addWidget(QLabel(label), row, column)
            grid.addWidget(widget, row, column + 1)
        for column in range(_COLUMNS):
            grid.setColumnStretch(2 * column + 1, 1)
        self.setFocusProxy(widgets[0][1])

    def keyPressEvent(self, event: QKeyEvent | None) -> None:  # noqa: N802 - Qt's name
        """Leave on Escape or Return."""
        leaving = (Qt.Key.Key_Escape, Qt.Key.Key_Return, Qt.Key.Key_Enter)
        if event is not None and event.key() in leaving:
            self.answered.emit()

    def _choice(self, label: str, field: str, choices: Choices, chosen: str) -> QComboBox:
        box = _box(label, choices, chosen)
        box.activated.connect(
            lambda _: say_of_mark(
                self._desk, self._id, f"say: {label.lower()}", **{field: box.currentData()}
            )
        )
        return box

    def _renaming(self, names: Choices, mark: Mark) -> QComboBox:
        field = next(f for f in ("step", "instrument", "kind") if hasattr(mark, f))
        box = _box("Called", names, getattr(mark, field))
        box.activated.connect(lambda _: relabel(self._desk, self._id, box.currentData()))
        return box

    def _note(self, note: str) -> QLineEdit:
        line = QLineEdit(note)
        line.setAccessibleName("Note")
        line.textEdited.connect(
            lambda text: say_of_mark(self._desk, self._id, "write a note", note=text)
        )
        return line


def _box(label: str, choices: Choices, chosen: str) -> QComboBox:
    box = QComboBox()
    box.setAccessibleName(label)
    box.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
    box.setMinimumContentsLength(12)
    for word, name in choices:
        box.addItem(name, word)
    if box.findData(chosen) < 0:
        box.addItem(f"{chosen} (not in the guide)", chosen)
    box.setCurrentIndex(box.findData(chosen))
    return box
