"""The tour: each step is seen to be done by what the desk tells."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from PyQt6.QtCore import Qt
from PyQt6.QtWidgets import QDockWidget, QMainWindow, QPushButton
from pytestqt.qtbot import QtBot

from aftercase.gui.pages.tour import TourBand, TourPage, example_folder, show_tour
from aftercase.gui.pages.tour_steps import TOUR
from aftercase.session.desk import Desk
from aftercase.session.verbs import marking
from aftercase.session.verbs.remarks import Typed, keep_remark

LONG_MS = 60_000


@pytest.fixture
def window(qtbot: QtBot) -> QMainWindow:
    made = QMainWindow()
    qtbot.addWidget(made)
    made.show()
    return made


@pytest.fixture
def band(window: QMainWindow, host: Any, desk: Desk) -> TourBand:
    return show_tour(window, host, desk.opened.folder.path)


def test_each_step_goes_on_when_it_was_done_and_not_before(band: TourBand, desk: Desk) -> None:
    assert band.words.startswith("Press Space: the film plays.")
    desk.show_moment(400_000)
    assert band.words.startswith("Press Space")
    desk.show_moment(4_000_000)
    assert band.words.startswith("Press Return or Enter when the operation begins")
    desk.show_moment(5_000_000)
    marking.next_step(desk)
    assert band.words.startswith("Press Return or Enter again")
    desk.show_moment(9_000_000)
    assert band.words.startswith("Press Return or Enter again")
    marking.next_step(desk)
    assert band.words.startswith("Press 0 when nothing is in the eye")
    marking.press_pause(desk)
    assert band.words.startswith("Press T: the teacher takes")
    desk.show_moment(10_000_000)
    marking.press_takeover(desk)
    assert band.words.startswith("Press R, type what you see")
    keep_remark(desk, Typed(10_000_000, "+ calm hands"))
    assert "is taken back" in band.words
    desk.undo()
    assert "goes back to the mark before" in band.words
    desk.show_moment(9_000_000)
    assert band.words.startswith("That is all there is to learn. F1 shows every key")


def test_keys_a_person_chose_stand_in_the_words(window: QMainWindow, host: Any, desk: Desk) -> None:
    host.change_settings(keys={"play": "F7"})
    made = show_tour(window, host, desk.opened.folder.path)
    assert made.words.startswith("Press F7: the film plays.")
    made.stop()


def test_a_step_can_be_skipped_and_the_tour_left_at_any_time(
    band: TourBand, window: QMainWindow, qtbot: QtBot
) -> None:
    skip, leave = band.findChildren(QPushButton)
    for _ in TOUR:
        qtbot.keyClick(skip, Qt.Key.Key_Space)
    assert leave.text() == "Done"
    qtbot.keyClick(leave, Qt.Key.Key_Space)
    qtbot.waitUntil(lambda: not window.findChildren(QDockWidget))


def test_the_tour_waits_while_another_case_is_open(
    band: TourBand, host: Any, desk: Desk, qtbot: QtBot
) -> None:
    host.desk = None
    qtbot.waitUntil(lambda: "goes on when the example is open" in band.words)
    host.desk = desk
    qtbot.waitUntil(lambda: band.words.startswith("Press Space"))


def test_a_person_with_a_finished_review_is_told_to_take_another_code(
    window: QMainWindow, host: Any, desk: Desk
) -> None:
    desk.edit(lambda review: review.changed(state="sealed"), "seal")
    made = show_tour(window, host, desk.opened.folder.path)
    assert "T01 has a finished review" in made.words
    made.stop()


def test_the_example_is_made_once_and_then_opened(
    window: QMainWindow, host: Any, qtbot: QtBot
) -> None:
    for n_times in (1, 2):
        page = TourPage(host)
        window.setCentralWidget(page)
        [begin] = page.findChildren(QPushButton)
        qtbot.keyClick(begin, Qt.Key.Key_Space)
        qtbot.waitUntil(lambda n=n_times: len(host.opened) == n, timeout=LONG_MS)
        page.stop()
    case: Path = host.opened[0]
    assert host.opened == [case, case]
    assert (case / "case.json").is_file()
    assert case.is_relative_to(example_folder(host.at))
    [dock] = [one for one in window.findChildren(QDockWidget) if one.objectName()]
    dock.widget().stop()
