"""A case of a minute without film, and a window that takes note of what panels ask of it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from PyQt6.QtCore import QEvent, Qt
from PyQt6.QtGui import QKeyEvent
from PyQt6.QtWidgets import QApplication, QWidget
from tests.gui.review.marks import END_US

from aftercase.document.folder import new_review, write_review
from aftercase.gui.theme import LIGHT, wear
from aftercase.media.frameclock import FrameClock
from aftercase.model.base import NewId
from aftercase.model.review import RECORD_LISTS, Review
from aftercase.session.desk import Desk
from aftercase.session.opened import draft_of, open_case
from aftercase.session.places import Places
from aftercase.session.settings import Settings
from aftercase.session.tasks.create import Wanted, new_case


class NotedPlayer:
    """A player that takes note of what it is asked."""

    def __init__(self) -> None:
        self.state = "resting"
        self.shown = None
        self.went: list[int] = []
        self.looped: list[tuple[int, int, int]] = []

    def go_to(self, us: int, *, dragging: bool = False) -> None:
        self.went.append(us)

    def loop(self, start_us: int, end_us: int, lead_us: int = 0) -> None:
        self.looped.append((start_us, end_us, lead_us))

    def play(self) -> None:
        self.state = "playing"

    def rest(self) -> None:
        self.state = "resting"


class NotedHost:
    """The window as panels see it."""

    def __init__(self, at: Places) -> None:
        self.at = at
        self.theme = LIGHT
        self.settings = Settings()
        self.player = NotedPlayer()
        self.asked: list[str] = []
        self.n_film_focus = 0

    def ask(self, question: str) -> None:
        self.asked.append(question)

    def take_film_focus(self) -> None:
        self.n_film_focus += 1


@pytest.fixture
def host(qapp: QApplication, at: Places) -> NotedHost:
    wear(qapp, LIGHT, 100)
    return NotedHost(at)


@pytest.fixture
def header() -> dict[str, Any]:
    """What the case's header says; a test that needs more says so by its parameter."""
    return {"trainee": "R01"}


@pytest.fixture
def case_folder(tmp_path: Path, at: Places, new_id: NewId, header: dict[str, Any]) -> Path:
    wanted = Wanted("C1", "cataract-phaco", duration_us=END_US, header=header)
    return new_case(tmp_path / "case", wanted, at, new_id).folder.path


@pytest.fixture
def written(case_folder: Path, at: Places, new_id: NewId) -> Callable[..., Review]:
    """Write another person's review into the case, released unless said otherwise."""

    def write(reviewer: str, role: str, **fields: Any) -> Review:
        opened = open_case(case_folder, at)
        whole = {"id": new_id(), "case": opened.case.id, "state": "released", **fields}
        review = Review.model_validate({**whole, "reviewer": reviewer, "role": role})
        write_review(opened.folder, new_review(opened.folder, review), review)
        return review

    return write


@pytest.fixture
def desk_with(case_folder: Path, at: Places, new_id: NewId) -> Iterator[Callable[..., Desk]]:
    """Put the case on the desk with some marks in the draft of the teacher, or of who is named."""
    made: list[Desk] = []

    def make(
        who: tuple[str, str] = ("T01", "teacher"), *, settings: Settings | None = None, **lists: Any
    ) -> Desk:
        opened = open_case(case_folder, at)
        stored = draft_of(opened, *who, new_id)
        frames = FrameClock.without_film(END_US)
        desk = Desk(opened, stored, frames, new_id, settings or Settings())
        if lists:
            filled = Review.model_validate({**stored.record.model_dump(), **lists})
            fields = {name: getattr(filled, name) for name in (*RECORD_LISTS, "not_needed")}
            desk.edit(lambda review: review.model_copy(update=fields), "begin")
        made.append(desk)
        return desk

    yield make
    for desk in made:
        desk.close()


@pytest.fixture
def shown(qapp: QApplication) -> Iterator[Callable[[QWidget], QWidget]]:
    """Show a panel in a column of the width it has beside the film, with the keyboard's focus."""
    panels: list[QWidget] = []

    def show(panel: QWidget, width: int = 296, height: int = 560) -> QWidget:
        panel.resize(width, height)
        panel.show()
        panel.activateWindow()
        panel.setFocus(Qt.FocusReason.OtherFocusReason)
        qapp.processEvents()
        panels.append(panel)
        return panel

    yield show
    for panel in panels:
        if callable(getattr(panel, "stop", None)):
            panel.stop()
        panel.close()
        panel.deleteLater()
    qapp.processEvents()
    QApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete.value)


def held_key(widget: QWidget, text: str) -> None:
    """Send a key that is held down and repeats by itself."""
    event = QKeyEvent(
        QEvent.Type.KeyPress, 0, Qt.KeyboardModifier.NoModifier, text, autorep=True, count=1
    )
    QApplication.sendEvent(widget, event)


@pytest.fixture
def hold(qapp: QApplication) -> Callable[[QWidget, str], None]:
    return held_key
