"""What holds for every page: names, first focus, Escape, room at 200 % text, quick to open."""

from __future__ import annotations

import time
from collections.abc import Iterator
from typing import Any, get_args

import pytest
from PyQt6.QtCore import Qt
from PyQt6.QtWidgets import (  # fmt: skip
    QAbstractButton,
    QAbstractItemView,
    QApplication,
    QComboBox,
    QLineEdit,
    QMainWindow,
    QScrollArea,
    QWidget,
)
from pytestqt.qtbot import QtBot

from aftercase.gui.pages.building import tab_stops
from aftercase.gui.pages.table import PAGES
from aftercase.gui.sheet import Sheet
from aftercase.gui.theme import DARK, LIGHT, wear
from aftercase.session.desk import Desk
from aftercase.session.people import Person, remember_person
from aftercase.session.stage import Page

OURS = tuple(page for page in PAGES if page != "closing")
CONTROLS = (QLineEdit, QAbstractButton, QComboBox, QAbstractItemView)
WIDTH_PX, HEIGHT_PX = 1280, 720
STALL_S = 0.2
TRIES = 3


@pytest.fixture
def large_text(qapp: QApplication) -> Iterator[None]:
    wear(qapp, DARK, 200)
    yield
    wear(qapp, LIGHT, 100)


@pytest.fixture
def sheet(qtbot: QtBot, host: Any, desk: Desk) -> Sheet:
    remember_person(host.at, Person("T01"))
    host.person = Person("T01")
    window = QMainWindow()
    qtbot.addWidget(window)
    made = Sheet()
    window.setCentralWidget(made)
    window.resize(WIDTH_PX, HEIGHT_PX)
    window.show()
    window.activateWindow()
    qtbot.waitExposed(window)
    yield made
    made.clear()


def open_page(sheet: Sheet, host: Any, page: Page) -> QWidget:
    made = PAGES[page](host)
    sheet.show_page(made)
    QApplication.processEvents()
    return made


def test_every_word_for_a_page_has_one() -> None:
    assert set(PAGES) == set(get_args(Page))


@pytest.mark.parametrize("page", OURS)
def test_the_first_focus_is_a_named_control(sheet: Sheet, host: Any, page: Page) -> None:
    made = open_page(sheet, host, page)
    focused = made.focusWidget()
    assert isinstance(focused, CONTROLS)
    assert focused.accessibleName()


@pytest.mark.parametrize("page", OURS)
def test_every_control_is_named_and_reached_by_tab(sheet: Sheet, host: Any, page: Page) -> None:
    made = open_page(sheet, host, page)
    stops = tab_stops(made)
    assert stops
    for control in made.findChildren(QWidget):
        is_part = isinstance(control.parent(), QComboBox | QLineEdit | QAbstractItemView)
        if isinstance(control, CONTROLS) and control.isVisible() and not is_part:
            assert control.accessibleName() or control.parent().inherits(
                "QComboBoxPrivateContainer"
            )
            if control.isEnabled():
                assert control in stops, control.accessibleName()


@pytest.mark.parametrize("page", OURS)
def test_nothing_is_wider_than_the_sheet_at_twice_the_text(
    large_text: None, sheet: Sheet, host: Any, page: Page
) -> None:
    open_page(sheet, host, page)
    bar = sheet.findChild(QScrollArea).horizontalScrollBar()
    assert bar.maximum() == 0


@pytest.mark.parametrize("page", OURS)
def test_escape_leaves_a_page(sheet: Sheet, host: Any, page: Page, qtbot: QtBot) -> None:
    made = open_page(sheet, host, page)
    with qtbot.waitSignal(sheet.left, timeout=1000):
        qtbot.keyClick(made.focusWidget(), Qt.Key.Key_Escape)


@pytest.mark.parametrize("page", OURS)
def test_a_page_opens_before_anybody_notices(sheet: Sheet, host: Any, page: Page) -> None:
    took_s = []
    for _ in range(TRIES):
        began_s = time.thread_time()  # other work on the machine is not this page's
        open_page(sheet, host, page)
        took_s.append(time.thread_time() - began_s)
    assert min(took_s) < STALL_S
