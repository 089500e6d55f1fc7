"""Measuring in the real window, by its keys and its pointer.

Numbers are worked out by hand: 11.8 mm over 440 px are 0.026818 mm a pixel, so that 195.76 px are
5.25 mm. A step of the cross is 0.04 of the shown picture's width or height, a fine one 0.004.
"""

from __future__ import annotations

import numpy as np
import pytest
from PyQt6.QtCore import Qt
from PyQt6.QtWidgets import QApplication, QLabel, QLineEdit, QPushButton
from tests.turned_films import DISPLAYS, FRAME_US, HEIGHT_PX, PIXEL_ASPECT, WIDTH_PX, turned_film

from aftercase.metrics.picturecautions import APPROXIMATE, NO_CENTRE, NO_RULER, ZOOMED
from aftercase.metrics.rulers import NOT_A_PATIENT
from aftercase.model.case import SinceWord
from aftercase.model.picture import PicturePoint
from aftercase.model.review import REVIEW_VERSION
from aftercase.session.people import Person, remember_person
from aftercase.session.tasks.create import Wanted, new_case
from aftercase.session.verbs.pointing import NO_RULER_SIZE

pytestmark = pytest.mark.usefixtures("all_saved")

WIDE, HIGH = 768, 432
"""Of the sample film's frames, in square pixels."""

STEP = 0.04
FINE = 0.004
SAMPLE_FRAME_US = 40_000


def ask_of(window):
    return window._bench.asking


def list_of(window):
    return ask_of(window)._list


def said(window):
    """Everything the rows beside the film say."""
    return [f"{row.text} {row.word}".strip() for row in list_of(window).shown()]


def is_said(window, words):
    return any(words in one for one in said(window))


def value(window, label):
    """The value beside the first number with a label."""
    return next(row.word for row in list_of(window).shown() if row.text.startswith(label))


def take(window, row_id):
    """Click a row."""
    rows = list_of(window)
    [place] = [n for n, row in enumerate(rows.shown()) if row.id == row_id]
    rows.itemClicked.emit(rows.item(place))


def point(window, *places_px):
    """Point exactly: what the pointer would tell if the screen's pixels were as small."""
    for x, y in places_px:
        place = PicturePoint(x=x / WIDE, y=y / HIGH, part=0, at_us=window.desk.at_us)
        window.film.pointed.emit(place)


def on_screen(window, x_px, y_px):
    """Where a place of the sample film's frame is seen in the film view."""
    return window.film._laid().point_of((x_px / WIDE, y_px / HIGH))


def known_length(window, press, type_text, mm="11.8"):
    """Keep a ruler of 440 px."""
    press(window, "3")
    point(window, (100, 200), (540, 200))
    ask_of(window)._fields.ask_for_size()
    type_text(window, mm)
    press(window, "Return", "Return")


@pytest.fixture
def measuring(opened, press):
    """The window with the tools beside the film."""
    press(opened, "M")
    return opened


# Opening and leaving ----------------------------------------------------------------------


def test_one_key_opens_the_tools_beside_a_film_that_rests(opened, until, press):
    width = opened.film.width()
    press(opened, "Space")
    until(lambda: opened.player.at_us > 200_000)
    press(opened, "M")
    assert opened.player.state == "resting"
    until(lambda: opened.player.is_exact)
    assert opened.film.width() == width
    for name in ("Optic", "Limbus", "Known length", "Length", "Path", "Ring", "Area",
                 "Angle between two wounds", "Capsulorhexis", "Path of a tip"):  # fmt: skip
        assert is_said(opened, name)


def test_escape_leaves_the_tool_then_the_tools_and_the_keys_are_the_film_s_again(measuring, press):
    press(measuring, "D", "Right", "Return", "Esc")
    assert is_said(measuring, "Capsulorhexis")
    press(measuring, "Esc")
    assert ask_of(measuring) is None
    assert measuring.film.focusPolicy() == Qt.FocusPolicy.StrongFocus
    assert measuring.desk.review.measures == ()


