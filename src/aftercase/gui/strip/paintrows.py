"""Painting the rows of the strip: blocks, bars, hatching, signs."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from operator import attrgetter
from typing import Final

import numpy as np
from PyQt6.QtCore import QLineF, QPointF, QRect, QRectF, Qt
from PyQt6.QtGui import QImage, QPainter, QPen

from aftercase.gui.strip.layout import OUT_OF_SIGHT_PX, WORD_SPACE_PX, Drawn, Sign, block_line
from aftercase.gui.strip.scene import Scene, paint_plate
from aftercase.gui.strip.shapes import draw_lines, draw_rects, hatching

LEFT: Final = Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft

_TONES: Final = ("raised", "window")
_THIN_TONES: Final = ("line", "line")
_HANDLE_PX: Final = 5


def paint_row(painter: QPainter, scene: Scene, drawn: Drawn) -> None:
    """Paint a row of spans."""
    if len(drawn.blocks.numbers):
        _PAINT[drawn.place.look](painter, scene, drawn)


def _paint_blocks(painter: QPainter, scene: Scene, drawn: Drawn) -> None:
    """Paint spans as blocks of quiet, alternating tones with edges and words."""
    _paint_tones(painter, scene, drawn)
    strong = _emphasised(scene, drawn)
    for number, mark_id in strong.items():
        _paint_emphasised(painter, scene, _rect(drawn, number, 0), mark_id)
    painter.setPen(scene.colour("text"))
    for number, word in drawn.blocks.words.items():
        painter.setFont(scene.letters.bold if number in strong else scene.letters.plain)
        painter.drawText(_word_rect(scene, drawn, number), LEFT, word)
    painter.setFont(scene.letters.plain)


def _paint_tones(painter: QPainter, scene: Scene, drawn: Drawn) -> None:
    """Paint blocks without words, all of a row as one picture.

    Where there are a thousand, a rectangle each takes several times as long.
    """
    place, blocks, ratio = drawn.place, drawn.blocks, scene.ratio
    left_px = scene.layout.scale.left_px - OUT_OF_SIGHT_PX
    width = round((scene.layout.scale.right_px + OUT_OF_SIGHT_PX - left_px) * ratio) + 1
    height = round(place.height_px * ratio)
    lefts, rights = (
        np.rint((edges - left_px) * ratio).astype(np.int64)
        for edges in (blocks.lefts_px, blocks.rights_px)
    )
    pair = _TONES if place.has_words else _THIN_TONES
    tones = np.array([scene.colour(tone).rgba() for tone in pair], dtype=np.uint32)
    edge = np.uint32(scene.colour("soft_text").rgba())
    line = block_line(lefts, rights, tones[blocks.numbers % 2], edge, width)
    pixels = np.empty((height, width), dtype=np.uint32)
    pixels[:] = line
    pixels[0] = pixels[-1] = np.where(line, edge, line)
    data = pixels.tobytes()
    image = QImage(data, width, height, 4 * width, QImage.Format.Format_ARGB32_Premultiplied)
    image.setDevicePixelRatio(ratio)
    painter.drawImage(QPointF(left_px, place.top_px), image)


def _rect(drawn: Drawn, number: int, inset_px: int) -> QRect:
    """Return the outline of a block, smaller by an inset at top and bottom."""
    left_px, right_px = int(drawn.blocks.lefts_px[number]), int(drawn.blocks.rights_px[number])
    place = drawn.place
    height_px = place.height_px - 1 - 2 * inset_px
    return QRect(left_px, place.top_px + inset_px, right_px - left_px, height_px)


def _rects(drawn: Drawn, inset_px: int) -> list[QRect]:
    """Return the outlines of all blocks."""
    top_px = drawn.place.top_px + inset_px
    height_px = drawn.place.height_px - 1 - 2 * inset_px
    edges = zip(drawn.blocks.lefts_px.tolist(), drawn.blocks.rights_px.tolist(), strict=True)
    return [QRect(left, top_px, right - left, height_px) for left, right in edges]


def _word_rect(scene: Scene, drawn: Drawn, number: int) -> QRectF:
    """Return where a block's word stands: at its left, as far as that is in sight."""
    rect = QRectF(_rect(drawn, number, 0))
    rect.setLeft(max(rect.left(), scene.layout.scale.left_px) + WORD_SPACE_PX)
    return rect


def _emphasised(scene: Scene, drawn: Drawn) -> dict[int, str]:
    """Return which blocks are selected or running, with their ids."""
    numbers = drawn.place.row.number_of
    found = {}
    for mark_id in scene.selected | scene.running:
        number = numbers.get(mark_id)
        place = None if number is None else drawn.blocks.place_of(number)
        if place is not None:
            found[place] = mark_id
    return found


