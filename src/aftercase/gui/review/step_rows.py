"""A row of the guide list: what it says, and how it is painted."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from PyQt6.QtCore import QRect, Qt
from PyQt6.QtGui import QColor, QFont, QFontMetrics, QPainter
from PyQt6.QtWidgets import QStyleOptionViewItem

from aftercase.gui.row_painter import WRAPPED, RowPainter, font_of, in_bold, room_for
from aftercase.session.guidelist import RUNNING, StepLine, seconds_of

_PAD: Final = 5
_GAP: Final = 7
_INDENT: Final = 14
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


class StepPainter(RowPainter[StepRow, _Laid]):
    """Paints a step: sign, name and time above; word, facts and instruments below."""

    def laid(self, row: StepRow, width_px: int, font_words: str) -> _Laid:
        """Return where the parts of a step's row lie."""
        return _laid(row, width_px, font_words)

    def paint_behind(self, painter: QPainter, option: QStyleOptionViewItem, row: StepRow) -> None:
        """Let the running step stand out."""
        self.paint_line(painter, option.rect)
        if row.word == RUNNING:
            self.paint_raised(painter, option.rect.adjusted(2, 1, -2, -1))

    def paint_row(self, painter: QPainter, row: StepRow, laid: _Laid, font: QFont) -> None:
        """Paint what a step's row says."""
        theme, is_running = self._host.theme, row.word == RUNNING
        soft, strong = QColor(theme.soft_text), QColor(theme.text)
        painter.setFont(in_bold(font, is_running))
        painter.setPen(soft)
        painter.drawText(laid.sign, 0, row.line.sign)
        painter.setPen(soft if row.line.not_needed else strong)
        painter.drawText(laid.name, WRAPPED, row.line.step.name)
        painter.drawText(laid.time, _RIGHT, row.time)
        painter.setPen(QColor(theme.accent) if is_running else soft)
        painter.drawText(laid.word, 0, row.word)
        painter.setFont(font)
        painter.setPen(soft)
        painter.drawText(laid.facts, WRAPPED, row.facts)
        painter.drawText(laid.instruments, WRAPPED, row.instruments)


@lru_cache(maxsize=512)
def _laid(row: StepRow, width: int, font_words: str) -> _Laid:
    font = font_of(font_words)
    plain = QFontMetrics(font)
    strong = QFontMetrics(in_bold(font, row.word == RUNNING))
    right = width - _PAD - 2
    left = _PAD + 2 + row.line.depth * _INDENT
    sign = QRect(left, _PAD, strong.horizontalAdvance("W"), strong.height())
    left = sign.right() + _GAP
    time_wide = strong.horizontalAdvance(row.time) + 1 if row.time else 0
    beside_wide = right - left - (time_wide + _GAP if time_wide else 0)
    is_beside = _widest(strong, row.line.step.name) <= beside_wide
    name_wide = beside_wide if is_beside else right - left
    name = room_for(strong, left, _PAD, name_wide, row.line.step.name)
    top = name.bottom() + 1
    time = QRect(right - time_wide, _PAD if is_beside else top, time_wide, strong.height())
    top += 0 if is_beside else time.height()
    word_wide = strong.horizontalAdvance(row.word) + _GAP if row.word else 0
    word = QRect(left, top, word_wide, strong.height() if row.word else 0)
    after_word = left + word_wide
    if _widest(plain, row.facts) <= right - after_word:
        facts = room_for(plain, after_word, top, right - after_word, row.facts)
    else:
        facts = room_for(plain, left, top + word.height(), right - left, row.facts)
    top = max(word.bottom(), facts.bottom()) + 1
    instruments = room_for(plain, left, top, right - left, row.instruments)
    return _Laid(
        sign, name, time, word, facts, instruments, top + instruments.height() + _PAD
    )  # fmt: skip


def _widest(metrics: QFontMetrics, text: str) -> int:
    """Return the width of the widest word: what is narrower cuts it."""
    return max((metrics.horizontalAdvance(word) for word in text.split()), default=0)
