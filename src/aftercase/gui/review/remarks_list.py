"""The remarks beside the film: in step with the clock both ways, searched, edited in place."""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import replace
from typing import Final

from PyQt6.QtCore import QItemSelectionModel, Qt
from PyQt6.QtGui import QKeyEvent, QResizeEvent
from PyQt6.QtWidgets import (
    QApplication,
    QComboBox,
    QLineEdit,
    QListWidgetItem,
    QSplitter,
    QVBoxLayout,
    QWidget,
)

from aftercase.gui.host import Host
from aftercase.gui.pages.building import scrolled
from aftercase.gui.review.choosing_list import ChoosingList
from aftercase.gui.review.earlier_goals import EarlierGoals
from aftercase.gui.review.remark_editor import RemarkEditor
from aftercase.gui.review.remark_rows import RemarkPainter, RemarkRow, flag_row, remark_row
from aftercase.gui.review.searching import is_said
from aftercase.gui.row_painter import ROW
from aftercase.gui.strip.content import FLAG
from aftercase.model.review import Remark
from aftercase.session.adopting import stops
from aftercase.session.answers import answers_to
from aftercase.session.desk import Desk
from aftercase.session.verbs.remarks import KIND_NAMES, KIND_SIGNS

_EVERYTHING: Final = ""
_STARRED: Final = "starred"
_SIGN_OF: Final = {kind: sign for sign, kind in KIND_SIGNS.items()}
_FILTERS: Final = (
    ("All remarks", _EVERYTHING),
    *((f"{_SIGN_OF[kind]} {name}", kind) for kind, name in KIND_NAMES.items()),
    ("Only starred", _STARRED),
    ("Only “look here”", FLAG),
)


