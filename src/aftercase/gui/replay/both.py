"""One's own review and the teacher's on one strip, differences first."""

from __future__ import annotations

from typing import Final

from PyQt6.QtCore import QRectF, Qt
from PyQt6.QtGui import QColor, QMouseEvent, QPainter, QPaintEvent
from PyQt6.QtWidgets import (
    QHeaderView,
    QLabel,
    QTableWidget,
    QTableWidgetItem,
    QVBoxLayout,
    QWidget,
)

from aftercase.clock import seconds_text, text_of
from aftercase.gui.host import Host
from aftercase.gui.shortcuts import TAKES_KEYS
from aftercase.model.review import Review
from aftercase.session.desk import Desk
from aftercase.session.replaying import StepDifference, differences

_HEADS: Final = ("Step", "Your own", "The other", "Largest difference of an edge, s")
_ROW_PX: Final = 30


class BothReviews(QWidget):
    """Two reviews of one case side by side.

    Args:
        host: The window.
        desk: The case on the desk, with one's own review.
        theirs: The other review.
    """

    def __init__(self, host: Host, desk: Desk, theirs: Review) -> None:
        super().__init__()
        self.title = f"Your review and {theirs.reviewer}'s"
        self._host, self._desk = host, desk
        self._found = differences(desk.review, theirs)
        rows = QVBoxLayout(self)
        rows.addWidget(TwoRows(host, desk, theirs))
        note = QLabel(
            "Differences first. That two people marked differently says nothing of who is right. "
            "Adopted marks are their author's."
        )
        note.setWordWrap(True)
        note.setProperty("role", "soft")
        rows.addWidget(note)
        rows.addWidget(self._table(), 1)

    def _table(self) -> QTableWidget:
        table = QTableWidget(len(self._found), len(_HEADS))
        table.setProperty(TAKES_KEYS, True)
        table.setAccessibleName("Differences between the two reviews")
        table.setHorizontalHeaderLabels(list(_HEADS))
        table.setEditTriggers(QTableWidget.EditTrigger.NoEditTriggers)
        table.setSelectionBehavior(QTableWidget.SelectionBehavior.SelectRows)
        for row, one in enumerate(self._found):
            for column, text in enumerate(_cells(one, self._desk)):
                table.setItem(row, column, QTableWidgetItem(text))
        head = table.horizontalHeader()
        assert head is not None
        head.setSectionResizeMode(QHeaderView.ResizeMode.ResizeToContents)
        head.setStretchLastSection(True)
        table.itemActivated.connect(lambda item: self._go(item.row()))
        table.itemDoubleClicked.connect(lambda item: self._go(item.row()))
        table.setMinimumHeight(200)
        return table

    def _go(self, row: int) -> None:
        one = self._found[row]
        span = one.mine_us or one.theirs_us
        assert span is not None, "a difference has at least one side"
        self._host.leave_page()
        self._host.player.go_to(span[0])


class TwoRows(QWidget):
    """The steps of two reviews as two rows over one time."""

    def __init__(self, host: Host, desk: Desk, theirs: Review) -> None:
        super().__init__()
        self._host, self._desk = host, desk
        self._rows = ((desk.review, "Your own"), (theirs, theirs.reviewer))
        self.setFixedHeight(2 * _ROW_PX + 8)
        self.setAccessibleName("Steps of both reviews over time")

    def paintEvent(self, event: QPaintEvent | None) -> None:  # noqa: N802 - Qt's name
        """Paint both rows."""
        painter = QPainter(self)
        theme = self._host.theme
        start_us, end_us = self._desk.bounds_us
        left = 96.0
        scale = (self.width() - left) / max(1, end_us - start_us)
        for row, (review, name) in enumerate(self._rows):
            top = 4.0 + row * _ROW_PX
            painter.setPen(QColor(theme.text))
            painter.drawText(
                QRectF(0, top, left - 6, _ROW_PX - 4), Qt.AlignmentFlag.AlignVCenter, name
            )
            for number, span in enumerate(review.steps):
                box = QRectF(
                    left + (span.start_us - start_us) * scale,
                    top,
                    max(1.0, (span.end_us - span.start_us) * scale),
                    _ROW_PX - 4,
                )
                painter.fillRect(box, QColor(theme.raised if number % 2 else theme.window))
                painter.setPen(QColor(theme.line))
                painter.drawRect(box)
                painter.setPen(QColor(theme.text))
                label = self._label(span.step)
                if painter.fontMetrics().horizontalAdvance(label) < box.width() - 6:
                    painter.drawText(box, Qt.AlignmentFlag.AlignCenter, label)
        painter.end()

    def mousePressEvent(self, event: QMouseEvent | None) -> None:  # noqa: N802 - Qt's name
        """Go to where it was pressed."""
        if event is None:
            return
        start_us, end_us = self._desk.bounds_us
        share = (event.position().x() - 96.0) / max(1.0, self.width() - 96.0)
        self._host.leave_page()
        self._host.player.go_to(int(start_us + min(max(share, 0.0), 1.0) * (end_us - 1 - start_us)))

    def _label(self, step: str) -> str:
        known = self._desk.guide.step_by_id.get(step)
        return known.strip_label if known is not None else step


def _cells(one: StepDifference, desk: Desk) -> tuple[str, str, str, str]:
    apart = "only one marked it" if one.difference_us is None else seconds_text(one.difference_us)
    return desk.guide.step_name(one.step), _span(one.mine_us), _span(one.theirs_us), apart


def _span(span: tuple[int, int] | None) -> str:
    return "not marked" if span is None else f"{text_of(span[0])} – {text_of(span[1])}"
