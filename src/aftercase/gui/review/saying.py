"""Saying more of a mark: who did a step and with what help, why a pause, which hand, a note."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any, Final

from PyQt6.QtCore import Qt, pyqtSignal
from PyQt6.QtGui import QKeyEvent
from PyQt6.QtWidgets import QLabel, QLineEdit, QVBoxLayout, QWidget

from aftercase.gui.host import Host
from aftercase.gui.pages import building
from aftercase.gui.review.course import CourseFields
from aftercase.gui.review.sign_list import SignList, SignRow
from aftercase.gui.shortcuts import leave_undo
from aftercase.model.base import NOT_SAID
from aftercase.model.guide import Choice, Guide, Named
from aftercase.model.review import (
    DIRECTIONS,
    HANDS,
    PERFORMERS,
    TAKEOVERS,
    Event,
    GapCause,
    InstrumentSpan,
    Mark,
    PauseSpan,
    Review,
    StepSpan,
    UnseenSpan,
)
from aftercase.session.actions.table import SIGNS
from aftercase.session.desk import Desk
from aftercase.session.guidelist import seconds_of
from aftercase.session.verbs.changing import name_of, relabel
from aftercase.session.verbs.marking import say_of_mark

Words = tuple[tuple[str, str], ...]
"""Words that a field offers, each with its name."""

Field = tuple[str, str, Words]
"""A field's name in the format, its label, and its words."""

_UNSAID: Final = (NOT_SAID, "not said")
_COMPLICATION: Final = "complication"
_BETWEEN: Final = " "
"""Between a field and its word in the id of a row."""

_NO_TAKEOVER: Final = {
    "takeover_reason": NOT_SAID, "taken_over_us": None, "given_back_us": None,
}  # fmt: skip
_TAKEN: Final = ("taken-over", "given-back")
_FOLLOWS: Final[dict[tuple[str, str], dict[str, Any]]] = {
    ("takeover", NOT_SAID): _NO_TAKEOVER,
    ("takeover", "none"): _NO_TAKEOVER,
    ("takeover", "taken-over"): {"given_back_us": None},
}
"""What else no longer holds where a field is said to be so."""


def fields_of(guide: Guide, review: Review, mark: Mark) -> tuple[Field, ...]:
    """Return what can be said of a mark by one key each; nothing is said to begin with."""
    if isinstance(mark, StepSpan):
        return (
            ("performer", "Done by", _plain(PERFORMERS)),
            ("help", "Help given", _named(guide.help)),
            ("takeover", "Takeover", _plain(TAKEOVERS)),
            ("takeover_reason", "Why taken over", _named(guide.takeover_reasons)),
            *_of_some_steps(guide, review, mark),
        )
    if isinstance(mark, PauseSpan | GapCause):
        return (("cause", "Cause", _named(guide.pause_causes)),)
    if isinstance(mark, UnseenSpan):
        return (("reason", "Why it cannot be seen", _named(guide.unseen_reasons)),)
    if isinstance(mark, InstrumentSpan):
        return (("hand", "Hand", _plain(HANDS)),)
    return ()


def names_for(guide: Guide, mark: Mark) -> Words:
    """Return the words of the guide a mark can be renamed to; none for one without a name."""
    for kind, named in (
        (StepSpan, guide.steps),
        (InstrumentSpan, guide.instruments),
        (Event, guide.events),
    ):
        if isinstance(mark, kind):
            return tuple((one.id, one.name) for one in named)
    return ()


def _of_some_steps(guide: Guide, review: Review, span: StepSpan) -> tuple[Field, ...]:
    """Return what only steps with attempts, or with a tear, have."""
    step = guide.step_by_id.get(span.step)
    attempts = ("result", "How it ended", _named(guide.attempt_results))
    tear = ("tear_direction", "The tear goes, on the picture,", _plain(DIRECTIONS))
    marked = {e.kind for e in review.events if span.start_us <= e.at_us < span.end_us}
    noted = marked | set(step.events if step is not None else ())
    return (
        *([attempts] if step is not None and step.attempts else []),
        *([tear] if any(_is_grip(guide, kind) for kind in noted) else []),
    )


def _is_grip(guide: Guide, kind: str) -> bool:
    """Claim that a kind of event is a point of a tear: an action whose hour is asked to a half."""
    known = guide.event_by_id.get(kind)
    return known is not None and known.event_class == "action" and known.hour == "halves"


def _plain(words: tuple[str, ...]) -> Words:
    return tuple((word, word.replace("-", " ")) for word in words)


def _named(choices: tuple[Choice | Named, ...]) -> Words:
    return (_UNSAID, *((one.id, one.name) for one in choices if one.id != NOT_SAID))