def test_while_the_arrow_keys_move_the_cross_no_row_stands_out(measuring, press):
    assert list_of(measuring).currentRow() >= 0
    press(measuring, "D", "Tab", "Return")
    assert list_of(measuring).hasFocus()
    assert list_of(measuring).currentRow() == -1


# Numbers worked out by hand ---------------------------------------------------------------


def test_a_known_length_makes_195_76_px_5_25_mm(measuring, press, type_text):
    known_length(measuring, press, type_text)
    [ruler] = measuring.desk.review.calibrations
    assert (ruler.basis, ruler.size_mm, ruler.at_us) == ("known-length", 11.8, 0)
    press(measuring, "D")
    point(measuring, (100, 100), (295.76, 100))
    assert value(measuring, "Length").startswith("5.25 ± 0.")
    assert value(measuring, "Length").endswith(" mm")
    assert is_said(measuring, "Ruler: known length, 11.8 mm, ±")
    assert is_said(measuring, APPROXIMATE)
    press(measuring, "Return")
    [measure] = measuring.desk.review.measures
    assert measure.calibration == ruler.id
    ends = [(100 / WIDE, 100 / HIGH), (295.76 / WIDE, 100 / HIGH)]
    assert np.allclose(measure.points, ends, atol=1e-5)


def test_by_keys_alone_a_step_of_the_cross_is_worth_what_it_is_by_hand(measuring, press, type_text):
    """Ten steps are 307.2 px; said to be 12 mm, five are 6 mm, and four with five fine ones 5.4."""
    press(measuring, "3", *["Left"] * 5, "Return", *["Right"] * 10, "Return")
    press(measuring, "Tab")
    type_text(measuring, "12")
    press(measuring, "Return", "Return")
    assert len(measuring.desk.review.calibrations) == 1
    press(measuring, "D", "Left", "Return", *["Right"] * 5)
    assert value(measuring, "Length").startswith("6.00 ±"), "it is told before it is set"
    press(measuring, "Left", *["Shift+Right"] * 5, "Return")
    assert value(measuring, "Length").startswith("5.40 ±")
    press(measuring, "Return")
    [measure] = measuring.desk.review.measures
    (x0, _), (x1, _) = measure.points
    assert x1 - x0 == pytest.approx(4 * STEP + 5 * FINE, abs=2e-5)


def test_by_pointer_it_is_within_a_pixel_of_the_screen(measuring, press, type_text, pointer):
    known_length(measuring, press, type_text)
    press(measuring, "D")
    for place in ((100, 300), (295.76, 300)):
        pointer(measuring.film, on_screen(measuring, *place))
    shown_px = measuring.film._laid().width_px
    number = float(value(measuring, "Length").split(" ")[0])
    assert number == pytest.approx(5.25, abs=1.5 * WIDE / shown_px * 11.8 / 440)


def test_without_a_ruler_it_is_in_pixels_and_that_is_said(measuring, press):
    press(measuring, "D")
    point(measuring, (100, 100), (400, 500 - 100))
    assert value(measuring, "Length").startswith("424.3 ±")
    assert value(measuring, "Length").endswith(" px")
    assert is_said(measuring, NO_RULER)
    assert not is_said(measuring, APPROXIMATE)


def test_behind_the_cornea_against_the_limbus_both_values_stand(opened, press):
    """A ring of 200 px; limbus 400 px wide, 11.71 mm: 5.855 mm as seen, 5.05 divided by 1.16."""
    opened.desk.edit_header(lambda case: case.changed(setting="patient"), "setting")
    press(opened, "M", "2")
    point(opened, *_ring(384, 216, 200))
    assert is_said(opened, "limbus, 11.71 mm assumed")
    press(opened, "Return", "C")
    point(opened, *_ring(384, 216, 100))
    values = {row.text: row.word for row in list_of(opened).shown() if row.tone == "number"}
    assert values["Mean diameter (as seen)"].startswith("5.8")
    assert values["Mean diameter (divided by 1.16)"].startswith("5.0")
    assert is_said(opened, "looks about 16 % too large")
    assert is_said(opened, "5.0–5.5 mm for a 6.0 mm optic (published).")


