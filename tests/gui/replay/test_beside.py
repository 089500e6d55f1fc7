"""A step of this case beside the same step of an earlier one, in step from its start."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from PyQt6.QtWidgets import QComboBox, QLabel

from aftercase.gui.replay.beside import BesidePage
from aftercase.gui.window import Window
from aftercase.model.base import NewId
from aftercase.model.review import Review, StepSpan

Press = Callable[..., None]
Until = Callable[..., None]
FRAME_US = 40_000


@pytest.fixture
def tear(new_id: NewId) -> Callable[[int, int], StepSpan]:
    return lambda start_us, end_us: StepSpan(
        id=new_id(), step="capsulorhexis", start_us=start_us, end_us=end_us
    )


def said(page: BesidePage) -> list[str]:
    return [one.text() for one in page.findChildren(QLabel) if one.isVisible()]


@pytest.fixture
def beside(
    enter: Callable[..., Window],
    reviewed: Path,
    case_of: Callable[..., Path],
    write: Callable[..., Review],
    tear: Callable[[int, int], StepSpan],
    press: Press,
    until: Until,
) -> tuple[Window, BesidePage]:
    """The page with this case's tear, 20 to 40 s, and an earlier one's, 50 to 52 s."""
    write(case_of(trainee="R07"), "T01", steps=(tear(50_000_000, 52_000_000),))
    write(case_of(trainee="R08"), "T01", steps=(tear(10_000_000, 12_000_000),))
    write(case_of(), "T01", steps=(tear(10_000_000, 12_000_000),))
    window = enter(reviewed)
    press(window, "Down", "Down", "V")
    page = window._sheet.page
    assert isinstance(page, BesidePage)
    until(lambda: all(side.has_film and side.player.is_exact for side in page.sides))
    return window, page


def into_us(page: BesidePage) -> tuple[int, int]:
    first, second = page.sides
    return first.into_us, second.into_us


def test_both_rest_at_the_start_of_the_step_with_the_times_of_each(
    beside: tuple[Window, BesidePage],
) -> None:
    _, page = beside
    assert [side.player.at_us for side in page.sides] == [20_000_000, 50_000_000]
    assert "Case C1: 0:00:20 to 0:00:40, 0:00:20.000 in all" in said(page)
    assert "Case C2: 0:00:50 to 0:00:52, 0:00:02.000 in all" in said(page)
    assert said(page).count("0:00:00.000 into the step") == 2
    assert any("Duration is not quality." in words for words in said(page))


def test_only_earlier_cases_of_the_same_trainee_are_offered(
    beside: tuple[Window, BesidePage],
) -> None:
    _, page = beside
    choice = page.sides[1].findChild(QComboBox)
    assert [choice.itemText(place) for place in range(choice.count())] == [
        "C2 at 0:00:50 (T01)",
    ]


def test_both_go_on_in_step_and_the_shorter_one_waits_on_its_last_frame(
    beside: tuple[Window, BesidePage], press: Press, until: Until
) -> None:
    window, page = beside
    first, second = page.sides
    apart_us: list[int] = []

    def second_is_over() -> bool:
        if second.player.state == "playing" and 0 < second.into_us < 1_900_000:
            one, other = into_us(page)
            apart_us.append(abs(one - other))
        return second.player.state == "resting" and first.into_us > 2_200_000

    press(window, "Space")
    until(second_is_over)
    assert len(apart_us) > 20
    # each shows the frame of the same time: between two looks at them one can be a frame ahead
    assert sorted(apart_us)[len(apart_us) * 95 // 100] <= FRAME_US
    assert second.player.at_us == 51_960_000
    assert first.player.state == "playing"
    press(window, "Space")
    assert first.player.state == "resting"
    press(window, "Space")
    assert (first.player.state, second.player.state) == ("playing", "resting")


def test_after_a_rest_in_the_middle_both_go_on_in_step(
    beside: tuple[Window, BesidePage], press: Press, until: Until
) -> None:
    window, page = beside
    press(window, "Shift+Space")
    assert [side.player.rate for side in page.sides] == [0.25, 0.25]
    until(lambda: min(into_us(page)) >= 200_000)
    press(window, "Space", "Space")
    until(lambda: min(into_us(page)) >= 800_000)
    press(window, "Space")
    one, other = into_us(page)
    assert abs(one - other) <= FRAME_US


def test_frame_by_frame_both_show_the_same_time_of_the_step(
    beside: tuple[Window, BesidePage], press: Press, until: Until
) -> None:
    window, page = beside
    press(window, "Right", "Right", "Right", "Left")
    until(lambda: all(side.player.is_exact for side in page.sides))
    assert into_us(page) == (2 * FRAME_US, 2 * FRAME_US)
    press(window, "Home")
    until(lambda: all(side.player.is_exact for side in page.sides))
    assert into_us(page) == (0, 0)


def test_the_keys_are_the_pages_own(
    beside: tuple[Window, BesidePage], press: Press, until: Until
) -> None:
    window, page = beside
    before = window.player.at_us
    press(window, "Space")
    until(lambda: min(into_us(page)) > 0)
    press(window, "Space")
    assert window.player.state == "resting"
    assert window.player.at_us == before
    press(window, "Escape")
    assert window._sheet.page is None
    assert window.room == "replay"


def test_a_page_that_is_left_while_both_play_lets_go_of_them(
    beside: tuple[Window, BesidePage], press: Press, until: Until
) -> None:
    window, page = beside
    press(window, "Space")
    until(lambda: min(into_us(page)) > 0)
    first = page.sides[0]._screening
    press(window, "Escape")
    first._woken.emit()  # the worker woke it before it knew
    assert not first._timer.isActive()


def test_without_an_earlier_case_it_says_what_makes_one_known(
    room: Window, press: Press, until: Until
) -> None:
    press(room, "Down", "Down", "V")
    page = room._sheet.page
    until(lambda: any("No earlier case of this trainee" in words for words in said(page)))
    until(lambda: page.sides[0].has_film and page.sides[0].player.is_exact)
    press(room, "Right")
    assert page.sides[0].into_us == FRAME_US
    press(room, "Space")
    until(lambda: page.sides[0].into_us > 5 * FRAME_US)


def test_outside_a_step_it_says_what_to_do(room: Window, press: Press) -> None:
    press(room, "Down", "Down", "Down", "Down", "V")
    assert room._sheet.page is None
    assert room.desk.words.text == "Choose a moment inside a step first."
