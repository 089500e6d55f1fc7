"""Painting the strip: a layout in, pixels out."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from PyQt6.QtCore import QLineF, QPointF, QRectF, Qt
from PyQt6.QtGui import QColor, QFont, QFontMetricsF, QPainter, QPen, QPolygonF

from aftercase.gui.strip.content import FLAG, Content
from aftercase.gui.strip.layout import WORD_SPACE_PX, Drawn, Layout, Sign, curve, frame_ticks, ruler
from aftercase.gui.strip.places import Title
from aftercase.gui.strip.shapes import draw_lines, draw_rects, draw_shape, hatching
from aftercase.gui.strip.stretch import Floats
from aftercase.gui.theme import Theme, mark_colour
from aftercase.media.frameclock import FrameClock
from aftercase.session.verbs.remarks import KIND_SIGNS

_SIGN_OF: Final = {kind: sign.replace("-", "−") for sign, kind in KIND_SIGNS.items()}
_HANDLE_PX: Final = 5.0
_WIDEST_COUNT: Final = 99
_CENTRE: Final = Qt.AlignmentFlag.AlignCenter
_LEFT: Final = Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft
_RIGHT: Final = Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignRight


@dataclass(frozen=True)
class Scene:
    """Everything that is painted.

    Attributes:
        layout: What is in sight.
        content: What there is.
        frames: The recording's frames.
        theme: The colours.
        font: The strip's letters.
        bold: The same, of more weight.
        metrics: Sizes of the letters.
        width_px: Of the widget.
        height_px: Of the widget.
        top_px: How far it is scrolled down.
        shown_frame_us: The frame on the screen, ``[start, end)``.
        selected: Ids of the selected records.
        running: Ids of the steps at the shown frame.
        activity: Evenly spaced numbers over the recording; none for no curve.
        band: What is being selected; None while nothing is.
        is_editable: Whether marks can be changed.
        has_focus: Whether keys go to the strip.
    """

    layout: Layout
    content: Content
    frames: FrameClock
    theme: Theme
    font: QFont
    bold: QFont
    metrics: QFontMetricsF
    width_px: int
    height_px: int
    top_px: int
    shown_frame_us: tuple[int, int]
    selected: frozenset[str]
    running: frozenset[str]
    activity: Floats
    band: QRectF | None = None
    is_editable: bool = True
    has_focus: bool = False

    def colour(self, name: str) -> QColor:
        """Return a colour of the theme."""
        return QColor(getattr(self.theme, name))


def paint(painter: QPainter, scene: Scene, clip: QRectF) -> None:
    """Paint what of a scene lies in a rectangle of the widget."""
    painter.setFont(scene.font)
    painter.fillRect(clip, scene.colour("panel"))
    painter.save()
    painter.translate(0, -scene.top_px)
    strip_px = _strip_rect(scene)
    painter.setClipRect(strip_px, Qt.ClipOperation.IntersectClip)
    _paint_ground(painter, scene)
    for drawn in scene.layout.drawn:
        _PAINT[drawn.place.look](painter, scene, drawn, clip)
    _paint_joints(painter, scene)
    painter.restore()
    _paint_playhead(painter, scene)
    if clip.left() < scene.layout.scale.left_px:
        painter.save()
        painter.translate(0, -scene.top_px)
        _paint_titles(painter, scene)
        painter.restore()
    _paint_rims(painter, scene)


def playhead_px(scene: Scene) -> tuple[float, float]:
    """Return where the shown frame begins and ends on the strip."""
    scale = scene.layout.scale
    return scale.x_of(scene.shown_frame_us[0]), scale.x_of(scene.shown_frame_us[1])


def _strip_rect(scene: Scene) -> QRectF:
    scale = scene.layout.scale
    return QRectF(scale.left_px, 0, scale.width_px, max(scene.layout.plan.height_px, 1))


def _paint_ground(painter: QPainter, scene: Scene) -> None:
    """Paint what lies under the rows: their ground, the activity curve, the ruler."""
    plan, scale = scene.layout.plan, scene.layout.scale
    painter.setPen(scene.colour("line"))
    lines = [
        QLineF(scale.left_px, place.top_px, scale.left_px + scale.width_px, place.top_px)
        for place in plan.titles
        if place.top_px >= plan.band_top_px
    ]
    draw_lines(painter, lines)
    points = curve(scene.activity, scene.frames.end_us, scale)
    if points:
        bottom = plan.foot_top_px + plan.foot_px
        outline = [QPointF(x, bottom - share * (plan.foot_px - 2)) for x, share in points]
        outline = [QPointF(points[0][0], bottom), *outline, QPointF(points[-1][0], bottom)]
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(scene.colour("line"))
        painter.drawPolygon(QPolygonF(outline))
    if plan.ruler_px:
        _paint_ruler(painter, scene)


def _paint_ruler(painter: QPainter, scene: Scene) -> None:
    plan, scale = scene.layout.plan, scene.layout.scale
    bottom = float(plan.ruler_px)
    painter.setPen(scene.colour("soft_text"))
    ticks = frame_ticks(scene.frames, scale)
    draw_lines(painter, [QLineF(x, bottom - 3, x, bottom) for x in ticks])
    times = ruler(scale, scene.metrics.horizontalAdvance)
    draw_lines(painter, [QLineF(x, 2, x, bottom) for x, _ in times])
    for x, text in times:
        painter.drawText(QRectF(x + 3, 1, 200, bottom - 3), _LEFT, text)


def _paint_blocks(painter: QPainter, scene: Scene, drawn: Drawn, clip: QRectF) -> None:
    """Paint spans as blocks of quiet, alternating tones with edges and words."""
    place, blocks = drawn.place, drawn.blocks
    top, height = place.top_px + 0.5, place.height_px - 1.0
    there = blocks.between(clip.left(), clip.right())
    rects = [
        QRectF(left, top, blocks.rights_px[number] - left, height)
        for number, left in zip(there, blocks.lefts_px[there.start : there.stop], strict=True)
    ]
    parities = [blocks.numbers[number] % 2 for number in there]
    painter.setPen(QPen(scene.colour("soft_text"), 0))
    for parity, tone in enumerate(("raised", "window")):
        painter.setBrush(scene.colour(tone))
        draw_rects(painter, [r for r, odd in zip(rects, parities, strict=True) if odd == parity])
    marks = place.row.marks
    emphasised = scene.selected | scene.running
    painter.setPen(scene.colour("text"))
    for number, rect in zip(there, rects, strict=True):
        mark_id = marks[blocks.numbers[number]].id
        if mark_id in emphasised:
            _paint_emphasised(painter, scene, rect, mark_id)
        if word := blocks.words[number]:
            painter.setFont(scene.bold if mark_id in emphasised else scene.font)
            painter.drawText(rect.adjusted(WORD_SPACE_PX, 0, 0, 0), _LEFT, word)
    painter.setFont(scene.font)


def _paint_emphasised(painter: QPainter, scene: Scene, rect: QRectF, mark_id: str) -> None:
    """Mark a running or selected span by its outline; a selected one shows its handles."""
    is_selected = mark_id in scene.selected
    colour = scene.colour("accent" if is_selected else "text")
    painter.save()
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setPen(QPen(colour, 2, join=Qt.PenJoinStyle.MiterJoin))
    painter.drawRect(rect.adjusted(1, 1, -1, -1) if rect.width() > 4 else rect)
    if is_selected and scene.is_editable and rect.width() > 4 * _HANDLE_PX:
        inner = rect.height() / 2
        for x in (rect.left(), rect.right() - _HANDLE_PX):
            handle = QRectF(x, rect.top() + inner / 2, _HANDLE_PX, inner)
            painter.fillRect(handle, colour)
    painter.restore()


def _paint_bars(painter: QPainter, scene: Scene, drawn: Drawn, clip: QRectF) -> None:
    """Paint where a step was taken over, as a bar along its upper edge."""
    place, blocks = drawn.place, drawn.blocks
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(scene.colour("text"))
    draw_rects(painter, [
            QRectF(
                blocks.lefts_px[n], place.top_px,
                blocks.rights_px[n] - blocks.lefts_px[n], place.height_px - 1,
            )
            for n in blocks.between(clip.left(), clip.right())
        ]
    )  # fmt: skip


def _paint_hatched(painter: QPainter, scene: Scene, drawn: Drawn, clip: QRectF) -> None:
    """Paint gaps, pauses and what cannot be seen by hatching; what a person marked has a rim."""
    place, blocks = drawn.place, drawn.blocks
    top, height = place.top_px + 1.5, place.height_px - 2.0
    device = painter.device()
    scale = device.devicePixelRatioF() if device is not None else 1.0
    there = blocks.between(clip.left(), clip.right())
    rects = [
        QRectF(blocks.lefts_px[n], top, blocks.rights_px[n] - blocks.lefts_px[n], height)
        for n in there
    ]
    is_marked = place.row.lane in ("pauses", "unseen")
    painter.setPen(QPen(scene.colour("soft_text"), 0) if is_marked else QPen(Qt.PenStyle.NoPen))
    painter.setBrush(hatching(place.look, scene.theme.soft_text, scale))
    draw_rects(painter, rects)
    for number, rect in zip(there, rects, strict=True):
        if place.row.marks[blocks.numbers[number]].id in scene.selected:
            mark_id = place.row.marks[blocks.numbers[number]].id
            _paint_emphasised(painter, scene, rect, mark_id)
        if word := blocks.words[number]:
            _paint_plate(painter, scene, rect, word)


def _paint_plate(painter: QPainter, scene: Scene, rect: QRectF, word: str) -> None:
    width = scene.metrics.horizontalAdvance(word) + 2 * WORD_SPACE_PX
    plate = QRectF(rect.left() + 1, rect.top() + 0.5, width - 2, rect.height() - 1)
    painter.fillRect(plate, scene.colour("panel"))
    painter.setPen(scene.colour("text"))
    painter.drawText(plate, _CENTRE, word)


def _paint_signs(painter: QPainter, scene: Scene, drawn: Drawn, clip: QRectF) -> None:
    """Paint moments as signs, each with a line to where it stands."""
    place = drawn.place
    middle_px = place.top_px + place.height_px / 2
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(QPen(scene.colour("soft_text"), 2))
    bottom = place.top_px + place.height_px - 0.5
    draw_lines(painter, [QLineF(left, bottom, right, bottom) for left, right in drawn.covers_px])
    for sign in drawn.signs:
        room_px = sign.width_px + scene.metrics.horizontalAdvance(sign.word)
        if sign.x_px - room_px > clip.right() or sign.x_px + room_px < clip.left():
            continue
        _paint_sign(painter, scene, sign, place.row.lane == "remarks", middle_px)
        if sign.word:
            left = sign.x_px + sign.width_px / 2 + WORD_SPACE_PX / 2
            painter.setPen(scene.colour("text"))
            painter.drawText(QRectF(left, place.top_px, 2000, place.height_px), _LEFT, sign.word)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, on=False)


def _paint_sign(
    painter: QPainter, scene: Scene, sign: Sign, is_plate: bool, middle_px: float
) -> None:
    mark = sign.marks[0]
    middle = QPointF(sign.x_px, middle_px)
    size = sign.width_px
    is_selected = any(mark.id in scene.selected for mark in sign.marks)
    if is_plate and sign.x_px != sign.at_px:
        painter.setPen(scene.colour("soft_text"))
        painter.drawLine(QPointF(sign.at_px, middle_px + size / 2), middle)
    if len(sign.marks) > 1:
        n_marks = min(len(sign.marks), _WIDEST_COUNT)
        _paint_letter(painter, scene, middle, size, str(n_marks), scene.colour("text"), False)
    elif is_plate and mark.look != FLAG:
        letter = _SIGN_OF.get(mark.look, "·")
        colour = QColor(mark_colour(scene.theme, mark.look))
        _paint_letter(painter, scene, middle, size, letter, colour, mark.is_strong)
    else:
        colour = scene.colour("warn" if mark.look == "complication" else "text")
        draw_shape(painter, mark.look, middle, size - 4, colour, scene.colour("panel"))
    if is_selected:
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.setPen(QPen(scene.colour("accent"), 2))
        painter.drawRect(QRectF(middle.x() - size / 2, middle.y() - size / 2, size, size))


def _paint_letter(
    painter: QPainter,
    scene: Scene,
    middle: QPointF,
    size: float,
    letter: str,
    colour: QColor,
    is_strong: bool,
) -> None:
    """Paint a letter on a plate; a starred remark's plate is filled."""
    plate = QRectF(middle.x() - size / 2 + 0.5, middle.y() - size / 2 + 0.5, size - 1, size - 1)
    painter.setPen(QPen(colour, 1))
    painter.setBrush(colour if is_strong else scene.colour("panel"))
    painter.drawRoundedRect(plate, 3, 3)
    painter.setPen(scene.colour("panel") if is_strong else colour)
    painter.setFont(scene.bold)
    painter.drawText(plate, _CENTRE, letter)
    painter.setFont(scene.font)