def _ring(x_px, y_px, radius_px, n_places=8):
    turns = np.linspace(0, 2 * np.pi, n_places, endpoint=False)
    return [
        (float(x_px + radius_px * np.cos(t)), float(y_px + radius_px * np.sin(t))) for t in turns
    ]


def test_the_angle_between_two_wounds_is_taken_about_a_centre_that_is_pointed_at(measuring, press):
    """From 3 o'clock on the picture to 6: 90 degrees, three hours."""
    press(measuring, "G")
    point(measuring, (484, 216), (384, 316))
    assert is_said(measuring, NO_CENTRE)
    press(measuring, "2")
    point(measuring, (384, 216))
    assert value(measuring, "Angle").startswith("90 ±")
    assert value(measuring, "Apart").startswith("3.0 ±")
    assert is_said(measuring, "At 3 (picture) and 6 (picture).")
    assert is_said(measuring, "Usual, for information only")
    press(measuring, "Return", "Return")
    [measure] = measuring.desk.review.measures
    assert measure.around == ((0.5, 0.5),)
    assert len(measuring.film._drawings) == 2


def test_a_practice_eye_is_not_measured_by_a_patient_s_limbus(opened, press, type_text):
    opened.desk.edit_header(lambda case: case.changed(setting="practice-eye"), "setting")
    press(opened, "M", "2")
    point(opened, *_ring(384, 216, 150))
    assert is_said(opened, NO_RULER_SIZE)
    press(opened, "Return")
    assert isinstance(QApplication.focusWidget(), QLineEdit), "the size is asked for"
    type_text(opened, "12,0")
    press(opened, "Return")
    assert value(opened, "One millimetre").startswith("25.00 ±")
    press(opened, "1")
    assert is_said(opened, NOT_A_PATIENT)
    press(opened, "Return")
    assert opened.desk.review.calibrations == ()


def test_beyond_a_change_of_zoom_the_ruler_is_not_taken(measuring, until, press, type_text):
    known_length(measuring, press, type_text)
    measuring.desk.edit_header(
        lambda case: case.changed(zoom=(SinceWord(from_us=80_000, value="x8"),)), "zoom"
    )
    press(measuring, "T")
    point(measuring, (100, 100))
    for _ in range(3):
        at_us = measuring.desk.at_us
        press(measuring, "N")
        until(lambda before=at_us: measuring.desk.at_us > before and measuring.player.is_exact)
        point(measuring, (120 + at_us / 10_000, 100))
    assert is_said(measuring, ZOOMED)


# Its frame --------------------------------------------------------------------------------


def step(window, until, press, key):
    before = window.desk.at_us
    press(window, key)
    until(lambda: window.desk.at_us != before and window.player.is_exact)


def test_it_is_bound_to_its_frame_and_says_when_another_is_shown(measuring, until, press):
    press(measuring, "D")
    point(measuring, (100, 100))
    assert len(measuring.film._places) == 1
    step(measuring, until, press, "N")
    assert is_said(measuring, "Another frame is shown.")
    assert measuring.film._places == ()
    point(measuring, (200, 100))
    assert measuring.desk.words.tone == "refused"
    step(measuring, until, press, "F")
    assert measuring.desk.at_us == 0
    assert not is_said(measuring, "Another frame is shown.")
    point(measuring, (200, 100))
    press(measuring, "Return")
    assert measuring.desk.review.measures[0].at_us == 0


