"""A list whose rows are taken by one key each: the sign that stands before the row."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Final, Literal

from PyQt6.QtCore import QRect, Qt, pyqtSignal
from PyQt6.QtGui import QColor, QFont, QFontMetrics, QKeyEvent, QPainter, QPen, QResizeEvent
from PyQt6.QtWidgets import QListWidget, QListWidgetItem

from aftercase.gui.host import Host
from aftercase.gui.row_painter import (
    ROW,
    WRAPPED,
    RowPainter,
    font_of,
    in_bold,
    room_for,
    scale_of,
)
from aftercase.gui.shortcuts import TAKES_KEYS
from aftercase.gui.strip.shapes import SignPictures

_PAD: Final = 3
_GAP: Final = 7
_CENTRE: Final = int(Qt.AlignmentFlag.AlignCenter)
_CHOSEN: Final = "✓"


@dataclass(frozen=True)
class SignRow:
    """A row that can be taken, a heading, or something that is only said.

    Attributes:
        id: What is taken; empty for what cannot be.
        sign: The key that takes it; empty for none.
        text: What it is called.
        word: What else is to be known of it, in a word or two.
        look: The class of events whose shape stands before the text; empty for none.
        is_chosen: Whether it holds now.
        tone: For what cannot be taken: empty for a heading, ``said`` for a sentence, ``number`` for
            a number with its name, ``warn`` for what stands in the way.
    """

    id: str
    sign: str
    text: str
    word: str = ""
    look: str = ""
    is_chosen: bool = False
    tone: Literal["", "said", "number", "warn"] = ""

    @property
    def spoken(self) -> str:
        """Everything the row says, for a screen reader."""
        sign = f"sign {self.sign}" if self.sign else ""
        chosen = "chosen" if self.is_chosen else ""
        return ", ".join(part for part in (self.text, self.word, chosen, sign) if part)


class SignList(QListWidget):
    """Rows in one column; their signs, the arrow keys with Enter, or a click take one.

    Args:
        host: The window, for its colours.
        name: What is chosen here, for a screen reader.
    """

    taken = pyqtSignal(str)
    """The id of the row that was taken."""

    search_wanted = pyqtSignal()
    left = pyqtSignal()

    def __init__(self, host: Host, name: str) -> None:
        super().__init__()
        self._by_sign: dict[str, str] = {}
        self.setAccessibleName(name)
        self.setProperty(TAKES_KEYS, True)
        self.setItemDelegate(_SignPainter(host, self))
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setVerticalScrollMode(QListWidget.ScrollMode.ScrollPerPixel)
        self.itemClicked.connect(self._take_item)

    def show_rows(self, rows: tuple[SignRow, ...]) -> None:
        """Show these rows; where they are as many as before, the current one stays."""
        self._by_sign = {row.sign: row.id for row in rows if row.sign}
        if self.count() != len(rows):
            self.clear()
        for place, row in enumerate(rows):
            item = self.item(place)
            if item is None:  # an item must say something before the list measures it
                item = QListWidgetItem()
                _fill(item, row)
                self.addItem(item)
            elif item.data(ROW) != row:
                _fill(item, row)
        if self.currentRow() < 0:
            self.setCurrentRow(next((n for n, row in enumerate(rows) if row.id), -1))

    def shown(self) -> tuple[SignRow, ...]:
        """Return the rows from top to bottom."""
        items = (self.item(place) for place in range(self.count()))
        return tuple(item.data(ROW) for item in items if item is not None)

    def keyPressEvent(self, event: QKeyEvent | None) -> None:  # noqa: N802 - Qt's name
        """Take the row whose sign was pressed, or the current one; search, or leave."""
        if event is None:
            return
        key, text = event.key(), event.text()
        if key == Qt.Key.Key_Escape:
            self.left.emit()
        elif key in _WALKING:
            super().keyPressEvent(event)
        elif event.isAutoRepeat():
            return  # the key that opened the list, still held, is no choice
        elif key in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self._take_item(self.currentItem())
        elif text == "/":
            self.search_wanted.emit()
        elif text in self._by_sign:
            self.taken.emit(self._by_sign[text])

    def resizeEvent(self, event: QResizeEvent | None) -> None:  # noqa: N802 - Qt's name
        """Lay the rows out anew: their texts wrap elsewhere."""
        super().resizeEvent(event)
        self.scheduleDelayedItemsLayout()

    def _take_item(self, item: QListWidgetItem | None) -> None:
        if item is not None and item.data(ROW).id:
            self.taken.emit(item.data(ROW).id)


def _fill(item: QListWidgetItem, row: SignRow) -> None:
    item.setData(ROW, row)
    item.setData(Qt.ItemDataRole.AccessibleTextRole, row.spoken)
    can_be_taken = Qt.ItemFlag.ItemIsEnabled | Qt.ItemFlag.ItemIsSelectable
    item.setFlags(can_be_taken if row.id else Qt.ItemFlag.NoItemFlags)


_WALKING: Final = (
    Qt.Key.Key_Up, Qt.Key.Key_Down, Qt.Key.Key_PageUp, Qt.Key.Key_PageDown,
    Qt.Key.Key_Home, Qt.Key.Key_End,
)  # fmt: skip


@dataclass(frozen=True)
class _Laid:
    """Where the parts of a row lie, from its own corner."""

    sign: QRect
    look: QRect
    text: QRect
    word: QRect
    height: int


class _SignPainter(RowPainter[SignRow, _Laid]):
    """Paints a row: the sign as on a key, the shape of an event's class, the text, a word."""

    def laid(self, row: SignRow, width_px: int, font_words: str) -> _Laid:
        """Return where the parts of a row lie."""
        return _laid(row, width_px, font_words)

    def paint_row(self, painter: QPainter, row: SignRow, laid: _Laid, font: QFont) -> None:
        """Paint what a row says."""
        theme = self._host.theme
        painter.setFont(_font(font, row))
        plain = theme.text if row.id or row.tone == "number" else theme.soft_text
        painter.setPen(QColor(theme.warn if row.tone == "warn" else plain))
        painter.drawText(laid.text, WRAPPED, row.text)
        painter.setFont(font)
        if row.look:
            pictures, scale = SignPictures(theme, font), scale_of(painter)
            shape = pictures.of("events", row.look, False, 1, laid.look.height(), scale)
            painter.drawPixmap(laid.look.topLeft(), shape)
        if row.sign:
            painter.setPen(QPen(QColor(theme.line), 1))
            painter.setBrush(QColor(theme.raised))
            painter.drawRoundedRect(laid.sign, 3, 3)
        painter.setPen(QColor(theme.text))
        painter.drawText(laid.sign, _CENTRE, row.sign)
        beside = theme.text if row.tone == "number" else theme.soft_text
        painter.setPen(QColor(theme.accent if row.is_chosen else beside))
        painter.drawText(laid.word, WRAPPED, _word(row))


