"""Work in the background as the window sees it."""

from __future__ import annotations

import time
from pathlib import Path

import pytest
from PyQt6.QtCore import Qt
from PyQt6.QtWidgets import QMainWindow, QPushButton
from pytestqt.qtbot import QtBot

from aftercase.errors import AftercaseError, EditRefused, WorkStopped
from aftercase.gui.busy import MOST_AT_ONCE, BusyTasks
from aftercase.media.watch import UNWATCHED, Watch

LONG_MS = 20_000


def twice(number: int, *, watch: Watch = UNWATCHED) -> int:
    return 2 * number


def refuse(*, watch: Watch = UNWATCHED) -> None:
    raise EditRefused("It cannot be done.", hint="Do something else.")


def break_down(*, watch: Watch = UNWATCHED) -> None:
    raise ValueError("our own fault")


def go_on_for_ever(mark: Path, *, watch: Watch = UNWATCHED) -> None:
    mark.touch()
    while True:
        watch.step(30, 100)
        time.sleep(0.01)


@pytest.fixture
def tasks(qtbot: QtBot) -> BusyTasks:
    window = QMainWindow()
    qtbot.addWidget(window)
    made = BusyTasks(window)
    bar = window.statusBar()
    assert bar is not None
    bar.addPermanentWidget(made.view)
    window.show()
    yield made
    made.stop_all()


def test_nothing_to_do_shows_no_line(tasks: BusyTasks) -> None:
    assert not tasks.is_busy
    assert not tasks.view.isVisible()


def test_a_task_tells_its_result_once_on_the_windows_thread(tasks: BusyTasks, qtbot: QtBot) -> None:
    told: list[int] = []
    tasks.run("Doubling", twice, 21, done=told.append)
    assert tasks.view.isVisible()
    qtbot.waitUntil(lambda: not tasks.is_busy, timeout=LONG_MS)
    assert told == [42]
    assert not tasks.view.isVisible()


def test_a_fault_of_the_world_comes_back_as_it_was_raised(tasks: BusyTasks, qtbot: QtBot) -> None:
    told: list[AftercaseError] = []
    tasks.run("Refusing", refuse, failed=told.append)
    qtbot.waitUntil(lambda: bool(told), timeout=LONG_MS)
    assert isinstance(told[0], EditRefused)
    assert (told[0].message, told[0].hint) == ("It cannot be done.", "Do something else.")


def test_a_fault_of_our_own_reaches_the_hook_and_the_line_is_free_again(
    tasks: BusyTasks, qtbot: QtBot
) -> None:
    with qtbot.capture_exceptions() as caught:
        tasks.run("Breaking", break_down)
        qtbot.waitUntil(lambda: not tasks.is_busy, timeout=LONG_MS)
    assert "our own fault" in str(caught[0][1])


def test_a_key_on_the_button_stops_a_task_and_says_so(
    tasks: BusyTasks, qtbot: QtBot, tmp_path: Path
) -> None:
    told: list[AftercaseError] = []
    mark = tmp_path / "begun"
    tasks.run("Going on", go_on_for_ever, mark, failed=told.append)
    qtbot.waitUntil(mark.exists, timeout=LONG_MS)
    stop = tasks.view.findChild(QPushButton)
    assert stop is not None
    assert stop.accessibleName() == "Stop: Going on"
    qtbot.keyClick(stop, Qt.Key.Key_Space)
    qtbot.waitUntil(lambda: not tasks.is_busy, timeout=LONG_MS)
    assert isinstance(told[0], WorkStopped)
    assert "Going on" in told[0].message


def test_more_tasks_than_may_run_wait_and_are_counted_on_the_line(
    tasks: BusyTasks, qtbot: QtBot, tmp_path: Path
) -> None:
    marks = [tmp_path / str(number) for number in range(MOST_AT_ONCE + 1)]
    for mark in marks:
        tasks.run(mark.name, go_on_for_ever, mark)
    qtbot.waitUntil(lambda: all(mark.exists() for mark in marks[:-1]), timeout=LONG_MS)
    assert not marks[-1].exists()
    tasks.stop(tasks.works[0])
    qtbot.waitUntil(marks[-1].exists, timeout=LONG_MS)
    assert len(tasks.works) == MOST_AT_ONCE


def test_a_waiting_task_that_is_stopped_never_begins(
    tasks: BusyTasks, qtbot: QtBot, tmp_path: Path
) -> None:
    told: list[AftercaseError] = []
    marks = [tmp_path / str(number) for number in range(MOST_AT_ONCE + 1)]
    for mark in marks:
        tasks.run(mark.name, go_on_for_ever, mark, failed=told.append)
    tasks.stop(tasks.works[-1])
    qtbot.waitUntil(lambda: len(told) == 1, timeout=LONG_MS)
    assert not marks[-1].exists()


def test_closing_the_window_ends_every_process_without_a_word(
    tasks: BusyTasks, qtbot: QtBot, tmp_path: Path
) -> None:
    told: list[AftercaseError] = []
    mark = tmp_path / "begun"
    tasks.run("Going on", go_on_for_ever, mark, failed=told.append)
    qtbot.waitUntil(mark.exists, timeout=LONG_MS)
    process = tasks.works[0].process
    assert process is not None
    tasks.stop_all()
    qtbot.wait(100)
    assert told == []
    assert not tasks.is_busy
