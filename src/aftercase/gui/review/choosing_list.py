"""A list beside the film: choosing a row does something at once, and plain keys stay the film's."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Protocol

from PyQt6.QtCore import QPoint, Qt, QTimer
from PyQt6.QtGui import QContextMenuEvent, QFocusEvent, QKeyEvent, QResizeEvent
from PyQt6.QtWidgets import QListWidget, QListWidgetItem

from aftercase.gui.row_painter import ROW


class Row(Protocol):
    """What a row says; another one that says the same is equal to it."""

    @property
    def spoken(self) -> str:
        """Everything it says, for a screen reader."""


class ChoosingList(QListWidget):
    """A click or an arrow key chooses a row; the menu key asks for the current row's menu.

    Args:
        name: What the rows are, for a screen reader.
        chosen: Called with the row that was chosen.
        menu_wanted: Called with a row and where its menu is to open.
    """

    def __init__(
        self,
        name: str,
        chosen: Callable[[QListWidgetItem], object],
        menu_wanted: Callable[[QListWidgetItem, QPoint], object] = lambda item, place: None,
    ) -> None:
        super().__init__()
        self._chosen, self._menu_wanted = chosen, menu_wanted
        self.setAccessibleName(name)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setVerticalScrollMode(QListWidget.ScrollMode.ScrollPerPixel)
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.itemClicked.connect(chosen)
        self._looked_at = -1
        self._look = QTimer(self)  # rows have their new heights only once they are laid out
        self._look.setSingleShot(True)
        self._look.setInterval(0)
        self._look.timeout.connect(self._scroll)

    def show_rows(self, rows: Sequence[Row]) -> None:
        """Show these rows; places that say the same as before are left alone."""
        while self.count() > len(rows):
            self.takeItem(self.count() - 1)
        for place, row in enumerate(rows):
            item = self.item(place)
            if item is None:  # an item must say something before the list measures it
                item = QListWidgetItem()
                _fill(item, row)
                self.addItem(item)
            elif item.data(ROW) is not row and item.data(ROW) != row:
                _fill(item, row)

    def row_at(self, place: int) -> QListWidgetItem:
        """Return a row that is there."""
        item = self.item(place)
        assert item is not None
        return item

    def look_at(self, place: int) -> None:
        """Scroll a row wholly into view, soon, and again when the list gets another size."""
        self._looked_at = place
        self._look.start()

    def is_in_view(self, place: int) -> bool:
        """Claim that all of a row is seen."""
        port = self.viewport()
        return port is not None and port.rect().contains(self.visualItemRect(self.row_at(place)))

    def focusInEvent(self, event: QFocusEvent | None) -> None:  # noqa: N802 - Qt's name
        """Take the keys; where no row is current, the first arrow key chooses the first row."""
        has_none = self.currentRow() < 0
        super().focusInEvent(event)
        if has_none:
            self.setCurrentRow(-1)

    def keyPressEvent(self, event: QKeyEvent | None) -> None:  # noqa: N802 - Qt's name
        """Move to another row and choose it."""
        before = self.currentRow()
        super().keyPressEvent(event)
        item = self.currentItem()
        if item is not None and self.currentRow() != before:
            self._chosen(item)

    def contextMenuEvent(self, event: QContextMenuEvent | None) -> None:  # noqa: N802 - Qt's name
        """Ask for the menu of the row under the pointer, or of the current one by key."""
        if event is None:
            return
        by_key = event.reason() == QContextMenuEvent.Reason.Keyboard
        item = self.currentItem() if by_key else self.itemAt(event.pos())
        port = self.viewport()
        if item is not None and port is not None:
            below = port.mapToGlobal(self.visualItemRect(item).bottomLeft())
            self._menu_wanted(item, below if by_key else event.globalPos())

    def resizeEvent(self, event: QResizeEvent | None) -> None:  # noqa: N802 - Qt's name
        """Lay the rows out anew: their texts wrap elsewhere."""
        super().resizeEvent(event)
        self.scheduleDelayedItemsLayout()
        self._look.start()

    def _scroll(self) -> None:
        item = self.item(self._looked_at)
        if item is not None:
            self.scrollToItem(item)


def _fill(item: QListWidgetItem, row: Row) -> None:
    item.setData(ROW, row)
    item.setData(Qt.ItemDataRole.AccessibleTextRole, row.spoken)
