"""The closing: strengths and points from starred remarks, goals; seal, release, correct, report."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from PyQt6.QtCore import Qt
from PyQt6.QtWidgets import (
    QAbstractButton,
    QComboBox,
    QGroupBox,
    QLabel,
    QLineEdit,
    QPlainTextEdit,
    QWidget,
)
from pytestqt.qtbot import QtBot

from aftercase.document.folder import new_review, write_review
from aftercase.edit.records import add, add_all
from aftercase.edit.review import release
from aftercase.gui.pages.building import tab_stops
from aftercase.gui.pages.closing_page import ClosingPage
from aftercase.gui.review.earlier_goals import EarlierGoals
from aftercase.gui.window import Window
from aftercase.model.base import NewId
from aftercase.model.review import Goal, Origin, Remark, Review
from aftercase.session.desk import Desk
from aftercase.session.opened import open_case
from aftercase.session.people import Person, remember_person
from aftercase.session.places import Places
from aftercase.session.tasks.create import Wanted, new_case

Press = Callable[..., None]
Until = Callable[..., None]

SAID = (
    ("good-1", "well-done", True),
    ("good-2", "well-done", False),
    ("good-3", "well-done", True),
    ("good-4", "well-done", True),
    ("work-1", "work-on", False),
    ("work-2", "work-on", True),
    ("safe-1", "safety", True),
    ("work-3", "work-on", True),
    ("work-4", "work-on", True),
)
"""Text, kind, starred; one second after the other."""


def remark_id(text: str) -> str:
    return text.replace("-", "").ljust(26, "x")


@pytest.fixture
def remarked(desk: Desk) -> Desk:
    """The desk with those remarks in its review."""
    remarks = [
        Remark(id=remark_id(text), at_us=place * 1_000_000, kind=kind, text=text, starred=starred)
        for place, (text, kind, starred) in enumerate(SAID)
    ]
    desk.edit(lambda review: add_all(review, "remarks", remarks), "remark")
    return desk


@pytest.fixture
def page(qtbot: QtBot, host: Any, remarked: Desk) -> ClosingPage:
    made = ClosingPage(host)
    qtbot.addWidget(made)
    made.resize(1100, 900)
    made.show()
    yield made
    made.stop()


def find(page: QWidget, kind: type, name: str) -> Any:
    found = [one for one in page.findChildren(kind, name) if one.isVisibleTo(page)]
    assert len(found) == 1, (name, found)
    return found[0]


def lines(page: QWidget, side: str) -> list[str]:
    ticks = page.findChildren(QAbstractButton)
    return [
        one.accessibleName().split(": ")[-1]
        for one in ticks
        if one.objectName().startswith(f"{side}-") and one.isVisibleTo(page)
    ]


def words(page: QWidget) -> str:
    return "\n".join(one.text() for one in page.findChildren(QLabel) if one.isVisibleTo(page))


def test_starred_remarks_stand_first_on_each_side(page: ClosingPage) -> None:
    assert lines(page, "strengths") == ["good-1", "good-3", "good-4", "good-2"]
    assert lines(page, "points") == ["work-2", "safe-1", "work-3", "work-4", "work-1"]


def test_the_starred_are_taken_by_one_press_two_strengths_and_three_points_at_most(
    page: ClosingPage, remarked: Desk, qtbot: QtBot
) -> None:
    qtbot.keyClick(find(page, QAbstractButton, "take-starred"), Qt.Key.Key_Space)
    closing = remarked.review.closing
    assert closing.strengths == (remark_id("good-1"), remark_id("good-3"))
    assert closing.points == (remark_id("work-2"), remark_id("safe-1"), remark_id("work-3"))


def test_without_a_star_it_says_what_to_do(page: ClosingPage, remarked: Desk, qtbot: QtBot) -> None:
    plain = tuple(one.changed(starred=False) for one in remarked.review.remarks)
    remarked.edit(lambda review: review.changed(remarks=plain), "take all stars off")
    qtbot.keyClick(find(page, QAbstractButton, "take-starred"), Qt.Key.Key_Space)
    assert remarked.words.text == "Star some remarks first, or choose them from the lists."


def test_points_are_picked_by_hand_and_no_more_than_fit(
    page: ClosingPage, remarked: Desk, qtbot: QtBot
) -> None:
    for text in ("work-4", "work-1", "work-2"):
        tick = find(page, QAbstractButton, f"points-{remark_id(text)}")
        qtbot.keyClick(tick, Qt.Key.Key_Space)
    assert remarked.review.closing.points == tuple(map(remark_id, ("work-4", "work-1", "work-2")))
    assert not find(page, QAbstractButton, f"points-{remark_id('work-3')}").isEnabled()
    qtbot.keyClick(find(page, QAbstractButton, f"points-{remark_id('work-1')}"), Qt.Key.Key_Space)
    assert find(page, QAbstractButton, f"points-{remark_id('work-3')}").isEnabled()


def test_what_was_picked_can_be_undone_at_once(
    page: ClosingPage, remarked: Desk, qtbot: QtBot
) -> None:
    qtbot.keyClick(
        find(page, QAbstractButton, f"strengths-{remark_id('good-2')}"), Qt.Key.Key_Space
    )
    remarked.undo()
    assert remarked.review.closing.strengths == ()
    assert not find(page, QAbstractButton, f"strengths-{remark_id('good-2')}").isChecked()


def test_a_goal_is_set_with_how_it_is_seen_its_step_and_its_task(
    page: ClosingPage, remarked: Desk, qtbot: QtBot
) -> None:
    qtbot.keyClicks(find(page, QLineEdit, "goal-act"), "new grip sooner")
    qtbot.keyClicks(find(page, QLineEdit, "goal-seen"), "tear stays inside")
    for name, word in (("goal-step", "capsulorhexis"), ("goal-task", remarked.guide.tasks[0].id)):
        choice = find(page, QComboBox, name)
        choice.setCurrentIndex(choice.findData(word))
    qtbot.keyClick(find(page, QLineEdit, "goal-act"), Qt.Key.Key_Return)
    [goal] = remarked.review.goals
    assert (goal.act, goal.seen_when, goal.step, goal.task, goal.outcome) == (
        "new grip sooner",
        "tear stays inside",
        "capsulorhexis",
        remarked.guide.tasks[0].id,
        "open",
    )
    assert "new grip sooner (Capsulorhexis) – seen when: tear stays inside" in words(page)
    qtbot.keyClick(find(page, QAbstractButton, f"drop-{goal.id}"), Qt.Key.Key_Space)
    assert remarked.review.goals == ()


def test_a_goal_without_words_is_none(page: ClosingPage, remarked: Desk, qtbot: QtBot) -> None:
    qtbot.keyClicks(find(page, QLineEdit, "goal-act"), "   ")
    qtbot.keyClick(find(page, QAbstractButton, "goal-set"), Qt.Key.Key_Space)
    assert remarked.review.goals == ()


def test_typing_the_last_words_is_one_edit_and_keeps_the_cursor(
    page: ClosingPage, remarked: Desk, qtbot: QtBot
) -> None:
    text = find(page, QPlainTextEdit, "words")
    qtbot.keyClicks(text, "A calm operation.")
    assert find(page, QPlainTextEdit, "words") is text
    assert remarked.review.closing.words == "A calm operation."
    remarked.undo()
    assert remarked.review.closing.words == ""


def test_goals_of_earlier_cases_stand_first_and_are_rated_with_their_evidence(
    page: ClosingPage, remarked: Desk, new_id: NewId
) -> None:
    origin = Origin(case=new_id(), reviewer="T01", revision=1, id=new_id())
    goal = Goal(id=new_id(), act="mind the iris", from_case="C0", adopted_from=origin)
    remarked.bring_in(lambda review: add(review, "goals", goal))
    first = min(
        (box for box in page.findChildren(QGroupBox) if box.isVisibleTo(page)),
        key=lambda box: box.mapTo(page, box.rect().topLeft()).y(),
    )
    assert first.title() == "Goals from earlier cases: what became of them"
    assert "mind the iris (case C0)" in words(first)
    for name, word in (("outcome", "partly"), ("evidence", remark_id("good-2"))):
        choice = find(page, QComboBox, f"{name}-{goal.id}")
        choice.setCurrentIndex(choice.findData(word))
        choice.activated.emit(choice.currentIndex())
    [rated] = remarked.review.goals
    assert (rated.outcome, rated.evidence) == ("partly", remark_id("good-2"))


def test_everything_is_named_and_reached_by_tab(page: ClosingPage) -> None:
    stops = tab_stops(page)
    controls = [
        one
        for kind in (QAbstractButton, QComboBox, QLineEdit, QPlainTextEdit)
        for one in page.findChildren(kind)
        if one.isVisibleTo(page) and one.isEnabled()
    ]
    assert controls
    for one in controls:
        assert one.accessibleName() or getattr(one, "text", str)(), one.objectName()
        assert one in stops, one.objectName()


# In the window ----------------------------------------------------------------------------


@pytest.fixture
def teacher(at: Places) -> Person:
    person = Person("T01", "teacher")
    remember_person(at, person)
    return person


@pytest.fixture
def case_of(tmp_path: Path, at: Places, new_id: NewId) -> Callable[..., Path]:
    """Make a case of a minute without film; returns its folder."""

    def make(code: str = "C1", **header: Any) -> Path:
        wanted = Wanted(code, "cataract-phaco", duration_us=60_000_000, header=header)
        return new_case(tmp_path / "cases" / code, wanted, at, new_id).folder.path

    return make


@pytest.fixture
def show(teacher: Person, window: Window, until: Until) -> Callable[[Path], Window]:
    """Open a case in the window, as the teacher."""

    def showing(path: Path) -> Window:
        window.open_path(path)
        until(lambda: window.desk is not None and not window.busy.is_busy)
        return window

    return showing


def take(window: Window, name: str) -> None:
    """Give a button of the closing the focus, when all is saved."""
    assert window.desk.hand.wait_until_saved(10.0).word == "saved"
    button = find(window._sheet.page, QAbstractButton, name)
    button.setFocus()


def states(path: Path, at: Places) -> list[tuple[int, str]]:
    return [(one.record.revision, one.record.state) for one in open_case(path, at).reviews]


def test_a_review_is_sealed_released_and_corrected_by_keys_and_the_old_ones_are_kept(
    show: Callable[[Path], Window],
    case_of: Callable[..., Path],
    at: Places,
    press: Press,
    until: Until,
) -> None:
    path = case_of()
    window = show(path)
    press(window, "C")
    bytes_of: dict[str, bytes] = {}
    for name, file in (("seal", "T01.r1.json"), ("release", "T01.r2.json"), ("correct", "")):
        take(window, name)
        press(window, "Space")
        assert window.desk.hand.wait_until_saved(10.0).word == "saved"
        if file:
            bytes_of[file] = (path / "reviews" / file).read_bytes()
    assert states(path, at) == [(1, "sealed"), (2, "released"), (3, "draft")]
    for file, before in bytes_of.items():
        assert (path / "reviews" / file).read_bytes() == before
    third = open_case(path, at).reviews[2].record
    assert third.predecessor_sha256 == hashlib.sha256(bytes_of["T01.r2.json"]).hexdigest()


@pytest.mark.parametrize(("height_px", "percent"), [(600, 100), (720, 100), (720, 200)])
def test_sealing_and_releasing_are_in_sight_however_long_the_page(
    show: Callable[[Path], Window],
    case_of: Callable[..., Path],
    press: Press,
    height_px: int,
    percent: int,
) -> None:
    window = show(case_of())
    window.resize(1280, height_px)
    window.change_settings(text_size_percent=percent)
    remarks = [
        Remark(id=remark_id(f"said-{number}"), at_us=number * 1_000_000, kind="work-on", text="x")
        for number in range(20)
    ]
    window.desk.edit(lambda review: add_all(review, "remarks", remarks), "remark")
    press(window, "C")
    page = window._sheet.page
    for name in ("seal", "release", "correct", "report"):
        made = find(page, QAbstractButton, name)
        assert made.visibleRegion().boundingRect() == made.rect(), name
    assert tab_stops(page)[-1] is find(page, QAbstractButton, "report")


def test_a_sealed_review_changes_no_more(
    show: Callable[[Path], Window], case_of: Callable[..., Path], press: Press
) -> None:
    window = show(case_of())
    press(window, "C")
    take(window, "seal")
    press(window, "Space")
    page = window._sheet.page
    assert "Sealed: it no longer changes." in words(page)
    for name in ("take-starred", "goal-set", "seal"):
        assert not find(page, QAbstractButton, name).isEnabled()
    assert find(page, QPlainTextEdit, "words").isReadOnly()
    press(window, "Escape", "Return")
    assert window.desk.review.steps == ()


@pytest.mark.parametrize(
    ("role", "whom"), [("teacher", "the person it is about"), ("trainee", "those who teach you")]
)
def test_it_is_said_to_whom_a_review_was_released(
    host: Any, remarked: Desk, qtbot: QtBot, role: str, whom: str
) -> None:
    remarked.edit(lambda review: release(review.changed(role=role)), "release")
    page = ClosingPage(host)
    qtbot.addWidget(page)
    page.show()
    assert f"Released to {whom}." in words(page)
    page.stop()


def test_nobody_in_particular_seals_nothing(
    window: Window, case_of: Callable[..., Path], press: Press, until: Until
) -> None:
    window.open_path(case_of())
    until(lambda: window.desk is not None)
    press(window, "C")
    take(window, "seal")
    press(window, "Space")
    assert window.desk.is_draft
    assert "Nobody said yet whose review this is." in window._words.text()


def test_the_report_is_written_by_one_key(
    show: Callable[[Path], Window],
    case_of: Callable[..., Path],
    press: Press,
    until: Until,
) -> None:
    path = case_of()
    window = show(path)
    press(window, "C")
    take(window, "release")
    press(window, "Space")
    assert window.desk.hand.wait_until_saved(10.0).word == "saved"
    press(window, "Escape", "Ctrl+R")
    until(lambda: "The report is written" in window._words.text(), 60.0)
    assert (path / "critique" / "critique.html").is_file()


@pytest.fixture
def two_cases(case_of: Callable[..., Path], at: Places, new_id: NewId) -> tuple[Path, Path]:
    """Two cases of R07; in the first a goal was set and released."""
    first, second = (case_of(f"C{n}", trainee="R07", running_case_number=n) for n in (1, 2))
    opened = open_case(first, at)
    goals = (Goal(id=new_id(), act="lower the bottle"),)
    review = Review(id=new_id(), case=opened.case.id, reviewer="T01", state="released", goals=goals)
    write_review(opened.folder, new_review(opened.folder, review), review)
    return first, second


def test_open_goals_are_told_when_the_next_case_opens_and_stand_first_in_its_closing(
    show: Callable[[Path], Window], two_cases: tuple[Path, Path], press: Press
) -> None:
    window = show(two_cases[1])
    assert "Goals from earlier cases" in window._words.text()
    goals = window._bench.remarks_list.findChild(EarlierGoals)
    assert "lower the bottle (C1)" in words(goals)
    press(window, "C")
    assert "lower the bottle (case C1)" in words(window._sheet.page)
    press(window, "Escape", "U")
    assert [goal.act for goal in window.desk.review.goals] == ["lower the bottle"]


def test_a_goal_that_was_let_go_stays_so_at_the_next_opening(
    show: Callable[[Path], Window], two_cases: tuple[Path, Path], press: Press
) -> None:
    window = show(two_cases[1])
    press(window, "C")
    [goal] = window.desk.review.goals
    choice = find(window._sheet.page, QComboBox, f"outcome-{goal.id}")
    choice.setFocus()
    press(window, "End", "Return")
    assert window.desk.review.goals[0].outcome == "let-go"
    window = show(two_cases[1])
    assert [(one.act, one.outcome) for one in window.desk.review.goals] == [
        ("lower the bottle", "let-go")
    ]
