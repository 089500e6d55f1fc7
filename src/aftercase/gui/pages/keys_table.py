"""All actions with their keys as a list that can be searched, menu by menu."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import groupby

from PyQt6.QtCore import Qt
from PyQt6.QtWidgets import (
    QHeaderView,
    QLineEdit,
    QTreeWidget,
    QTreeWidgetItem,
    QVBoxLayout,
    QWidget,
)

from aftercase.gui.pages.building import label, say
from aftercase.gui.pages.key_words import shown_keys
from aftercase.session.actions.action import Action
from aftercase.session.actions.table import ACTIONS

_ID = Qt.ItemDataRole.UserRole
_LINES_SHOWN = 15


class KeysTable(QWidget):
    """A line to search in, and the list.

    Args:
        chosen: Keys the person chose, by action id.
    """

    def __init__(self, chosen: Mapping[str, str]) -> None:
        super().__init__()
        self.search = QLineEdit()
        self.search.setAccessibleName("Search the keys")
        self.search.setPlaceholderText("search: a word, or a key")
        self.search.setClearButtonEnabled(True)
        self.search.textChanged.connect(self._filter)
        self.list = QTreeWidget()
        self.list.setAccessibleName("Keys")
        self.list.setColumnCount(3)
        self.list.setHeaderLabels(["what", "key", ""])
        self.list.setRootIsDecorated(False)
        self.list.setUniformRowHeights(True)
        self.list.setAllColumnsShowFocus(True)
        self.list.setMinimumHeight(self.list.fontMetrics().lineSpacing() * _LINES_SHOWN)
        self._items: dict[str, QTreeWidgetItem] = {}
        self._help = label("", "soft")
        self._fill(chosen)
        self.list.currentItemChanged.connect(lambda now, before: self._show_help())
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self.search)
        column.addWidget(self.list, 1)
        column.addWidget(self._help)

    @property
    def action(self) -> Action | None:
        """The action whose row is the present one, None on a menu's name."""
        item = self.list.currentItem()
        action_id = item.data(0, _ID) if item is not None else None
        return next((action for action in ACTIONS if action.id == action_id), None)

    def show_action(self, action_id: str) -> None:
        """Make an action's row the present one."""
        self.list.setCurrentItem(self._items[action_id])

    def show_keys(self, chosen: Mapping[str, str]) -> None:
        """Show other keys."""
        for action in ACTIONS:
            self._items[action.id].setText(1, shown_keys(action, chosen))

    def words_shown(self) -> list[tuple[str, str]]:
        """Return what and key of each row that is not hidden by the search."""
        return [
            (item.text(0), item.text(1)) for item in self._items.values() if not item.isHidden()
        ]

    def _fill(self, chosen: Mapping[str, str]) -> None:
        for menu, actions in groupby(ACTIONS, key=lambda action: action.menu):
            heading = QTreeWidgetItem([menu])
            heading.setFlags(Qt.ItemFlag.ItemIsEnabled)
            font = heading.font(0)
            font.setBold(True)
            heading.setFont(0, font)
            self.list.addTopLevelItem(heading)
            for action in actions:
                item = QTreeWidgetItem([action.label, shown_keys(action, chosen), action.help])
                item.setData(0, _ID, action.id)
                item.setToolTip(2, action.help)
                heading.addChild(item)
                self._items[action.id] = item
            heading.setExpanded(True)
        head = self.list.header()
        assert head is not None
        head.setSectionResizeMode(0, QHeaderView.ResizeMode.ResizeToContents)
        head.setSectionResizeMode(1, QHeaderView.ResizeMode.ResizeToContents)
        head.setStretchLastSection(True)

    def _show_help(self) -> None:
        action = self.action
        say(self._help, "" if action is None else f"{action.label}: {action.help}", "soft")

    def _filter(self, typed: str) -> None:
        wanted = typed.strip().casefold()
        for item in self._items.values():
            texts = (item.text(column).casefold() for column in range(3))
            item.setHidden(not any(wanted in text for text in texts))
        for place in range(self.list.topLevelItemCount()):
            heading = self.list.topLevelItem(place)
            assert heading is not None
            heading.setHidden(
                all(_child(heading, row).isHidden() for row in range(heading.childCount()))
            )


def _child(heading: QTreeWidgetItem, place: int) -> QTreeWidgetItem:
    child = heading.child(place)
    assert child is not None
    return child
