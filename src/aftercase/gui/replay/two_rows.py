"""Two reviews of one case over one time: each a row of steps with its remarks above."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from PyQt6.QtCore import QPointF, QRectF, Qt
from PyQt6.QtGui import QColor, QMouseEvent, QPainter, QPaintEvent
from PyQt6.QtWidgets import QWidget

from aftercase.gui.host import Host
from aftercase.gui.strip.shapes import SignPictures
from aftercase.model.review import Review, StepSpan
from aftercase.session.desk import Desk

_GAP_PX: Final = 6
_PART_SHARE: Final = 0.3
"""How much of a step's height its parts have; they lie along its lower edge."""


class TwoRows(QWidget):
    """Steps and remarks of several reviews; a press goes to that moment.

    Args:
        host: The window.
        desk: The case on the desk.
        rows: Reviews, each with what its row is called.
    """

    def __init__(self, host: Host, desk: Desk, rows: Sequence[tuple[Review, str]]) -> None:
        super().__init__()
        self._host, self._desk = host, desk
        self._rows = tuple(rows)
        metrics = self.fontMetrics()
        self._line_px = metrics.height()
        self._row_px = 2 * self._line_px + 2 * _GAP_PX
        names_px = max(metrics.horizontalAdvance(name) for _, name in self._rows)
        self._left_px = names_px + 2 * _GAP_PX
        self.setFixedHeight(len(self._rows) * (self._row_px + _GAP_PX))
        self.setAccessibleName("Steps and remarks of both reviews over time")

    def paintEvent(self, event: QPaintEvent | None) -> None:  # noqa: N802 - Qt's name
        """Paint the rows."""
        painter = QPainter(self)
        signs = SignPictures(self._host.theme, self.font())
        for place, (review, name) in enumerate(self._rows):
            top_px = place * (self._row_px + _GAP_PX)
            steps = QRectF(
                self._left_px,
                top_px + self._line_px,
                self.width() - self._left_px,
                self._row_px - self._line_px,
            )
            painter.setPen(QColor(self._host.theme.text))
            named = QRectF(0, steps.top(), self._left_px, steps.height())
            painter.drawText(named, Qt.AlignmentFlag.AlignVCenter, name)
            self._paint_steps(painter, steps, review)
            self._paint_remarks(painter, signs, top_px, review)
        painter.end()

    def mousePressEvent(self, event: QMouseEvent | None) -> None:  # noqa: N802 - Qt's name
        """Go to where it was pressed."""
        if event is None:
            return
        start_us, end_us = self._desk.bounds_us
        share = (event.position().x() - self._left_px) / max(1.0, self.width() - self._left_px)
        us = int(start_us + min(max(share, 0.0), 1.0) * (end_us - 1 - start_us))
        self._host.leave_page()
        self._host.player.go_to(us)

    def _paint_steps(self, painter: QPainter, room: QRectF, review: Review) -> None:
        theme, guide = self._host.theme, self._desk.guide
        parts = [span for span in review.steps if guide.parent_of(span.step) != span.step]
        wholes = [span for span in review.steps if span not in parts]
        for span in wholes:
            box = self._box(span, room)
            painter.fillRect(box, QColor(theme.raised))
            painter.setPen(QColor(theme.soft_text))
            painter.drawRect(box)
            known = guide.step_by_id.get(span.step)
            label = known.strip_label if known is not None else span.step
            if painter.fontMetrics().horizontalAdvance(label) < box.width() - 6:
                painter.setPen(QColor(theme.text))
                above = box.adjusted(0, 0, 0, -_PART_SHARE * box.height())
                painter.drawText(above, Qt.AlignmentFlag.AlignCenter, label)
        for span in parts:
            box = self._box(span, room)
            box.setTop(box.bottom() - room.height() * _PART_SHARE)
            painter.setPen(QColor(theme.soft_text))
            painter.fillRect(box, QColor(theme.line))
            painter.drawRect(box)

    def _paint_remarks(
        self, painter: QPainter, signs: SignPictures, top_px: float, review: Review
    ) -> None:
        scale = self.devicePixelRatioF()
        height_px = self._line_px - 2
        for remark in review.remarks:
            picture = signs.of("remarks", remark.kind, remark.starred, 1, height_px, scale)
            wide_px = picture.width() / picture.devicePixelRatio()
            painter.drawPixmap(QPointF(self._x_px(remark.at_us) - wide_px / 2, top_px), picture)

    def _box(self, span: StepSpan, room: QRectF) -> QRectF:
        left_px, right_px = self._x_px(span.start_us), self._x_px(span.end_us)
        return QRectF(left_px, room.top(), max(1.0, right_px - left_px), room.height() - 1)

    def _x_px(self, us: int) -> float:
        start_us, end_us = self._desk.bounds_us
        share = (us - start_us) / max(1, end_us - start_us)
        return self._left_px + share * (self.width() - self._left_px - 1)