class SayingAsk(QWidget):
    """What is said of one mark: a key each, a name, a note; each is an edit that can be undone.

    Args:
        host: The window.
        desk: The case on the desk.
        mark: The mark.
    """

    answered = pyqtSignal()
    beside = True

    def __init__(self, host: Host, desk: Desk, mark: Mark) -> None:
        super().__init__()
        self._host, self._desk, self._id = host, desk, mark.id
        self._fields = fields_of(desk.guide, desk.review, mark)
        self._head = QLabel()
        self._head.setWordWrap(True)
        self._head.setProperty("role", "heading")
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self._head)
        self._list = SignList(host, "What can be said of it")
        self._list.taken.connect(self._say)
        self._list.left.connect(self.answered)
        column.addWidget(self._list, 1)
        self._list.setHidden(not self._fields)
        self._shown: list[Callable[[Any], None]] = []
        for widget in self._widgets(mark):
            column.addWidget(widget)
        if not self._fields:
            column.addStretch(1)
        self._stop = desk.listen("review", self._show)
        self._show()

    def stop(self) -> None:
        """Listen no more."""
        self._stop()
        self._desk.hand.end_merging()

    def keyPressEvent(self, event: QKeyEvent | None) -> None:  # noqa: N802 - Qt's name
        """Leave on Escape or Return."""
        leaving = (Qt.Key.Key_Escape, Qt.Key.Key_Return, Qt.Key.Key_Enter)
        if event is not None and event.key() in leaving:
            self.answered.emit()

    def rows(self) -> tuple[SignRow, ...]:
        """Return what can be said by one key, as it is shown."""
        return self._list.shown()

    def _widgets(self, mark: Mark) -> list[QWidget]:
        note = QLineEdit()
        note.setPlaceholderText("Note")
        note.setAccessibleName("Note")
        leave_undo(note)
        note.textEdited.connect(
            lambda text: say_of_mark(self._desk, self._id, "write a note", note=text)
        )
        self._shown.append(partial(_show_note, note))
        made: list[QWidget] = []
        if isinstance(mark, Event):
            made += self._of_event(mark)
        if names := names_for(self._desk.guide, mark):
            made += [QLabel("Called"), self._renaming(names)]
        done = building.button("Done (Esc)", self.answered.emit)
        self.setFocusProxy(self._list if self._fields else note)
        return [*made, note, done]

    def _of_event(self, event: Event) -> list[QWidget]:
        place = building.button("Place and hour…", lambda: self._host.ask("place"))
        course = CourseFields(self._desk, event.id)
        self._shown.append(partial(self._show_course, course))
        return [place, course]

    def _show_course(self, course: CourseFields, event: Event) -> None:
        """Show how a complication went; nothing else has a course."""
        kind = self._desk.guide.event_by_id.get(event.kind)
        course.setVisible(kind is not None and kind.event_class == _COMPLICATION)
        course.show_event(event)

    def _renaming(self, names: Words) -> building.Choice:
        box = building.Choice("Called", names, self._rename)
        self._shown.append(lambda mark: box.show_word(_word_of(mark)))
        return box

    def _rename(self, word: str) -> None:
        if word != _word_of(self._desk.record(self._id)):
            relabel(self._desk, self._id, word)

    def _say(self, row_id: str) -> None:
        field, word = row_id.split(_BETWEEN, 1)
        if getattr(self._desk.record(self._id), field) == word:
            return
        label, words = next((label, words) for name, label, words in self._fields if name == field)
        if field == "takeover_reason" and not self._is_taken_over():
            self._desk.tell("Say first that it was taken over, then why.", "refused")
            return
        self._desk.hand.end_merging()  # each key is one edit of its own
        told = f"{label.lower()}: {dict(words)[word]}"
        said = {field: word, **_FOLLOWS.get((field, word), {})}
        say_of_mark(self._desk, self._id, told, **said)

    def _is_taken_over(self) -> bool:
        mark = self._desk.record(self._id)
        return isinstance(mark, StepSpan) and mark.takeover in _TAKEN

    def _show(self) -> None:
        """Show what the review says of the mark; leave when it is gone."""
        mark = self._desk.record(self._id)
        if mark is None:
            self.answered.emit()
            return
        start_us = getattr(mark, "start_us", getattr(mark, "at_us", 0))
        name = name_of(self._desk, mark)
        self._head.setText(f"{name[:1].upper()}{name[1:]} at {seconds_of(start_us)}")
        self._fields = fields_of(self._desk.guide, self._desk.review, mark)
        self._list.show_rows(_rows(self._fields, mark))
        for show in self._shown:
            show(mark)


def _rows(fields: tuple[Field, ...], mark: Mark) -> tuple[SignRow, ...]:
    signs = iter(SIGNS)
    rows: list[SignRow] = []
    for field, label, words in fields:
        said = getattr(mark, field)
        rows.append(SignRow("", "", label))
        rows += [
            SignRow(f"{field}{_BETWEEN}{word}", next(signs, ""), name, is_chosen=word == said)
            for word, name in words
        ]
        if said not in dict(words):  # without a key, so that the other keys stay what they are
            text = f"{said} (not in the guide)"
            rows.append(SignRow(f"{field}{_BETWEEN}{said}", "", text, is_chosen=True))
    return tuple(rows)


def _word_of(mark: Any) -> str:
    words = (getattr(mark, field, None) for field in ("step", "instrument", "kind"))
    return next((word for word in words if word is not None), "")


def _show_note(line: QLineEdit, mark: Mark) -> None:
    if line.text() != mark.note:
        line.setText(mark.note)