def test_a_tip_is_followed_through_frames(measuring, until, press, type_text):
    """Three places 44 px apart, a frame of 40 ms each: 88 px, 2.36 mm in 0.08 s."""
    known_length(measuring, press, type_text)
    press(measuring, "T")
    for n in range(3):
        point(measuring, (100 + 44 * n, 100))
        if n < 2:
            step(measuring, until, press, "N")
    assert value(measuring, "Length").startswith("2.36 ±")
    assert value(measuring, "Duration") == "0.08 s"
    assert is_said(measuring, "Duration is not quality.")
    press(measuring, "Return")
    [measure] = measuring.desk.review.measures
    assert measure.times_us == (0, SAMPLE_FRAME_US, 2 * SAMPLE_FRAME_US)
    assert len(measuring.film._drawings) == 1, "it is drawn on each of its frames"
    step(measuring, until, press, "Right")
    assert len(measuring.film._drawings) == 0


def test_a_tip_that_stays_is_set_again_on_the_next_frame_by_return_alone(measuring, until, press):
    press(measuring, "T", "Right", "Return")
    step(measuring, until, press, "N")
    press(measuring, "Return")
    assert len(ask_of(measuring).pointing.points) == 2
    press(measuring, "Return")
    assert len(measuring.desk.review.measures) == 1


def test_a_second_is_gone_by_with_shift(measuring, until, press):
    press(measuring, "T")
    step(measuring, until, press, "Shift+N")
    assert measuring.desk.at_us == 1_000_000
    step(measuring, until, press, "Shift+B")
    assert measuring.desk.at_us == 0


# Keeping, changing, taking away -----------------------------------------------------------


def test_backspace_takes_the_last_place_back(measuring, press):
    press(measuring, "R", "Right", "Return", "Up", "Return", "Backspace")
    assert len(ask_of(measuring).pointing.points) == 1
    press(measuring, "Backspace", "Backspace")
    assert ask_of(measuring).pointing.points == ()


def test_what_has_not_all_its_places_is_not_kept_and_that_is_said(measuring, press):
    press(measuring, "R", "Right", "Return", "Return")
    assert measuring.desk.review.measures == ()
    assert "not all its places" in measuring.desk.words.text


def test_a_kept_one_is_one_undo(measuring, press):
    press(measuring, "D", "Right", "Return", "Right", "Return", "Return")
    assert len(measuring.desk.review.measures) == 1
    press(measuring, "Ctrl+Z")
    assert measuring.desk.review.measures == ()
    assert measuring.desk.words.text == "Undone: measure, length"


def test_a_drag_of_a_place_is_one_undo(measuring, press, pointer):
    press(measuring, "D")
    point(measuring, (100, 100), (300, 100))
    press(measuring, "Return", "Return")  # kept; it stands chosen in the list, and is opened
    assert ask_of(measuring).pointing.record_id
    way = [on_screen(measuring, x, 100) for x in (300, 330, 360, 400)]
    pointer(measuring.film, *way)
    [measure] = measuring.desk.review.measures
    assert measure.points[1][0] == pytest.approx(400 / WIDE, abs=2 / WIDE)
    assert measure.points[0][0] == pytest.approx(100 / WIDE, abs=1e-5)
    press(measuring, "Ctrl+Z")
    [measure] = measuring.desk.review.measures
    assert measure.points[1][0] == pytest.approx(300 / WIDE, abs=1e-5)
    press(measuring, "Ctrl+Z")
    assert measuring.desk.review.measures == ()
    assert is_said(measuring, "Capsulorhexis"), "what is gone is no longer changed"


def test_a_place_is_chosen_and_moved_by_keys_and_that_is_one_undo(measuring, press):
    press(measuring, "D")
    point(measuring, (100, 100), (300, 100))
    press(measuring, "Return", "Return", ".", ".", "Right", "Right", "Return", "Return")
    [measure] = measuring.desk.review.measures
    assert measure.points[1][0] == pytest.approx(300 / WIDE + 2 * STEP, abs=2e-5)
    press(measuring, "Ctrl+Z")
    assert measuring.desk.review.measures[0].points[1][0] == pytest.approx(300 / WIDE, abs=1e-5)