@lru_cache(maxsize=1024)
def _laid(row: SignRow, width: int, font_words: str) -> _Laid:
    font = font_of(font_words)
    plain, metrics = QFontMetrics(font), QFontMetrics(_font(font, row))
    high, right = plain.height(), width - _GAP
    sign = QRect(_GAP, _PAD, plain.horizontalAdvance("W") + 6, high) if row.id else QRect()
    left = sign.right() + _GAP if row.id else _GAP
    look = QRect(left, _PAD, high, high) if row.look else QRect()
    left = look.right() + _GAP if row.look else left
    said = _word(row)
    beside = plain.horizontalAdvance(said) + _GAP if said else 0
    fits = metrics.horizontalAdvance(row.text) + beside <= right - left
    text_wide = right - left - (beside if fits else 0)
    top = _PAD if row.id or row.tone else 2 * _PAD
    text = room_for(metrics, left, top, text_wide, row.text)
    if fits:
        word = QRect(right - beside + _GAP, top, beside, text.height())
    else:
        word = room_for(plain, left, text.bottom() + 1, right - left, said)
    lowest = max(sign.bottom(), text.bottom(), word.bottom() if said else 0)
    return _Laid(sign, look, text, word, lowest + 1 + _PAD)


def _word(row: SignRow) -> str:
    return f"{row.word} {_CHOSEN}".strip() if row.is_chosen else row.word


def _font(font: QFont, row: SignRow) -> QFont:
    return in_bold(font, row.is_chosen or not (row.id or row.tone))
