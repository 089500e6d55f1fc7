"""The strip's small signs, told apart by their form: event classes, flags, hatching."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from typing import Final

from PyQt6.QtCore import QLineF, QPointF, QRectF, Qt
from PyQt6.QtGui import QBrush, QColor, QPainter, QPen, QPixmap, QPolygonF

Points = tuple[tuple[float, float], ...]

SHAPES: Final[dict[str, Points]] = {
    "slip": ((-0.95, -0.8), (0.95, -0.8), (0.0, 0.9)),
    "complication": ((0.0, -1.0), (1.0, 0.0), (0.0, 1.0), (-1.0, 0.0)),
    "rescue": (
        (0.0, -1.0), (0.9, 0.0), (0.35, 0.0), (0.35, 0.95), (-0.35, 0.95), (-0.35, 0.0), (-0.9, 0.0)
    ),
    "outside": ((-0.8, -0.8), (0.8, -0.8), (0.8, 0.8), (-0.8, 0.8)),
    "flag": ((-0.6, 1.0), (-0.6, -1.0), (0.8, -0.5), (-0.4, 0.1), (-0.4, 1.0)),
}  # fmt: skip
"""Outline of each sign, in half-widths from its middle, x to the right and y down."""

HOLLOW: Final = ("outside",)
"""Signs that are drawn as outlines."""

UNKNOWN: Final[Points] = (
    (-0.9, -0.3), (-0.3, -0.3), (-0.3, -0.9), (0.3, -0.9), (0.3, -0.3), (0.9, -0.3),
    (0.9, 0.3), (0.3, 0.3), (0.3, 0.9), (-0.3, 0.9), (-0.3, 0.3), (-0.9, 0.3),
)  # fmt: skip
"""The sign for a class of events that is not known."""

TILE_PX: Final = 6


def draw_shape(
    painter: QPainter, look: str, middle: QPointF, size_px: float, colour: QColor, halo: QColor
) -> None:
    """Draw the sign of an event's class or of a flag, with a rim that sets it off."""
    half = size_px / 2
    painter.setPen(QPen(halo, 3, join=Qt.PenJoinStyle.RoundJoin))
    painter.setBrush(halo)
    outline = _outline(look, middle, half)
    _draw(painter, outline)
    painter.setPen(QPen(colour, 1.4, join=Qt.PenJoinStyle.MiterJoin))
    painter.setBrush(Qt.BrushStyle.NoBrush if look in HOLLOW else colour)
    _draw(painter, outline)


def _outline(look: str, middle: QPointF, half: float) -> QPolygonF | QRectF:
    if look == "action":
        half *= 0.75
        return QRectF(middle.x() - half, middle.y() - half, 2 * half, 2 * half)
    points = SHAPES.get(look, UNKNOWN)
    return QPolygonF([QPointF(middle.x() + x * half, middle.y() + y * half) for x, y in points])


def _draw(painter: QPainter, outline: QPolygonF | QRectF) -> None:
    if isinstance(outline, QRectF):
        painter.drawEllipse(outline)
    else:
        painter.drawPolygon(outline)


def draw_lines(painter: QPainter, lines: Sequence[QLineF]) -> None:
    """Draw lines, or none."""
    if lines:
        painter.drawLines(*lines)


def draw_rects(painter: QPainter, rects: Sequence[QRectF]) -> None:
    """Draw rectangles, or none."""
    if rects:
        painter.drawRects(*rects)


@lru_cache(maxsize=32)
def hatching(look: str, colour: str, scale: float) -> QBrush:
    """Return a brush of ``hatch``, ``cross-hatch`` or ``dots``, sharp at a screen's scale.

    Args:
        look: Which.
        colour: Of the lines, as ``#rrggbb``.
        scale: Device pixels in a pixel.
    """
    tile = QPixmap(round(TILE_PX * scale), round(TILE_PX * scale))
    tile.setDevicePixelRatio(scale)
    tile.fill(Qt.GlobalColor.transparent)
    painter = QPainter(tile)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(QPen(QColor(colour), 1.2))
    size = TILE_PX
    if look == "dots":
        painter.drawPoint(QPointF(size / 2, size / 2))
    else:
        for shift in (-size, 0, size):
            painter.drawLine(QPointF(shift, size), QPointF(shift + size, 0))
            if look == "cross-hatch":
                painter.drawLine(QPointF(shift, 0), QPointF(shift + size, size))
    painter.end()
    return QBrush(tile)
