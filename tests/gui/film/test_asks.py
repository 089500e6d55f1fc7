"""What is asked about the picture, by its keys in the real window."""

from __future__ import annotations

import pytest
from PyQt6.QtCore import Qt
from PyQt6.QtWidgets import QPushButton, QSlider

from aftercase.gui.film.light import AS_RECORDED, Light
from aftercase.model.case import SinceDegrees, SinceWord
from aftercase.model.review import StatedHour
from aftercase.session.verbs import marking

TEAR_STARTED = "tear-started"


def ask_of(opened):
    return opened._bench.asking


def buttons_of(opened):
    return {button.text(): button for button in ask_of(opened).findChildren(QPushButton)}


# Drawing ----------------------------------------------------------------------------------


def test_a_ring_by_keys_is_kept_on_the_shown_frame_and_taken_off_again(opened, press):
    press(opened, "D")
    press(opened, "R", "2", "Left", "Up", "Return", "Right", "Right", "Down", "Down", "Return")
    [remark] = opened.desk.review.remarks
    [drawing] = remark.drawings
    assert (drawing.shape, drawing.colour, drawing.at_us) == ("ring", "orange", 0)
    # two steps of 0.04 either way from one step up and left of the middle
    assert drawing.points == ((0.46, 0.46), (0.54, 0.54))
    press(opened, "Backspace")
    assert opened.desk.review.remarks[0].drawings == ()


@pytest.mark.parametrize(
    ("key", "shape"), [("A", "arrow"), ("R", "ring"), ("L", "line"), ("F", "freehand")]
)
@pytest.mark.parametrize(("digit", "colour"), [("1", "sky"), ("2", "orange"), ("3", "white")])
def test_every_tool_draws_in_every_colour(opened, press, key, shape, digit, colour):
    press(opened, "D", key, digit, "Right", "Return", "Right", "Down", "Return", "Return")
    [drawing] = opened.desk.review.remarks[0].drawings
    assert (drawing.shape, drawing.colour) == (shape, colour)


def test_the_buttons_follow_the_keys_and_the_keys_the_buttons(opened, press):
    press(opened, "D", "F")
    buttons = buttons_of(opened)
    assert buttons["Freehand (F)"].isChecked()
    assert not buttons["Arrow (A)"].isChecked()
    buttons["White (3)"].click()
    press(opened, "Right", "Return", "Right", "Return", "Return")
    [remark] = opened.desk.review.remarks
    assert (remark.drawings[0].shape, remark.drawings[0].colour) == ("freehand", "white")


def test_escape_leaves_the_drawing_and_the_keys_are_the_film_s_again(opened, press):
    press(opened, "D", "Esc")
    assert ask_of(opened) is None
    press(opened, "Return")
    assert [span.step for span in opened.desk.review.steps] == ["side-port"]


def test_a_drag_with_the_pointer_draws_and_the_keys_stay_with_the_tools(opened, press, pointer):
    film = opened.film
    press(opened, "D")
    pointer(film, (film.width() / 2, film.height() / 2), (film.width() / 2 + 80, film.height() / 2))
    press(opened, "R")
    assert opened.desk.review.remarks[0].drawings[0].shape == "arrow"
    assert buttons_of(opened)["Ring (R)"].isChecked()


def test_a_film_that_plays_rests_when_it_is_drawn_on(opened, until, press):
    press(opened, "Space")
    until(lambda: opened.player.at_us > 200_000)
    press(opened, "D")
    assert opened.player.state == "resting"


def test_a_drawing_is_shown_again_when_its_moment_is(opened, until, press):
    press(opened, "D", "Right", "Return", "Right", "Return", "Esc")
    assert len(opened.film._drawings) == 1
    for us, n_shown in ((5_000_000, 0), (0, 1)):
        opened.player.go_to(us)
        until(lambda at_us=us: opened.player.is_exact and opened.desk.at_us == at_us)
        assert len(opened.film._drawings) == n_shown


# Light ------------------------------------------------------------------------------------


def test_the_light_is_set_by_sliders_and_back_by_a_button(opened, press):
    opened.ask("light")
    sliders = {slider.accessibleName(): slider for slider in ask_of(opened).findChildren(QSlider)}
    press(opened, "Right")  # the first one has the keys
    assert opened.film.light == Light(brightness=0.01)
    sliders["Brightness"].setValue(20)
    sliders["Dark parts"].setValue(150)
    assert opened.film.light == Light(brightness=0.2, gamma=1.5)
    press(opened, "Esc")
    opened.ask("light")
    again = ask_of(opened)
    assert {slider.value() for slider in again.findChildren(QSlider)} == {20, 100, 150}
    buttons_of(opened)["As recorded"].click()
    assert opened.film.light == AS_RECORDED


# Where an event was -----------------------------------------------------------------------


@pytest.fixture
def placing(opened, press):
    """The window, asking where an event was."""
    marking.mark_event(opened.desk, TEAR_STARTED)
    press(opened, "P")
    return opened


def event_of(window):
    [event] = window.desk.review.events
    return event


def test_an_event_s_place_is_clicked_on_the_picture(placing, pointer):
    film = placing.film
    pointer(film, (film.width() / 2, film.height() / 2))
    event = event_of(placing)
    assert (event.place.x, event.place.y) == pytest.approx((0.5, 0.5), abs=0.005)
    assert ask_of(placing) is None


def test_an_event_s_place_is_set_by_keys(placing, press):
    press(placing, "3", "Right", "Return")  # the cross moves: the hour is forgotten
    event = event_of(placing)
    assert (event.place.x, event.place.y) == pytest.approx((0.54, 0.5))
    assert event.hour is None


def test_without_eye_and_seat_an_hour_is_the_picture_s(placing, press):
    press(placing, "7", ".", "Return")
    assert event_of(placing).hour == StatedHour(hour=7.5, clock="picture")


def test_with_eye_seat_and_turn_it_is_the_eye_s_and_may_be_a_stretch(opened, press):
    opened.desk.edit_header(
        lambda case: case.changed(
            eye="right",
            seat=(SinceWord(from_us=0, value="temporal"),),
            turn_deg=(SinceDegrees(from_us=0, value=0.0),),
        ),
        "say how the eye lies",
    )
    marking.mark_event(opened.desk, TEAR_STARTED)
    press(opened, "P", "3", "T", "5", "Return")
    event = event_of(opened)
    assert event.hour == StatedHour(hour=3.0, clock="eye")
    assert event.to_hour == StatedHour(hour=5.0, clock="eye")


def test_escape_leaves_the_place_unsaid_and_the_film_as_it_was(placing, press):
    press(placing, "3", "Esc")
    assert ask_of(placing) is None
    assert event_of(placing).hour is None
    assert placing.film.focusPolicy() == Qt.FocusPolicy.StrongFocus
    press(placing, "T")  # the takeover's key, no longer the pad's
    assert placing.desk.words.tone == "refused"


def test_without_an_event_there_is_no_place_to_give_and_that_is_said(opened, press):
    press(opened, "P")
    assert ask_of(opened) is None
    assert opened.desk.words.text == "Mark an event first; then its place can be given."


@pytest.mark.parametrize("question", ["drawing", "light", "place"])
def test_every_control_has_a_name(opened, question):
    marking.mark_event(opened.desk, TEAR_STARTED)
    opened.ask(question)
    ask = ask_of(opened)
    assert ask.accessibleName()
    for control in (*ask.findChildren(QPushButton), *ask.findChildren(QSlider)):
        assert control.accessibleName() or control.text()
