"""The remarks beside the film: in step with the clock both ways, searched, edited in place."""

from __future__ import annotations

from typing import Final

from PyQt6.QtCore import Qt
from PyQt6.QtWidgets import (
    QCheckBox,
    QComboBox,
    QFormLayout,
    QLabel,
    QLineEdit,
    QListWidget,
    QListWidgetItem,
    QPlainTextEdit,
    QVBoxLayout,
    QWidget,
)

from aftercase.clock import text_of
from aftercase.gui.host import Host
from aftercase.model.review import Flag, Remark
from aftercase.session.adopting import stops
from aftercase.session.desk import Desk
from aftercase.session.verbs.marking import say_of_mark
from aftercase.session.verbs.remarks import KIND_NAMES, KIND_SIGNS

_ID = Qt.ItemDataRole.UserRole
_AT = Qt.ItemDataRole.UserRole + 1
_SIGN_OF: Final = {kind: sign for sign, kind in KIND_SIGNS.items()}
_FIELDS: Final = (("text", "Remark"), ("reason", "Why"), ("next_time", "Next time"))


class RemarksList(QWidget):
    """Remarks and flags in the film's order, and the chosen one for editing."""

    def __init__(self, host: Host, desk: Desk) -> None:
        super().__init__()
        self._host, self._desk = host, desk
        self._flags = stops(desk.opened, desk.review)
        self._search = QLineEdit()
        self._search.setPlaceholderText("Search remarks")
        self._search.setAccessibleName("Search remarks")
        self._search.textChanged.connect(lambda _: self._show_list())
        self._kind = QComboBox()
        self._kind.setAccessibleName("Kind of remark shown")
        self._kind.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self._kind.addItem("all kinds", "")
        for kind, name in KIND_NAMES.items():
            self._kind.addItem(f"{_SIGN_OF[kind]} {name}", kind)
        self._kind.activated.connect(lambda _: self._show_list())
        self._list = QListWidget()
        self._list.setAccessibleName("Remarks")
        self._list.setWordWrap(True)
        self._list.setSpacing(3)
        self._list.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self._list.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self._list.itemClicked.connect(self._go)
        self._list.itemActivated.connect(self._go)
        self._editor = _Editor(desk)
        column = QVBoxLayout(self)
        column.setContentsMargins(4, 4, 4, 4)
        for widget, stretch in (
            (self._search, 0),
            (self._kind, 0),
            (self._list, 1),
            (self._editor, 0),
        ):
            column.addWidget(widget, stretch)
        self._stops = [
            desk.listen("review", self._show_list),
            desk.listen("moment", self._show_moment),
            desk.listen("selection", self._show_selection),
        ]
        self._show_list()

    def stop(self) -> None:
        """Listen no more."""
        for stop in self._stops:
            stop()

    def shown(self) -> list[str]:
        """Return the rows' texts."""
        return [self._item(row).text() for row in range(self._list.count())]

    def _item(self, row: int) -> QListWidgetItem:
        item = self._list.item(row)
        assert item is not None
        return item

    def _show_list(self) -> None:
        words, kind = self._search.text().casefold(), self._kind.currentData()
        rows: list[tuple[int, str, str]] = []
        for remark in self._desk.review.remarks:
            said = f"{remark.text} {remark.reason} {remark.next_time}".casefold()
            if words in said and kind in ("", remark.kind):
                rows.append((remark.at_us, remark.id, _row(remark)))
        if not words and not kind:
            rows += [(flag.at_us, flag.id, _flag_row(flag)) for flag in self._desk.review.flags]
            rows += [
                (one.flag.at_us, "", f"{one.reviewer}: {_flag_row(one.flag)}")
                for one in self._flags
            ]
        rows.sort()
        if [self._item(n).data(_ID) for n in range(self._list.count())] != [r[1] for r in rows]:
            self._list.clear()
            for _ in rows:
                self._list.addItem(QListWidgetItem())
        for place, (at_us, record_id, text) in enumerate(rows):
            item = self._item(place)
            item.setText(text)
            item.setData(_ID, record_id)
            item.setData(_AT, at_us)
        self._show_selection()
        self._show_moment()

    def _show_moment(self) -> None:
        """Mark the remark that was reached last."""
        reached = [
            row
            for row in range(self._list.count())
            if self._item(row).data(_AT) <= self._desk.at_us
        ]
        row = reached[-1] if reached else -1
        if row != self._list.currentRow() and not self._list.hasFocus():
            self._list.setCurrentRow(row)

    def _show_selection(self) -> None:
        chosen = [mark for mark in self._desk.selected() if isinstance(mark, Remark)]
        self._editor.show_remark(chosen[0] if len(chosen) == 1 else None)

    def _go(self, item: QListWidgetItem) -> None:
        if item.data(_ID):
            self._desk.select(item.data(_ID))
        self._host.player.go_to(item.data(_AT))


class _Editor(QWidget):
    """One remark's fields; each is saved as it is typed, and undone as one."""

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self._desk = desk
        self._remark_id: str | None = None
        form = QFormLayout(self)
        form.setContentsMargins(0, 0, 0, 0)
        form.setRowWrapPolicy(QFormLayout.RowWrapPolicy.WrapAllRows)
        self._kind = QComboBox()
        self._kind.setAccessibleName("Kind of the chosen remark")
        for kind, name in KIND_NAMES.items():
            self._kind.addItem(f"{_SIGN_OF[kind]} {name}", kind)
        self._kind.activated.connect(
            lambda _: self._say("change the kind", kind=self._kind.currentData())
        )
        self._star = QCheckBox("Starred for the closing")
        self._star.clicked.connect(lambda on: self._say("star a remark", starred=on))
        self._fields: dict[str, QPlainTextEdit] = {}
        form.addRow(self._kind)
        for name, label in _FIELDS:
            field = QPlainTextEdit()
            field.setAccessibleName(label)
            field.setTabChangesFocus(True)
            field.setFixedHeight(field.fontMetrics().height() * 2 + 14)
            field.textChanged.connect(lambda one=name: self._typed(one))
            self._fields[name] = field
            form.addRow(QLabel(label), field)
        form.addRow(self._star)
        self.hide()

    def show_remark(self, remark: Remark | None) -> None:
        """Show a remark's fields, or nothing."""
        self.setVisible(remark is not None)
        self._remark_id = None  # what is set below was not typed
        if remark is None:
            return
        for name, field in self._fields.items():
            if field.toPlainText() != getattr(remark, name):
                field.setPlainText(getattr(remark, name))
            field.setReadOnly(not self._desk.is_draft)
        place = self._kind.findData(remark.kind)
        self._kind.setCurrentIndex(place)
        self._star.setChecked(remark.starred)
        for widget in (self._kind, self._star):
            widget.setEnabled(self._desk.is_draft)
        self._remark_id = remark.id

    def _typed(self, name: str) -> None:
        self._say(f"write {name.replace('_', ' ')}", **{name: self._fields[name].toPlainText()})

    def _say(self, label: str, **fields: object) -> None:
        if self._remark_id is not None:
            say_of_mark(self._desk, self._remark_id, label, **fields)


def _row(remark: Remark) -> str:
    star = "★ " if remark.starred else ""
    drawn = " ✎ drawing" if remark.drawings else ""
    return (
        f"{_SIGN_OF.get(remark.kind, '·')} {star}{text_of(remark.at_us)[:-4]} "
        f"{KIND_NAMES.get(remark.kind, remark.kind)}{drawn}\n{remark.text}"
    )


def _flag_row(flag: Flag) -> str:
    return f"⚑ {text_of(flag.at_us)[:-4]} look here {flag.note}".strip()
