"""Measuring on the frozen frame: tools by letter, places by pointer or keys, numbers beside."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from PyQt6.QtCore import Qt, pyqtSignal
from PyQt6.QtGui import QKeyEvent
from PyQt6.QtWidgets import QPushButton, QVBoxLayout, QWidget

from aftercase.gui.film.drawing import CROSS_WAYS
from aftercase.gui.film.keys import deed_of_key
from aftercase.gui.film.view import FilmView
from aftercase.gui.host import Host
from aftercase.gui.measuring.fields import TypedFields
from aftercase.gui.measuring.hand import MeasuringHand
from aftercase.gui.measuring.handed_list import HandedList
from aftercase.gui.measuring.rows import BETWEEN, PIXELS, tool_rows, work_rows
from aftercase.gui.pages.building import button, label
from aftercase.model.measure import Calibration, Measure
from aftercase.session.desk import Desk
from aftercase.session.pointing import Pointing
from aftercase.session.verbs import pointing as verbs
from aftercase.session.verbs.measuring import take_away

_SECOND_US: Final = 1_000_000
_COMMANDS: Final = Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.AltModifier
_ON_OR_BACK: Final = {"on": 1, "back": -1}
_FILM_KEYS: Final[dict[int, str]] = {
    Qt.Key.Key_N: "on", Qt.Key.Key_B: "back", Qt.Key.Key_F: "home",
}  # fmt: skip
_RESTING_KEYS: Final[dict[int, str]] = {Qt.Key.Key_Right: "on", Qt.Key.Key_Left: "back"}
_PAGES: Final[dict[int, int]] = {Qt.Key.Key_PageDown: 1, Qt.Key.Key_PageUp: -1}
_CHOOSING: Final = {".": 1, ",": -1}


class MeasureAsk(QWidget):
    """Asks what is to be measured, then where; what it comes to stands beside at once.

    Args:
        host: The window.
        desk: The case on the desk.
        film: The film view that is pointed at.
        record: A kept ruler or measure that is to be changed, if any.
    """

    answered = pyqtSignal()
    beside = True
    """It stands in the column beside the film, so that the picture pointed at keeps its size."""

    def __init__(
        self, host: Host, desk: Desk, film: FilmView, record: Calibration | Measure | None = None
    ) -> None:
        super().__init__()
        self._host, self._desk, self._film = host, desk, film
        self._kept_of: tuple[object, object] = (None, None)
        self._kept_lines: tuple[verbs.KeptLine, ...] = ()
        self.setAccessibleName("Measure")
        self._head = label("Measure", "heading")
        self._list = HandedList(host, "Measure", self._take_key)
        self._hand = MeasuringHand(desk, film, self._show)
        self._fields = TypedFields(self._hand.say, lambda why: desk.tell(why, "refused"))
        self._keep_button = button("Keep (Return)", self._keep)
        self._leave_button = button("Leave (Esc)", self._leave)
        self._lay_out()
        film.done.connect(self._keep)
        self._stops = [
            desk.listen("review", self._hand.see_review),
            desk.listen("case", self._hand.see_review),
            desk.listen("moment", self._hand.see_moment),
        ]
        host.player.rest()
        self._take(None if record is None else verbs.record_of(desk, record.id))

    @property
    def pointing(self) -> Pointing | None:
        """What is being pointed at; None while a tool is chosen."""
        return self._hand.pointing

    def stop(self) -> None:
        """Put the tool away."""
        for stop in self._stops:
            stop()
        self._film.done.disconnect(self._keep)
        self._hand.stop()

    def keyPressEvent(self, event: QKeyEvent | None) -> None:  # noqa: N802 - Qt's name
        """Do what a key asks for that a button leaves."""
        if event is not None:
            self._take_key(event)

    def _lay_out(self) -> None:
        self._list.taken.connect(self._take_row)
        self._list.left.connect(self._leave)
        self._fields.left.connect(self._take_keys)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self._head)
        column.addWidget(self._list, 1)
        column.addWidget(self._fields)
        for one in (self._keep_button, self._leave_button):
            one.setFocusPolicy(Qt.FocusPolicy.TabFocus)
            column.addWidget(one)
        self.setFocusProxy(self._list)

    # Showing ------------------------------------------------------------------------------

    def _show(self) -> None:
        """Show the tools, or what is pointed at so far."""
        now = self.pointing
        is_kept = now is not None and bool(now.record_id)
        self._keep_button.setVisible(now is not None)
        _name(self._keep_button, "Done (Return)" if is_kept else "Keep (Return)")
        _name(self._leave_button, "Leave (Esc)" if now is None else "Tools (Esc)")
        self._fields.show_pointing(now)
        if now is None:
            self._head.setText("Measure")
            self._list.show_rows(tool_rows(self._kept(), self._desk.at_us))
        else:
            self._head.setText(f"Change: {now.tool.label}" if is_kept else now.tool.label)
            self._list.show_work(work_rows(self._desk, now, self._hand.show(now)))

    def _kept(self) -> tuple[verbs.KeptLine, ...]:
        """Return what is kept, worked out anew only where something of it may have changed."""
        of = self._desk.review, self._desk.case
        if any(one is not other for one, other in zip(of, self._kept_of, strict=True)):
            self._kept_of, self._kept_lines = of, verbs.kept_lines(self._desk)
        return self._kept_lines

    # Taking up and putting down -----------------------------------------------------------

    def _take(self, pointing: Pointing | None) -> None:
        """Take something up to point at it; None for the tools."""
        self._hand.take(pointing)
        self._take_keys()

    def _take_keys(self) -> None:
        self._list.setFocus(Qt.FocusReason.OtherFocusReason)

    def _take_row(self, row_id: str) -> None:
        about, word = row_id.split(BETWEEN, 1)
        hand = self._hand
        deeds: dict[str, Callable[[str], None]] = {
            "tool": lambda word: self._take(verbs.begun(self._desk, word)),
            "kept": self._open,
            "film": self._go,
            "into": hand.turn_to,
            "plane": lambda word: hand.say_by_key("plane", word),
            "with": lambda word: hand.say_by_key("ruler", None if word == PIXELS else word),
            "from": hand.say_from,
        }
        deeds[about](word)

    def _open(self, record_id: str) -> None:
        """Go to a kept ruler or measure and take it up."""
        there = verbs.record_of(self._desk, record_id)
        if there is not None and there.at_us is not None:
            self._desk.select(record_id)
            self._host.player.go_to(there.at_us)
            self._take(there)

    def _leave(self) -> None:
        if self.pointing is None:
            self.answered.emit()
        else:
            self._take(None)

    def _keep(self) -> None:
        """Keep what was pointed at; of what is kept already, go back to the tools."""
        now = self.pointing
        if now is None:
            return
        kept = now.record_id or verbs.keep(self._desk, now)
        if kept:
            self._take(None)
            self._list.choose(f"kept{BETWEEN}{kept}")
        elif now.tool.is_ruler and now.is_whole and now.size_mm is None:
            self._fields.ask_for_size()

    def _delete(self) -> None:
        """Take away what is changed, else the kept one that is chosen in the list."""
        about, _, word = self._list.chosen_id.partition(BETWEEN)
        if self.pointing is not None:
            record_id = self.pointing.record_id
        else:
            record_id = word if about == "kept" else ""
        if record_id:
            take_away(self._desk, record_id)

    # Keys ---------------------------------------------------------------------------------

    def _take_key(self, event: QKeyEvent) -> bool:
        """Do what a key asks for, and claim that it was one of those that are known here."""
        if event.modifiers() & _COMMANDS:
            return False
        if event.key() == Qt.Key.Key_Delete:
            self._delete()
            return True
        is_working = self.pointing is not None
        word = (_FILM_KEYS if is_working else _RESTING_KEYS).get(event.key())
        if word is not None:
            self._go(word, is_far=_is_shifted(event))
            return True
        return is_working and self._take_work_key(event)

    def _take_work_key(self, event: QKeyEvent) -> bool:
        deed = deed_of_key(event.key())
        if event.text() in _CHOOSING:
            self._hand.choose(_CHOOSING[event.text()])
        elif event.key() in _PAGES:
            self._list.turn_page(_PAGES[event.key()])
        elif deed == "leave":
            self._leave()
        elif deed == "set":
            self._set(event)
        elif deed in CROSS_WAYS and self._hand.chosen is not None:
            self._hand.nudge(deed, fine=_is_shifted(event))
        elif deed is not None:
            self._film.keyPressEvent(event)
        else:
            return False
        return True

    def _set(self, event: QKeyEvent) -> None:
        """Let go of a chosen place; keep what has all its places; else set one."""
        now = self.pointing
        if event.isAutoRepeat() or now is None:
            return
        has_all = now.is_full and now.field == "points" and not now.has_times
        if self._hand.chosen is not None:
            self._hand.choose(0)
        elif has_all:
            self._keep()
        else:
            self._film.keyPressEvent(event)

    def _go(self, word: str, *, is_far: bool = False) -> None:
        """Show another frame: the next, the one before, or the one that is measured on."""
        player, now = self._host.player, self.pointing
        if word != "home":
            n_frames = _ON_OR_BACK[word]
            if is_far:
                player.jump(n_frames * _SECOND_US)
            else:
                player.step(n_frames)
        elif now is not None and now.at_us is not None:
            player.go_to(now.at_us)


def _name(one: QPushButton, words: str) -> None:
    one.setText(words)
    one.setAccessibleName(words)


def _is_shifted(event: QKeyEvent) -> bool:
    return bool(event.modifiers() & Qt.KeyboardModifier.ShiftModifier)
