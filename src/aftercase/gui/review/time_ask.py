"""A typed time to go to."""

from __future__ import annotations

from PyQt6.QtCore import Qt, pyqtSignal
from PyQt6.QtGui import QKeyEvent
from PyQt6.QtWidgets import QHBoxLayout, QLabel, QLineEdit, QVBoxLayout, QWidget

from aftercase.clock import text_of, us_from_text
from aftercase.errors import AftercaseError
from aftercase.gui.host import Host
from aftercase.session.desk import Desk, in_words


class TimeAsk(QWidget):
    """Goes to the frame shown at a typed time; what cannot be read is said below the field.

    Args:
        host: The window.
        desk: The case on the desk.
    """

    answered = pyqtSignal()

    def __init__(self, host: Host, desk: Desk) -> None:
        super().__init__()
        self._host, self._desk = host, desk
        self._line = QLineEdit(text_of(desk.at_us))
        self._line.setAccessibleName("Time to go to")
        self._line.selectAll()
        self._line.returnPressed.connect(self._go)
        self._refusal = QLabel()
        self._refusal.setProperty("role", "warn")
        self._refusal.setWordWrap(True)
        self._refusal.hide()
        label = QLabel("Go to (seconds, or h:mm:ss.fff)")
        label.setWordWrap(True)
        row = QHBoxLayout()
        row.addWidget(label, 1)
        row.addWidget(self._line, 1)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addLayout(row)
        column.addWidget(self._refusal)
        self.setFocusProxy(self._line)

    @property
    def refusal(self) -> str:
        """Why the time that was typed last was not taken; empty for none."""
        return self._refusal.text()

    def keyPressEvent(self, event: QKeyEvent | None) -> None:  # noqa: N802 - Qt's name
        """Leave on Escape."""
        if event is not None and event.key() == Qt.Key.Key_Escape:
            self.answered.emit()

    def _go(self) -> None:
        start_us, end_us = self._desk.bounds_us
        try:
            us = us_from_text(self._line.text())
        except AftercaseError as fault:
            self._refuse(in_words(fault))
            return
        if not start_us <= us <= end_us:  # at the very end the last frame is still shown
            self._refuse(f"The case runs from {text_of(start_us)} to {text_of(end_us)}.")
            return
        self._host.player.go_to(min(us, end_us - 1))
        self.answered.emit()

    def _refuse(self, why: str) -> None:
        self._refusal.setText(why)
        self._refusal.show()
        self._line.selectAll()
