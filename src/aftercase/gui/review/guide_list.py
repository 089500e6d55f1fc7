"""The guide as an upright list that fills as the film plays."""

from __future__ import annotations

from typing import Final

from PyQt6.QtCore import QPoint, QRect, QSize, Qt
from PyQt6.QtGui import QColor, QFont, QPainter, QPen
from PyQt6.QtWidgets import (
    QCheckBox,
    QLabel,
    QListWidget,
    QListWidgetItem,
    QMenu,
    QStyle,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QVBoxLayout,
    QWidget,
)

from aftercase.gui.host import Host
from aftercase.session.desk import Desk
from aftercase.session.guidelist import NEXT, RUNNING, StepLine, marked_rows, step_lines
from aftercase.session.verbs import marking

_LINE = Qt.ItemDataRole.UserRole
_WORD = Qt.ItemDataRole.UserRole + 1
_PAD: Final = 5


class GuideList(QWidget):
    """Every step with what is known of it; a click goes there."""

    def __init__(self, host: Host, desk: Desk) -> None:
        super().__init__()
        self._host, self._desk = host, desk
        self._list = QListWidget()
        self._list.setAccessibleName("Steps of the guide")
        self._list.setItemDelegate(_StepPainter(host, self._list))
        self._list.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self._list.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self._list.setContextMenuPolicy(Qt.ContextMenuPolicy.CustomContextMenu)
        self._list.customContextMenuRequested.connect(self._menu)
        self._list.itemClicked.connect(self._go)
        self._list.itemActivated.connect(self._go)
        self._all = QCheckBox("Show all steps")
        self._all.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self._all.toggled.connect(lambda _: self._show_lines())
        note = QLabel("Duration is not quality.")
        note.setProperty("role", "soft")
        column = QVBoxLayout(self)
        column.setContentsMargins(4, 4, 4, 4)
        for widget in (self._list, self._all, note):
            column.addWidget(widget)
        self._stops = [
            desk.listen("review", self._show_lines),
            desk.listen("moment", self._show_words),
        ]
        self._show_lines()

    def stop(self) -> None:
        """Listen no more."""
        for stop in self._stops:
            stop()

    def rows(self) -> list[tuple[str, str]]:
        """Return what is shown: the step's id, and ``running``, ``next`` or nothing."""
        items = [self._item(row) for row in range(self._list.count())]
        return [(item.data(_LINE).step.id, item.data(_WORD) or "") for item in items]

    def _item(self, row: int) -> QListWidgetItem:
        item = self._list.item(row)
        assert item is not None
        return item

    def _show_lines(self) -> None:
        lines = [
            line
            for line in step_lines(self._desk.guide, self._desk.review)
            if self._all.isChecked() or not line.folded
        ]
        if self._list.count() != len(lines):
            self._list.clear()
            for _ in lines:
                self._list.addItem(QListWidgetItem())
        for row, line in enumerate(lines):
            item = self._item(row)
            if item.data(_LINE) != line:
                item.setData(_LINE, line)
                item.setToolTip(line.about)
        self._show_words()

    def _show_words(self) -> None:
        desk = self._desk
        running, following = marked_rows(desk.guide, desk.review, desk.at_us)
        for row in range(self._list.count()):
            item = self._item(row)
            line: StepLine = item.data(_LINE)
            word = {running: RUNNING}.get(line.step.id, NEXT if line.step.id == following else "")
            if item.data(_WORD) != word:
                item.setData(_WORD, word)
                said = ", ".join(part for part in (line.step.name, word, line.about) if part)
                item.setData(Qt.ItemDataRole.AccessibleTextRole, said)
                if word == RUNNING:
                    self._list.scrollToItem(item)

    def _go(self, item: QListWidgetItem) -> None:
        """Go to the step's next visit after the shown frame, else to its first."""
        line: StepLine = item.data(_LINE)
        starts = [start_us for start_us, _ in line.visits_us]
        later = [us for us in starts if us > self._desk.at_us]
        if starts:
            self._host.player.go_to((later or starts)[0])

    def _menu(self, place: QPoint) -> None:
        item = self._list.itemAt(place)
        if item is None or not self._desk.is_draft:
            return
        line: StepLine = item.data(_LINE)
        menu = QMenu(self)
        for label, run in (
            ("Begin or end it here", lambda: marking.press_step(self._desk, line.step.id)),
            (
                "It is needed after all" if line.not_needed else "It was not needed",
                lambda: marking.switch_not_needed(self._desk, line.step.id),
            ),
        ):
            action = menu.addAction(label)
            if action is not None:
                action.triggered.connect(lambda _, one=run: one())
        menu.popup(self._list.mapToGlobal(place))


class _StepPainter(QStyledItemDelegate):
    """Paints one step: its sign, name and word above, what is known of it below."""

    def __init__(self, host: Host, parent: QWidget) -> None:
        super().__init__(parent)
        self._host = host

    def sizeHint(self, option: QStyleOptionViewItem, index) -> QSize:  # type: ignore[no-untyped-def]  # noqa: N802
        """Return room for one line, or two where something is known."""
        line: StepLine = index.data(_LINE)
        high = option.fontMetrics.height()
        return QSize(100, high * (2 if line.about else 1) + 2 * _PAD)

    def paint(self, painter: QPainter | None, option: QStyleOptionViewItem, index) -> None:  # type: ignore[no-untyped-def]
        """Paint a row."""
        assert painter is not None
        theme = self._host.theme
        line: StepLine = index.data(_LINE)
        word = index.data(_WORD) or ""
        box = option.rect.adjusted(2, 1, -2, -1)
        painter.save()
        if word == RUNNING:
            painter.fillRect(box, QColor(theme.raised))
            painter.setPen(QPen(QColor(theme.accent), 2))
            painter.drawRect(box.adjusted(1, 1, -1, -1))
        if option.state & QStyle.StateFlag.State_HasFocus:
            painter.setPen(QPen(QColor(theme.focus), 2))
            painter.drawRect(box.adjusted(1, 1, -1, -1))
        font = QFont(option.font)
        font.setBold(word == RUNNING)
        painter.setFont(font)
        metrics = painter.fontMetrics()
        high = metrics.height()
        left = box.left() + _PAD + line.depth * 14
        sign_wide = metrics.horizontalAdvance("W") + 6
        painter.setPen(QColor(theme.soft_text))
        painter.drawText(QRect(left, box.top() + _PAD - 2, sign_wide, high), 0, line.sign)
        left += sign_wide
        word_wide = metrics.horizontalAdvance(word) + 4 if word else 0
        room = box.right() - _PAD - left - word_wide
        painter.setPen(QColor(theme.soft_text if line.not_needed else theme.text))
        name = metrics.elidedText(line.step.name, Qt.TextElideMode.ElideRight, room)
        painter.drawText(QRect(left, box.top() + _PAD - 2, room, high), 0, name)
        if word:
            painter.setPen(QColor(theme.accent if word == RUNNING else theme.soft_text))
            painter.drawText(
                QRect(box.right() - _PAD - word_wide, box.top() + _PAD - 2, word_wide, high),
                int(Qt.AlignmentFlag.AlignRight),
                word,
            )
        if line.about:
            painter.setFont(option.font)
            painter.setPen(QColor(theme.soft_text))
            about = painter.fontMetrics().elidedText(
                line.about, Qt.TextElideMode.ElideRight, box.right() - _PAD - left
            )
            painter.drawText(
                QRect(left, box.top() + _PAD - 2 + high, box.right() - _PAD - left, high), 0, about
            )
        painter.restore()
