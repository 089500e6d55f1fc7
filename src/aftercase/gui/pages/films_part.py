"""The films of a new case as a list: added, put in order, left out."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from PyQt6.QtCore import QEvent, QObject, Qt
from PyQt6.QtGui import QKeyEvent
from PyQt6.QtWidgets import QFrame, QListWidget, QVBoxLayout

from aftercase.gui.pages.building import DropPlace, button, label, row, say
from aftercase.gui.pages.film_chooser import choose_films, choose_folder
from aftercase.gui.shortcuts import TAKES_KEYS

_LINES_SHOWN: Final = 5
_ALT: Final = Qt.KeyboardModifier.AltModifier
_PLAIN: Final = Qt.KeyboardModifier.NoModifier


@dataclass(frozen=True)
class FilmDeeds:
    """What the list asks for.

    Attributes:
        add: Add files and folders.
        move: Move the present film by places.
        drop: Leave the present film out.
    """

    add: Callable[[tuple[Path, ...]], object]
    move: Callable[[int], object]
    drop: Callable[[], object]


class FilmsPart(DropPlace):
    """The list, what changes it, and a place to drop films."""

    def __init__(self, deeds: FilmDeeds) -> None:
        super().__init__("Drop films and folders here", deeds.add)
        self.setFrameShape(QFrame.Shape.StyledPanel)
        self.setProperty("role", "panel")
        self._list = QListWidget()
        self._list.setAccessibleName("Films in the order they play")
        self._list.setWordWrap(True)
        self._list.setProperty(TAKES_KEYS, True)
        self._list.setMinimumHeight(self._list.fontMetrics().lineSpacing() * (_LINES_SHOWN + 1))
        self._list.setMaximumHeight(self._list.minimumHeight() * 2)
        self._list.currentRowChanged.connect(lambda place: self._show_buttons())
        self._list.installEventFilter(self)
        self._keys: Final = {
            (Qt.Key.Key_Up, _ALT): lambda: deeds.move(-1),
            (Qt.Key.Key_Down, _ALT): lambda: deeds.move(1),
            (Qt.Key.Key_Delete, _PLAIN): deeds.drop,
        }
        self._earlier = button("Earlier (Alt+Up)", lambda: deeds.move(-1), "Play it earlier")
        self._later = button("Later (Alt+Down)", lambda: deeds.move(1), "Play it later")
        self._drop = button("Leave out (Del)", deeds.drop, "Leave this film out")
        self.add_button = button("Add films…", lambda: choose_films(self, deeds.add), "Add films")
        self._looking = label("", "soft")
        column = QVBoxLayout(self)
        column.addWidget(label("Films, in the order they play", "heading"))
        column.addWidget(
            label(
                "Drop files or a card's folder here, or choose them. They stay where they lie. "
                "Names, times and pictures put them in order; you decide.",
                "soft",
            )
        )
        column.addWidget(self._list)
        column.addWidget(self._looking)
        column.addLayout(row(self._earlier, self._later, self._drop))
        column.addLayout(
            row(
                self.add_button,
                button(
                    "Add a folder…",
                    lambda: choose_folder(self, "A folder of films", deeds.add),
                    "Add the films of a folder",
                ),
            )
        )
        self._show_buttons()

    @property
    def place(self) -> int:
        """The present film's place, -1 where there is none."""
        return self._list.currentRow()

    def show_films(self, lines: list[str]) -> None:
        """Show the films; the same place stays the present one."""
        place = max(self.place, 0)
        self._list.clear()
        self._list.addItems(lines)
        self.go_to(place)

    def go_to(self, place: int) -> None:
        """Make a film the present one, as far as there are so many."""
        self._list.setCurrentRow(min(max(place, 0), self._list.count() - 1))
        self._show_buttons()

    def say_looking(self, is_looking: bool) -> None:
        """Say that films are being looked at."""
        say(self._looking, "Looking at the films…" if is_looking else "", "soft")

    def _show_buttons(self) -> None:
        place, count = self.place, self._list.count()
        self._earlier.setEnabled(place > 0)
        self._later.setEnabled(0 <= place < count - 1)
        self._drop.setEnabled(place >= 0)

    def eventFilter(self, watched: QObject | None, event: QEvent | None) -> bool:  # noqa: N802
        """Answer the list's keys."""
        if isinstance(event, QKeyEvent) and event.type() == QEvent.Type.KeyPress:
            held = event.modifiers() & ~Qt.KeyboardModifier.KeypadModifier
            deed = self._keys.get((Qt.Key(event.key()), held))
            if deed is not None:
                deed()
                return True
        return False
