"""The list of recent cases, by keys."""

from __future__ import annotations

import io
import threading
import time
from pathlib import Path

import pytest
from PIL import Image
from PyQt6.QtCore import Qt
from PyQt6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from aftercase.gui.start.case_look import CaseRow
from aftercase.gui.start.case_rows import CaseList
from aftercase.gui.start.looking import Looking
from aftercase.gui.theme import DARK, LIGHT

RED = (250, 0, 0)


def red_jpeg() -> bytes:
    made = io.BytesIO()
    Image.new("RGB", (320, 180), RED).save(made, "JPEG")
    return made.getvalue()


def a_row(code: str, **said: object) -> CaseRow:
    return CaseRow(Path("/cases") / code, code, **said)  # type: ignore[arg-type]


@pytest.fixture
def asked() -> list[tuple[str, Path]]:
    return []


@pytest.fixture
def cases(qtbot: QtBot, asked: list[tuple[str, Path]]) -> CaseList:
    made = CaseList(
        LIGHT,
        lambda folder: asked.append(("open", folder)),
        lambda folder: asked.append(("forget", folder)),
    )
    qtbot.addWidget(made)
    made.resize(500, 400)
    made.show()
    return made


def n_red(cases: CaseList) -> int:
    """Count strongly red pixels in the first row's picture."""
    image = cases.grab().toImage()
    colours = (image.pixelColor(x, y) for x in range(12, 110, 4) for y in range(12, 70, 4))
    return sum(one.red() > 200 and one.green() < 60 for one in colours)


def test_no_case_is_no_row(cases: CaseList) -> None:
    cases.show_rows([])
    assert cases.rows == ()
    assert cases.present is None


def test_return_opens_the_present_case(
    cases: CaseList, qtbot: QtBot, asked: list[tuple[str, Path]]
) -> None:
    cases.show_rows([a_row("case-1"), a_row("case-2")])
    cases.setFocus()
    qtbot.keyClick(cases, Qt.Key.Key_Down)
    qtbot.keyClick(cases, Qt.Key.Key_Return)
    assert asked == [("open", Path("/cases/case-2"))]


def test_delete_takes_the_present_case_off_the_list(
    cases: CaseList, qtbot: QtBot, asked: list[tuple[str, Path]]
) -> None:
    cases.show_rows([a_row("case-1")])
    qtbot.keyClick(cases, Qt.Key.Key_Delete)
    assert asked == [("forget", Path("/cases/case-1"))]


def test_the_present_case_stays_the_present_one_when_the_list_is_shown_anew(
    cases: CaseList,
) -> None:
    cases.show_rows([a_row("case-1"), a_row("case-2")])
    cases.setCurrentRow(1)
    cases.show_rows([a_row("case-3"), a_row("case-1"), a_row("case-2")])
    assert cases.present is not None
    assert cases.present.code == "case-2"


def test_a_screen_reader_hears_the_whole_row(cases: CaseList) -> None:
    cases.show_rows([a_row("case-1", open="draft, 2 remarks", plate="identity not checked yet")])
    item = cases.item(0)
    assert item is not None
    spoken = item.data(Qt.ItemDataRole.AccessibleTextRole)
    assert spoken == "case-1. draft, 2 remarks. identity not checked yet"


def test_a_still_is_painted_only_where_no_plate_covers_it(cases: CaseList) -> None:
    cases.show_rows([a_row("case-1", plate="identity not checked yet", still=red_jpeg())])
    assert n_red(cases) == 0
    cases.show_row(a_row("case-1", plate="", still=red_jpeg()))
    assert n_red(cases) > 200


def test_a_still_goes_when_the_identity_check_is_taken_back(cases: CaseList) -> None:
    cases.show_rows([a_row("case-1", plate="", still=red_jpeg())])
    cases.show_row(a_row("case-1", plate="identity not checked yet"))
    assert n_red(cases) == 0
    cases.show_row(a_row("case-1", plate=""))
    assert n_red(cases) == 0


def test_a_still_stays_while_the_list_is_shown_anew(cases: CaseList) -> None:
    cases.show_rows([a_row("case-1", plate="", still=red_jpeg())])
    cases.show_rows([a_row("case-1", plate="")])
    assert n_red(cases) > 200


def test_a_damaged_still_shows_nothing(cases: CaseList) -> None:
    cases.show_rows([a_row("case-1", plate="", still=b"no picture")])
    assert n_red(cases) == 0


def test_rows_grow_with_the_text(cases: CaseList, qapp: QApplication) -> None:
    cases.show_rows([a_row("case-1")])
    font = cases.font()
    font.setPointSizeF(font.pointSizeF() * 2)
    cases.setFont(font)
    assert cases.sizeHintForRow(0) >= 3 * cases.fontMetrics().lineSpacing()


def test_other_colours_are_worn_at_once(cases: CaseList) -> None:
    cases.show_rows([a_row("case-1"), a_row("case-2")])
    cases.setCurrentRow(0)
    chosen = cases.visualItemRect(cases.item(0)).bottomRight()
    cases.wear(DARK)
    ratio = cases.devicePixelRatioF()
    image = cases.viewport().grab().toImage()
    colour = image.pixelColor(int((chosen.x() - 5) * ratio), int((chosen.y() - 5) * ratio))
    assert colour.name().upper() == DARK.accent


def test_looks_are_told_one_by_one_and_then_that_they_are_over(qtbot: QtBot) -> None:
    told: list[object] = []
    looking = Looking(QApplication.instance(), told.append, lambda: told.append("over"))
    looking.begin([lambda: 1, lambda: threading.current_thread() is threading.main_thread()])
    qtbot.waitUntil(lambda: "over" in told)
    assert told == [1, False, "over"]


def test_what_an_earlier_round_would_still_tell_is_left_out(qtbot: QtBot) -> None:
    told: list[object] = []
    looking = Looking(QApplication.instance(), told.append, lambda: told.append("over"))
    go_on = threading.Event()

    def slow() -> str:
        go_on.wait(5)
        return "late"

    looking.begin([slow, lambda: "later"])
    looking.begin([lambda: "new"])
    qtbot.waitUntil(lambda: "over" in told)
    go_on.set()
    qtbot.wait(50)
    assert told == ["new", "over"]


def test_a_drive_that_does_not_answer_holds_nobody_up(qtbot: QtBot) -> None:
    looking = Looking(QApplication.instance(), lambda result: None, lambda: None)
    go_on = threading.Event()
    began_s = time.monotonic()
    looking.begin([lambda: go_on.wait(5)])
    looking.stop()
    assert time.monotonic() - began_s < 0.1
    go_on.set()
