"""Paint a picture and what lies over it on the screen; all in the screen's own pixels."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from PyQt6.QtCore import QPointF, QRect, QRectF, Qt
from PyQt6.QtGui import QColor, QFont, QFontMetricsF, QImage, QPainter, QPen, QPolygonF, QTransform

from aftercase.gui.film.light import Light, lit
from aftercase.gui.film.mapping import Laid, Share
from aftercase.media.overlay import Block, Item, Line, Words
from aftercase.media.picture import Pixels

_CROSS: Final = 0.04
_CROSS_GAP: Final = 0.25
_LEAST_CROSS_PX: Final = 14
_CROSS_LINES: Final = (("#000000", 5), ("#FFFFFF", 2))
_PLACE: Final = 0.008
_LEAST_PLACE_PX: Final = 5
_CHOSEN: Final = 2.0
_ONCE_MORE: Final = 2.0


def image_of(pixels: Pixels, light: Light) -> QImage:
    """Return a picture as an image with a copy of its bytes, in the form that is drawn fastest.

    The copy takes 0.2 ms at 1920 x 1080; without it, every drawing that is not one to one takes
    two to five times as long (measured).
    """
    image = QImage(
        lit(pixels, light),
        pixels.width_px,
        pixels.height_px,
        pixels.stride_bytes,
        QImage.Format.Format_RGB888,
    )
    return image.convertToFormat(QImage.Format.Format_RGB32)


def paint_picture(painter: QPainter, image: QImage, laid: Laid, *, sharp: bool) -> None:
    """Paint a decoded frame where it lies, mirrored and turned.

    Args:
        painter: In the screen's own pixels.
        image: See `image_of`.
        laid: Where it lies.
        sharp: Whether a pixel that covers more than one of the screen's is painted as a square,
            not smoothed.
    """
    across_px, down_px = laid.width_px, laid.height_px
    if laid.turn_deg in (90, 270):
        across_px, down_px = down_px, across_px
    larger = across_px > image.width() or down_px > image.height()
    image = _halved(image, across_px, down_px)
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform, not (sharp and larger))
    painter.setTransform(_transform(image, laid), combine=True)
    painter.drawImage(0, 0, image)
    painter.restore()


def _halved(image: QImage, across_px: int, down_px: int) -> QImage:
    """Return an image small enough for the painter, which looks at four pixels for one."""
    while image.width() > _ONCE_MORE * across_px and image.height() > _ONCE_MORE * down_px:
        image = image.scaled(
            image.width() // 2,
            image.height() // 2,
            transformMode=Qt.TransformationMode.SmoothTransformation,
        )
    return image


def _transform(image: QImage, laid: Laid) -> QTransform:
    """Return what takes the image's pixels to where three of its corners are shown."""
    (x0, y0), (x1, y1), (x2, y2) = (laid.point_of(corner) for corner in ((0, 0), (1, 0), (0, 1)))
    width, height = image.width(), image.height()
    return QTransform(
        (x1 - x0) / width, (y1 - y0) / width, (x2 - x0) / height, (y2 - y0) / height, x0, y0
    )


def paint_items(painter: QPainter, items: Iterable[Item], left_px: int, top_px: int) -> None:
    """Paint a display list with the picture's corner at a point, in order.

    Args:
        painter: In the screen's own pixels.
        items: What `media.overlay.display_list` gave.
        left_px: Left edge of the shown picture.
        top_px: Its top edge.
    """
    painter.save()
    painter.translate(left_px, top_px)
    for item in items:
        if isinstance(item, Line):
            _paint_line(painter, item)
        elif isinstance(item, Block):
            _paint_block(painter, item)
        else:
            _paint_words(painter, item)
    painter.restore()


def _paint_line(painter: QPainter, line: Line) -> None:
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    pen = QPen(QColor(*line.colour), line.width_px)
    pen.setCapStyle(Qt.PenCapStyle.RoundCap)
    pen.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
    painter.setPen(pen)
    painter.drawPolyline(QPolygonF([QPointF(x, y) for x, y in line.points]))


def _paint_block(painter: QPainter, block: Block) -> None:
    width_px, height_px = block.right_px - block.left_px, block.bottom_px - block.top_px
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)  # no pixel half covered
    painter.fillRect(QRect(block.left_px, block.top_px, width_px, height_px), QColor(*block.colour))


def _paint_words(painter: QPainter, words: Words) -> None:
    font = QFont(painter.font())
    font.setPixelSize(max(1, round(words.size_px)))
    width_px = QFontMetricsF(font).horizontalAdvance(words.text) + 2 * words.pad_px
    height_px = words.size_px + 2 * words.pad_px
    x, y = words.centre
    plate = QRectF(x - width_px / 2, y - height_px / 2, width_px, height_px)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.fillRect(plate, QColor(*words.plate))
    painter.setFont(font)
    painter.setPen(QColor(*words.colour))
    painter.drawText(plate, Qt.AlignmentFlag.AlignCenter | Qt.TextFlag.TextDontClip, words.text)


def paint_cross(painter: QPainter, laid: Laid, place: Share, room_height_px: int) -> None:
    """Paint the crosshair that the keys move: white on black, open where it points."""
    reach_px = max(_LEAST_CROSS_PX, _CROSS * room_height_px)
    x, y = laid.point_of(place)
    for colour, width_px in _CROSS_LINES:
        painter.setPen(QPen(QColor(colour), width_px))
        for right, down in ((1, 0), (-1, 0), (0, 1), (0, -1)):
            near_px, far_px = _CROSS_GAP * reach_px, reach_px
            painter.drawLine(
                QPointF(x + right * near_px, y + down * near_px),
                QPointF(x + right * far_px, y + down * far_px),
            )


def paint_places(
    painter: QPainter, laid: Laid, places: Iterable[Share], chosen: int | None, room_height_px: int
) -> None:
    """Paint a small ring round each place, open where it points; the chosen one's is wide."""
    radius_px = max(_LEAST_PLACE_PX, _PLACE * room_height_px)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    for number, place in enumerate(places):
        wide_px = radius_px * (_CHOSEN if number == chosen else 1)
        for colour, width_px in _CROSS_LINES:
            painter.setPen(QPen(QColor(colour), width_px))
            painter.drawEllipse(QPointF(*laid.point_of(place)), wide_px, wide_px)
