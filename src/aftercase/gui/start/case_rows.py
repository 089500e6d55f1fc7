"""The list of recent cases: a still, the code, and what is open."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Final

from PyQt6.QtCore import QModelIndex, QRect, QSize, Qt
from PyQt6.QtGui import QColor, QFont, QFontMetrics, QKeyEvent, QPainter, QPen, QPixmap
from PyQt6.QtWidgets import QListWidget, QListWidgetItem, QStyle, QStyledItemDelegate
from PyQt6.QtWidgets import QStyleOptionViewItem as Option

from aftercase.gui.start.case_look import CaseRow
from aftercase.gui.theme import Theme

_STILL_PX: Final = (112, 63)
_GAP_PX: Final = 10
_ROW: Final = Qt.ItemDataRole.UserRole
_STILL: Final = Qt.ItemDataRole.UserRole + 1


class CaseList(QListWidget):
    """Recent cases, the one opened last first; Return opens one, Delete takes it off the list.

    Args:
        theme: The colours.
        opened: Called with the folder of a case to open.
        forgotten: Called with the folder of a case to take off the list.
    """

    def __init__(
        self,
        theme: Theme,
        opened: Callable[[Path], object],
        forgotten: Callable[[Path], object],
    ) -> None:
        super().__init__()
        self._opened, self._forgotten = opened, forgotten
        self.setAccessibleName("Recent cases")
        self.setMouseTracking(True)
        self.setVerticalScrollMode(QListWidget.ScrollMode.ScrollPerPixel)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.wear(theme)
        self.itemActivated.connect(lambda item: self._opened(_row_of(item).folder))

    def wear(self, theme: Theme) -> None:
        """Show other colours."""
        self.setItemDelegate(_RowPainter(theme, self))

    def show_rows(self, rows: Sequence[CaseRow]) -> None:
        """Show cases; the same case stays the present one, and stills that are there stay."""
        present, stills = self.present, self._stills()
        self.clear()
        for row in rows:
            item = QListWidgetItem()
            item.setData(_STILL, stills.get(row.folder))
            _fill(item, row)
            self.addItem(item)
            if present is not None and row.folder == present.folder:
                self.setCurrentItem(item)
        if self.currentItem() is None and self.count():
            self.setCurrentRow(0)

    def show_row(self, row: CaseRow) -> None:
        """Show anew what is said of one case."""
        for item in self._items():
            if _row_of(item).folder == row.folder:
                _fill(item, row)

    @property
    def rows(self) -> tuple[CaseRow, ...]:
        """The cases, in order."""
        return tuple(_row_of(item) for item in self._items())

    @property
    def present(self) -> CaseRow | None:
        """The case that Return opens."""
        item = self.currentItem()
        return None if item is None else _row_of(item)

    def keyPressEvent(self, event: QKeyEvent | None) -> None:  # noqa: N802 - Qt's name
        """Take a case off the list by Delete."""
        if event is not None and event.key() == Qt.Key.Key_Delete and self.present is not None:
            self._forgotten(self.present.folder)
            return
        super().keyPressEvent(event)

    def _items(self) -> list[QListWidgetItem]:
        items = (self.item(place) for place in range(self.count()))
        return [item for item in items if item is not None]

    def _stills(self) -> dict[Path, QPixmap]:
        return {
            _row_of(item).folder: item.data(_STILL)
            for item in self._items()
            if item.data(_STILL) is not None
        }


def _fill(item: QListWidgetItem, row: CaseRow) -> None:
    """Let an item show a case; where a plate stands there is no still, not even an earlier one."""
    item.setData(_ROW, row)
    item.setData(Qt.ItemDataRole.AccessibleTextRole, row.spoken)
    item.setToolTip(str(row.folder))
    still = QPixmap()
    if row.still is not None and still.loadFromData(row.still):
        item.setData(_STILL, still)
    if row.plate:
        item.setData(_STILL, None)


def _row_of(item: QListWidgetItem | QModelIndex) -> CaseRow:
    row: CaseRow = item.data(_ROW)
    return row


class _RowPainter(QStyledItemDelegate):
    """Paints a row: the still or its plate on the left, three lines of text beside it."""

    def __init__(self, theme: Theme, parent: CaseList) -> None:
        super().__init__(parent)
        self._theme = theme

    def sizeHint(self, option: Option, index: QModelIndex) -> QSize:  # noqa: N802 - Qt's name
        """Return room for three lines, or for the still."""
        text_px = 3 * option.fontMetrics.lineSpacing()
        return QSize(_STILL_PX[0] * 3, max(text_px, _still_size(option).height()) + 2 * _GAP_PX)

    def paint(self, painter: QPainter | None, option: Option, index: QModelIndex) -> None:
        """Paint a row."""
        assert painter is not None
        row = _row_of(index)
        is_chosen = bool(option.state & QStyle.StateFlag.State_Selected)
        painter.save()
        if is_chosen:
            painter.fillRect(option.rect, QColor(self._theme.accent))
        inner = option.rect.adjusted(_GAP_PX, _GAP_PX, -_GAP_PX, -_GAP_PX)
        place = QRect(inner.topLeft(), _still_size(option))
        self._paint_still(painter, place, row, index.data(_STILL))
        text = inner.adjusted(place.width() + _GAP_PX, 0, 0, 0)
        self._paint_lines(painter, text, row, option.font, is_chosen)
        painter.setPen(QPen(QColor(self._theme.line)))
        painter.drawLine(option.rect.bottomLeft(), option.rect.bottomRight())
        if option.state & QStyle.StateFlag.State_HasFocus:
            painter.setPen(QPen(QColor(self._theme.focus), 2))
            painter.drawRect(option.rect.adjusted(1, 1, -1, -1))
        painter.restore()

    def _paint_still(
        self, painter: QPainter, place: QRect, row: CaseRow, still: QPixmap | None
    ) -> None:
        painter.fillRect(place, QColor(self._theme.surround))
        if still is not None and not row.plate:
            size = still.size().scaled(place.size(), Qt.AspectRatioMode.KeepAspectRatio)
            target = QRect(place.topLeft(), size)
            target.moveCenter(place.center())
            painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
            painter.drawPixmap(target, still)
            return
        painter.setPen(QColor(self._theme.surround_text))
        font = painter.font()
        font.setPointSizeF(font.pointSizeF() * 0.8)
        painter.setFont(font)
        painter.drawText(place, Qt.AlignmentFlag.AlignCenter | Qt.TextFlag.TextWordWrap, row.plate)

    def _paint_lines(
        self, painter: QPainter, place: QRect, row: CaseRow, font: QFont, is_chosen: bool
    ) -> None:
        chosen = self._theme.accent_text
        bold = QFont(font)
        bold.setBold(True)
        lines = [(row.code, bold, self._theme.text), (row.about, font, self._theme.soft_text)]
        lines.append((row.open, font, self._theme.warn if row.is_missing else self._theme.text))
        y_px = place.top()
        for text, used, colour in lines:
            if not text:
                continue
            metrics = QFontMetrics(used)
            painter.setFont(used)
            painter.setPen(QColor(chosen if is_chosen else colour))
            line = QRect(place.left(), y_px, place.width(), metrics.lineSpacing())
            elided = metrics.elidedText(text, Qt.TextElideMode.ElideRight, line.width())
            painter.drawText(line, Qt.AlignmentFlag.AlignVCenter, elided)
            y_px += metrics.lineSpacing()


def _still_size(option: Option) -> QSize:
    """Return the still's size; with large text the still is larger too."""
    least = QSize(*_STILL_PX)
    height_px = max(least.height(), 3 * option.fontMetrics.lineSpacing())
    return QSize(height_px * least.width() // least.height(), height_px)
