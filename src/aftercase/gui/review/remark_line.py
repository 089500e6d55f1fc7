"""The line that remarks are typed in: the moment is fixed when typing begins."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from PyQt6.QtCore import Qt, pyqtSignal
from PyQt6.QtGui import QKeyEvent
from PyQt6.QtWidgets import QHBoxLayout, QLabel, QLineEdit, QPushButton, QSizePolicy, QWidget

from aftercase.gui.host import Host
from aftercase.session.desk import Desk
from aftercase.session.guidelist import seconds_of
from aftercase.session.recovery import OpenText, Recovery
from aftercase.session.verbs.remarks import (
    KIND_NAMES,
    KIND_SIGNS,
    Typed,
    began_at,
    keep_remark,
    split_sign,
)

_KINDS: Final = tuple(KIND_NAMES)
_SIGN_OF: Final = {kind: sign for sign, kind in KIND_SIGNS.items()}
_FIRST_KIND: Final = "teaching-point"
_LINE: Final = "line"
_ASIDE: Final = "aside"
_CLOSED: Final = "Type a remark: R, or a sign  +  −  *  !  ?"
_FOUND: Final = "A remark was open when the program ended: Enter keeps it, Esc puts it away."


@dataclass(frozen=True)
class _Aside:
    """A text that was put away and can be brought back, about the moment it was about."""

    at_us: int
    kind: str
    text: str


class RemarkLine(QWidget):
    """One line under the film.

    Enter keeps what is typed, with Ctrl starred; Tab walks the kinds; Shift+Up lets it cover the
    film up to the shown frame, Shift+Down one moment; Esc puts it away, and Up in an empty line
    brings it back. What is typed is on the disk within a moment, so that a crash loses none of it.

    Args:
        host: The window.
        desk: The case on the desk.
    """

    def __init__(self, host: Host, desk: Desk) -> None:
        super().__init__()
        self._host, self._desk = host, desk
        self._at_us: int | None = None
        self._kind = _FIRST_KIND
        self._goes_on = False
        self._aside: _Aside | None = None
        self._recovery = Recovery(host.at, desk.case.id, desk.review.reviewer)
        self._where = QLabel()
        self._where.setAccessibleName("Time and kind of the remark")
        self._text = _Line()
        self._text.setAccessibleName("Remark")
        self._text.setPlaceholderText(_CLOSED)
        self._cover = QPushButton("up to here")
        self._cover.setCheckable(True)
        self._cover.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self._cover.setAccessibleName("The remark covers the film up to the shown frame")
        self._cover.setToolTip("The remark covers the film up to the shown frame (Shift+Up)")
        self._back = QPushButton("Bring back")
        self._back.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self._back.setAccessibleName("Bring back the remark that was put away")
        row = QHBoxLayout(self)
        row.setContentsMargins(8, 2, 8, 4)
        for widget in (self._where, self._text, self._cover, self._back):
            row.addWidget(widget)
        self._text.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setFocusProxy(self._text)
        self._connect()
        self._show()
        self._take_found()

    @property
    def is_open(self) -> bool:
        """Claim that a remark is being typed."""
        return self._at_us is not None

    @property
    def says(self) -> str:
        """The time and the kind of what is being typed, in words; empty where nothing is."""
        return self._where.text() if self.is_open else ""

    def open(self, kind: str | None = None) -> None:
        """Fix the moment and let the person type."""
        if not self._desk.is_draft:
            self._desk.tell("This review is closed: begin a correction to write in it.", "refused")
            return
        self._begin()
        if kind is not None:
            self._choose(kind)
        # A shortcut's focus would select all, and the next letter would type over it.
        self._text.setFocus(Qt.FocusReason.OtherFocusReason)
        self._text.deselect()
        self._text.end(False)

    def put_away(self) -> None:
        """Close the line; what was typed can be brought back until something else is put away."""
        text = self._text.text()
        if self._at_us is not None and split_sign(text)[1]:
            self._aside = _Aside(self._at_us, self._kind, text)
            self._recovery.keep(_ASIDE, text, at_us=self._at_us, kind=self._kind)
            self._desk.tell("The remark is put away. Up in the empty line brings it back.")
        self._close()

    def bring_back(self) -> None:
        """Lay what was put away back into the line, about the moment it was about."""
        if self._aside is None or self._text.text():
            return
        aside, self._aside = self._aside, None
        self._recovery.clear(_ASIDE)
        self._lay(aside.at_us, aside.kind, aside.text)
        self.open()

    def stop(self) -> None:
        """Write what is open where it is found again."""
        self._recovery.close()

    def _connect(self) -> None:
        for signal, slot in (
            (self._text.kept, self._keep),
            (self._text.put_away, self.put_away),
            (self._text.turned, self._turn),
            (self._text.began, self._begin),
            (self._text.covered, self._let_cover),
            (self._text.brought_back, self.bring_back),
            (self._text.textEdited, self._edited),
            (self._back.clicked, self.bring_back),
        ):
            signal.connect(slot)

    def _begin(self) -> None:
        if self._at_us is not None:
            return
        self._at_us = began_at(self._desk)
        player = self._host.player
        self._goes_on = player.state == "playing" and self._desk.settings.pause_on_type
        if self._goes_on:
            player.rest()
        self._show()

    def _edited(self, text: str) -> None:
        kind, _ = split_sign(text)
        if kind is not None:
            self._kind = kind
        self._show()
        self._keep_open_text()

    def _keep_open_text(self) -> None:
        if self._at_us is not None:
            self._recovery.keep(_LINE, self._text.text(), at_us=self._at_us, kind=self._kind)

    def _keep(self, starred: bool) -> None:
        text = self._text.text()
        if self._at_us is None or not split_sign(text)[1]:
            self._close()
            return
        typed = Typed(self._at_us, text, self._kind, self._end_us(self._at_us), starred)
        if keep_remark(self._desk, typed) is not None:
            self._close()

    def _end_us(self, at_us: int) -> int | None:
        """Return where the remark's span ends; None for a moment."""
        end_us = self._desk.moment.edge_us
        return end_us if self._cover.isChecked() and end_us > at_us else None

    def _turn(self, places: int) -> None:
        place = _KINDS.index(self._kind) if self._kind in _KINDS else 0
        self._choose(_KINDS[(place + places) % len(_KINDS)])

    def _choose(self, kind: str) -> None:
        """Let it be of a kind; a sign that was typed for another one follows."""
        self._kind = kind
        typed, rest = split_sign(self._text.text())
        if typed is not None:
            self._text.setText(f"{_SIGN_OF.get(kind, '')} {rest}".strip())
        self._show()
        self._keep_open_text()

    def _let_cover(self, covers: bool) -> None:
        self._cover.setChecked(covers)

    def _close(self) -> None:
        self._at_us = None
        self._kind = _FIRST_KIND
        self._text.clear()
        self._cover.setChecked(False)
        self._recovery.clear(_LINE)
        self._show()
        if self._goes_on:
            self._goes_on = False
            self._host.player.play()
        self._host.take_film_focus()

    def _lay(self, at_us: int, kind: str, text: str) -> None:
        """Put a text into the line, about a moment of its own."""
        self._at_us = self._desk.frames.start_of(at_us)
        self._kind = kind
        self._text.setText(text)
        self._show()
        self._keep_open_text()

    def _show(self) -> None:
        if self._at_us is not None:
            sign, name = _SIGN_OF.get(self._kind, ""), KIND_NAMES.get(self._kind, self._kind)
            self._where.setText(f"{seconds_of(self._at_us)}  {sign} {name}")
        self._where.setVisible(self.is_open)
        self._cover.setVisible(self.is_open)
        self._back.setVisible(not self.is_open and self._aside is not None)
        if self._aside is not None:
            self._back.setToolTip(f"{seconds_of(self._aside.at_us)} {self._aside.text} (Up)")

    def _take_found(self) -> None:
        """Lay texts that a crash left open back where they were."""
        if not self._desk.is_draft:
            return
        for found in self._recovery.left:
            if found.field == _LINE and not self.is_open:
                self._lay(found.at_us, found.kind, found.text)
                self._desk.tell(_FOUND)
            else:
                self._take_aside(found)
            self._recovery.answer(found)
        self._show()

    def _take_aside(self, found: OpenText) -> None:
        self._aside = _Aside(found.at_us, found.kind, found.text)
        self._recovery.keep(_ASIDE, found.text, at_us=found.at_us, kind=found.kind)


