"""The start page: who reviews, recent cases and what is open, and where films are dropped."""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import Final

from PyQt6.QtCore import Qt
from PyQt6.QtGui import QResizeEvent
from PyQt6.QtWidgets import (
    QBoxLayout,
    QFrame,
    QLabel,
    QScrollArea,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)

from aftercase.document.folder import CASE_FILE
from aftercase.gui.host import Host
from aftercase.gui.pages.building import DropPlace, button, label, row, say
from aftercase.gui.pages.film_chooser import choose_films
from aftercase.gui.pages.key_words import shown_keys
from aftercase.gui.pages.new_case import NewCasePage
from aftercase.gui.pages.person_page import ROLE_NAMES
from aftercase.gui.start.case_look import NO_PICTURE, CaseRow, look_at
from aftercase.gui.start.case_rows import CaseList
from aftercase.gui.start.looking import Look, Looking
from aftercase.gui.start.side_panels import GoalsPanel, RepliesPanel
from aftercase.media.ordering import is_film_name
from aftercase.session.actions.table import ACTIONS
from aftercase.session.goals import FoundGoals, open_goals
from aftercase.session.inbox import Inbox, unread_replies
from aftercase.session.recents import forget_case, recent_cases
from aftercase.session.rendition import make_still_for_start
from aftercase.session.stage import Page

_SIDE_WIDTH_CHARS: Final = 44
_LEAST_LIST_PX: Final = 320


