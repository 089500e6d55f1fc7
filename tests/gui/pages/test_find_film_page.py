"""Pointing to a moved film: its content is checked, the answer is in words."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from PyQt6.QtWidgets import QLabel, QPushButton
from pytestqt.qtbot import QtBot

from aftercase.gui.pages.find_film_page import FindFilmPage
from aftercase.model.base import NewId
from aftercase.session.desk import Desk
from aftercase.session.locator import films_of
from aftercase.session.tasks.create import Wanted, new_case

LONG_MS = 30_000


@pytest.fixture
def moved(tmp_path: Path, film: Path, host: Any, new_id: NewId, desk_maker: Any) -> Path:
    """A film that was renamed and moved after its case was made, which is on the desk."""
    opened = new_case(
        tmp_path / "case-2", Wanted("case-2", "cataract-phaco", films=(film,)), host.at, new_id
    )
    host.desk = desk_maker(opened)
    elsewhere = tmp_path / "drive" / "deep" / "OTHER.MP4"
    elsewhere.parent.mkdir(parents=True)
    return film.rename(elsewhere)


@pytest.fixture
def page(qtbot: QtBot, host: Any, moved: Path) -> FindFilmPage:
    made = FindFilmPage(host)
    qtbot.addWidget(made)
    made.show()
    yield made
    made.stop()


def words(page: FindFilmPage) -> str:
    return "\n".join(one.text() for one in page.findChildren(QLabel) if not one.isHidden())


def look(page: FindFilmPage, host: Any, qtbot: QtBot, *places: Path) -> None:
    page.look_in(tuple(places))
    assert not any(one.isEnabled() for one in page.findChildren(QPushButton))
    qtbot.waitUntil(lambda: not host.busy.is_busy, timeout=LONG_MS)


def test_what_is_not_here_is_said_with_where_it_was(page: FindFilmPage, film: Path) -> None:
    assert f"not here; it was {film}" in words(page)


def test_a_renamed_film_is_found_by_its_content_and_the_case_opens_again(
    page: FindFilmPage, host: Any, qtbot: QtBot, moved: Path
) -> None:
    desk: Desk = host.desk
    look(page, host, qtbot, moved.parents[1])
    assert films_of(host.at.locator, desk.opened.folder.path, desk.case) == [moved]
    assert host.opened == [desk.opened.folder.path]
    assert "It is the same film." in host.told[-1][0]


def test_another_film_is_not_taken_whatever_its_name(
    page: FindFilmPage, host: Any, qtbot: QtBot, film: Path, film_maker: Callable[..., Path]
) -> None:
    other = film_maker(film.name, 30, first=100)
    look(page, host, qtbot, other)
    assert host.opened == []
    assert "not the film that the case was made from" in words(page)
    assert str(other) in words(page)
    assert all(one.isEnabled() for one in page.findChildren(QPushButton))


def test_a_place_without_it_is_said_plainly(
    page: FindFilmPage, host: Any, qtbot: QtBot, tmp_path: Path
) -> None:
    (tmp_path / "empty").mkdir()
    look(page, host, qtbot, tmp_path / "empty")
    assert "No file there has its content." in words(page)
    assert host.opened == []