def _paint_joints(painter: QPainter, scene: Scene) -> None:
    """Paint where one part ends and the next begins: a broken line, and a word where open."""
    plan, scale = scene.layout.plan, scene.layout.scale
    for us, number in scene.content.joints:
        if not scale.shown.holds(us):
            continue
        x = scale.x_of(us)
        painter.setPen(QPen(scene.colour("text"), 1, Qt.PenStyle.DashLine))
        painter.drawLine(QLineF(x, 0, x, plan.height_px))
        if plan.ruler_px:
            word = f"part {number}"
            width = scene.metrics.horizontalAdvance(word) + 2 * WORD_SPACE_PX
            _paint_plate(painter, scene, QRectF(x + 1, 0, width, plan.ruler_px - 4), word)


def _paint_playhead(painter: QPainter, scene: Scene) -> None:
    """Paint the shown frame: a line at its start, and its extent where that can be seen."""
    scale = scene.layout.scale
    left, right = playhead_px(scene)
    if not scale.shown.start_us <= scene.shown_frame_us[0] < scale.shown.end_us:
        return
    if right - left > 3:
        extent = QColor(scene.theme.accent)
        extent.setAlpha(70)
        painter.fillRect(QRectF(left, 0, right - left, scene.height_px), extent)
    line = QRectF(round(left) - 1, 0, 2, scene.height_px)
    painter.fillRect(line.adjusted(-1, 0, 1, 0), scene.colour("panel"))
    painter.fillRect(line, scene.colour("text"))
    head = scene.layout.plan.sizes.bar_px + 1.0
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(QPen(scene.colour("panel"), 1))
    painter.setBrush(scene.colour("text"))
    x = line.center().x()
    painter.drawPolygon(
        QPolygonF([QPointF(x - head, 0), QPointF(x + head, 0), QPointF(x, 1.4 * head)])
    )
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, on=False)


