"""Before handing in a resident marks, judges and flags; then both reviews lie side by side."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from PyQt6.QtWidgets import QLabel, QTableWidget, QWidget

from aftercase.gui.replay.both import BothReviews
from aftercase.gui.window import Window
from aftercase.model.review import Review, StepSpan
from aftercase.session.adopting import stops
from aftercase.session.people import Person

Press = Callable[..., None]
Until = Callable[..., None]
TypeText = Callable[[Window, str], None]
OwnReview = Callable[[Window], Review]


def said(place: QWidget) -> str:
    return "\n".join(one.text() for one in place.findChildren(QLabel) if one.isVisible())


def go_to(window: Window, until: Until, us: int) -> None:
    window.player.go_to(us)
    until(lambda: window.player.is_exact and window.desk.at_us == us)


@pytest.fixture
def judged_first(
    case_of: Callable[..., Path], write: Callable[..., Review], teachers_words: dict
) -> Path:
    """A case whose program asks the resident to judge first, and a released teacher's review."""
    path = case_of(trainee="R07", judge_first=True)
    write(path, "T01", **teachers_words)
    return path


def test_before_handing_in_a_resident_marks_the_clock_judges_and_flags(
    enter: Callable[..., Window],
    case_of: Callable[..., Path],
    press: Press,
    type_text: TypeText,
    until: Until,
    own_review: OwnReview,
) -> None:
    window = enter(case_of(trainee="R07"))
    press(window, "Ctrl+2", "Return")
    go_to(window, until, 4_000_000)
    press(window, "R")
    type_text(window, "- my hands shook")
    press(window, "Return")
    press(window, "Shift+P")
    review = own_review(window)
    assert (review.reviewer, review.role) == ("R07", "trainee")
    assert [span.step for span in review.steps] == ["side-port"]
    assert [(one.kind, one.text) for one in review.remarks] == [("work-on", "my hands shook")]
    assert [flag.at_us for flag in review.flags] == [4_000_000]


def test_a_flag_of_a_released_review_is_a_stop_on_the_teachers_pass(
    enter: Callable[..., Window],
    case_of: Callable[..., Path],
    press: Press,
    until: Until,
    own_review: OwnReview,
) -> None:
    window = enter(case_of(trainee="R07"))
    press(window, "Ctrl+2")
    go_to(window, until, 4_000_000)
    press(window, "Shift+P", "C")
    window._sheet.page.findChild(QWidget, "release").click()
    own_review(window)
    window.be(Person("T01", "teacher"))
    until(lambda: window.desk is not None and window.desk.review.reviewer == "T01")
    [stop] = stops(window.desk.opened, window.desk.review)
    assert (stop.flag.at_us, stop.reviewer) == (4_000_000, "R07")


def test_the_teachers_review_opens_when_ones_own_is_sealed(
    enter: Callable[..., Window], judged_first: Path, press: Press, own_review: OwnReview
) -> None:
    window = enter(judged_first)
    sides = window._bench.replay
    assert sides.left.rows == ()
    assert "T01's review opens when you have sealed your own." in said(sides.right)
    assert "calm hands" not in said(window)
    assert window.desk.shown_review is window.desk.review, "nor does the strip show it"
    press(window, "B")
    assert "opens when you have sealed your own" in window.desk.words.text
    press(window, "C")
    window._sheet.page.findChild(QWidget, "seal").click()
    assert own_review(window).state == "sealed"
    press(window, "Escape")
    assert len(sides.left.rows) == 4


@pytest.fixture
def both(
    enter: Callable[..., Window],
    judged_first: Path,
    write: Callable[..., Review],
    new_id: Callable[[], str],
    press: Press,
) -> tuple[Window, BothReviews]:
    """The page with both reviews: the resident saw the tear begin two seconds later."""
    spans = (("side-port", 2_000_000, 8_000_000), ("capsulorhexis", 22_000_000, 40_400_000),
             ("cortex", 60_000_000, 70_000_000))  # fmt: skip
    own = tuple(
        StepSpan(id=new_id(), step=step, start_us=start_us, end_us=end_us)
        for step, start_us, end_us in spans
    )
    write(judged_first, "R07", "trainee", state="sealed", steps=own)
    window = enter(judged_first)
    press(window, "B")
    page = window._sheet.page
    assert isinstance(page, BothReviews)
    return window, page


def cells(page: BothReviews) -> list[list[str]]:
    table = page.findChild(QTableWidget)
    return [
        [table.item(row, column).text() for column in range(table.columnCount())]
        for row in range(table.rowCount())
    ]


def test_both_lie_on_one_strip_and_differences_come_first(
    both: tuple[Window, BothReviews],
) -> None:
    # by hand: cortex is marked by one only; the tear's edges are 2.0 and 0.4 s apart
    assert cells(both[1]) == [
        ["Cortex removal", "0:01:00.000 – 0:01:10.000", "not marked", "only one marked it"],
        [
            "Capsulorhexis",
            "0:00:22.000 – 0:00:40.400",
            "0:00:20.000 – 0:00:40.000",
            "2.000",
        ],
        ["Side port", "0:00:02.000 – 0:00:08.000", "0:00:02.000 – 0:00:08.000", "0.000"],
    ]
    assert "says nothing of who is right" in said(both[1])


def test_a_difference_leads_to_its_place_on_the_film(
    both: tuple[Window, BothReviews], press: Press, until: Until
) -> None:
    window, page = both
    table = page.findChild(QTableWidget)
    table.setCurrentCell(1, 0)
    table.setFocus()
    press(window, "Return")
    until(lambda: window.player.is_exact and window.player.at_us == 22_000_000)
    assert window._sheet.page is None
    assert window.room == "replay"


def test_without_judging_first_both_can_be_laid_side_by_side_too(
    room: Window, press: Press
) -> None:
    press(room, "B")
    assert isinstance(room._sheet.page, BothReviews)


def test_one_reviewed_case_has_no_other_side(
    enter: Callable[..., Window], case_of: Callable[..., Path], press: Press
) -> None:
    window = enter(case_of(trainee="R07"))
    press(window, "B")
    assert window._sheet.page is None
    assert "no other review" in window.desk.words.text
