"""The list beside the film whose keys are somebody else's first."""

from __future__ import annotations

from collections.abc import Callable

from PyQt6.QtGui import QFocusEvent, QKeyEvent

from aftercase.gui.host import Host
from aftercase.gui.review.sign_list import SignList, SignRow


class HandedList(SignList):
    """A list of signs that hands each key on before it takes it itself.

    Args:
        host: The window, for its colours.
        name: What is chosen here, for a screen reader.
        take_key: Takes a key and claims that it did.
    """

    def __init__(self, host: Host, name: str, take_key: Callable[[QKeyEvent], bool]) -> None:
        super().__init__(host, name)
        self._take_key = take_key

    @property
    def chosen_id(self) -> str:
        """The id of the row that the arrow keys have reached; empty for none."""
        rows, place = self.shown(), self.currentRow()
        return rows[place].id if 0 <= place < len(rows) else ""

    def show_work(self, rows: tuple[SignRow, ...]) -> None:
        """Show rows of which none is current: the arrow keys move on the picture. Scroll not."""
        bar = self.verticalScrollBar()
        at = bar.value() if bar is not None else 0
        self.show_rows(rows)
        self.setCurrentRow(-1)
        if bar is not None:
            bar.setValue(at)

    def choose(self, row_id: str) -> None:
        """Make a row the current one."""
        ids = [row.id for row in self.shown()]
        if row_id in ids:
            self.setCurrentRow(ids.index(row_id))

    def turn_page(self, way: int) -> None:
        """Scroll by a page."""
        bar = self.verticalScrollBar()
        if bar is not None:
            bar.setValue(bar.value() + way * bar.pageStep())

    def focusInEvent(self, event: QFocusEvent | None) -> None:  # noqa: N802 - Qt's name
        """Take the keys; where no row is current, none becomes it."""
        has_none = self.currentRow() < 0
        super().focusInEvent(event)
        if has_none:
            self.setCurrentRow(-1)

    def keyPressEvent(self, event: QKeyEvent | None) -> None:  # noqa: N802 - Qt's name
        """Hand a key on, or take it."""
        if event is not None and not self._take_key(event):
            super().keyPressEvent(event)
