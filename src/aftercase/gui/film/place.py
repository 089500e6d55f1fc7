"""Where an event was: pointed at on the picture, or said as an hour."""

from __future__ import annotations

from typing import Final

from PyQt6.QtCore import Qt, pyqtSignal
from PyQt6.QtGui import QKeyEvent
from PyQt6.QtWidgets import QPushButton, QVBoxLayout, QWidget

from aftercase.gui.film.drawing import CROSS_WAYS
from aftercase.gui.film.hourpad import HourPad
from aftercase.gui.film.keys import deed_of_key
from aftercase.gui.film.padclock import PadClock
from aftercase.gui.film.view import FilmView
from aftercase.gui.pages.building import label, scrolled
from aftercase.gui.theme import Theme
from aftercase.model.case import view_at
from aftercase.model.picture import PicturePoint
from aftercase.model.review import Event, StatedHour
from aftercase.session.desk import Desk
from aftercase.session.verbs import marking

_BY_PICTURE: Final = (
    "Click the place on the picture, or move the cross with the arrow keys (Shift: finely) and "
    "press Return."
)
_BY_HOUR: Final = (
    "Or say the hour: click it, or 1 to 9, 0 for 10, - for 11, = for 12, “.” for half past; then "
    "Return. From an hour to another: drag, or T between them."
)


class PlaceAsk(QWidget):
    """Asks where an event was.

    Args:
        theme: The colours.
        desk: The case on the desk.
        film: The film view that is pointed at.
        event: The event.
    """

    answered = pyqtSignal()
    beside = True
    """It stands in the column beside the film, so that the picture pointed at keeps its size."""

    def __init__(self, theme: Theme, desk: Desk, film: FilmView, event: Event) -> None:
        super().__init__()
        self._desk, self._film, self._event = desk, film, event
        known = desk.guide.event_by_id.get(event.kind)
        name = known.name if known is not None else event.kind
        self.setAccessibleName(f"Where it was: {name}")
        clock = PadClock(view_at(desk.case, event.at_us))
        self.pad = HourPad(theme, clock, desk.case.eye)
        self._entered = label(self.pad.entry_words(), "heading")
        self._keep = QPushButton("Keep (Return)")
        self._lay_out(name)
        self.setFocusProxy(self.pad)
        self.pad.entry_changed.connect(self._show_entry)
        self.pad.hour_chosen.connect(self._say)
        self.pad.stretch_chosen.connect(self._say)
        film.pointed.connect(self._take)
        film.left.connect(self.answered)
        film.ask_for_point(True, f"Where it was: {name}")

    def stop(self) -> None:
        """Ask for no place any more."""
        self._film.pointed.disconnect(self._take)
        self._film.left.disconnect(self.answered)
        self._film.ask_for_point(False)

    def keyPressEvent(self, event: QKeyEvent | None) -> None:  # noqa: N802 - Qt's name
        """Hand what the pad leaves to the film: the cross, and leaving."""
        if event is None:
            return
        if deed_of_key(event.key()) in CROSS_WAYS:
            self.pad.clear()
        self._film.keyPressEvent(event)

    def _lay_out(self, name: str) -> None:
        heading = label(f"Where it was: {name}", "heading")
        words = QWidget()
        sentences = QVBoxLayout(words)
        sentences.setContentsMargins(0, 0, 0, 0)
        for sentence in (_BY_PICTURE, _BY_HOUR, f"The pad shows {self.pad.clock_words()}."):
            sentences.addWidget(label(sentence, "soft"))
        sentences.addStretch(1)
        leave = QPushButton("Leave (Esc)")
        leave.clicked.connect(self.answered.emit)
        self._keep.clicked.connect(self.pad.keep)
        self._keep.setEnabled(False)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(heading)
        column.addWidget(self.pad)
        column.addWidget(self._entered)
        column.addWidget(scrolled(words), 1)
        for button in (self._keep, leave):
            button.setFocusPolicy(Qt.FocusPolicy.TabFocus)
            column.addWidget(button)

    def _show_entry(self, words: str) -> None:
        self._entered.setText(words)
        self._keep.setEnabled(self.pad.is_whole)

    def _take(self, place: PicturePoint) -> None:
        if marking.say_place(self._desk, self._event.id, place):
            self.answered.emit()

    def _say(self, hour: StatedHour, to_hour: StatedHour | None = None) -> None:
        if marking.say_hour(self._desk, self._event.id, hour, to_hour):
            self.answered.emit()
