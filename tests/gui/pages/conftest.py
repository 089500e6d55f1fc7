"""A window that takes note of what pages ask of it, and the example case on its desk."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterator
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from PyQt6.QtCore import QEvent, QObject
from PyQt6.QtWidgets import QApplication, QWidget

from aftercase.document.folder import new_review
from aftercase.errors import AftercaseError
from aftercase.gui.busy import BusyTasks
from aftercase.gui.theme import BASE_POINT_SIZE, LIGHT, Theme, style_sheet, wear
from aftercase.media.frameclock import FrameClock
from aftercase.model.base import NewId
from aftercase.model.review import Review
from aftercase.session.desk import Desk, in_words
from aftercase.session.opened import OpenedCase
from aftercase.session.people import Person
from aftercase.session.places import Places, places
from aftercase.session.positions import Spot
from aftercase.session.settings import Settings, change_settings
from aftercase.session.tasks.create import Wanted, new_case


class NotedHost:
    """The window as pages see it; everything they ask for is noted."""

    def __init__(self, at: Places, parent: QObject | None = None) -> None:
        self.at = at
        self.theme: Theme = LIGHT
        self.settings = Settings()
        self.person: Person | None = None
        self.desk: Desk | None = None
        self.room = "start"
        self.busy = BusyTasks(parent)
        self.player = SimpleNamespace(rest=lambda: self.did.append("rest"), state="resting")
        self.did: list[str] = []
        self.opened: list[Path] = []
        self.spots: list[Spot | None] = []
        self.made_from: list[tuple[Path, ...]] = []
        self.told: list[tuple[str, str]] = []
        self.pages: list[str] = []
        self.widgets: list[QWidget] = []

    def be(self, person: Person | None) -> None:
        self.person = person
        self.did.append("be")

    def change_settings(self, **choices: Any) -> None:
        self.settings = change_settings(self.at, **choices)

    def open_path(self, case: Path, spot: Spot | None = None) -> None:
        self.opened.append(case)
        self.spots.append(spot)

    def new_from(self, films: tuple[Path, ...]) -> None:
        self.made_from.append(films)

    def in_background(
        self,
        title: str,
        function: Callable[..., Any],
        *args: Any,
        done: Callable[[Any], None] = lambda result: None,
        failed: Callable[[AftercaseError], None] | None = None,
    ) -> None:
        told = failed or (lambda fault: self.tell(in_words(fault), "refused"))
        self.busy.run(title, function, *args, done=done, failed=told)

    def tell(self, text: str, tone: str = "done") -> None:
        self.told.append((text, tone))

    def use(self, ability: str) -> None:
        self.did.append(ability)

    def show_page(self, page: str) -> None:
        self.pages.append(page)

    def show_widget(self, page: QWidget) -> None:
        self.widgets.append(page)

    def leave_page(self) -> None:
        self.did.append("leave")


@pytest.fixture(autouse=True)
def _widgets_go_with_their_test(qapp: QApplication) -> Iterator[None]:
    """Delete what was to be deleted later; no event loop that does it runs between tests."""
    yield
    qapp.sendPostedEvents(None, QEvent.Type.DeferredDelete.value)


@pytest.fixture
def new_id() -> NewId:
    """Ids that count up."""
    numbers = itertools.count()
    return lambda: f"{next(numbers):026d}"


@pytest.fixture
def host(qapp: QApplication) -> Iterator[NotedHost]:
    """A window without a case."""
    if qapp.styleSheet() != style_sheet(LIGHT, BASE_POINT_SIZE):
        wear(qapp, LIGHT, 100)
    made = NotedHost(places())
    yield made
    made.busy.stop_all()
    if made.desk is not None:
        made.desk.close()


@pytest.fixture
def case_without_film(tmp_path: Path, new_id: NewId) -> OpenedCase:
    """A case of ten minutes without a film, by the guide of phacoemulsification."""
    wanted = Wanted("case-1", "cataract-phaco", duration_us=600_000_000)
    return new_case(tmp_path / "case-1", wanted, places(), new_id)


def desk_of(opened: OpenedCase, new_id: NewId, reviewer: str = "T01") -> Desk:
    """Return a desk with somebody's empty draft on it."""
    review = Review(id=new_id(), case=opened.case.id, reviewer=reviewer)
    stored = new_review(opened.folder, review)
    frames = FrameClock.without_film(600_000_000)
    return Desk(opened, stored, frames, new_id, Settings())


@pytest.fixture
def desk(host: NotedHost, case_without_film: OpenedCase, new_id: NewId) -> Desk:
    """That case on the desk."""
    host.desk = desk_of(case_without_film, new_id)
    return host.desk


@pytest.fixture
def desk_maker(new_id: NewId) -> Callable[[OpenedCase], Desk]:
    """Puts a case on a desk."""
    return lambda opened: desk_of(opened, new_id)