class RemarksList(QWidget):
    """Remarks and flags in the film's order, and the chosen remark for editing.

    Args:
        host: The window.
        desk: The case on the desk.
    """

    def __init__(self, host: Host, desk: Desk) -> None:
        super().__init__()
        self._host, self._desk = host, desk
        self._answers = answers_to(desk.opened, desk.review)
        self._rows: list[RemarkRow] = []
        self._chosen_id = ""
        self._goals = EarlierGoals(desk)
        self._search = QLineEdit()
        self._search.setPlaceholderText("Search remarks")
        self._search.setAccessibleName("Search remarks")
        self._search.setClearButtonEnabled(True)
        self._search.textChanged.connect(lambda _: self._show_wanted())
        self._filter = QComboBox()
        self._filter.setAccessibleName("Which remarks are shown")
        self._filter.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        for label, word in _FILTERS:
            self._filter.addItem(label, word)
        self._filter.activated.connect(lambda _: self._show_wanted())
        self._list = ChoosingList("Remarks", self._go)
        self._list.setItemDelegate(RemarkPainter(host, self._list))
        self._editor = RemarkEditor(desk)
        self._editor.left.connect(host.take_film_focus)
        self._edited = scrolled(self._editor)
        self._edited.hide()
        self._lay_out()
        self._stops = [
            desk.listen("review", self._show_list),
            desk.listen("moment", self._show_moment),
            desk.listen("selection", self._show_selection),
        ]
        self._show_list()

    def stop(self) -> None:
        """Listen no more."""
        self._goals.stop()
        for stop in self._stops:
            stop()

    def shown(self) -> tuple[RemarkRow, ...]:
        """Return what the rows say, from top to bottom."""
        return tuple(self._rows)

    def keyPressEvent(self, event: QKeyEvent | None) -> None:  # noqa: N802 - Qt's name
        """Give the keys to the film on Escape."""
        if event is not None and event.key() == Qt.Key.Key_Escape:
            self._host.take_film_focus()
        else:
            super().keyPressEvent(event)

    def resizeEvent(self, event: QResizeEvent | None) -> None:  # noqa: N802 - Qt's name
        """Share the height anew with the goals of earlier cases."""
        super().resizeEvent(event)
        self._goals.fit()

    def _lay_out(self) -> None:
        parts = QSplitter(Qt.Orientation.Vertical)
        parts.setChildrenCollapsible(False)
        for part in (self._list, self._edited):
            part.setMinimumHeight(5 * self.fontMetrics().height())
            parts.addWidget(part)
        column = QVBoxLayout(self)
        column.setContentsMargins(4, 4, 4, 4)
        column.addWidget(self._goals)
        column.addWidget(self._search)
        column.addWidget(self._filter)
        column.addWidget(parts, 1)

    def _show_wanted(self) -> None:
        """Show what is looked for now, from the row that was reached last."""
        self._rows = []
        self._show_list()

    def _show_list(self) -> None:
        self._put([row for row in self._every() if self._is_wanted(row)])
        self._show_selection()

    def _every(self) -> list[RemarkRow]:
        """Return a row for every remark and flag, in the film's order."""
        review = self._desk.review
        rows = [
            *(remark_row(remark, self._answers) for remark in review.remarks),
            *(flag_row(flag) for flag in review.flags),
            *(flag_row(stop.flag, stop.reviewer) for stop in stops(self._desk.opened, review)),
        ]
        return sorted(rows, key=lambda row: (row.at_us, row.id))

    def _is_wanted(self, row: RemarkRow) -> bool:
        word = self._filter.currentData()
        if word not in (_EVERYTHING, row.kind) and not (word == _STARRED and row.is_starred):
            return False
        return is_said(self._search.text(), row.searched)

    def _reached(self, rows: list[RemarkRow]) -> RemarkRow | None:
        """Return the row that was reached last at the shown frame, None before the first."""
        place = bisect_right(rows, self._desk.at_us, key=lambda row: row.at_us)
        return rows[place - 1] if place else None

    def _show_moment(self) -> None:
        marked = next((row for row in self._rows if row.is_now), None)
        if self._reached(self._rows) is not marked:
            self._put(self._rows)

    def _put(self, rows: list[RemarkRow]) -> None:
        """Put rows into the list, the one that was reached last marked and in sight."""
        now = self._reached(rows)
        was_now = {(row.at_us, row.id) for row in self._rows if row.is_now}
        self._rows = [
            row if row.is_now == (row is now) else replace(row, is_now=row is now) for row in rows
        ]
        self._list.show_rows(self._rows)
        for place, row in enumerate(self._rows):
            if row.is_now and (row.at_us, row.id) not in was_now and not self._list.hasFocus():
                self._list.look_at(place)
        self._put_keys()

    def _show_selection(self) -> None:
        """Show which remark is selected, and its fields."""
        chosen = [mark for mark in self._desk.selected() if isinstance(mark, Remark)]
        remark = chosen[0] if len(chosen) == 1 else None
        ids = set(self._desk.selection)
        for place, row in enumerate(self._rows):
            self._list.row_at(place).setSelected(bool(row.id) and row.id in ids)
        self._put_keys()
        if remark is None and self._edited.isAncestorOf(QApplication.focusWidget()):
            self._host.take_film_focus()  # else the keys went to whatever stands next
        self._edited.setVisible(remark is not None)
        self._goals.give_way(remark is not None)
        self._editor.show_remark(remark)
        self._look_at_chosen(remark)

    def _look_at_chosen(self, remark: Remark | None) -> None:
        """Scroll to a remark that was not the chosen one before; with none, back to the film."""
        before, self._chosen_id = self._chosen_id, "" if remark is None else remark.id
        if self._chosen_id == before:
            return
        for place, row in enumerate(self._rows):
            if row.id == self._chosen_id if self._chosen_id else row.is_now:
                self._list.look_at(place)

    def _put_keys(self) -> None:
        """Let the arrow keys go on from the selected row, else from where the film is."""
        selected = [n for n, row in enumerate(self._rows) if (row.id,) == self._desk.selection]
        reached = [n for n, row in enumerate(self._rows) if row.is_now]
        if selected or not self._list.hasFocus():
            place = next(iter((*selected, *reached)), -1)
            self._list.setCurrentRow(place, QItemSelectionModel.SelectionFlag.NoUpdate)

    def _go(self, item: QListWidgetItem) -> None:
        row: RemarkRow = item.data(ROW)
        self._desk.select(*([row.id] if row.id else []))
        self._host.player.go_to(row.at_us)