class _Line(QLineEdit):
    """A line whose Tab, Enter, Esc and arrows up and down mean something of their own."""

    kept = pyqtSignal(bool)
    put_away = pyqtSignal()
    turned = pyqtSignal(int)
    began = pyqtSignal()
    covered = pyqtSignal(bool)
    brought_back = pyqtSignal()

    def focusNextPrevChild(self, next: bool) -> bool:  # noqa: N802 - Qt's name
        """Walk the kinds instead, while something is typed."""
        if not self.text():
            return bool(super().focusNextPrevChild(next))
        self.turned.emit(1 if next else -1)
        return True

    def keyPressEvent(self, event: QKeyEvent | None) -> None:  # noqa: N802 - Qt's name
        """Do what the class says, else type."""
        if event is None:
            return
        key, held = event.key(), event.modifiers()
        if key in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.kept.emit(bool(held & Qt.KeyboardModifier.ControlModifier))
        elif key == Qt.Key.Key_Escape:
            self.put_away.emit()
        elif key in (Qt.Key.Key_Tab, Qt.Key.Key_Backtab):
            self.focusNextPrevChild(key == Qt.Key.Key_Tab)
        elif key in (Qt.Key.Key_Up, Qt.Key.Key_Down):
            if held & Qt.KeyboardModifier.ShiftModifier:
                self.covered.emit(key == Qt.Key.Key_Up)
            elif key == Qt.Key.Key_Up:
                self.brought_back.emit()
        else:
            if event.text():
                self.began.emit()
            super().keyPressEvent(event)