class StartPage(QWidget):
    """The first room.

    Args:
        host: The window.
    """

    def __init__(self, host: Host) -> None:
        super().__init__()
        self._host = host
        self.setAccessibleName("Start page")
        self.cases = CaseList(host.theme, host.open_path, self._forget)
        self._nothing = label(
            "No case yet. Drop the film of an operation, press play, and write what you see: "
            "everything else can be said later.",
            "soft",
        )
        self._who = label("")
        self._goals = GoalsPanel()
        self._replies = RepliesPanel(host)
        self._looking = Looking(self, self._take, self._all_seen)
        self._is_looking = self._is_making_still = False
        self._rows: dict[Path, CaseRow] = {}
        self._without_still: set[Path] = set()
        self._columns = QBoxLayout(QBoxLayout.Direction.LeftToRight)
        self._columns.addWidget(self._list_column(), 3)
        self._side = self._side_column()
        self._columns.addWidget(self._side, 2)
        inner = QWidget()
        inner.setLayout(self._columns)
        scroll = QScrollArea()
        scroll.setWidgetResizable(True)
        scroll.setFocusPolicy(Qt.FocusPolicy.NoFocus)  # it follows what has the keys
        scroll.setWidget(inner)
        whole = QVBoxLayout(self)
        whole.setContentsMargins(0, 0, 0, 0)
        whole.addWidget(scroll)
        self.setFocusProxy(self.cases)

    def refresh(self) -> None:
        """Look at the recent cases again, and at who reviews."""
        self.cases.wear(self._host.theme)
        self._show_person()
        self._goals.show_goals(())
        self._replies.show_unread(())
        recents = recent_cases(self._host.at)
        known = self._rows
        self._rows = {
            recent.path: known.get(recent.path, CaseRow(recent.path, recent.code, plate=""))
            for recent in recents
        }
        self._show_rows()
        self._is_looking = True
        self._looking.begin([*self._looks_at_cases(), *self._looks_for_person()])

    @property
    def is_looking(self) -> bool:
        """Claim that some cases are still being looked at."""
        return self._is_looking

    def stop(self) -> None:
        """Take no notice of what is still being looked at."""
        self._looking.stop()

    def take_dropped(self, places: tuple[Path, ...]) -> None:
        """Open a dropped case, make one of a single film at once, else ask about the films."""
        if len(places) == 1 and (places[0] / CASE_FILE).is_file():
            self._host.open_path(places[0])
        elif len(places) == 1 and is_film_name(places[0].name):
            self._host.new_from(places)
        else:
            self._host.show_widget(NewCasePage(self._host, places))

    # Inside -------------------------------------------------------------------------------

    def _list_column(self) -> QWidget:
        self.cases.setMinimumHeight(_LEAST_LIST_PX)
        column = QVBoxLayout()
        heading = QLabel("Recent cases")
        heading.setProperty("role", "heading")
        column.addWidget(heading)
        column.addWidget(self._nothing)
        column.addWidget(self.cases, 1000)
        column.addStretch(1)
        column.addLayout(
            row(
                self._opener("New case", "new-case"),
                self._opener("Open a case", "open-case"),
                self._opener("Settings", "settings"),
            )
        )
        place = QWidget()
        place.setLayout(column)
        return place

    def _side_column(self) -> QWidget:
        column = QVBoxLayout()
        column.addWidget(_framed("Who reviews", self._who, self._opener("Who reviews…", "person")))
        column.addWidget(self._replies)
        column.addWidget(self._goals)
        column.addWidget(self._drop_place(), 1)
        column.addWidget(_framed("New here?", self._opener("Five-minute tour", "tour"),
                                 self._opener("Sheet of keys", "keys")))  # fmt: skip
        place = QWidget()
        place.setLayout(column)
        return place

    def _drop_place(self) -> QFrame:
        place = DropPlace("Drop the films of a case here", self.take_dropped)
        place.setFrameShape(QFrame.Shape.StyledPanel)
        place.setProperty("role", "panel")
        big = label("Drop the films of a case here", "title")
        big.setAlignment(Qt.AlignmentFlag.AlignCenter)
        small = label(
            "One film opens at once: press play, type. Several, or a card's folder, are put in "
            "order first. A case folder opens. Films stay where they lie.",
            "soft",
        )
        small.setAlignment(Qt.AlignmentFlag.AlignCenter)
        choose = button("Choose films…", lambda: choose_films(self, self.take_dropped))
        column = QVBoxLayout(place)
        column.addStretch(1)
        column.addWidget(big)
        column.addWidget(small)
        column.addWidget(choose, 0, Qt.AlignmentFlag.AlignHCenter)
        column.addStretch(1)
        return place

    def _opener(self, words: str, page: Page) -> QWidget:
        action = next(action for action in ACTIONS if action.id == page)
        made = button(words, lambda: self._host.show_page(page))
        made.setToolTip(f"{action.help} ({shown_keys(action, self._host.settings.keys)})")
        return made

    def _show_person(self) -> None:
        person = self._host.person
        if person is None:
            say(self._who, "Nobody said yet; it is asked later.", "soft")
        else:
            role = dict(ROLE_NAMES).get(person.role, person.role)
            say(self._who, f"{person.code}, {role}")

    def _looks_at_cases(self) -> list[Look]:
        person, at = self._host.person, self._host.at
        return [partial(look_at, row.folder, row.code, person, at) for row in self._rows.values()]

    def _looks_for_person(self) -> list[Look]:
        person, at = self._host.person, self._host.at
        if person is None:
            return []
        folders = tuple(self._rows)
        looks: list[Look] = [partial(unread_replies, person.code, folders, at)]
        if person.role == "trainee":
            looks.append(partial(open_goals, person.code, folders, at))
        return looks

    def _show_rows(self) -> None:
        self.cases.show_rows(tuple(self._rows.values()))
        self._nothing.setVisible(not self._rows)
        self.cases.setVisible(bool(self._rows))

    def _take(self, seen: CaseRow | FoundGoals | Inbox) -> None:
        if isinstance(seen, CaseRow):
            self._take_row(seen)
        elif isinstance(seen, FoundGoals):
            self._goals.show_goals(seen.goals)
        else:
            self._replies.show_unread(seen.unread)

    def _take_row(self, row: CaseRow) -> None:
        if row.folder in self._rows:
            self._rows[row.folder] = row
            self.cases.show_row(row)

    def _all_seen(self) -> None:
        self._is_looking = False
        self._make_next_still()

    def _make_next_still(self) -> None:
        """Have one still made after the other, so that nothing else waits for them."""
        missing = [
            row
            for row in self._rows.values()
            if not row.plate and row.still is None and row.folder not in self._without_still
        ]
        if not missing or self._is_making_still or not self.isVisible():
            return
        row = missing[0]
        self._is_making_still = True
        self._host.in_background(
            f"A picture of {row.code}", make_still_for_start, row.folder, self._host.at,
            done=partial(self._take_still, row.folder),
            failed=lambda fault: self._take_still(row.folder, None),
        )  # fmt: skip

    def _take_still(self, folder: Path, jpeg: bytes | None) -> None:
        self._is_making_still = False
        if jpeg is None:
            self._without_still.add(folder)
        row = self._rows.get(folder)
        if row is not None and not row.plate:
            self._take_row(replace(row, still=jpeg, plate="" if jpeg else NO_PICTURE))
        self._make_next_still()

    def _forget(self, folder: Path) -> None:
        forget_case(self._host.at, folder)
        self._rows.pop(folder, None)
        self._show_rows()
        self._host.tell(f"Off the list. The case itself is untouched: {folder}")

    def resizeEvent(self, event: QResizeEvent | None) -> None:  # noqa: N802 - Qt's name
        """Put the columns below each other where the text is too large for both."""
        side_px = self.fontMetrics().averageCharWidth() * _SIDE_WIDTH_CHARS
        is_wide = self.width() > 2.2 * side_px
        directions = QBoxLayout.Direction
        self._columns.setDirection(directions.LeftToRight if is_wide else directions.TopToBottom)
        super().resizeEvent(event)


def _framed(heading: str, *parts: QWidget) -> QFrame:
    """Return parts in a frame with a heading; buttons keep their own width."""
    frame = QFrame()
    frame.setFrameShape(QFrame.Shape.StyledPanel)
    frame.setProperty("role", "panel")
    frame.setAccessibleName(heading)
    frame.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Maximum)
    column = QVBoxLayout(frame)
    column.addWidget(label(heading, "heading"))
    labels = [part for part in parts if isinstance(part, QLabel)]
    for part in labels:
        column.addWidget(part)
    column.addLayout(row(*(part for part in parts if part not in labels)))
    return frame
