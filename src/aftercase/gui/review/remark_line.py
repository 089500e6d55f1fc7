"""The line that remarks are typed in: the moment is fixed when typing begins."""

from __future__ import annotations

from typing import Final

from PyQt6.QtCore import Qt, pyqtSignal
from PyQt6.QtGui import QKeyEvent
from PyQt6.QtWidgets import QHBoxLayout, QLabel, QLineEdit, QPushButton, QWidget

from aftercase.clock import text_of
from aftercase.gui.host import Host
from aftercase.session.desk import Desk
from aftercase.session.recovery import Recovery
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
_FIELD: Final = "line"
_CLOSED: Final = "Type a remark: R, or a sign  +  −  *  !  ?"


class RemarkLine(QWidget):
    """One line under the film; Enter keeps it, Tab walks the kinds, Esc puts it away."""

    def __init__(self, host: Host, desk: Desk) -> None:
        super().__init__()
        self._host, self._desk = host, desk
        self._at_us: int | None = None
        self._kind = "teaching-point"
        self._covers = False
        self._goes_on = False
        self._recovery = Recovery(host.at, desk.case.id, desk.review.reviewer)
        self._where = QLabel()
        self._where.setAccessibleName("Time and kind of the remark")
        self._text = _Line()
        self._text.setAccessibleName("Remark")
        self._text.setPlaceholderText(_CLOSED)
        self._text.kept.connect(self._keep)
        self._text.put_away.connect(self.put_away)
        self._text.turned.connect(self._turn)
        self._text.began.connect(self._begin)
        self._text.textEdited.connect(self._edited)
        self._cover = QPushButton("up to here")
        self._cover.setCheckable(True)
        self._cover.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self._cover.setToolTip("Let the remark cover the film from its moment to the shown frame")
        row = QHBoxLayout(self)
        row.setContentsMargins(8, 2, 8, 4)
        for widget, stretch in ((self._where, 0), (self._text, 1), (self._cover, 0)):
            row.addWidget(widget, stretch)
        self._show()
        self._offer_found()

    @property
    def is_open(self) -> bool:
        """Claim that a remark is being typed."""
        return self._at_us is not None

    def open(self, kind: str | None = None) -> None:
        """Fix the moment and let the person type."""
        if not self._desk.is_draft:
            self._desk.tell("This review is closed: begin a correction to write in it.", "refused")
            return
        if kind is not None:
            self._kind = kind
        self._begin()
        # A shortcut's focus would select all, and the next letter would type over it.
        self._text.setFocus(Qt.FocusReason.OtherFocusReason)
        self._text.deselect()
        self._text.end(False)
        self._show()

    def put_away(self) -> None:
        """Close the line; what was typed is dropped."""
        self._close()
        self._recovery.clear(_FIELD)

    def stop(self) -> None:
        """Write what is open where it is found again."""
        self._recovery.close()

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
        if self._at_us is not None:
            self._recovery.keep(_FIELD, text, at_us=self._at_us, kind=self._kind)

    def _keep(self, starred: bool) -> None:
        text = self._text.text()
        if self._at_us is None or not split_sign(text)[1]:
            self.put_away()
            return
        end_us = self._desk.moment.edge_us if self._cover.isChecked() else None
        typed = Typed(
            self._at_us, text, self._kind,
            end_us if end_us is not None and end_us > self._at_us else None, starred,
        )  # fmt: skip
        if keep_remark(self._desk, typed) is not None:
            self._close()
            self._recovery.clear(_FIELD)

    def _turn(self, places: int) -> None:
        place = _KINDS.index(self._kind) if self._kind in _KINDS else 0
        self._kind = _KINDS[(place + places) % len(_KINDS)]
        kind, rest = split_sign(self._text.text())
        if kind is not None:
            self._text.setText(f"{_SIGN_OF[self._kind]} {rest}")
        self._show()

    def _close(self) -> None:
        self._at_us = None
        self._text.clear()
        self._cover.setChecked(False)
        self._show()
        if self._goes_on:
            self._goes_on = False
            self._host.player.play()
        self._host.take_film_focus()

    def _show(self) -> None:
        is_open = self._at_us is not None
        sign, name = _SIGN_OF.get(self._kind, ""), KIND_NAMES.get(self._kind, self._kind)
        time = f"{text_of(self._at_us)[:-4]}  " if self._at_us is not None else ""
        self._where.setText(f"{time}{sign} {name}")
        self._where.setVisible(is_open)
        self._cover.setVisible(is_open)

    def _offer_found(self) -> None:
        """Lay a text that a crash left open back into the line."""
        if not self._recovery.left or not self._desk.is_draft:
            return
        found = self._recovery.left[0]
        self._at_us = self._desk.frames.start_of(found.at_us)
        self._kind = found.kind
        self._text.setText(found.text)
        self._recovery.keep(_FIELD, found.text, at_us=self._at_us, kind=self._kind)
        self._recovery.answer(found)
        self._show()
        self._desk.tell("A remark was open when the program ended: Enter keeps it, Esc drops it.")


class _Line(QLineEdit):
    """A line whose Tab, Enter and Esc mean something of their own."""

    kept = pyqtSignal(bool)
    put_away = pyqtSignal()
    turned = pyqtSignal(int)
    began = pyqtSignal()

    def focusNextPrevChild(self, next: bool) -> bool:  # noqa: N802 - Qt's name
        """Walk the kinds instead, while something is typed."""
        if not self.text():
            return bool(super().focusNextPrevChild(next))
        self.turned.emit(1 if next else -1)
        return True

    def keyPressEvent(self, event: QKeyEvent | None) -> None:  # noqa: N802 - Qt's name
        """Keep on Enter, with a star with Ctrl; put away on Esc."""
        if event is None:
            return
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.kept.emit(bool(event.modifiers() & Qt.KeyboardModifier.ControlModifier))
        elif event.key() == Qt.Key.Key_Escape:
            self.put_away.emit()
        elif event.key() in (Qt.Key.Key_Tab, Qt.Key.Key_Backtab):
            self.focusNextPrevChild(event.key() == Qt.Key.Key_Tab)
        else:
            if event.text():
                self.began.emit()
            super().keyPressEvent(event)