def test_kept_ones_are_listed_with_number_error_and_ruler(measuring, press, type_text):
    known_length(measuring, press, type_text)
    press(measuring, "D")
    point(measuring, (100, 100), (295.76, 100))
    press(measuring, "Return")
    kept = [row for row in list_of(measuring).shown() if row.id.startswith("kept")]
    names = [row.text for row in kept]
    assert any(name.startswith("Length, by known length, 11.8 mm, ±") for name in names)
    assert any(name.startswith("Ruler: known length, 11.8 mm") for name in names)
    assert any(row.word.startswith("5.25 ± 0.") for row in kept)
    assert is_said(measuring, "Kept on this frame")
    assert is_said(measuring, APPROXIMATE)


def test_a_kept_one_of_another_frame_leads_to_it(measuring, until, press):
    press(measuring, "D")
    point(measuring, (100, 100), (300, 100))
    press(measuring, "Return", "Esc")
    measuring.player.go_to(5_000_000)
    until(lambda: measuring.player.is_exact and measuring.desk.at_us == 5_000_000)
    press(measuring, "M")
    assert is_said(measuring, "Kept on other frames")
    [record] = measuring.desk.review.measures
    take(measuring, f"kept {record.id}")
    until(lambda: measuring.desk.at_us == 0 and measuring.player.is_exact)
    assert measuring.desk.selection == (record.id,)
    assert ask_of(measuring).pointing.record_id == record.id
    assert len(measuring.film._places) == 2


def test_the_key_for_the_selected_mark_takes_a_measure_up(measuring, press):
    press(measuring, "D")
    point(measuring, (100, 100), (300, 100))
    press(measuring, "Return", "Esc", "F2")
    assert ask_of(measuring).pointing.record_id == measuring.desk.review.measures[0].id


def test_del_takes_a_kept_one_away_and_undo_brings_it_back(measuring, press):
    press(measuring, "D")
    point(measuring, (100, 100), (300, 100))
    press(measuring, "Return", "Del")
    assert measuring.desk.review.measures == ()
    press(measuring, "Ctrl+Z", "Ctrl+Z")
    assert measuring.desk.review.measures == ()
    press(measuring, "Ctrl+Shift+Z")
    assert len(measuring.desk.review.measures) == 1


def test_plane_and_note_are_said_beside(measuring, press, type_text):
    press(measuring, "D")
    point(measuring, (100, 100), (300, 100))
    press(measuring, "3", "Tab")
    type_text(measuring, "cut")
    press(measuring, "Return", "Return")
    [measure] = measuring.desk.review.measures
    assert (measure.plane, measure.note) == ("behind-cornea", "cut")
    assert is_said(measuring, "Length: cut")


def test_a_ruler_put_right_puts_right_what_was_measured_with_it(measuring, press, type_text):
    known_length(measuring, press, type_text, mm="11.8")
    press(measuring, "D")
    point(measuring, (100, 100), (295.76, 100))
    press(measuring, "Return")
    [ruler] = measuring.desk.review.calibrations
    take(measuring, f"kept {ruler.id}")
    fields = ask_of(measuring)._fields
    fields.ask_for_size()
    press(measuring, *["Backspace"] * 4)
    type_text(measuring, "23.6")
    press(measuring, "Return", "Return")
    assert any(row.word.startswith("10.50 ±") for row in list_of(measuring).shown())
    press(measuring, "Ctrl+Z")
    assert measuring.desk.review.calibrations[0].size_mm == 11.8


def test_no_ruler_can_be_chosen_where_there_is_one(measuring, press, type_text):
    known_length(measuring, press, type_text)
    press(measuring, "D")
    point(measuring, (100, 100), (300, 100))
    take(measuring, "with pixels")
    assert value(measuring, "Length").startswith("200.0 ±")


# Coming back ------------------------------------------------------------------------------


