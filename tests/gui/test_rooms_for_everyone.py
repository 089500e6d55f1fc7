"""Whoever cannot see the screen, or has no pointer, gets everywhere: names, Tab, room for words."""

import pytest
from PyQt6.QtWidgets import QAbstractButton, QLabel, QPushButton

from aftercase.gui.elided import ElidedButton
from aftercase.gui.pages.building import tab_stops

ROOMS = ("start", "review", "replay")


@pytest.mark.parametrize("room", ROOMS)
def test_every_control_of_a_room_is_named(opened, room):
    opened.enter(room)
    stops = tab_stops(opened.centralWidget().currentWidget())
    assert stops, "something takes the keys"
    for control in stops:
        words = control.text() if isinstance(control, QAbstractButton) else ""
        assert control.accessibleName() or words, control


@pytest.mark.parametrize("room", ROOMS)
@pytest.mark.parametrize("percent", [100, 200])
def test_no_words_of_a_button_are_cut_off(opened, qapp, room, percent):
    opened.change_settings(text_size_percent=percent)
    opened.resize(1280, 720)
    opened.enter(room)
    qapp.processEvents()
    shown = opened.centralWidget().currentWidget()
    for control in shown.findChildren(QPushButton):
        if control.isVisible() and control.text():
            needed = control.minimumSizeHint()
            assert control.width() >= needed.width(), control.text()
            assert control.height() >= needed.height(), control.text()
        if isinstance(control, ElidedButton) and "…" in control.text():
            assert control.toolTip().startswith(control.text().rstrip("…"))


@pytest.mark.parametrize("room", ROOMS)
def test_at_twice_the_text_the_window_still_fits_a_small_laptop(opened, qapp, room):
    opened.change_settings(text_size_percent=200)
    opened.enter(room)
    opened.resize(1280, 720)
    qapp.processEvents()
    assert (opened.width(), opened.height()) == (1280, 720)
    for label in opened.centralWidget().currentWidget().findChildren(QLabel):
        if label.isVisible() and label.wordWrap():
            assert label.height() >= label.heightForWidth(label.width()), label.text()
