"""A row of the remarks list: what it says, and how it is painted."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from PyQt6.QtCore import QModelIndex, QPoint, QRect, QSize, Qt
from PyQt6.QtGui import QColor, QFont, QFontMetrics, QPainter, QPen
from PyQt6.QtWidgets import QListWidget, QStyle, QStyledItemDelegate, QStyleOptionViewItem

from aftercase.gui.host import Host
from aftercase.gui.review.choosing_list import ROW
from aftercase.gui.strip.content import FLAG
from aftercase.gui.strip.shapes import SignPictures
from aftercase.model.review import Flag, Remark
from aftercase.session.guidelist import seconds_of
from aftercase.session.verbs.remarks import KIND_NAMES

NOW: Final = "now"
_PAD: Final = 5
_BAR_PX: Final = 4
_WRAPPED: Final = int(Qt.TextFlag.TextWordWrap)


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
        is_now: Whether it is the one reached last.
    """

    id: str
    at_us: int
    kind: str
    is_starred: bool
    head: str
    text: str
    notes: str
    is_now: bool = False

    @property
    def spoken(self) -> str:
        """Everything the row says, for a screen reader."""
        said = (self.head, NOW if self.is_now else "", self.text, self.notes)
        return ", ".join(part for part in said if part)


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
    return RemarkRow(remark.id, remark.at_us, remark.kind, remark.starred, head, text, notes)


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


class RemarkPainter(QStyledItemDelegate):
    """Paints a remark: sign, time and kind above, its words below, nothing cut.

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
        row: RemarkRow = index.data(ROW)
        theme = self._host.theme
        laid = _laid(row, option.rect.width(), option.font.toString())
        painter.save()
        self._paint_edge(painter, option, row)
        painter.translate(option.rect.topLeft())
        device = painter.device()
        scale = device.devicePixelRatioF() if device is not None else 1.0
        pictures = SignPictures(theme, option.font)
        sign = pictures.of("remarks", row.kind, row.is_starred, 1, laid.sign.height(), scale)
        painter.drawPixmap(laid.sign.topLeft(), sign)
        painter.setFont(_bold(option.font, row.is_now))
        painter.setPen(QColor(theme.text))
        painter.drawText(laid.head, _WRAPPED, _head(row))
        painter.setFont(option.font)
        painter.drawText(laid.text, _WRAPPED, row.text)
        painter.setPen(QColor(theme.soft_text))
        painter.drawText(laid.notes, _WRAPPED, row.notes)
        painter.restore()

    def _paint_edge(self, painter: QPainter, option: QStyleOptionViewItem, row: RemarkRow) -> None:
        theme, rect = self._host.theme, option.rect
        if option.state & QStyle.StateFlag.State_Selected:
            painter.fillRect(rect, QColor(theme.raised))
            painter.setPen(QPen(QColor(theme.accent), 2))
            painter.drawRect(rect.adjusted(1, 1, -1, -1))
        if row.is_now:
            bar = QRect(rect.left(), rect.top(), _BAR_PX, rect.height())
            painter.fillRect(bar, QColor(theme.accent))
        painter.setPen(QColor(theme.line))
        painter.drawLine(rect.bottomLeft(), rect.bottomRight())
        if option.state & QStyle.StateFlag.State_HasFocus:
            painter.setPen(QPen(QColor(theme.focus), 2))
            painter.drawRect(rect.adjusted(1, 1, -1, -1))


@lru_cache(maxsize=1024)
def _laid(row: RemarkRow, width: int, font_words: str) -> _Laid:
    font = QFont()
    font.fromString(font_words)
    plain, strong = QFontMetrics(font), QFontMetrics(_bold(font, row.is_now))
    left = _BAR_PX + _PAD
    sign = QRect(left, _PAD, plain.height(), plain.height())
    beside = sign.right() + _PAD + 2
    head = _box(strong, beside, _PAD, width - beside - _PAD, _head(row))
    text = _box(plain, left, head.bottom() + 2, width - left - _PAD, row.text)
    notes = _box(plain, left, text.bottom() + 1, width - left - _PAD, row.notes)
    return _Laid(sign, head, text, notes, notes.bottom() + 1 + _PAD)


def _box(metrics: QFontMetrics, left: int, top: int, width: int, text: str) -> QRect:
    """Return the room that a wrapped text takes; none for no text."""
    if not text:
        return QRect(QPoint(left, top), QSize(width, 0))
    needed = metrics.boundingRect(QRect(0, 0, max(width, 1), 100_000), _WRAPPED, text)
    return QRect(left, top, width, needed.height())


def _head(row: RemarkRow) -> str:
    return f"{row.head} · {NOW}" if row.is_now else row.head


def _bold(font: QFont, is_bold: bool) -> QFont:
    chosen = QFont(font)
    chosen.setBold(is_bold)
    return chosen
