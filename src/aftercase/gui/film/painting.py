"""Paint what lies over a picture on the screen: the painter of the display list for the window."""

from __future__ import annotations

from collections.abc import Iterable

from PyQt6.QtCore import QPointF, QRectF, Qt
from PyQt6.QtGui import QColor, QFont, QFontMetricsF, QPainter, QPen, QPolygonF

from aftercase.media.overlay import Block, Item, Line, Words


def paint_items(painter: QPainter, items: Iterable[Item], left: float, top: float) -> None:
    """Paint a display list with the picture's corner at a point, in order.

    Args:
        painter: Of the widget.
        items: What `media.overlay.display_list` gave.
        left: Left edge of the shown picture.
        top: Its top edge.
    """
    painter.save()
    painter.translate(left, top)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    for item in items:
        if isinstance(item, Line):
            _paint_line(painter, item)
        elif isinstance(item, Block):
            _paint_block(painter, item)
        else:
            _paint_words(painter, item)
    painter.restore()


def _paint_line(painter: QPainter, line: Line) -> None:
    pen = QPen(QColor(*line.colour), line.width_px)
    pen.setCapStyle(Qt.PenCapStyle.RoundCap)
    pen.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
    painter.setPen(pen)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawPolyline(QPolygonF([QPointF(x, y) for x, y in line.points]))


def _paint_block(painter: QPainter, block: Block) -> None:
    width, height = block.right_px - block.left_px, block.bottom_px - block.top_px
    painter.fillRect(QRectF(block.left_px, block.top_px, width, height), QColor(*block.colour))


def _paint_words(painter: QPainter, words: Words) -> None:
    font = QFont(painter.font())
    font.setPixelSize(max(1, round(words.size_px)))
    metrics = QFontMetricsF(font)
    width = metrics.horizontalAdvance(words.text)
    x, y = words.centre
    plate = QRectF(
        x - width / 2 - words.pad_px,
        y - words.size_px / 2 - words.pad_px,
        width + 2 * words.pad_px,
        words.size_px + 2 * words.pad_px,
    )
    painter.fillRect(plate, QColor(*words.plate))
    painter.setFont(font)
    painter.setPen(QColor(*words.colour))
    painter.drawText(plate, Qt.AlignmentFlag.AlignCenter, words.text)
