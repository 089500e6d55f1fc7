"""Showing how the eye lies, in the real window, by its keys and its pointer."""

from __future__ import annotations

import pytest
from PyQt6.QtWidgets import QPushButton
from tests.turned_films import DISPLAYS, turned_film

from aftercase.model.case import SinceDegrees, SinceWord, view_at
from aftercase.session.tasks.create import Wanted, new_case
from aftercase.session.verbs.lying import NO_SEAT

pytestmark = pytest.mark.usefixtures("all_saved")


def ask_of(window):
    return window._bench.asking


def said(window):
    return " ".join(row.text for row in ask_of(window)._list.shown())


def turns(window):
    return [(entry.from_us, entry.value) for entry in window.desk.case.turn_deg]


@pytest.fixture
def right_temporal(opened, press):
    """The window, asking how a right eye lies whose surgeon sits at the temple."""
    press(opened, "V", "1", "3")
    return opened


def test_without_eye_and_seat_it_is_refused_in_words_and_both_can_be_said_there(opened, press):
    press(opened, "V")
    assert NO_SEAT in said(opened)
    press(opened, "Right")
    assert (opened.desk.words.text, opened.desk.words.tone) == (NO_SEAT, "refused")
    press(opened, "1", "3")
    assert (opened.desk.case.eye, opened.desk.case.seat) == (
        "right",
        (SinceWord(from_us=0, value="temporal"),),
    )
    assert NO_SEAT not in said(opened)
    assert "Drag from the middle of the eye towards 12." in said(opened)


def test_a_drag_towards_twelve_sets_the_turn_from_this_frame_on(right_temporal, until, pointer):
    window = right_temporal
    window.player.go_to(2_000_000)
    until(lambda: window.player.is_exact and window.desk.at_us == 2_000_000)
    x, y = window.film.width() / 2, window.film.height() / 2
    pointer(window.film, (x, y), (x - 60, y), (x - 120, y))
    assert turns(window) == [(2_000_000, 0.0)]
    words = (
        "Bottom 9, left 12, top 3, right 6. Temporal is at the bottom, nasal at the top. The "
        "camera is turned by 0 degrees."
    )
    assert window.desk.words.text == f"From 0:00:02.000 on: {words}"
    assert words in said(window)
    assert window.desk.review.remarks == (), "it is no drawing of a remark"


def test_by_keys_it_is_set_and_undone(right_temporal, press):
    """From the middle straight up: a camera turned by 90 degrees, 12 at the top."""
    window = right_temporal
    press(window, "Right", "Left", "Return", *["Up"] * 4, "Return")
    assert turns(window) == [(0, 90.0)]
    assert "Bottom 6, left 9, top 12, right 3." in said(window)
    assert "Temporal is at the left, nasal at the right." in said(window)
    press(window, "Ctrl+Z")
    assert turns(window) == []
    assert "Hours are the picture’s" in said(window)


def test_the_surgeon_s_side_can_be_shown_instead_and_it_may_hold_from_the_start(
    right_temporal, until, press
):
    window = right_temporal
    window.player.go_to(2_000_000)
    until(lambda: window.player.is_exact and window.desk.at_us == 2_000_000)
    press(window, "8", "0", "Right", "Left", "Return", *["Right"] * 4, "Return")
    assert turns(window) == [(0, 270.0)]
    assert view_at(window.desk.case, 0).surgeon_hour == 9.0
    assert "right 9" in said(window)


def test_what_was_said_before_holds_before(right_temporal, until, press):
    window = right_temporal
    window.desk.edit_header(
        lambda case: case.changed(turn_deg=(SinceDegrees(from_us=0, value=5.0),)), "turn"
    )
    window.player.go_to(2_000_000)
    until(lambda: window.player.is_exact and window.desk.at_us == 2_000_000)
    press(window, "Right", "Left", "Return", *["Up"] * 4, "Return")
    assert turns(window) == [(0, 5.0), (2_000_000, 90.0)]


def test_escape_leaves_and_a_drawing_is_a_remark_s_again(right_temporal, press):
    press(right_temporal, "Esc")
    assert ask_of(right_temporal) is None
    press(right_temporal, "D", "Right", "Return", "Right", "Return")
    assert len(right_temporal.desk.review.remarks) == 1


@pytest.mark.parametrize(("turn_deg", "mirrored"), DISPLAYS, ids=str)
def test_on_a_turned_film_it_is_the_picture_as_shown_that_counts(
    window, tmp_path, at, new_id, until, press, turn_deg, mirrored
):
    path = turned_film(tmp_path / "film.mp4", turn_deg, mirrored=mirrored)
    wanted = Wanted("C1", "cataract-phaco", films=(path,))
    window.open_path(new_case(tmp_path / "case", wanted, at, new_id).folder.path)
    until(lambda: window.desk is not None and window.player.is_exact)
    press(window, "V", "2", "3", "Right", "Left", "Return", *["Right"] * 4, "Return")
    # A left eye from the temple has 12 at the right of the picture: nothing is turned.
    assert turns(window) == [(0, 0.0)]


@pytest.mark.parametrize("percent", [100, 200])
def test_nothing_is_cut_on_a_small_screen_and_with_large_text(opened, qapp, press, percent):
    opened.change_settings(text_size_percent=percent)
    opened.resize(1280, 720)
    press(opened, "V")
    qapp.processEvents()
    assert (opened.width(), opened.height()) == (1280, 720)
    for button in ask_of(opened).findChildren(QPushButton):
        assert button.width() >= button.minimumSizeHint().width()
        assert button.accessibleName()
