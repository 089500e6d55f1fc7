"""The left side of the replay room: whose review, which moments, and the moments in order."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from PyQt6.QtCore import Qt
from PyQt6.QtWidgets import QComboBox, QListView, QListWidget, QVBoxLayout, QWidget

from aftercase.gui.pages.building import label


class MomentList(QWidget):
    """Shows moments as rows; one that is clicked is told.

    Args:
        chosen: Called with the place of a row that was clicked.
        whose_chosen: Called with the place of the review that was chosen.
    """

    def __init__(self, chosen: Callable[[int], None], whose_chosen: Callable[[int], None]) -> None:
        super().__init__()
        self._whose = QComboBox()
        self._whose.setAccessibleName("Whose review is replayed")
        self._whose.setSizeAdjustPolicy(
            QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon
        )
        self._whose.activated.connect(whose_chosen)
        self._filter = label("All moments")
        self._list = QListWidget()
        self._list.setAccessibleName("Moments")
        self._list.setWordWrap(True)
        self._list.setTextElideMode(Qt.TextElideMode.ElideNone)
        self._list.setResizeMode(QListView.ResizeMode.Adjust)
        self._list.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOn)
        self._list.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self._list.setSpacing(3)
        self._list.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self._list.itemClicked.connect(lambda item: chosen(self._list.row(item)))
        self._list.itemActivated.connect(lambda item: chosen(self._list.row(item)))
        rows = QVBoxLayout(self)
        rows.setContentsMargins(6, 6, 6, 6)
        for widget in (self._whose, self._filter, self._list):
            rows.addWidget(widget)

    @property
    def rows(self) -> tuple[str, ...]:
        """What stands in the rows."""
        items = (self._list.item(place) for place in range(self._list.count()))
        return tuple(item.text() for item in items if item is not None)

    def show_whose(self, reviews: Sequence[str], place: int) -> None:
        """Offer these reviews, one of them chosen; a single one is not asked about."""
        self._whose.clear()
        self._whose.addItems(list(reviews))
        self._whose.setCurrentIndex(place)
        self._whose.setVisible(len(reviews) > 1)

    def show_rows(self, rows: Sequence[str], which: str, place: int) -> None:
        """Show these rows, which they are in words, and the one that is looked at."""
        self._filter.setText(which)
        if list(rows) != list(self.rows):
            self._list.clear()
            self._list.addItems(list(rows))
        self._list.setCurrentRow(place if rows else -1)
