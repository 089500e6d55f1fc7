"""The panel that pages open in, over a room."""

from __future__ import annotations

from typing import Final

from PyQt6.QtCore import Qt, pyqtSignal
from PyQt6.QtGui import QKeyEvent
from PyQt6.QtWidgets import (
    QFrame,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from aftercase.gui.pages.building import tab_stops
from aftercase.gui.shortcuts import TAKES_KEYS

_WIDEST_PX: Final = 1100


class Sheet(QFrame):
    """One page with its title; Escape leaves it, and plain keys are the page's own."""

    left = pyqtSignal()

    def __init__(self) -> None:
        super().__init__()
        self.setProperty("role", "panel")
        self.setProperty(TAKES_KEYS, True)
        self.setFocusPolicy(Qt.FocusPolicy.ClickFocus)
        self._title = QLabel()
        self._title.setProperty("role", "title")
        close = QPushButton("Back (Esc)")
        close.setAccessibleName("Back to where you were")
        close.clicked.connect(self.left.emit)
        head = QHBoxLayout()
        head.addWidget(self._title, 1)
        head.addWidget(close)
        self._scroll = QScrollArea()
        self._scroll.setWidgetResizable(True)
        self._scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAsNeeded)
        column = QVBoxLayout()
        column.addLayout(head)
        column.addWidget(self._scroll, 1)
        inner = QWidget()
        inner.setLayout(column)
        inner.setMaximumWidth(_WIDEST_PX)
        whole = QHBoxLayout(self)
        whole.setContentsMargins(12, 8, 12, 8)
        whole.addStretch(1)
        whole.addWidget(inner, 1000)
        whole.addStretch(1)
        self._page: QWidget | None = None

    @property
    def page(self) -> QWidget | None:
        """The page that is open, None where none is."""
        return self._page

    def show_page(self, page: QWidget) -> None:
        """Show a page instead of the one that is open."""
        self.clear()
        self._page = page
        self._title.setText(str(getattr(page, "title", "")))
        for widget in (self, self._scroll):
            widget.setAccessibleName(self._title.text())
        self._scroll.setWidget(page)
        first = page.focusProxy() or next(iter(tab_stops(page)), self)
        first.setFocus(Qt.FocusReason.OtherFocusReason)

    def clear(self) -> None:
        """Put the open page away."""
        page, self._page = self._page, None
        if page is not None:
            stop = getattr(page, "stop", None)
            if callable(stop):
                stop()
            self._scroll.takeWidget()
            page.deleteLater()

    def keyPressEvent(self, event: QKeyEvent | None) -> None:  # noqa: N802 - Qt's name
        """Leave on Escape."""
        if event is not None and event.key() == Qt.Key.Key_Escape:
            self.left.emit()
            return
        super().keyPressEvent(event)
