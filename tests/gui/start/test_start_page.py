"""The start page: what is open, who reviews, where films are dropped; by keys and by drops."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from PyQt6.QtCore import QMimeData, QPointF, Qt, QUrl
from PyQt6.QtGui import QDragEnterEvent, QDropEvent
from PyQt6.QtWidgets import (
    QAbstractButton,
    QAbstractItemView,
    QApplication,
    QFileDialog,
    QLabel,
    QScrollArea,
    QWidget,
)
from pytestqt.qtbot import QtBot
from tests.gui.stalls import STALL_S, StallWatch

from aftercase.document.folder import new_review, write_review
from aftercase.edit.header import change_header
from aftercase.edit.review import release
from aftercase.gui.pages.building import DropPlace, tab_stops
from aftercase.gui.pages.new_case import NewCasePage
from aftercase.gui.start.start_page import StartPage
from aftercase.gui.theme import DARK, LIGHT, wear
from aftercase.model.base import NewId
from aftercase.model.review import Goal, Origin, Remark, Reply, Review
from aftercase.session.header import save_header
from aftercase.session.opened import OpenedCase
from aftercase.session.people import Person
from aftercase.session.positions import Spot
from aftercase.session.recents import recent_cases, remember_case
from aftercase.session.tasks.create import Wanted, new_case

LONG_MS = 30_000


@pytest.fixture
def page(qtbot: QtBot, host: Any) -> StartPage:
    made = StartPage(host)
    qtbot.addWidget(made)
    made.resize(1280, 660)
    made.show()
    qtbot.waitExposed(made)
    yield made
    made.stop()


@pytest.fixture
def add_case(host: Any, tmp_path: Path, new_id: NewId) -> Callable[..., OpenedCase]:
    def add(code: str, **header: object) -> OpenedCase:
        wanted = Wanted(code, "cataract-phaco", duration_us=60_000_000, header=header)
        opened = new_case(tmp_path / "cases" / code, wanted, host.at, new_id)
        remember_case(host.at, opened.folder.path, code)
        return opened

    return add


def show(page: StartPage, qtbot: QtBot) -> None:
    page.refresh()
    qtbot.waitUntil(lambda: not page.is_looking, timeout=LONG_MS)


def words(page: QWidget) -> str:
    return "\n".join(one.text() for one in page.findChildren(QLabel) if one.isVisible())


def drop(place: QWidget, *paths: Path) -> None:
    """Drop files on a place, as a file manager does."""
    data = QMimeData()
    data.setUrls([QUrl.fromLocalFile(str(path)) for path in paths])
    copy, left = Qt.DropAction.CopyAction, Qt.MouseButton.LeftButton
    plain = Qt.KeyboardModifier.NoModifier
    centre = place.rect().center()
    enter = QDragEnterEvent(centre, copy, data, left, plain)
    QApplication.sendEvent(place, enter)
    assert enter.isAccepted()
    QApplication.sendEvent(place, QDropEvent(QPointF(centre), copy, data, left, plain))


def test_at_first_it_says_what_to_do(page: StartPage, qtbot: QtBot) -> None:
    show(page, qtbot)
    assert "Drop the film of an operation, press play, and write what you see" in words(page)
    assert not page.cases.isVisible()


def test_the_case_that_was_open_last_stands_first_and_return_opens_it(
    page: StartPage, qtbot: QtBot, host: Any, add_case: Callable[..., OpenedCase]
) -> None:
    add_case("case-1")
    newest = add_case("case-2", eye="left")
    show(page, qtbot)
    assert [row.code for row in page.cases.rows] == ["case-2", "case-1"]
    assert page.cases.rows[0].about == "Cataract by phacoemulsification, left eye"
    page.setFocus()
    assert page.focusWidget() is page.cases
    qtbot.keyClick(page.cases, Qt.Key.Key_Return)
    assert host.opened == [newest.folder.path]


def test_a_case_whose_folder_is_gone_is_said_and_can_be_taken_off_the_list(
    page: StartPage, qtbot: QtBot, host: Any, add_case: Callable[..., OpenedCase]
) -> None:
    gone = add_case("case-1").folder.path
    shutil.rmtree(gone)
    show(page, qtbot)
    [row] = page.cases.rows
    assert row.is_missing
    assert str(gone) in row.open
    qtbot.keyClick(page.cases, Qt.Key.Key_Delete)
    assert recent_cases(host.at) == ()
    assert page.cases.rows == ()


def test_who_reviews_is_shown_and_asked_by_a_key(page: StartPage, qtbot: QtBot, host: Any) -> None:
    show(page, qtbot)
    assert "Nobody said yet" in words(page)
    host.person = Person("R07", "trainee")
    show(page, qtbot)
    assert "R07, trainee" in words(page)
    press(page, qtbot, "Who reviews…")
    assert host.pages == ["person"]


def press(page: StartPage, qtbot: QtBot, name: str) -> None:
    [button] = [one for one in page.findChildren(QAbstractButton) if one.accessibleName() == name]
    qtbot.keyClick(button, Qt.Key.Key_Space)


def test_a_trainee_sees_the_goals_that_are_open_and_others_do_not(
    page: StartPage, qtbot: QtBot, host: Any, add_case: Callable[..., OpenedCase], new_id: NewId
) -> None:
    opened = add_case("case-1", trainee="R07")
    goals = tuple(Goal(id=new_id(), act=f"goal {number}") for number in range(5))
    review = Review(id=new_id(), case=opened.case.id, reviewer="T01", goals=goals)
    write_review(opened.folder, new_review(opened.folder, review), release(review))
    host.person = Person("R07", "trainee")
    show(page, qtbot)
    qtbot.waitUntil(lambda: words(page).count(" (case-1)") == 3)
    assert "and 2 more" in words(page)
    host.person = Person("T01")
    show(page, qtbot)
    qtbot.wait(50)
    assert "(case-1)" not in words(page)


@pytest.mark.parametrize(
    ("name", "asked"),
    [("New case", "new-case"), ("Open a case", "open-case"), ("Settings", "settings"),
     ("Five-minute tour", "tour"), ("Sheet of keys", "keys")],
)  # fmt: skip
def test_every_way_on_is_a_button(
    page: StartPage, qtbot: QtBot, host: Any, name: str, asked: str
) -> None:
    press(page, qtbot, name)
    assert host.pages == [asked]


def test_a_single_film_becomes_a_case_at_once(page: StartPage, host: Any, film: Path) -> None:
    drop(page.findChild(DropPlace), film)
    assert host.made_from == [(film,)]


def test_a_case_folder_opens(
    page: StartPage, host: Any, add_case: Callable[..., OpenedCase]
) -> None:
    folder = add_case("case-1").folder.path
    drop(page.findChild(DropPlace), folder)
    assert host.opened == [folder]


def test_several_films_or_a_folder_are_put_in_order_first(
    page: StartPage, qtbot: QtBot, host: Any, film_maker: Callable[..., Path]
) -> None:
    later, earlier = film_maker("REC_02.MP4", 10, first=10), film_maker("REC_01.MP4", 10)
    drop(page.findChild(DropPlace), later, earlier)
    [asked] = host.widgets
    assert isinstance(asked, NewCasePage)
    qtbot.addWidget(asked)
    qtbot.waitUntil(lambda: not host.busy.is_busy, timeout=LONG_MS)
    assert [file.path for file, _ in asked.order.films] == [earlier, later]


def test_films_are_chosen_in_a_dialogue_too(
    page: StartPage, qtbot: QtBot, host: Any, film: Path
) -> None:
    press(page, qtbot, "Choose films…")
    dialog = page.findChild(QFileDialog)
    dialog.filesSelected.emit([str(film)])
    dialog.reject()
    assert host.made_from == [(film,)]


def test_everything_is_reached_by_tab_and_named(
    page: StartPage, qtbot: QtBot, add_case: Callable[..., OpenedCase]
) -> None:
    add_case("case-1")
    show(page, qtbot)
    stops = tab_stops(page)
    assert [one.accessibleName() for one in stops if not isinstance(one, QScrollArea)][:2] == [
        "Recent cases",
        "New case",
    ]
    for one in page.findChildren(QAbstractButton):
        if one.isVisible():
            assert one.accessibleName()
            assert one in stops


def test_at_twice_the_text_nothing_is_wider_than_the_page(
    page: StartPage, qtbot: QtBot, qapp: QApplication, add_case: Callable[..., OpenedCase]
) -> None:
    add_case("case-1")
    wear(qapp, DARK, 200)
    try:
        show(page, qtbot)
        page.resize(1281, 660)
        qtbot.wait(50)
        [scroll] = [
            one for one in page.findChildren(QScrollArea) if not isinstance(one, QAbstractItemView)
        ]
        assert scroll.horizontalScrollBar().maximum() == 0
    finally:
        wear(qapp, LIGHT, 100)


def test_fifty_cases_are_looked_at_without_holding_the_window_up(
    page: StartPage, qtbot: QtBot, add_case: Callable[..., OpenedCase]
) -> None:
    for number in range(50):
        add_case(f"case-{number}")

    def longest_stall_s() -> float:
        with StallWatch() as watch:
            show(page, qtbot)
        return watch.longest_s

    # What we hold up, we hold up each time; what a busy computer does, it does now and then.
    stalls_s = (longest_stall_s() for _ in range(3))
    assert any(stall_s < STALL_S for stall_s in stalls_s)
    assert len(page.cases.rows) == 50
    assert all(row.about for row in page.cases.rows)


def test_a_still_is_made_once_a_person_looked_for_an_identity(
    page: StartPage, qtbot: QtBot, host: Any, tmp_path: Path, film: Path, new_id: NewId
) -> None:
    wanted = Wanted("case-1", "cataract-phaco", films=(film,))
    opened = new_case(tmp_path / "case-1", wanted, host.at, new_id)
    remember_case(host.at, opened.folder.path, "case-1")
    show(page, qtbot)
    qtbot.wait(100)
    assert not host.busy.is_busy
    assert page.cases.rows[0].plate == "identity not checked yet"
    checked = change_header(opened.case, identity_checked_by="T01")
    save_header(opened.folder, opened.stored_case, checked, opened.guide)
    show(page, qtbot)
    qtbot.waitUntil(lambda: page.cases.rows[0].still is not None, timeout=LONG_MS)


def test_a_still_that_cannot_be_made_leaves_a_plate_and_is_not_tried_again(
    page: StartPage, qtbot: QtBot, host: Any, tmp_path: Path, film: Path, new_id: NewId
) -> None:
    wanted = Wanted("case-1", "cataract-phaco", films=(film,), header={"identity_checked_by": "X"})
    opened = new_case(tmp_path / "case-1", wanted, host.at, new_id)
    remember_case(host.at, opened.folder.path, "case-1")
    film.unlink()
    show(page, qtbot)
    qtbot.waitUntil(lambda: page.cases.rows[0].plate == "no picture", timeout=LONG_MS)
    assert host.told == []
    show(page, qtbot)
    assert not host.busy.is_busy


def test_a_trainees_question_stands_on_the_teachers_page_until_it_is_read(
    page: StartPage, qtbot: QtBot, host: Any, add_case: Callable[..., OpenedCase], new_id: NewId
) -> None:
    opened = add_case("case-1", trainee="R07")
    remark = Remark(id=new_id(), at_us=0, text="lift the tip")
    teacher = Review(id=new_id(), case=opened.case.id, reviewer="T01", remarks=(remark,))
    to = Origin(case=opened.case.id, reviewer="T01", revision=1, id=remark.id)
    reply = Reply(id=new_id(), to=to, at_us=0, text="how far?", asks=True)
    trainee = Review(
        id=new_id(), case=opened.case.id, reviewer="R07", role="trainee", replies=(reply,)
    )
    for review in (teacher, trainee):
        write_review(opened.folder, new_review(opened.folder, review), release(review))
    host.person = Person("T01")
    show(page, qtbot)
    asked = "R07 asks in case-1: how far? (to: lift the tip)"
    qtbot.waitUntil(lambda: asked in words(page))
    press(page, qtbot, "Open case-1 at 0:00:00")
    assert host.opened == [opened.folder.path]
    assert host.spots == [Spot(remark.id, 0)]
    press(page, qtbot, "I read these; show them no more")
    show(page, qtbot)
    assert "how far?" not in words(page)


def test_long_answers_and_all_of_them_are_read_in_full_on_a_page_of_their_own(
    page: StartPage, qtbot: QtBot, host: Any, add_case: Callable[..., OpenedCase], new_id: NewId
) -> None:
    opened = add_case("case-1", trainee="R07")
    long = "I held it there because the flap was folded. " * 20 + "Was that wrong?"
    remarks = tuple(Remark(id=new_id(), at_us=n * 1_000_000, text=f"remark {n}") for n in range(5))
    teacher = Review(id=new_id(), case=opened.case.id, reviewer="T01", remarks=remarks)
    replies = tuple(
        Reply(
            id=new_id(),
            to=Origin(case=opened.case.id, reviewer="T01", revision=1, id=remark.id),
            at_us=remark.at_us,
            text=f"{number}: {long}",
            understood="not-yet",
        )
        for number, remark in enumerate(remarks)
    )
    trainee = Review(
        id=new_id(), case=opened.case.id, reviewer="R07", role="trainee", replies=replies
    )
    for review in (teacher, trainee):
        write_review(opened.folder, new_review(opened.folder, review), release(review))
    host.person = Person("T01")
    show(page, qtbot)
    assert "and 2 more" in words(page)
    assert long not in words(page)
    press(page, qtbot, "Read all in full")
    [full] = host.widgets
    qtbot.addWidget(full)
    full.show()
    for number in range(5):
        assert f"{number}: {long}" in words(full)
        assert f"To your remark: remark {number}" in words(full)
        assert f"R07 answers in case-1, at 0:00:0{number}" in words(full)
    press(full, qtbot, "I read these; show them no more")
    assert host.did == ["leave"]
    show(page, qtbot)
    assert "R07 answers" not in words(page)
