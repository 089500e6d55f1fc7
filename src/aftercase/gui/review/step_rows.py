"""A row of the guide list: what it says, and how it is painted."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from PyQt6.QtCore import QModelIndex, QRect, QSize, Qt
from PyQt6.QtGui import QColor, QFont, QFontMetrics, QPainter, QPen
from PyQt6.QtWidgets import QListWidget, QStyle, QStyledItemDelegate, QStyleOptionViewItem

from aftercase.gui.host import Host
from aftercase.gui.review.choosing_list import ROW
from aftercase.session.guidelist import RUNNING, StepLine, seconds_of

_PAD: Final = 5
_GAP: Final = 7
_INDENT: Final = 14
_WRAPPED: Final = int(Qt.TextFlag.TextWordWrap)
_RIGHT: Final = int(Qt.AlignmentFlag.AlignRight)


@dataclass(frozen=True)
class StepRow:
    """What one row says now.

    Attributes:
        line: What the marks say of the step.
        word: ``running``, ``next`` or nothing.
        time: Its time so far; empty where it was not visited.
        idle: How long nothing was in use in it; empty where that is not known.
    """

    line: StepLine
    word: str
    time: str
    idle: str

    @property
    def facts(self) -> str:
        """Visits, idle time and remarks, as far as there are any."""
        line = self.line
        remarks = f"{line.n_remarks} remark{'' if line.n_remarks == 1 else 's'}"
        parts = (
            "not needed" if line.not_needed else "",
            line.returns,
            f"idle {self.idle}" if self.idle else "",
            remarks if line.n_remarks else "",
        )
        return " · ".join(part for part in parts if part)

    @property
    def instruments(self) -> str:
        """The instruments seen in it."""
        return ", ".join(self.line.instruments)

    @property
    def spoken(self) -> str:
        """Everything the row says, for a screen reader."""
        sign = f"sign {self.line.sign}" if self.line.sign else ""
        said = (self.line.step.name, self.word, self.time, self.facts, self.instruments, sign)
        return ", ".join(part for part in said if part)


def step_row(line: StepLine, word: str, at_us: int, idle: dict[str, int] | None) -> StepRow:
    """Return what a row says at a moment.

    Args:
        line: What the marks say of the step.
        word: ``running``, ``next`` or nothing.
        at_us: The shown frame.
        idle: Idle time by step; None where nothing is known.
    """
    if not line.visits_us:
        return StepRow(line, word, "", "")
    known_us = (idle or {}).get(line.step.id)
    time = seconds_of(line.time_us(at_us))
    return StepRow(line, word, time, "" if known_us is None else seconds_of(known_us))


@dataclass(frozen=True)
class _Laid:
    """Where the parts of a row lie, from its own corner."""

    sign: QRect
    name: QRect
    time: QRect
    word: QRect
    facts: QRect
    instruments: QRect
    height: int


class StepPainter(QStyledItemDelegate):
    """Paints a step: sign, name and time above; word, facts and instruments below, nothing cut.

    Args:
        host: The window, for its colours.
        view: The list.
    """

    def __init__(self, host: Host, view: QListWidget) -> None:
        super().__init__(view)
        self._host, self._view = host, view

    def sizeHint(  # noqa: N802 - Qt's name
        self, option: QStyleOptionViewItem, index: QModelIndex
    ) -> QSize:
        """Return room for all that the row says."""
        viewport = self._view.viewport()
        assert viewport is not None
        return QSize(0, _laid(index.data(ROW), viewport.width(), option.font.toString()).height)

    def paint(
        self, painter: QPainter | None, option: QStyleOptionViewItem, index: QModelIndex
    ) -> None:
        """Paint a row."""
        assert painter is not None
        row: StepRow = index.data(ROW)
        theme, is_running = self._host.theme, row.word == RUNNING
        laid = _laid(row, option.rect.width(), option.font.toString())
        painter.save()
        self._paint_edge(painter, option, is_running)
        painter.translate(option.rect.topLeft())
        soft, strong = QColor(theme.soft_text), QColor(theme.text)
        painter.setFont(_bold(option.font, is_running))
        painter.setPen(soft)
        painter.drawText(laid.sign, 0, row.line.sign)
        painter.setPen(soft if row.line.not_needed else strong)
        painter.drawText(laid.name, _WRAPPED, row.line.step.name)
        painter.drawText(laid.time, _RIGHT, row.time)
        painter.setPen(QColor(theme.accent) if is_running else soft)
        painter.drawText(laid.word, 0, row.word)
        painter.setFont(option.font)
        painter.setPen(soft)
        painter.drawText(laid.facts, _WRAPPED, row.facts)
        painter.drawText(laid.instruments, _WRAPPED, row.instruments)
        painter.restore()

    def _paint_edge(
        self, painter: QPainter, option: QStyleOptionViewItem, is_running: bool
    ) -> None:
        theme, box = self._host.theme, option.rect.adjusted(2, 1, -2, -1)
        painter.setPen(QColor(theme.line))
        painter.drawLine(option.rect.bottomLeft(), option.rect.bottomRight())
        if is_running:
            painter.fillRect(box, QColor(theme.raised))
            painter.setPen(QPen(QColor(theme.accent), 2))
            painter.drawRect(box.adjusted(1, 1, -1, -1))
        if option.state & QStyle.StateFlag.State_HasFocus:
            painter.setPen(QPen(QColor(theme.focus), 2))
            painter.drawRect(box.adjusted(1, 1, -1, -1))


@lru_cache(maxsize=512)
def _laid(row: StepRow, width: int, font_words: str) -> _Laid:
    font = QFont()
    font.fromString(font_words)
    plain = QFontMetrics(font)
    strong = QFontMetrics(_bold(font, row.word == RUNNING))
    right = width - _PAD - 2
    left = _PAD + 2 + row.line.depth * _INDENT
    sign = QRect(left, _PAD, strong.horizontalAdvance("W"), strong.height())
    left = sign.right() + _GAP
    time_wide = strong.horizontalAdvance(row.time) + 1 if row.time else 0
    time = QRect(right - time_wide, _PAD, time_wide, strong.height())
    name_wide = right - left - (time_wide + _GAP if time_wide else 0)
    name = _box(strong, left, _PAD, name_wide, row.line.step.name)
    top = name.bottom() + 1
    word_wide = strong.horizontalAdvance(row.word) + _GAP if row.word else 0
    word = QRect(left, top, word_wide, strong.height() if row.word else 0)
    facts = _box(plain, left + word_wide, top, right - left - word_wide, row.facts)
    top += max(word.height(), facts.height())
    instruments = _box(plain, left, top, right - left, row.instruments)
    return _Laid(
        sign, name, time, word, facts, instruments, top + instruments.height() + _PAD
    )  # fmt: skip


def _box(metrics: QFontMetrics, left: int, top: int, width: int, text: str) -> QRect:
    """Return the room that a wrapped text takes; none for no text."""
    if not text:
        return QRect(left, top, width, 0)
    needed = metrics.boundingRect(QRect(0, 0, max(width, 1), 100_000), _WRAPPED, text)
    return QRect(left, top, width, needed.height())


def _bold(font: QFont, is_bold: bool) -> QFont:
    chosen = QFont(font)
    chosen.setBold(is_bold)
    return chosen
