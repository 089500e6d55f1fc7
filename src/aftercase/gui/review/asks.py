"""What can be asked below the film, one maker for each question."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Final

from PyQt6.QtCore import Qt, pyqtSignal
from PyQt6.QtGui import QKeyEvent
from PyQt6.QtWidgets import QComboBox, QHBoxLayout, QLabel, QLineEdit, QPushButton, QWidget

from aftercase.clock import text_of, us_from_text
from aftercase.edit.marking import running_step
from aftercase.edit.review import adopt
from aftercase.errors import AftercaseError
from aftercase.gui.film.asks import DrawingAsk, LightAsk
from aftercase.gui.film.view import FilmView
from aftercase.gui.host import Host
from aftercase.gui.review.letter_pad import LetterPad, PadChoice, class_legend, class_prefix
from aftercase.gui.review.saying import SayingAsk
from aftercase.model.case import view_at
from aftercase.model.picture import PicturePoint
from aftercase.model.review import Event, StatedHour
from aftercase.session.adopting import adoptable
from aftercase.session.desk import Desk, in_words
from aftercase.session.stage import Question
from aftercase.session.verbs import marking

Maker = Callable[[Host, Desk, FilmView], QWidget | None]
"""Makes what asks; None where there is nothing to ask, which is told in words."""


def _steps(
    title: str, chosen: Callable[[Desk, str], object], host: Host, desk: Desk, film: FilmView
) -> QWidget:
    choices = tuple(PadChoice(step.id, step.name, step.said_as) for step in desk.guide.steps)
    return LetterPad(title, choices, (), lambda word: chosen(desk, word))


def _instruments(hand: str, host: Host, desk: Desk, film: FilmView) -> QWidget:
    choices = tuple(PadChoice(one.id, one.name, one.said_as) for one in desk.guide.instruments)
    span = running_step(desk.guide, desk.review, desk.at_us)
    step = desk.guide.step_by_id.get(span.step) if span is not None else None
    usual: tuple[str, ...] = ()
    if step is not None:
        usual = step.main if hand == "main" else step.second
    return LetterPad(
        f"Into the {hand} hand, or out of it",
        choices,
        usual,
        lambda word: marking.press_instrument(desk, word, hand),
    )


def _events(host: Host, desk: Desk, film: FilmView) -> QWidget:
    choices = tuple(
        PadChoice(kind.id, kind.name, kind.said_as, class_prefix(kind.event_class))
        for kind in desk.guide.events
    )
    span = running_step(desk.guide, desk.review, desk.at_us)
    step = desk.guide.step_by_id.get(span.step) if span is not None else None
    usual = step.events if step is not None else ()
    return LetterPad(
        f"Event ({class_legend()})", choices, usual, lambda word: marking.mark_event(desk, word)
    )


def _about_step(host: Host, desk: Desk, film: FilmView) -> QWidget | None:
    span = running_step(desk.guide, desk.review, desk.at_us)
    if span is None:
        desk.tell("No step runs here. Begin one first, or go into one.", "refused")
        return None
    return SayingAsk(desk, span)


def _about_mark(host: Host, desk: Desk, film: FilmView) -> QWidget | None:
    chosen = desk.selected()
    if len(chosen) != 1:
        desk.tell("Select one mark first: click it, or walk to it with “.” and “,”.", "refused")
        return None
    return SayingAsk(desk, chosen[0])


class TimeAsk(QWidget):
    """A time to go to."""

    answered = pyqtSignal()

    def __init__(self, host: Host, desk: Desk) -> None:
        super().__init__()
        self._host, self._desk = host, desk
        self._line = QLineEdit(text_of(desk.at_us))
        self._line.setAccessibleName("Time to go to")
        self._line.selectAll()
        self._line.returnPressed.connect(self._go)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.addWidget(QLabel("Go to (seconds, or h:mm:ss.fff)"))
        row.addWidget(self._line, 1)
        self.setFocusProxy(self._line)

    def keyPressEvent(self, event: QKeyEvent | None) -> None:  # noqa: N802 - Qt's name
        """Leave on Escape."""
        if event is not None and event.key() == Qt.Key.Key_Escape:
            self.answered.emit()

    def _go(self) -> None:
        try:
            us = us_from_text(self._line.text())
        except AftercaseError as fault:
            self._desk.tell(in_words(fault), "refused")
            return
        start_us, end_us = self._desk.bounds_us
        if not start_us <= us < end_us:
            self._desk.tell(
                f"The case runs from {text_of(start_us)} to {text_of(end_us)}.", "refused"
            )
            return
        self._host.player.go_to(us)
        self.answered.emit()


class PlaceAsk(QWidget):
    """Where an event was: pointed at on the picture, or an hour."""

    answered = pyqtSignal()

    def __init__(self, desk: Desk, film: FilmView, event: Event) -> None:
        super().__init__()
        self._desk, self._film, self._event = desk, film, event
        known = view_at(desk.case, event.at_us) is not None
        clock = "the eye's own hour" if known else "the picture's hour: eye, seat or turn not said"
        self._line = QLineEdit()
        self._line.setAccessibleName(f"Hour, {clock}")
        self._line.setPlaceholderText("1 to 12, halves allowed")
        self._line.returnPressed.connect(self._say)
        self._clock = "eye" if known else "picture"
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.addWidget(QLabel("Click the place on the picture, or type"))
        row.addWidget(self._line)
        row.addWidget(QLabel(f"({clock})"), 1)
        leave = QPushButton("Leave (Esc)")
        leave.clicked.connect(self.answered.emit)
        row.addWidget(leave)
        self.setFocusProxy(self._line)
        film.ask_for_point(True)
        film.pointed.connect(self._take)

    def stop(self) -> None:
        """Ask for no place any more."""
        self._film.ask_for_point(False)
        self._film.pointed.disconnect(self._take)

    def keyPressEvent(self, event: QKeyEvent | None) -> None:  # noqa: N802 - Qt's name
        """Leave on Escape."""
        if event is not None and event.key() == Qt.Key.Key_Escape:
            self.answered.emit()

    def _take(self, place: PicturePoint) -> None:
        if marking.say_place(self._desk, self._event.id, place):
            self.answered.emit()

    def _say(self) -> None:
        try:
            hour = float(self._line.text().replace(",", "."))
        except ValueError:
            hour = 0.0
        if not 0 < hour <= 12 or (2 * hour) % 1:
            self._desk.tell("An hour is 1 to 12, halves allowed, such as 7.5.", "refused")
            return
        stated = StatedHour(hour=hour, clock=self._clock)
        if marking.say_hour(self._desk, self._event.id, stated, None):
            self.answered.emit()


def _place(host: Host, desk: Desk, film: FilmView) -> QWidget | None:
    chosen = [mark for mark in desk.selected() if isinstance(mark, Event)]
    before = [event for event in desk.review.events if event.at_us <= desk.at_us]
    events = chosen or before[-1:]
    if not events:
        desk.tell("Mark an event first; then its place can be given.", "refused")
        return None
    return PlaceAsk(desk, film, events[0])


class AdoptAsk(QWidget):
    """Whose step and instrument marks are taken over."""

    answered = pyqtSignal()

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self._desk = desk
        self._found = adoptable(desk.opened, desk.review)
        self._whose = QComboBox()
        self._whose.setAccessibleName("Whose marks")
        for one in self._found:
            who = f"{one.review.reviewer} ({one.review.role})"
            self._whose.addItem(f"{who}: {one.n_steps} steps, {one.n_instruments} instruments")
        take = QPushButton("Adopt these marks")
        take.clicked.connect(self._adopt)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.addWidget(self._whose)
        row.addWidget(take)
        note = QLabel("Who marked them is kept; they never count as agreement. Esc leaves.")
        note.setProperty("role", "soft")
        row.addWidget(note, 1)
        self.setFocusProxy(take)

    def keyPressEvent(self, event: QKeyEvent | None) -> None:  # noqa: N802 - Qt's name
        """Adopt on Return, leave on Escape."""
        if event is not None and event.key() == Qt.Key.Key_Escape:
            self.answered.emit()
        elif event is not None and event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self._adopt()

    def _adopt(self) -> None:
        other = self._found[self._whose.currentIndex()].review
        self._desk.edit(
            lambda review: adopt(review, other, self._desk.new_id),
            f"adopt {other.reviewer}'s marks",
        )
        self.answered.emit()


def _adopting(host: Host, desk: Desk, film: FilmView) -> QWidget | None:
    if not adoptable(desk.opened, desk.review):
        desk.tell("Nobody else has marked steps or instruments of this case here.", "refused")
        return None
    return AdoptAsk(desk)


ASKS: Final[dict[Question, Maker]] = {
    "step": partial(_steps, "Step", marking.press_step),
    "not-needed": partial(_steps, "Step that was not needed", marking.switch_not_needed),
    "hand-main": partial(_instruments, "main"),
    "hand-second": partial(_instruments, "second"),
    "event": _events,
    "about-step": _about_step,
    "about-mark": _about_mark,
    "time": lambda host, desk, film: TimeAsk(host, desk),
    "place": _place,
    "adopt": _adopting,
    "drawing": lambda host, desk, film: DrawingAsk(film, desk),
    "light": lambda host, desk, film: LightAsk(film),
}
