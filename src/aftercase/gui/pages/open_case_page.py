"""Opening a case folder that is not on the list."""

from __future__ import annotations

from pathlib import Path

from PyQt6.QtWidgets import QLineEdit, QVBoxLayout, QWidget

from aftercase.document.folder import CASE_FILE
from aftercase.gui.host import Host
from aftercase.gui.pages.building import DropPlace, button, label, panel, row, say
from aftercase.gui.pages.film_chooser import choose_folder
from aftercase.session.settings import cases_folder_of


class OpenCasePage(QWidget):
    """A line for the folder, and a dialogue to choose it in."""

    title = "Open a case"

    def __init__(self, host: Host) -> None:
        super().__init__()
        self._host = host
        self._line = QLineEdit(f"{cases_folder_of(host.settings, host.at)}/")
        self._line.setAccessibleName("Folder of the case")
        self._line.returnPressed.connect(self._open)
        self._fault = label("", "warn")
        place = DropPlace("Drop a case folder", self._take)
        inner = QVBoxLayout(place)
        inner.setContentsMargins(0, 0, 0, 0)
        inner.addWidget(
            panel(
                "",
                label("The folder of a case: the one that holds its case.json.", "soft"),
                row(
                    self._line,
                    button(
                        "Choose…",
                        lambda: choose_folder(self, "Folder of a case", self._take),
                        "Choose the folder",
                    ),
                    button("Open", self._open, "Open the case"),
                ),
                self._fault,
            )
        )
        column = QVBoxLayout(self)
        column.addWidget(place)
        column.addStretch(1)

    def _take(self, places: tuple[Path, ...]) -> None:
        self._line.setText(str(places[0]))
        self._open()

    def _open(self) -> None:
        typed = self._line.text().strip()
        folder = Path(typed).expanduser()
        if folder.name == CASE_FILE:
            folder = folder.parent
        if not typed or not (folder / CASE_FILE).is_file():
            say(self._fault, "This is no case folder: it holds no case.json.", "warn")
            return
        self._host.leave_page()
        self._host.open_path(folder)