def test_opening_the_case_again_brings_all_of_it_back_on_the_same_frame(
    measuring, until, press, type_text
):
    folder = measuring.desk.opened.folder.path
    remember_person(measuring.at, Person("T01", "teacher"))
    measuring.be(Person("T01", "teacher"))
    until(lambda: measuring.desk is not None and measuring.player.is_exact)
    measuring.player.go_to(2_000_000)
    until(lambda: measuring.player.is_exact and measuring.desk.at_us == 2_000_000)
    press(measuring, "M")
    known_length(measuring, press, type_text)
    press(measuring, "D")
    point(measuring, (100, 100), (295.76, 100))
    press(measuring, "Return", "Esc")
    before = measuring.desk.review
    assert before.version == REVIEW_VERSION
    measuring.desk.hand.wait_until_saved()
    measuring.open_path(folder)
    until(lambda: measuring.desk is not None and measuring.player.is_exact)
    after = measuring.desk.review
    assert (after.measures, after.calibrations) == (before.measures, before.calibrations)
    measuring.player.go_to(2_000_000)
    until(lambda: measuring.player.is_exact and measuring.desk.at_us == 2_000_000)
    assert len(measuring.film._drawings) == 2, "the ruler and the length are drawn"
    press(measuring, "M")
    assert is_said(measuring, "Kept on this frame")


def test_it_is_shown_again_in_replay(measuring, until, press):
    press(measuring, "D")
    point(measuring, (100, 100), (300, 100))
    press(measuring, "Return", "Esc")
    measuring.enter("replay")
    until(lambda: measuring.player.is_exact)
    assert len(measuring.film._drawings) == 1


# Turned and mirrored films ----------------------------------------------------------------


@pytest.mark.parametrize(("turn_deg", "mirrored"), DISPLAYS, ids=str)
def test_on_a_turned_film_a_step_is_measured_on_the_picture_as_shown(
    window, tmp_path, at, new_id, until, press, type_text, turn_deg, mirrored
):
    """Ten steps across said to be 10 mm; ten down are then as much as the shape of it makes."""
    path = turned_film(tmp_path / "film.mp4", turn_deg, mirrored=mirrored)
    wanted = Wanted("C1", "cataract-phaco", films=(path,))
    window.open_path(new_case(tmp_path / "case", wanted, at, new_id).folder.path)
    until(lambda: window.desk is not None and window.player.is_exact)
    across, down = float(WIDTH_PX * PIXEL_ASPECT), float(HEIGHT_PX)
    if turn_deg in (90, 270):
        across, down = down, across
    press(window, "M", "3", *["Left"] * 5, "Return", *["Right"] * 10, "Return", "Tab")
    type_text(window, "10")
    press(window, "Return", "Return", "D", *["Up"] * 5, "Return", *["Down"] * 10, "Return")
    assert float(value(window, "Length").split(" ")[0]) == pytest.approx(
        10 * down / across, abs=0.006
    )
    assert FRAME_US == 40_000


# For everyone -----------------------------------------------------------------------------


@pytest.mark.parametrize("percent", [100, 200])
@pytest.mark.parametrize("key", [None, "1", "C", "T"])
def test_nothing_is_cut_on_a_small_screen_and_with_large_text(opened, qapp, press, percent, key):
    opened.change_settings(text_size_percent=percent)
    opened.resize(1280, 720)
    press(opened, "M", *([key] if key else []))
    point(opened, (484, 216), (384, 316), (300, 216))
    qapp.processEvents()
    assert (opened.width(), opened.height()) == (1280, 720)
    ask = ask_of(opened)
    for button in ask.findChildren(QPushButton):
        if button.isVisible():
            assert button.width() >= button.minimumSizeHint().width(), button.text()
            assert button.height() >= button.minimumSizeHint().height(), button.text()
    for one in ask.findChildren(QLabel):
        if one.isVisible():
            assert one.width() >= one.minimumSizeHint().width(), one.text()
    rows = list_of(opened)
    assert rows.height() >= 3 * rows.fontMetrics().height()
    assert ask.geometry().bottom() <= opened.height()


def test_every_control_has_a_name(measuring, press):
    press(measuring, "1")
    ask = ask_of(measuring)
    for control in (*ask.findChildren(QPushButton), *ask.findChildren(QLineEdit)):
        assert control.accessibleName()
    assert ask.accessibleName() == list_of(measuring).accessibleName() == "Measure"
