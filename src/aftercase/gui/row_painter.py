"""What the painters of rows beside the film share: room for wrapped words, frames, rings."""

from __future__ import annotations

from typing import Final, Generic, Protocol, TypeVar

from PyQt6.QtCore import QModelIndex, QPoint, QRect, QSize, Qt
from PyQt6.QtGui import QColor, QFont, QFontMetrics, QPainter, QPen
from PyQt6.QtWidgets import QListWidget, QStyle, QStyledItemDelegate, QStyleOptionViewItem

from aftercase.gui.host import Host

ROW: Final = Qt.ItemDataRole.UserRole
"""Where an item keeps its row."""

WRAPPED: Final = int(Qt.TextFlag.TextWordWrap)
_TALLEST_PX: Final = 100_000


class Laid(Protocol):
    """Where the parts of a row lie, from its own corner."""

    @property
    def height(self) -> int:
        """Height of the whole row, in pixels."""


RowT = TypeVar("RowT")
LaidT = TypeVar("LaidT", bound=Laid)


class RowPainter(QStyledItemDelegate, Generic[RowT, LaidT]):
    """Paints rows as tall as what they say, nothing cut; a child says what a row says, and where.

    Args:
        host: The window, for its colours.
        view: The list.
    """

    def __init__(self, host: Host, view: QListWidget) -> None:
        super().__init__(view)
        self._host, self._view = host, view

    def laid(self, row: RowT, width_px: int, font_words: str) -> LaidT:
        """Return where the parts of a row lie in a width; the font is in Qt's own words."""
        raise NotImplementedError

    def paint_row(self, painter: QPainter, row: RowT, laid: LaidT, font: QFont) -> None:
        """Paint what a row says, from its own corner."""
        raise NotImplementedError

    def paint_behind(self, painter: QPainter, option: QStyleOptionViewItem, row: RowT) -> None:
        """Paint what makes a row stand out from the others: nothing, unless a child says so."""

    def sizeHint(  # noqa: N802 - Qt's name
        self, option: QStyleOptionViewItem, index: QModelIndex
    ) -> QSize:
        """Return room for all that the row says."""
        viewport = self._view.viewport()
        assert viewport is not None
        laid = self.laid(index.data(ROW), viewport.width(), option.font.toString())
        return QSize(0, laid.height)

    def paint(
        self, painter: QPainter | None, option: QStyleOptionViewItem, index: QModelIndex
    ) -> None:
        """Paint a row, and a ring around the one that has the keys."""
        assert painter is not None
        row: RowT = index.data(ROW)
        painter.save()
        self.paint_behind(painter, option, row)
        if option.state & QStyle.StateFlag.State_HasFocus:
            self.paint_frame(painter, option.rect, self._host.theme.focus)
        painter.translate(option.rect.topLeft())
        laid = self.laid(row, option.rect.width(), option.font.toString())
        self.paint_row(painter, row, laid, option.font)
        painter.restore()

    def paint_line(self, painter: QPainter, rect: QRect) -> None:
        """Paint the line between a row and the next."""
        painter.setPen(QColor(self._host.theme.line))
        painter.drawLine(rect.bottomLeft(), rect.bottomRight())

    def paint_raised(self, painter: QPainter, rect: QRect) -> None:
        """Let a row stand out: raised, in a frame."""
        painter.fillRect(rect, QColor(self._host.theme.raised))
        self.paint_frame(painter, rect, self._host.theme.accent)

    @staticmethod
    def paint_frame(painter: QPainter, rect: QRect, colour: str) -> None:
        """Paint a frame just inside a row."""
        painter.setPen(QPen(QColor(colour), 2))
        painter.drawRect(rect.adjusted(1, 1, -1, -1))


def scale_of(painter: QPainter) -> float:
    """Return how many pixels of the device lie in one of the window's."""
    device = painter.device()
    return device.devicePixelRatioF() if device is not None else 1.0


def font_of(font_words: str) -> QFont:
    """Return the font that Qt's own words name."""
    font = QFont()
    font.fromString(font_words)
    return font


def in_bold(font: QFont, is_bold: bool) -> QFont:
    """Return a font, bold where so said."""
    chosen = QFont(font)
    chosen.setBold(is_bold)
    return chosen


def room_for(metrics: QFontMetrics, left_px: int, top_px: int, width_px: int, text: str) -> QRect:
    """Return the room that a wrapped text takes at a place; no height for no text."""
    if not text:
        return QRect(QPoint(left_px, top_px), QSize(width_px, 0))
    whole = QRect(0, 0, max(width_px, 1), _TALLEST_PX)
    height_px = metrics.boundingRect(whole, WRAPPED, text).height()
    return QRect(left_px, top_px, width_px, height_px)
