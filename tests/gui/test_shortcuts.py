"""Whose a key is: the film's, a page's over it, or a button's that has the focus."""

from __future__ import annotations

import pytest
from PyQt6.QtCore import Qt
from PyQt6.QtWidgets import QCheckBox, QComboBox, QListWidget, QPushButton, QVBoxLayout, QWidget


class Page(QWidget):
    """A page with one control of each kind that is no field."""

    title = "A page"

    def __init__(self) -> None:
        super().__init__()
        self.pressed = 0
        self.button, self.list = QPushButton("Do it"), QListWidget()
        self.list.addItems(["one", "two"])
        self.button.clicked.connect(self._press)
        column = QVBoxLayout(self)
        column.addWidget(self.button)
        column.addWidget(self.list)

    def _press(self) -> None:
        self.pressed += 1


@pytest.fixture
def page(opened):
    """A page over the review room."""
    made = Page()
    opened.show_widget(made)
    return made


def test_the_space_bar_presses_the_button_of_a_page_over_the_film(opened, page, press):
    page.button.setFocus()
    press(opened, "Space")
    assert page.pressed == 1
    assert opened.player.state == "resting"


@pytest.mark.parametrize("control", ["button", "list"])
def test_no_plain_key_pressed_in_a_page_marks_the_film_behind_it(opened, page, press, control):
    getattr(page, control).setFocus()
    press(opened, "Return", "0", "X", "Shift+P", "Del")
    review = opened.desk.review
    assert (review.steps, review.pauses, review.unseen, review.flags) == ((), (), (), ())


def test_a_page_without_controls_takes_the_keys_all_the_same(opened, press):
    opened.show_widget(QWidget())
    press(opened, "Return")
    assert opened.desk.review.steps == ()
    press(opened, "Esc", "Return")
    assert len(opened.desk.review.steps) == 1


def test_a_box_beside_the_film_that_was_walked_to_is_ticked_by_the_space_bar(opened, press):
    guide_list = opened._bench.guide_list
    [box] = guide_list.findChildren(QCheckBox)
    box.setFocus(Qt.FocusReason.TabFocusReason)
    press(opened, "Space")
    assert box.isChecked()
    assert opened.player.state == "resting"
    press(opened, "Return")  # every other key stays the film's
    assert len(opened.desk.review.steps) == 1
    opened.take_film_focus()
    press(opened, "Space")
    assert opened.player.state == "playing"


def test_no_control_beside_the_film_keeps_the_keys_after_a_click(opened, press, type_text):
    """A click on it would leave the space bar, or every letter, to it and not to the film."""
    press(opened, "R")
    type_text(opened, "! mind the edge")
    press(opened, "Return")
    opened.desk.select(opened.desk.review.remarks[0].id)
    bench = opened._bench
    taking = [
        control.accessibleName()
        for panel in (bench.guide_list, bench.remarks_list, bench.line, bench.clock_bar)
        for kind in (QPushButton, QCheckBox, QComboBox)
        for control in panel.findChildren(kind)
        if control.focusPolicy() & Qt.FocusPolicy.ClickFocus.value
    ]
    assert taking == []
