"""The sheet of keys."""

from __future__ import annotations

from PyQt6.QtWidgets import QVBoxLayout, QWidget

from aftercase.gui.host import Host
from aftercase.gui.pages.building import button, label, row
from aftercase.gui.pages.keys_table import KeysTable


class KeysPage(QWidget):
    """Every key, from the table of actions."""

    title = "Sheet of keys"

    def __init__(self, host: Host) -> None:
        super().__init__()
        self.table = KeysTable(host.settings.keys)
        column = QVBoxLayout(self)
        column.addWidget(
            label(
                "Three keys are enough to begin: next step, nothing in the eye, taken over. While "
                "something is typed in, keys without Ctrl are letters.",
                "soft",
            )
        )
        column.addWidget(self.table, 1)
        column.addLayout(
            row(button("Change keys…", lambda: host.show_page("settings"), "Change keys"))
        )
