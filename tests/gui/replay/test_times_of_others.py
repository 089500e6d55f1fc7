"""No times of others unless the resident asks; then a range, or that they are too few."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from PyQt6.QtWidgets import QLabel

from aftercase.gui.replay import words
from aftercase.gui.window import Window
from aftercase.model.base import NewId
from aftercase.model.review import Review, StepSpan
from aftercase.session.tasks.others_times import OthersTimes

Press = Callable[..., None]
Until = Callable[..., None]


def said(window: Window) -> str:
    panel = window._bench.replay.right
    return "\n".join(one.text() for one in panel.findChildren(QLabel) if one.isVisible())


@pytest.fixture
def beside_others(
    case_of: Callable[..., Path], reviewed: Path, write: Callable[..., Review], new_id: NewId
) -> Path:
    """The reviewed case, and one of another resident beside it."""
    span = StepSpan(
        id=new_id(), step="capsulorhexis", start_us=0, end_us=17_000_000,
        performer="trainee", takeover="none",
    )  # fmt: skip
    write(case_of(trainee="R08", setting="patient"), "T01", steps=(span,))
    return reviewed


def test_nothing_of_others_is_shown_before_it_is_asked_for(
    enter: Callable[..., Window], beside_others: Path, press: Press
) -> None:
    window = enter(beside_others)
    for key in ("Down", "Down", "M", "M", "F"):
        press(window, key)
        assert "other resident" not in said(window)
        assert "0:00:17" not in said(window)


def test_asked_for_too_few_are_said_to_be_too_few_and_the_next_moment_hides_it(
    enter: Callable[..., Window], beside_others: Path, press: Press, until: Until
) -> None:
    window = enter(beside_others)
    press(window, "Down", "Down", "Y")
    until(lambda: "Too few for times of others: 1 case of 1 other resident " in said(window), 60.0)
    assert "0:00:17" not in said(window), "no single person's time is shown"
    press(window, "Down")
    assert "other resident" not in said(window)


def test_outside_a_step_there_is_nothing_to_ask_for(room: Window, press: Press) -> None:
    press(room, "Down", "Down", "Down", "Down", "Y")
    assert room.desk.words.text == "Choose a moment inside a step first."


def test_a_range_is_said_with_how_many_are_behind_it_and_that_it_is_no_quality() -> None:
    found = OthersTimes(24, 6, 3, (130_000_000, 220_500_000))
    assert words.others_words(found) == (
        "Others: half of 24 cases of 6 other residents took 0:02:10 to 0:03:40. "
        "Left out: 3, taken over or not said by whom. Duration is not quality."
    )
