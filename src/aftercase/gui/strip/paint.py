"""Painting the strip: a scene in, pixels out."""

from __future__ import annotations

from typing import Final

from PyQt6.QtCore import QLineF, QPointF, QRectF, Qt
from PyQt6.QtGui import QColor, QPainter, QPen, QPolygonF

from aftercase.gui.strip.layout import WORD_SPACE_PX, curve, frame_ticks, ruler
from aftercase.gui.strip.paintrows import LEFT, paint_covers, paint_row, paint_signs
from aftercase.gui.strip.places import Title
from aftercase.gui.strip.scene import Scene, paint_plate
from aftercase.gui.strip.shapes import draw_lines

_RIGHT: Final = Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignRight


def paint_still(painter: QPainter, scene: Scene) -> None:
    """Paint what stays where it is while the film plays."""
    painter.setFont(scene.letters.plain)
    painter.fillRect(QRectF(0, 0, scene.width_px, scene.height_px), scene.colour("panel"))
    painter.translate(0, -scene.top_px)
    painter.setClipRect(_on_clock(scene, 0))
    _paint_ground(painter, scene)
    for drawn in scene.layout.drawn:
        paint_row(painter, scene, drawn)
        paint_covers(painter, scene, drawn)
    painter.setClipRect(_on_clock(scene, scene.layout.plan.sizes.side_px))
    _paint_joints(painter, scene)
    for drawn in scene.layout.drawn:
        paint_signs(painter, scene, drawn, _on_clock(scene, 0))
    painter.setClipping(False)
    _paint_titles(painter, scene)


def paint_moving(painter: QPainter, scene: Scene) -> None:
    """Paint the playhead and the rims over what stays."""
    painter.save()
    painter.setFont(scene.letters.plain)
    painter.translate(0, -scene.top_px)
    painter.setClipRect(_on_clock(scene, scene.layout.plan.sizes.side_px))
    _paint_playhead(painter, scene)
    # A sign that stands where the film is must stay readable.
    column = _playhead_column(scene)
    painter.setClipRect(column)
    for drawn in scene.layout.drawn:
        paint_signs(painter, scene, drawn, column)
    painter.restore()
    _paint_rims(painter, scene)


def _on_clock(scene: Scene, side_px: int) -> QRectF:
    """Return where the clock is, and so much on both sides of it."""
    scale = scene.layout.scale
    height_px = scene.layout.plan.height_px
    return QRectF(scale.left_px - side_px, 0, scale.width_px + 2 * side_px, height_px)


def _playhead_column(scene: Scene) -> QRectF:
    """Return what the playhead's line covers, with the rims that set it off."""
    left_px = scene.layout.scale.x_of(scene.shown_frame_us[0])
    return QRectF(round(left_px) - 2, scene.top_px, 4, scene.height_px)


def _paint_ground(painter: QPainter, scene: Scene) -> None:
    """Paint what lies under the rows: their ground, the activity curve, the ruler."""
    plan, scale = scene.layout.plan, scene.layout.scale
    painter.setPen(scene.colour("line"))
    lines = [
        QLineF(scale.left_px, place.top_px, scale.right_px, place.top_px)
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
    taken = [(plate.left(), plate.right()) for plate, _ in _joint_plates(scene)]
    times = ruler(scale, scene.letters.metrics.horizontalAdvance, taken)
    draw_lines(painter, [QLineF(x, 2, x, bottom) for x, _ in times])
    for x, text in times:
        painter.drawText(QRectF(x + 3, 1, 200, bottom - 3), LEFT, text)


def _joint_plates(scene: Scene) -> list[tuple[QRectF, str]]:
    """Return where on the ruler the parts are named that begin in sight."""
    plan, scale = scene.layout.plan, scene.layout.scale
    plates = []
    for us, number in scene.content.joints:
        if scale.shown.holds(us):
            word = f"part {number}"
            width = scene.letters.metrics.horizontalAdvance(word) + 2 * WORD_SPACE_PX
            plates.append((QRectF(scale.x_of(us) + 1, 0, width, plan.ruler_px - 4), word))
    return plates


def _paint_joints(painter: QPainter, scene: Scene) -> None:
    """Paint where one part ends and the next begins: a broken line, and a word where open."""
    plan = scene.layout.plan
    for plate, word in _joint_plates(scene):
        painter.setPen(QPen(scene.colour("text"), 1, Qt.PenStyle.DashLine))
        x = plate.left() - 1
        painter.drawLine(QLineF(x, 0, x, plan.height_px))
        if plan.ruler_px:
            paint_plate(painter, scene, plate, word)


def _paint_playhead(painter: QPainter, scene: Scene) -> None:
    """Paint the shown frame: a line at its start, and its extent where that can be seen."""
    scale, top = scene.layout.scale, float(scene.top_px)
    left, right = (scale.x_of(us) for us in scene.shown_frame_us)
    if not scale.shown.start_us <= scene.shown_frame_us[0] < scale.shown.end_us:
        return
    if right - left > 3:
        extent = QColor(scene.theme.accent)
        extent.setAlpha(70)
        painter.fillRect(QRectF(left, top, right - left, scene.height_px), extent)
    column = _playhead_column(scene)
    painter.fillRect(column, scene.colour("panel"))
    head, x = scene.layout.plan.sizes.bar_px + 1.0, column.center().x()
    corners = (QPointF(x - head, top), QPointF(x + head, top), QPointF(x, top + 1.4 * head))
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(QPen(scene.colour("panel"), 1))
    painter.setBrush(scene.colour("text"))
    painter.drawPolygon(QPolygonF(corners))
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, on=False)
    painter.fillRect(column.adjusted(1, 0, -1, 0), scene.colour("text"))


def _paint_titles(painter: QPainter, scene: Scene) -> None:
    plan = scene.layout.plan
    gutter = float(plan.sizes.gutter_px(plan.is_open))
    painter.fillRect(QRectF(0, 0, gutter, plan.height_px), scene.colour("panel"))
    painter.setPen(scene.colour("line"))
    painter.drawLine(QLineF(gutter, 0, gutter, plan.height_px))
    painter.setPen(scene.colour("soft_text"))
    side_px = scene.letters.metrics.horizontalAdvance("not said") + WORD_SPACE_PX
    for title in plan.titles:
        _paint_title(painter, scene, title, side_px, gutter)


def _paint_title(
    painter: QPainter, scene: Scene, title: Title, side_px: float, gutter_px: float
) -> None:
    left = float(WORD_SPACE_PX)
    if title.side:
        painter.drawText(QRectF(left, title.top_px, side_px, title.height_px), LEFT, title.side)
    left += side_px if scene.layout.plan.is_open else 0
    room = gutter_px - left - WORD_SPACE_PX
    text = scene.letters.shortened(title.text, room)
    painter.drawText(QRectF(left, title.top_px, room, title.height_px), _RIGHT, text)


def _paint_rims(painter: QPainter, scene: Scene) -> None:
    """Paint what is being selected, and the focus ring."""
    painter.setBrush(Qt.BrushStyle.NoBrush)
    if scene.band is not None:
        painter.setPen(QPen(scene.colour("accent"), 1, Qt.PenStyle.DashLine))
        painter.drawRect(scene.band)
    if scene.has_focus:
        painter.setPen(QPen(scene.colour("focus"), 2, join=Qt.PenJoinStyle.MiterJoin))
        painter.drawRect(QRectF(1, 1, scene.width_px - 2, scene.height_px - 2))