def _paint_titles(painter: QPainter, scene: Scene) -> None:
    plan = scene.layout.plan
    gutter = scene.layout.scale.left_px - 1
    painter.fillRect(QRectF(0, 0, gutter, plan.height_px), scene.colour("panel"))
    painter.setPen(scene.colour("line"))
    painter.drawLine(QLineF(gutter, 0, gutter, plan.height_px))
    painter.setPen(scene.colour("soft_text"))
    side_px = scene.metrics.horizontalAdvance("not said") + WORD_SPACE_PX
    for title in plan.titles:
        _paint_title(painter, scene, title, side_px, gutter)


def _paint_title(
    painter: QPainter, scene: Scene, title: Title, side_px: float, gutter_px: float
) -> None:
    left = float(WORD_SPACE_PX)
    if title.side:
        painter.drawText(QRectF(left, title.top_px, side_px, title.height_px), _LEFT, title.side)
    left += side_px if scene.layout.plan.is_open else 0
    room = gutter_px - left - WORD_SPACE_PX
    text = scene.metrics.elidedText(title.text, Qt.TextElideMode.ElideRight, room)
    painter.drawText(QRectF(left, title.top_px, room, title.height_px), _RIGHT, text)


def _paint_rims(painter: QPainter, scene: Scene) -> None:
    """Paint what is being selected, and the focus ring."""
    painter.setBrush(Qt.BrushStyle.NoBrush)
    if scene.band is not None:
        painter.setPen(QPen(scene.colour("accent"), 1, Qt.PenStyle.DashLine))
        painter.drawRect(scene.band)
    if scene.has_focus:
        painter.setPen(QPen(scene.colour("focus"), 2))
        painter.drawRect(QRectF(1, 1, scene.width_px - 2, scene.height_px - 2))


_PAINT: Final = {
    "block": _paint_blocks,
    "bar": _paint_bars,
    "hatch": _paint_hatched,
    "cross-hatch": _paint_hatched,
    "dots": _paint_hatched,
    "signs": _paint_signs,
}
