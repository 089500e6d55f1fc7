"""The left side of the replay room: whose review, which moments, and the moments in order."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from PyQt6.QtWidgets import QComboBox, QVBoxLayout, QWidget

from aftercase.gui.host import Host
from aftercase.gui.pages.building import label
from aftercase.gui.review.choosing_list import ChoosingList
from aftercase.gui.review.remark_rows import RemarkPainter, RemarkRow
from aftercase.gui.row_painter import ROW


class MomentList(QWidget):
    """Shows moments as rows; one that is clicked is told.

    Args:
        host: The window, for its colours.
        chosen: Called with the place of a row that was clicked.
        whose_chosen: Called with the place of the review that was chosen.
    """

    def __init__(
        self, host: Host, chosen: Callable[[int], None], whose_chosen: Callable[[int], None]
    ) -> None:
        super().__init__()
        self._whose = QComboBox()
        self._whose.setAccessibleName("Whose review is replayed")
        self._whose.setSizeAdjustPolicy(
            QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon
        )
        self._whose.activated.connect(whose_chosen)
        self._filter = label("All moments")
        self._list = ChoosingList("Moments", lambda item: chosen(self._list.row(item)))
        self._list.setItemDelegate(RemarkPainter(host, self._list))
        self._list.itemActivated.connect(lambda item: chosen(self._list.row(item)))
        rows = QVBoxLayout(self)
        rows.setContentsMargins(6, 6, 6, 6)
        for widget in (self._whose, self._filter, self._list):
            rows.addWidget(widget)

    @property
    def rows(self) -> tuple[RemarkRow, ...]:
        """What the rows say."""
        return tuple(self._list.row_at(place).data(ROW) for place in range(self._list.count()))

    def show_whose(self, reviews: Sequence[str], place: int) -> None:
        """Offer these reviews, one of them chosen; a single one is not asked about."""
        self._whose.clear()
        self._whose.addItems(list(reviews))
        self._whose.setCurrentIndex(place)
        self._whose.setVisible(len(reviews) > 1)

    def show_rows(self, rows: Sequence[RemarkRow], which: str, place: int) -> None:
        """Show these rows, which they are in words, and the one that is looked at."""
        self._filter.setText(which)
        self._list.show_rows(rows)
        self._list.setCurrentRow(place if rows else -1)
