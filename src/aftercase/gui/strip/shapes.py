"""The strip's small signs, told apart by their form: event classes, flags, hatching."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from typing import Final

from PyQt6.QtCore import QLineF, QPointF, QRect, QRectF, Qt
from PyQt6.QtGui import QBrush, QColor, QFont, QPainter, QPen, QPixmap, QPolygonF

from aftercase.gui.strip.content import FLAG
from aftercase.gui.theme import Theme, mark_colour
from aftercase.session.verbs.remarks import KIND_SIGNS

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

SIGN_OF: Final = {kind: sign.replace("-", "−") for sign, kind in KIND_SIGNS.items()}
"""Remark kind to its sign."""

_WIDEST_COUNT: Final = 99

TILE_PX: Final = 6


class SignPictures:
    """The signs as small pictures: each is drawn once, however many stand on the strip.

    Args:
        theme: The colours.
        font: The letters.
    """

    def __init__(self, theme: Theme, font: QFont) -> None:
        self._theme, self._font = theme, font
        self.of = lru_cache(maxsize=None)(self._drawn)

    def _drawn(
        self, lane: str, look: str, is_strong: bool, n_marks: int, size_px: int, scale: float
    ) -> QPixmap:  # fmt: skip
        """Return a sign.

        Args:
            lane: ``remarks`` or ``events``.
            look: A remark's kind, an event's class, or a flag.
            is_strong: Whether it is a starred remark, whose plate is filled.
            n_marks: How many moments it stands for; of several it is their number.
            size_px: Its width and height.
            scale: Device pixels in a pixel.
        """
        picture = QPixmap(round(size_px * scale), round(size_px * scale))
        picture.setDevicePixelRatio(scale)
        picture.fill(Qt.GlobalColor.transparent)
        painter = QPainter(picture)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        if n_marks > 1:
            number = str(min(n_marks, _WIDEST_COUNT))
            self._letter(painter, size_px, number, self._theme.text, False)
        elif lane == "remarks" and look != FLAG:
            colour = mark_colour(self._theme, look)
            self._letter(painter, size_px, SIGN_OF.get(look, "·"), colour, is_strong)
        else:
            colour = self._theme.warn if look == "complication" else self._theme.text
            self._shape(painter, size_px, look, colour)
        painter.end()
        return picture

    def _letter(
        self, painter: QPainter, size_px: int, letter: str, colour: str, is_strong: bool
    ) -> None:  # fmt: skip
        plate = QRectF(0.5, 0.5, size_px - 1, size_px - 1)
        painter.setPen(QPen(QColor(colour), 1))
        painter.setBrush(QColor(colour if is_strong else self._theme.panel))
        painter.drawRoundedRect(plate, 3, 3)
        painter.setPen(QColor(self._theme.panel if is_strong else colour))
        painter.setFont(self._font)
        painter.drawText(plate, Qt.AlignmentFlag.AlignCenter, letter)

    def _shape(self, painter: QPainter, size_px: int, look: str, colour: str) -> None:
        outline = _outline(look, QPointF(size_px / 2, size_px / 2), size_px / 2 - 2)
        halo = QColor(self._theme.panel)
        painter.setPen(QPen(halo, 3, join=Qt.PenJoinStyle.RoundJoin))
        painter.setBrush(halo)
        _draw(painter, outline)
        painter.setPen(QPen(QColor(colour), 1.4, join=Qt.PenJoinStyle.MiterJoin))
        painter.setBrush(Qt.BrushStyle.NoBrush if look in HOLLOW else QColor(colour))
        _draw(painter, outline)


def _outline(look: str, middle: QPointF, half: float) -> QPolygonF | QRectF:
    if look == "action":
        half *= 0.55
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


def draw_rects(painter: QPainter, rects: Sequence[QRect]) -> None:
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
