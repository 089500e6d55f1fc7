"""A row of the remarks list: what it says, and how it is painted."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from PyQt6.QtCore import QRect
from PyQt6.QtGui import QColor, QFont, QFontMetrics, QPainter
from PyQt6.QtWidgets import QStyle, QStyleOptionViewItem

from aftercase.gui.row_painter import WRAPPED, RowPainter, font_of, in_bold, room_for, scale_of
from aftercase.gui.strip.content import FLAG
from aftercase.gui.strip.shapes import SignPictures
from aftercase.model.review import Flag, Remark
from aftercase.session.guidelist import seconds_of
from aftercase.session.verbs.remarks import KIND_NAMES

NOW: Final = "now"
_PAD: Final = 5
_BAR_PX: Final = 4


@dataclass(frozen=True)
class RemarkRow:
    """What one row says.

    Attributes:
        id: Id of the remark or flag; empty for another person's flag, which is not one's own.
        at_us: Where choosing it goes.
        kind: Kind of the remark, or a flag.
        is_starred: Whether it is for the closing.
        head: Time and kind, in words.
        text: What was written.
        notes: What else there is: drawings, answers, in words.
        more: What is written in its other fields, for the search.
        is_now: Whether it is the one reached last.
    """

    id: str
    at_us: int
    kind: str
    is_starred: bool
    head: str
    text: str
    notes: str
    more: str = ""
    is_now: bool = False

    @property
    def spoken(self) -> str:
        """Everything the row says, for a screen reader."""
        said = (self.head, NOW if self.is_now else "", self.text, self.notes)
        return ", ".join(part for part in said if part)

    @property
    def searched(self) -> str:
        """Everything it is found by."""
        return " ".join((self.head, self.text, self.notes, self.more))


def remark_row(remark: Remark, answers: Mapping[str, tuple[str, ...]]) -> RemarkRow:
    """Return what a remark's row says.

    Args:
        remark: The remark.
        answers: What others answered, by the remark's id.
    """
    until = "" if remark.end_us is None else f" to {seconds_of(remark.end_us)}"
    kind = KIND_NAMES.get(remark.kind, remark.kind.replace("-", " "))
    starred = ", starred" if remark.starred else ""
    head = f"{seconds_of(remark.at_us)}{until} {kind}{starred}"
    n_drawings = len(remark.drawings)
    drawn = f"{n_drawings} drawing{'' if n_drawings == 1 else 's'}" if n_drawings else ""
    said = [drawn, *answers.get(remark.id, ())]
    text = remark.text or ("" if remark.drawings else "(no words)")
    notes = " · ".join(part for part in said if part)
    more = f"{remark.reason} {remark.next_time}"
    return RemarkRow(remark.id, remark.at_us, remark.kind, remark.starred, head, text, notes, more)


def flag_row(flag: Flag, whose: str = "") -> RemarkRow:
    """Return what a flag's row says.

    Args:
        flag: The flag.
        whose: The code of the person whose flag it is; empty for one's own.
    """
    by = f" ({whose})" if whose else ""
    head = f"{seconds_of(flag.at_us)} look here{by}"
    return RemarkRow("" if whose else flag.id, flag.at_us, FLAG, False, head, flag.note, "")


@dataclass(frozen=True)
class _Laid:
    """Where the parts of a row lie, from its own corner."""

    sign: QRect
    head: QRect
    text: QRect
    notes: QRect
    height: int


class RemarkPainter(RowPainter[RemarkRow, _Laid]):
    """Paints a remark: sign, time and kind above, its words below."""

    def laid(self, row: RemarkRow, width_px: int, font_words: str) -> _Laid:
        """Return where the parts of a remark's row lie."""
        return _laid(row, width_px, font_words)

    def paint_behind(self, painter: QPainter, option: QStyleOptionViewItem, row: RemarkRow) -> None:
        """Let the selected remark stand out, and mark the one that was reached last."""
        rect = option.rect
        if option.state & QStyle.StateFlag.State_Selected:
            self.paint_raised(painter, rect)
        if row.is_now:
            bar = QRect(rect.left(), rect.top(), _BAR_PX, rect.height())
            painter.fillRect(bar, QColor(self._host.theme.accent))
        self.paint_line(painter, rect)

    def paint_row(self, painter: QPainter, row: RemarkRow, laid: _Laid, font: QFont) -> None:
        """Paint what a remark's row says."""
        theme = self._host.theme
        pictures, scale = SignPictures(theme, font), scale_of(painter)
        sign = pictures.of("remarks", row.kind, row.is_starred, 1, laid.sign.height(), scale)
        painter.drawPixmap(laid.sign.topLeft(), sign)
        painter.setFont(in_bold(font, row.is_now))
        painter.setPen(QColor(theme.text))
        painter.drawText(laid.head, WRAPPED, _head(row))
        painter.setFont(font)
        painter.drawText(laid.text, WRAPPED, row.text)
        painter.setPen(QColor(theme.soft_text))
        painter.drawText(laid.notes, WRAPPED, row.notes)


@lru_cache(maxsize=4096)  # of a long list every row, else each layout measures all anew
def _laid(row: RemarkRow, width: int, font_words: str) -> _Laid:
    font = font_of(font_words)
    plain, strong = QFontMetrics(font), QFontMetrics(in_bold(font, row.is_now))
    left = _BAR_PX + _PAD
    sign = QRect(left, _PAD, plain.height(), plain.height())
    beside = sign.right() + _PAD + 2
    head = room_for(strong, beside, _PAD, width - beside - _PAD, _head(row))
    text = room_for(plain, left, head.bottom() + 2, width - left - _PAD, row.text)
    notes = room_for(plain, left, text.bottom() + 1, width - left - _PAD, row.notes)
    return _Laid(sign, head, text, notes, notes.bottom() + 1 + _PAD)


def _head(row: RemarkRow) -> str:
    return f"{row.head} · {NOW}" if row.is_now else row.head
