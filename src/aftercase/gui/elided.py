"""Buttons and ticks whose text ends in an ellipsis where there is no room for all of it."""

from __future__ import annotations

from typing import Final

from PyQt6.QtCore import QSize, Qt
from PyQt6.QtGui import QResizeEvent
from PyQt6.QtWidgets import QCheckBox, QPushButton, QSizePolicy

_ROOM_PX: Final = 22
_SLACK_PX: Final = 4  # a text is up to a pixel wider than it says
_TICK_PX: Final = 34


class ElidedButton(QPushButton):
    """A button that takes any width; its tooltip has the whole text."""

    def __init__(self, text: str) -> None:
        super().__init__(text)
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)
        self.say(text)

    def say(self, text: str) -> None:
        """Have another text."""
        self._whole = text
        self.setToolTip(text)
        self.setAccessibleName(text)
        self._show()
        self.updateGeometry()

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """Return room for the whole text."""
        wide_px = self.fontMetrics().horizontalAdvance(self._whole) + _ROOM_PX + _SLACK_PX
        return QSize(wide_px, super().sizeHint().height())

    def minimumSizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """Return room for an ellipsis."""
        return QSize(2 * _ROOM_PX, super().sizeHint().height())

    def resizeEvent(self, event: QResizeEvent | None) -> None:  # noqa: N802 - Qt's name
        """Show as much of the text as there is room for."""
        self._show()

    def _show(self) -> None:
        room_px = self.width() - _ROOM_PX
        metrics = self.fontMetrics()
        self.setText(metrics.elidedText(self._whole, Qt.TextElideMode.ElideRight, room_px))


class ElidedTick(QCheckBox):
    """A tick box that takes any width; its tooltip has the whole text."""

    def __init__(self, text: str) -> None:
        super().__init__(text)
        self._whole = text
        self.setToolTip(text)
        self.setAccessibleName(text)
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)

    def resizeEvent(self, event: QResizeEvent | None) -> None:  # noqa: N802 - Qt's name
        """Show as much of the text as there is room for."""
        room_px = self.width() - _TICK_PX
        metrics = self.fontMetrics()
        self.setText(metrics.elidedText(self._whole, Qt.TextElideMode.ElideRight, room_px))
