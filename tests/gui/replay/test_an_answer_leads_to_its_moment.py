"""A teacher opens a resident's answer from the start page, and stands at the remark it is about."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from PyQt6.QtWidgets import QPushButton, QWidget

from aftercase.gui.window import Window
from aftercase.model.base import NewId
from aftercase.model.case import Case
from aftercase.model.review import Origin, Reply, Review
from aftercase.session.opened import open_case
from aftercase.session.people import Person, remember_person
from aftercase.session.places import Places
from aftercase.session.recents import remember_case

ABOUT = 1
"""The second remark is answered."""


@pytest.fixture
def answered(
    reviewed: Path, at: Places, write: Callable[..., Review], ids: tuple[str, ...], new_id: NewId
) -> Path:
    """The reviewed case, with an answer of the resident; the teacher is before the window."""
    remember_person(at, Person("T01", "teacher"))
    case: Case = open_case(reviewed, at).case
    remember_case(at, reviewed, case.code)
    to = Origin(case=case.id, reviewer="T01", revision=1, id=ids[ABOUT])
    reply = Reply(id=new_id(), to=to, at_us=0, text="how far?", asks=True)
    write(reviewed, "R07", role="trainee", replies=(reply,))
    return reviewed


@pytest.fixture
def start(
    answered: Path, at: Places, window: Window, until: Callable[..., None]
) -> Callable[[], QWidget]:
    """Show the start page and wait for the answer."""

    def shown() -> QWidget:
        window.person = Person("T01", "teacher")
        window.enter("start")
        until(lambda: openers(window))
        return window

    return shown


def openers(place: QWidget) -> list[QPushButton]:
    buttons = place.findChildren(QPushButton)
    return [one for one in buttons if one.isVisible() and one.text().startswith("Open at")] or [
        one for one in buttons if one.isVisible() and one.text() == "Open"
    ]


def stands_at_the_remark(window: Window, ids: tuple[str, ...], at_us: int) -> bool:
    return (
        window.desk is not None
        and window.player.is_exact
        and window.room == "review"
        and window.player.at_us == at_us
        and window.desk.selection == (ids[ABOUT],)
    )


def remark_is_in_view(window: Window, ids: tuple[str, ...]) -> bool:
    remarks: Any = window._bench.remarks_list
    place = next(n for n, row in enumerate(remarks.shown()) if row.id == ids[ABOUT])
    return remarks._list.is_in_view(place)


def test_open_leads_to_the_remark_even_from_elsewhere_in_the_case(
    start: Callable[[], QWidget],
    answered: Path,
    window: Window,
    until: Callable[..., None],
    ids: tuple[str, ...],
    teachers_words: dict[str, Any],
) -> None:
    at_us = teachers_words["remarks"][ABOUT].at_us
    window.person = Person("T01", "teacher")
    window.open_path(answered)
    until(lambda: window.desk is not None and window.player.is_exact)
    window.enter("replay")
    window.player.go_to(5_000_000)
    until(lambda: window.desk.at_us >= 5_000_000)
    start()
    openers(window)[0].click()
    until(lambda: stands_at_the_remark(window, ids, at_us))
    until(lambda: remark_is_in_view(window, ids))


def test_the_page_of_all_answers_leads_there_too(
    start: Callable[[], QWidget],
    window: Window,
    until: Callable[..., None],
    ids: tuple[str, ...],
    teachers_words: dict[str, Any],
) -> None:
    start()
    [full] = [one for one in window.findChildren(QPushButton) if one.text() == "Read all in full"]
    full.click()
    openers(window)[0].click()
    until(lambda: stands_at_the_remark(window, ids, teachers_words["remarks"][ABOUT].at_us))


def test_opening_the_case_itself_leads_to_where_one_was(
    start: Callable[[], QWidget], answered: Path, window: Window, until: Callable[..., None]
) -> None:
    start()
    openers(window)[0].click()
    until(lambda: window.desk is not None and window.player.is_exact and window.desk.selection)
    window.desk.select()
    window.player.go_to(5_000_000)
    until(lambda: window.desk.at_us >= 5_000_000)
    was_us = window.desk.at_us
    window.open_path(answered)
    until(lambda: window.desk is not None and window.player.is_exact)
    assert (window.desk.at_us, window.desk.selection) == (was_us, ())
