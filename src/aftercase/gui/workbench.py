"""The two rooms around the film: what stands left, right and below of it, and what is asked."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final, Protocol, cast

from PyQt6.QtCore import Qt, pyqtSignal
from PyQt6.QtWidgets import QFrame, QSplitter, QStackedWidget, QVBoxLayout, QWidget

from aftercase.gui.clockbar import ClockBar
from aftercase.gui.film.view import FilmView
from aftercase.gui.filmdesk import FilmDesk
from aftercase.gui.host import Host
from aftercase.gui.replay.room import ReplaySides
from aftercase.gui.review.asks import ASKS
from aftercase.gui.review.guide_list import GuideList
from aftercase.gui.review.remark_line import RemarkLine
from aftercase.gui.review.remarks_list import RemarksList
from aftercase.gui.shortcuts import TAKES_KEYS
from aftercase.gui.strip.strip import Strip
from aftercase.gui.stripdesk import StripDesk
from aftercase.model.review import Review
from aftercase.session.desk import Desk
from aftercase.session.stage import Question, Room

_SIDE_PX: Final = 296


_SIDES: Final[dict[Room, int]] = {"start": 0, "review": 0, "replay": 1}
"""Which of the stacked panels stands beside the film in a room."""


class _Stoppable(Protocol):
    def stop(self) -> None: ...


class Workbench(QWidget):
    """Film, strip and panels of one case.

    Args:
        host: The window.
        desk: The case on the desk.
        film: The film view.
        strip: The strip.
    """

    asked = pyqtSignal(bool)
    """Whether something is being asked now."""

    def __init__(self, host: Host, desk: Desk, film: FilmView, strip: Strip) -> None:
        super().__init__()
        self._host, self._desk = host, desk
        self.film, self.strip = film, strip
        self.clock_bar = ClockBar(host, desk)
        self.line = RemarkLine(host, desk)
        self.guide_list = GuideList(host, desk)
        self.remarks_list = RemarksList(host, desk)
        self.replay = ReplaySides(host, desk)
        self._room: Room = "review"
        self._strip_desk = StripDesk(host, desk, strip)
        self._film_desk = FilmDesk(desk, film, self._drawn_review, self._replayed_us)
        self._left = _stack(self.guide_list, self.replay.left)
        self._asking: QWidget | None = None
        self._ask_beside, self._ask_below = _panel(), _panel()
        self._ask_below.hide()
        self._right = _stack(self.remarks_list, self.replay.right, self._ask_beside)
        self._lay_out()

    @property
    def asking(self) -> QWidget | None:
        """What is asked now; None for nothing."""
        return self._asking

    def show_room(self, room: Room) -> None:
        """Show the panels of the review room or of the replay room."""
        self._room = room
        self.stop_asking()
        for stack in (self._left, self._right):
            stack.setCurrentIndex(_SIDES[room])
        self.line.setVisible(room != "replay")
        self.replay.shown(room == "replay")
        if self.line.is_open and room != "replay":
            self.line.open()  # a text that a crash left open: Enter keeps it
        else:
            self.take_focus()

    def ask(self, question: Question) -> None:
        """Ask something beside or below the film, instead of what is asked now.

        What says that it stands beside takes the right column, so that the picture keeps its size.
        """
        self.stop_asking()
        widget = ASKS[question](self._host, self._desk, self.film)
        if widget is None:
            return
        widget.setProperty(TAKES_KEYS, True)
        cast("_Answering", widget).answered.connect(self.stop_asking)
        self._asking = widget
        if getattr(widget, "beside", False):
            _put_in(self._ask_beside, widget)
            self._right.setCurrentWidget(self._ask_beside)
        else:
            _put_in(self._ask_below, widget)
            self._ask_below.show()
        widget.setFocus(Qt.FocusReason.ShortcutFocusReason)
        self.asked.emit(True)

    def stop_asking(self) -> None:
        """Put away what is asked, and give the keys back to the film."""
        widget, self._asking = self._asking, None
        if widget is None:
            return
        self._ask_below.hide()
        self._right.setCurrentIndex(_SIDES[self._room])
        widget.hide()
        _stop(widget)
        widget.deleteLater()
        self.asked.emit(False)
        self.take_focus()

    def take_focus(self) -> None:
        """Give the keys to the film."""
        self.film.setFocus(Qt.FocusReason.OtherFocusReason)

    def stop(self) -> None:
        """Listen no more; the case is put away."""
        self.stop_asking()
        parts = (
            self.clock_bar, self.line, self.guide_list, self.remarks_list, self.replay,
            self._film_desk, self._strip_desk,
        )  # fmt: skip
        for each in parts:
            _stop(each)

    def _drawn_review(self) -> Review:
        """Return the review whose drawings are shown."""
        replayed = self.replay.review if self._room == "replay" else None
        return replayed or self._desk.review

    def _replayed_us(self) -> tuple[int, int] | None:
        moment = self.replay.moment if self._room == "replay" else None
        return (moment.start_us, moment.end_us) if moment is not None else None

    def _lay_out(self) -> None:
        middle = QWidget()
        column = QVBoxLayout(middle)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addWidget(self.film, 1)
        for below in (self.clock_bar, self.line, self._ask_below):
            column.addWidget(below)
        across = QSplitter(Qt.Orientation.Horizontal)
        across.setChildrenCollapsible(False)
        for place, widget in enumerate((self._left, middle, self._right)):
            across.addWidget(widget)
            across.setStretchFactor(place, 1 if widget is middle else 0)
        across.setSizes([_SIDE_PX, 10_000, _SIDE_PX])
        whole = QVBoxLayout(self)
        whole.setContentsMargins(0, 0, 0, 0)
        whole.setSpacing(0)
        whole.addWidget(across, 1)
        whole.addWidget(self.strip)


class _Answering(Protocol):
    @property
    def answered(self) -> _Signal: ...


class _Signal(Protocol):
    def connect(self, slot: Callable[[], None]) -> object: ...


def _stop(widget: object) -> None:
    if callable(getattr(widget, "stop", None)):
        cast("_Stoppable", widget).stop()


def _panel() -> QFrame:
    panel = QFrame()
    panel.setProperty("role", "panel")
    QVBoxLayout(panel).setContentsMargins(6, 4, 6, 4)
    return panel


def _put_in(panel: QFrame, widget: QWidget) -> None:
    layout = panel.layout()
    assert layout is not None
    layout.addWidget(widget)


def _stack(*widgets: QWidget) -> QStackedWidget:
    stack = QStackedWidget()
    for widget in widgets:
        stack.addWidget(widget)
    stack.setMinimumWidth(_SIDE_PX - 16)
    return stack