def _paint_emphasised(painter: QPainter, scene: Scene, rect: QRect, mark_id: str) -> None:
    """Mark a running or selected span by its outline; a selected one shows its handles."""
    is_selected = mark_id in scene.selected
    colour = scene.colour("accent" if is_selected else "text")
    painter.save()
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setPen(QPen(colour, 2, join=Qt.PenJoinStyle.MiterJoin))
    painter.drawRect(rect.adjusted(1, 1, -1, -1) if rect.width() > 4 else rect)
    if is_selected and scene.is_editable and rect.width() > 4 * _HANDLE_PX:
        inner = rect.height() // 2
        for x in (rect.left(), rect.left() + rect.width() - _HANDLE_PX):
            painter.fillRect(QRect(x, rect.top() + inner // 2, _HANDLE_PX, inner), colour)
    painter.restore()


def _paint_bars(painter: QPainter, scene: Scene, drawn: Drawn) -> None:
    """Paint where a step was taken over, as a bar along its upper edge."""
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(scene.colour("text"))
    draw_rects(painter, _rects(drawn, 0))


def _paint_hatched(painter: QPainter, scene: Scene, drawn: Drawn) -> None:
    """Paint gaps, pauses and what cannot be seen by hatching; what a person marked has a rim."""
    is_marked = drawn.place.row.lane in ("pauses", "unseen")
    painter.setPen(QPen(scene.colour("soft_text"), 0) if is_marked else QPen(Qt.PenStyle.NoPen))
    painter.setBrush(hatching(drawn.place.look, scene.theme.soft_text, scene.ratio))
    draw_rects(painter, _rects(drawn, 1))
    for number, mark_id in _emphasised(scene, drawn).items():
        _paint_emphasised(painter, scene, _rect(drawn, number, 1), mark_id)
    for number, word in drawn.blocks.words.items():
        rect = _word_rect(scene, drawn, number).adjusted(-WORD_SPACE_PX, 1.5, 0, -1.5)
        paint_plate(painter, scene, rect, word)


def paint_signs(painter: QPainter, scene: Scene, drawn: Drawn, clip: QRectF) -> None:
    """Paint moments as signs, as far as they reach into a rectangle of the rows."""
    place = drawn.place
    size_px = scene.layout.plan.sizes.sign_px
    top_px = round(place.top_px + (place.height_px - size_px) / 2)
    lane, ratio, picture_of = place.row.lane, scene.ratio, scene.letters.signs.of
    signs = _signs_between(drawn, clip.left() - size_px, clip.right() + size_px)
    painter.setPen(scene.colour("text"))
    for sign in signs:
        mark = sign.marks[0]
        picture = picture_of(lane, mark.look, mark.is_strong, len(sign.marks), size_px, ratio)
        painter.drawPixmap(round(sign.x_px - size_px / 2), top_px, picture)
        if sign.word:
            left = sign.x_px + (size_px + WORD_SPACE_PX) / 2
            width = scene.letters.metrics.horizontalAdvance(sign.word) + WORD_SPACE_PX
            rect = QRectF(left, place.top_px, width, place.height_px)
            painter.drawText(rect, LEFT, sign.word)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setPen(QPen(scene.colour("accent"), 2))
    for sign in signs if scene.selected else ():
        if any(mark.id in scene.selected for mark in sign.marks):
            painter.drawRect(round(sign.x_px - size_px / 2), top_px, size_px, size_px)


def paint_covers(painter: QPainter, scene: Scene, drawn: Drawn) -> None:
    """Paint what remarks cover as lines below their signs."""
    if not drawn.covers_px:
        return
    painter.setPen(QPen(scene.colour("soft_text"), 2))
    bottom = drawn.place.top_px + drawn.place.height_px - 0.5
    draw_lines(painter, [QLineF(left, bottom, right, bottom) for left, right in drawn.covers_px])


def _signs_between(drawn: Drawn, left_px: float, right_px: float) -> Sequence[Sign]:
    """Return the signs in a range, and the one before it, whose word may reach into it."""
    first = bisect_left(drawn.signs, left_px, key=attrgetter("x_px"))
    stop = bisect_left(drawn.signs, right_px, key=attrgetter("x_px"))
    return drawn.signs[max(0, first - 1) : stop]


_PAINT: Final = {
    "block": _paint_blocks,
    "bar": _paint_bars,
    "hatch": _paint_hatched,
    "cross-hatch": _paint_hatched,
    "dots": _paint_hatched,
}
