"""Every control that Tab stops at shows that it has the keys: a ring in the focus colour."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from PyQt6.QtCore import Qt
from PyQt6.QtGui import QImage
from PyQt6.QtWidgets import QApplication, QCheckBox, QComboBox, QWidget

from aftercase.gui.pages.building import tab_stops
from aftercase.gui.pages.table import PAGES
from aftercase.gui.theme import DARK, LIGHT, Theme, wear
from aftercase.gui.window import Window
from aftercase.session.verbs import marking

ASKED = ("step", "about-step", "place", "time", "drawing", "light", "measure", "eye-lies")
RING_PX = 2
LEAST_SHARE = 0.4
"""Of the pixels of a square ring: corners are round, and the hour pad has a circle."""


def has_ring(widget: QWidget, colour: str) -> bool:
    """Say whether as much of a widget is in a colour as most of a ring around it."""
    image = widget.grab().toImage().convertToFormat(QImage.Format.Format_RGB32)
    held = image.constBits().asarray(image.sizeInBytes())
    pixels = np.frombuffer(held, np.uint32) & 0xFFFFFF
    lit = int((pixels == int(colour.removeprefix("#"), 16)).sum())
    return lit >= LEAST_SHARE * RING_PX * 2 * (image.width() + image.height())


def without_ring(whole: QWidget, window: Window) -> list[str]:
    """Return the controls of a place that have no ring when they have the keys."""
    found = []
    for stop in tab_stops(whole):
        if stop.focusProxy() is not None:
            continue
        stop.setFocus(Qt.FocusReason.TabFocusReason)
        QApplication.processEvents()
        if not has_ring(stop, window.theme.focus):
            found.append(f"{type(stop).__name__} {stop.accessibleName() or stop.objectName()}")
    return found


@pytest.fixture
def marked(opened: Window) -> Window:
    """The window with a case in which a step runs and an event was marked."""
    marking.next_step(opened.desk)
    marking.mark_event(opened.desk, opened.desk.guide.events[0].id)
    opened.activateWindow()
    return opened


@pytest.mark.parametrize("page", sorted(PAGES))
def test_every_control_of_a_page_shows_that_it_has_the_keys(marked: Window, page: str) -> None:
    marked.show_page(page)
    QApplication.processEvents()
    assert tab_stops(marked._sheet)
    assert without_ring(marked._sheet, marked) == []


@pytest.mark.parametrize("theme", ["light", "dark"])
@pytest.mark.parametrize("room", ["start", "review", "replay"])
def test_every_control_of_a_room_shows_that_it_has_the_keys(
    marked: Window, room: str, theme: str
) -> None:
    marked.change_settings(theme=theme)
    marked.enter(room)
    QApplication.processEvents()
    assert without_ring(marked._rooms.currentWidget(), marked) == []


@pytest.mark.parametrize("question", ASKED)
def test_every_control_of_a_question_shows_that_it_has_the_keys(
    marked: Window, question: str, until: Callable[..., None]
) -> None:
    marked.ask(question)
    asking = marked._bench.asking
    until(lambda: asking.isVisible())
    assert without_ring(asking, marked) == []


def test_a_control_without_a_ring_is_seen(marked: Window, qapp: QApplication) -> None:
    marked.show_page("settings")
    qapp.setStyleSheet("* { outline: none; border: none; }")
    QApplication.processEvents()
    assert without_ring(marked._sheet, marked)


@pytest.mark.parametrize("theme", [LIGHT, DARK], ids=["light", "dark"])
def test_what_is_ticked_or_opens_is_told_by_a_sign_not_by_colour_alone(
    qapp: QApplication, theme: Theme
) -> None:
    wear(qapp, theme, 100)
    tick, choice = QCheckBox(), QComboBox()
    tick.setChecked(True)
    choice.addItem("")
    for widget, sign in ((tick, theme.accent_text), (choice, theme.soft_text)):
        widget.resize(80, 30)
        widget.show()
        qapp.processEvents()
        image = widget.grab().toImage()
        inner = [(x, y) for x in range(3, 77) for y in range(5, 25)]
        assert any(image.pixelColor(x, y).name().upper() == sign for x, y in inner)
        widget.close()
        widget.deleteLater()
    wear(qapp, LIGHT, 100)
