"""How the eye lies: one way is shown on the picture, and hours and sides follow."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final, cast

from PyQt6.QtCore import Qt, pyqtSignal
from PyQt6.QtGui import QKeyEvent
from PyQt6.QtWidgets import QVBoxLayout, QWidget

from aftercase.clock import text_of
from aftercase.gui.film.keys import deed_of_key
from aftercase.gui.film.view import FilmView
from aftercase.gui.host import Host
from aftercase.gui.measuring.handed_list import HandedList
from aftercase.gui.measuring.rows import BETWEEN
from aftercase.gui.pages.building import button, label
from aftercase.gui.review.sign_list import SignRow
from aftercase.model.orientation import SEATS, surgeon_hour
from aftercase.model.review import Drawing
from aftercase.session.desk import Desk
from aftercase.session.verbs import lying
from aftercase.session.verbs.header import FROM_THE_START

_TITLE: Final = "How the eye lies"
_WALKING: Final = ("up", "down", "set")
"""What walks the list and takes a row of it while nothing can be shown on the picture."""

_SIGNS: Final = "1234567890"
_SHOWN: Final = (("twelve", "where 12 is"), ("surgeon", "where the surgeon sits"))
_EYES: Final = (("right", "right"), ("left", "left"))
_HOW: Final = (
    "Drag from the middle of the eye {where}. By keys: move the cross with the arrow keys (Shift: "
    "finely) to the middle of the eye, Return, move it {where}, Return."
)
_WHERE: Final = {"twelve": "towards 12", "surgeon": "towards the surgeon"}
_MIRRORED: Final = "Whether the camera changes left and right is said with the case (Ctrl+E)."


class LyingAsk(QWidget):
    """Asks where 12 is on the picture, or where the surgeon sits; says what follows from it.

    Args:
        host: The window.
        desk: The case on the desk.
        film: The film view that it is shown on.
    """

    answered = pyqtSignal()
    beside = True

    def __init__(self, host: Host, desk: Desk, film: FilmView) -> None:
        super().__init__()
        self._desk, self._film = desk, film
        self._shown: lying.Shown = "twelve"
        self._since = "here"
        self.setAccessibleName(_TITLE)
        self._list = HandedList(host, _TITLE, self._take_key)
        self._list.taken.connect(self._take_row)
        self._list.left.connect(self.answered)
        leave = button("Done (Esc)", self.answered.emit)
        leave.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(label(_TITLE, "heading"))
        column.addWidget(self._list, 1)
        column.addWidget(leave)
        self.setFocusProxy(self._list)
        self._stops = [desk.listen(topic, self._show) for topic in ("case", "moment")]
        film.way_shown.connect(self._take_way)
        host.player.rest()
        self._show()

    def stop(self) -> None:
        """Ask for no way any more."""
        for stop in self._stops:
            stop()
        self._film.way_shown.disconnect(self._take_way)
        self._film.ask_for_way(False)

    def keyPressEvent(self, event: QKeyEvent | None) -> None:  # noqa: N802 - Qt's name
        """Do what a key asks for that a button leaves."""
        if event is not None:
            self._take_key(event)

    @property
    def _can_be_shown(self) -> bool:
        case = self._desk.case
        return surgeon_hour(case.eye, lying.seat_at(case, self._desk.at_us)) is not None

    def _show(self) -> None:
        """Show what is said, and ask for a way where it means something."""
        prompt = f"{dict(_SHOWN)[self._shown][:1].upper()}{dict(_SHOWN)[self._shown][1:]}"
        self._film.ask_for_way(self._can_be_shown, prompt)
        show = self._list.show_work if self._can_be_shown else self._list.show_rows
        show(tuple(self._rows()))

    def _rows(self) -> Iterable[SignRow]:
        desk = self._desk
        case, seat = desk.case, lying.seat_at(desk.case, desk.at_us)
        yield SignRow("", "", lying.lying_words(case, desk.at_us), tone="number")
        caution = lying.lying_caution(case, desk.frames.frame_at(desk.at_us).part)
        if caution:
            yield SignRow("", "", caution, tone="warn")
        if self._can_be_shown:
            yield SignRow("", "", _HOW.format(where=_WHERE[self._shown]), tone="said")
        else:
            yield SignRow("", "", lying.NO_SEAT, tone="warn")
        signs = iter(_SIGNS)
        since = (("here", f"from {text_of(desk.at_us)} on"), ("start", "from the start"))
        seats = tuple((word, word) for word in SEATS)
        for about, title, words, holds in (
            ("eye", "Eye", _EYES, case.eye),
            ("seat", "The surgeon sits", seats, seat),
            ("show", "You show", _SHOWN, self._shown),
            ("since", "It holds", since, self._since),
        ):
            yield SignRow("", "", title)
            for word, name in words:
                yield SignRow(f"{about}{BETWEEN}{word}", next(signs), name, is_chosen=word == holds)
        yield SignRow("", "", _MIRRORED, tone="said")

    def _take_row(self, row_id: str) -> None:
        about, word = row_id.split(BETWEEN, 1)
        if about == "eye":
            lying.say_eye(self._desk, word)
        elif about == "seat":
            lying.say_seat(self._desk, word)
        elif about == "show":
            self._shown = cast("lying.Shown", word)
        else:
            self._since = word
        self._show()

    def _take_way(self, way: Drawing) -> None:
        from_us = way.at_us if self._since == "here" else FROM_THE_START
        lying.say_turn(self._desk, self._shown, way, from_us)

    def _take_key(self, event: QKeyEvent) -> bool:
        """Show a way by keys, and claim that a key was one for that."""
        if event.key() in (Qt.Key.Key_PageUp, Qt.Key.Key_PageDown):
            self._list.turn_page(1 if event.key() == Qt.Key.Key_PageDown else -1)
            return True
        if deed_of_key(event.key()) == "leave":
            self.answered.emit()
            return True
        deed = deed_of_key(event.key())
        if deed is None or (deed in _WALKING and not self._can_be_shown):
            return False
        if self._can_be_shown:
            self._film.keyPressEvent(event)
        else:
            self._desk.tell(lying.NO_SEAT, "refused")
        return True
