"""One's own review and the teacher's on one strip, differences first."""

from __future__ import annotations

from typing import Final

from PyQt6.QtWidgets import (
    QHeaderView,
    QLabel,
    QTableWidget,
    QTableWidgetItem,
    QVBoxLayout,
    QWidget,
)

from aftercase.clock import seconds_text, text_of
from aftercase.gui.host import Host
from aftercase.gui.replay.two_rows import TwoRows
from aftercase.gui.shortcuts import TAKES_KEYS
from aftercase.model.review import Review
from aftercase.session.desk import Desk
from aftercase.session.replaying import StepDifference, differences

_HEADS: Final = ("Step", "Your own", "The other", "Edges apart, at most, s")


class BothReviews(QWidget):
    """Two reviews of one case side by side.

    Args:
        host: The window.
        desk: The case on the desk, with one's own review.
        theirs: The other review.
    """

    def __init__(self, host: Host, desk: Desk, theirs: Review) -> None:
        super().__init__()
        self.title = f"Your review and {theirs.reviewer}'s"
        self._host, self._desk = host, desk
        self._found = differences(desk.review, theirs)
        rows = QVBoxLayout(self)
        rows.addWidget(TwoRows(host, desk, ((desk.review, "Your own"), (theirs, theirs.reviewer))))
        note = QLabel(
            "Differences first. That two people marked differently says nothing of who is right. "
            "Adopted marks are their author's."
        )
        note.setWordWrap(True)
        note.setProperty("role", "soft")
        rows.addWidget(note)
        rows.addWidget(self._table(), 1)

    def _table(self) -> QTableWidget:
        table = QTableWidget(len(self._found), len(_HEADS))
        table.setProperty(TAKES_KEYS, True)
        table.setAccessibleName("Differences between the two reviews")
        table.setHorizontalHeaderLabels(list(_HEADS))
        table.setEditTriggers(QTableWidget.EditTrigger.NoEditTriggers)
        table.setSelectionBehavior(QTableWidget.SelectionBehavior.SelectRows)
        for row, one in enumerate(self._found):
            for column, text in enumerate(_cells(one, self._desk)):
                table.setItem(row, column, QTableWidgetItem(text))
        rows = table.verticalHeader()
        assert rows is not None
        rows.hide()
        head = table.horizontalHeader()
        assert head is not None
        head.setSectionResizeMode(QHeaderView.ResizeMode.ResizeToContents)
        head.setStretchLastSection(True)
        table.itemActivated.connect(lambda item: self._go(item.row()))
        table.itemDoubleClicked.connect(lambda item: self._go(item.row()))
        table.setMinimumHeight(200)
        return table

    def _go(self, row: int) -> None:
        one = self._found[row]
        span = one.mine_us or one.theirs_us
        assert span is not None, "a difference has at least one side"
        self._host.leave_page()
        self._host.player.go_to(span[0])


def _cells(one: StepDifference, desk: Desk) -> tuple[str, str, str, str]:
    apart = "only one marked it" if one.difference_us is None else seconds_text(one.difference_us)
    return desk.guide.step_name(one.step), _span(one.mine_us), _span(one.theirs_us), apart


def _span(span: tuple[int, int] | None) -> str:
    return "not marked" if span is None else f"{text_of(span[0])} – {text_of(span[1])}"
