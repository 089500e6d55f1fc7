"""The header's form: press the key, read the header; change the header, read the form."""

from __future__ import annotations

from typing import Any

import pytest
from PyQt6.QtCore import Qt
from PyQt6.QtWidgets import (
    QAbstractButton,
    QCheckBox,
    QComboBox,
    QLabel,
    QLineEdit,
    QListWidget,
    QPushButton,
    QWidget,
)
from pytestqt.qtbot import QtBot

from aftercase.gui.pages.case_form import CaseForm
from aftercase.gui.pages.header_fields import GROUPS, words_for
from aftercase.model.rules import case_problems
from aftercase.session.desk import Desk
from aftercase.session.verbs import header


@pytest.fixture
def form(qtbot: QtBot, host: Any, desk: Desk) -> CaseForm:
    made = CaseForm(host)
    qtbot.addWidget(made)
    made.resize(1072, 600)
    made.show()
    qtbot.waitExposed(made)
    yield made
    made.stop()


def named(form: QWidget, kind: type[Any], name: str) -> Any:
    found = [one for one in form.findChildren(kind) if one.accessibleName() == name]
    assert len(found) == 1, [one.accessibleName() for one in form.findChildren(kind)]
    return found[0]


def choose(qtbot: QtBot, choice: QComboBox, letters: str) -> None:
    """Choose the word that begins with some letters by the arrow keys and Return."""
    texts = [choice.itemText(place) for place in range(choice.count())]
    [place] = [place for place, text in enumerate(texts) if text.startswith(letters)]
    choice.setFocus()
    choice.showPopup()
    view = choice.view()
    assert view is not None
    qtbot.keyClick(view, Qt.Key.Key_Home)
    for _ in range(place):
        qtbot.keyClick(view, Qt.Key.Key_Down)
    qtbot.keyClick(view, Qt.Key.Key_Return)


def fault_words(form: QWidget) -> str:
    warned = (one for one in form.findChildren(QLabel) if one.property("role") == "warn")
    return " ".join(one.text() for one in warned if one.isVisible())


def test_everything_is_not_said_at_first(form: CaseForm, desk: Desk) -> None:
    for choice in form.findChildren(QComboBox):
        if choice.isVisible() and not choice.accessibleName().startswith("Consent"):
            assert choice.currentText() == "not said", choice.accessibleName()
    for name in ("Trainee", "Supervisor", "Year of training"):
        assert named(form, QLineEdit, name).text() == ""
    assert case_problems(desk.case, desk.guide) == []


def test_not_said_stands_first_on_every_list(desk: Desk) -> None:
    for group in GROUPS:
        for field in group.fields:
            if field.kind in ("word", "since-word"):
                assert words_for(field.name, desk.guide)[0] == ("not-said", "not said")


def test_a_word_chosen_by_keys_is_in_the_header(form: CaseForm, desk: Desk, qtbot: QtBot) -> None:
    choose(qtbot, named(form, QComboBox, "Eye"), "left")
    assert desk.case.eye == "left"


def test_each_field_is_undone_by_itself(form: CaseForm, desk: Desk, qtbot: QtBot) -> None:
    choose(qtbot, named(form, QComboBox, "Eye"), "right")
    qtbot.keyClicks(named(form, QLineEdit, "Trainee"), "R07")
    assert (desk.case.eye, desk.case.trainee) == ("right", "R07")
    desk.undo()
    assert (desk.case.eye, desk.case.trainee) == ("right", None)
    assert named(form, QLineEdit, "Trainee").text() == ""
    desk.undo()
    assert desk.case.eye == "not-said"
    assert named(form, QComboBox, "Eye").currentText() == "not said"


def test_a_code_that_is_none_is_said_and_the_last_good_one_stays(
    form: CaseForm, desk: Desk, qtbot: QtBot
) -> None:
    line = named(form, QLineEdit, "Trainee")
    qtbot.keyClicks(line, "R07-")
    assert desk.case.trainee == "R07"
    assert fault_words(form) == ""
    qtbot.keyClick(line, Qt.Key.Key_Return)
    assert "a code is up to 40 letters" in fault_words(form)
    qtbot.keyClick(line, Qt.Key.Key_Backspace)
    assert fault_words(form) == ""


def test_a_count_takes_whole_numbers_alone(form: CaseForm, desk: Desk, qtbot: QtBot) -> None:
    line = named(form, QLineEdit, "The trainee's case number")
    qtbot.keyClicks(line, "14")
    assert desk.case.running_case_number == 14
    qtbot.keyClicks(line, "th")
    qtbot.keyClick(line, Qt.Key.Key_Return)
    assert desk.case.running_case_number == 14
    assert "no whole number" in fault_words(form)
    line.clear()
    qtbot.keyClicks(line, "1")
    qtbot.keyClick(line, Qt.Key.Key_Backspace)
    assert desk.case.running_case_number is None


def test_every_seat_that_is_offered_may_be_saved(form: CaseForm, desk: Desk) -> None:
    for word, _ in words_for("seat", desk.guide)[1:]:
        header.say_since(desk, "seat", 0, word, "say the seat")
        assert desk.case.seat[0].value == word
        assert case_problems(desk.case, desk.guide) == []


def test_a_technique_changes_at_the_shown_frame_and_back(
    form: CaseForm, desk: Desk, qtbot: QtBot
) -> None:
    choose(qtbot, named(form, QComboBox, "Technique, from the start"), "Divide")
    desk.show_moment(80_000_000)
    qtbot.keyClick(
        named(form, QPushButton, "Technique: changes at the shown frame"), Qt.Key.Key_Space
    )
    choose(qtbot, named(form, QComboBox, "Technique, from 0:01:20.000 on"), "Manual")
    assert [(entry.from_us, entry.value) for entry in desk.case.technique] == [
        (0, "divide-and-conquer"),
        (80_000_000, "manual-after-conversion"),
    ]
    qtbot.keyClick(
        named(form, QPushButton, "Remove: Technique, from 0:01:20.000 on"), Qt.Key.Key_Space
    )
    assert [entry.from_us for entry in desk.case.technique] == [0]


def test_camera_turn_takes_an_angle_and_is_cleared_again(
    form: CaseForm, desk: Desk, qtbot: QtBot
) -> None:
    line = named(form, QLineEdit, "Camera turn, from the start")
    qtbot.keyClicks(line, "-12,5")
    assert desk.case.turn_deg[0].value == -12.5
    line.selectAll()
    qtbot.keyClick(line, Qt.Key.Key_Delete)
    assert desk.case.turn_deg == ()
    qtbot.keyClicks(line, "400")
    qtbot.keyClick(line, Qt.Key.Key_Return)
    assert desk.case.turn_deg[0].value == 40.0  # the last good one
    assert "no angle" in fault_words(form)


def test_flipped_is_yes_no_or_not_said(form: CaseForm, desk: Desk, qtbot: QtBot) -> None:
    choice = named(form, QComboBox, "Left and right flipped, from the start")
    choose(qtbot, choice, "yes")
    assert desk.case.mirrored[0].value is True
    choose(qtbot, choice, "not")
    assert desk.case.mirrored == ()


def test_entering_a_complication_says_where_else_it_belongs(
    form: CaseForm, desk: Desk, qtbot: QtBot
) -> None:
    line = named(form, QLineEdit, "Another complication")
    qtbot.keyClicks(line, "posterior capsule tear")
    qtbot.keyClick(line, Qt.Key.Key_Return)
    assert desk.case.complications == ("posterior capsule tear",)
    assert desk.words is not None
    assert "your own hospital’s system" in desk.words.text
    assert "your own hospital’s system" in fault_words(form)
    desk.undo()
    assert fault_words(form) == ""


def test_difficulties_are_ticked_by_space(form: CaseForm, desk: Desk, qtbot: QtBot) -> None:
    ticks = named(form, QListWidget, "What made it hard")
    ticks.setFocus()
    ticks.setCurrentRow(0)
    qtbot.keyClick(ticks, Qt.Key.Key_Space)
    assert desk.case.difficulties == ("small-pupil",)
    qtbot.keyClick(ticks, Qt.Key.Key_Space)
    assert desk.case.difficulties == ()


def test_a_difficulty_that_the_guide_lacks_is_kept(
    form: CaseForm, desk: Desk, qtbot: QtBot
) -> None:
    assert desk.edit_header(lambda case: case.changed(difficulties=("of-elsewhere",)), "set it")
    ticks = named(form, QListWidget, "What made it hard")
    ticks.setFocus()
    ticks.setCurrentRow(0)
    qtbot.keyClick(ticks, Qt.Key.Key_Space)
    assert desk.case.difficulties == ("small-pupil", "of-elsewhere")


def test_density_is_a_step_of_the_scale_or_a_kind(form: CaseForm, desk: Desk, qtbot: QtBot) -> None:
    choice = named(form, QComboBox, "Density")
    choose(qtbot, choice, "3")
    assert desk.case.density is not None
    assert (desk.case.density.value, desk.case.density.kind) == (3.0, "not-said")
    choose(qtbot, choice, "White and")
    assert desk.case.density is not None
    assert (desk.case.density.value, desk.case.density.kind) == (None, "white-swollen")


def test_consent_is_added_to_and_never_taken_away(form: CaseForm, desk: Desk, qtbot: QtBot) -> None:
    qtbot.keyClicks(named(form, QLineEdit, "Consent: What for"), "teaching here")
    qtbot.keyClick(named(form, QLineEdit, "Consent: What for"), Qt.Key.Key_Return)
    choose(qtbot, named(form, QComboBox, "Consent: what happened"), "consent w")
    add = named(form, QPushButton, "Add to the consent record; it stays there")
    qtbot.keyClick(add, Qt.Key.Key_Space)
    assert [(one.entry, one.scope) for one in desk.case.consent] == [
        ("given", "teaching here"),
        ("withdrawn", "not-said"),
    ]
    removers = [one for one in form.findChildren(QPushButton) if "onsent" in one.accessibleName()]
    assert removers == [add]


def test_the_identity_tick_names_who_looked_and_says_what_it_means(
    form: CaseForm, desk: Desk, qtbot: QtBot
) -> None:
    [tick] = [one for one in form.findChildren(QCheckBox) if "I looked" in one.text()]
    assert any("A person must look" in one.text() for one in form.findChildren(QLabel))
    qtbot.keyClick(tick, Qt.Key.Key_Space)
    assert desk.case.identity_checked_by == "T01"
    qtbot.keyClick(tick, Qt.Key.Key_Space)
    assert desk.case.identity_checked_by is None


def test_judge_first_is_called_a_courtesy(form: CaseForm, desk: Desk, qtbot: QtBot) -> None:
    [tick] = [one for one in form.findChildren(QCheckBox) if "seals" in one.text()]
    assert any("not protection" in one.text() for one in form.findChildren(QLabel))
    qtbot.keyClick(tick, Qt.Key.Key_Space)
    assert desk.case.judge_first is True


def test_the_cases_stretch_of_the_film_is_typed_as_times(
    form: CaseForm, desk: Desk, qtbot: QtBot
) -> None:
    starts = named(form, QLineEdit, "This case on the film, from")
    qtbot.keyClicks(starts, "1:00")
    qtbot.keyClick(starts, Qt.Key.Key_Return)
    assert desk.bounds_us == (60_000_000, 600_000_000)
    ends = named(form, QLineEdit, "This case on the film, to")
    ends.selectAll()
    qtbot.keyClicks(ends, "0:30")
    qtbot.keyClick(ends, Qt.Key.Key_Return)
    assert desk.bounds_us == (60_000_000, 600_000_000)
    assert "it must end after it starts" in fault_words(form)


def test_planned_steps_are_asked_only_where_steps_were_chosen(
    form: CaseForm, desk: Desk, qtbot: QtBot
) -> None:
    assert not named(form, QListWidget, "Planned steps").isVisible()
    choose(qtbot, named(form, QComboBox, "Planned for the trainee"), "Chosen")
    assert named(form, QListWidget, "Planned steps").isVisible()


def test_a_header_changed_elsewhere_is_shown_at_once(form: CaseForm, desk: Desk) -> None:
    header.set_fields(desk, "say the eye", {"eye": "right", "supervisor": "T02"})
    assert named(form, QComboBox, "Eye").currentText() == "right"
    assert named(form, QLineEdit, "Supervisor").text() == "T02"


def test_the_wheel_never_changes_a_choice(form: CaseForm, desk: Desk, qtbot: QtBot) -> None:
    choice = named(form, QComboBox, "Eye")
    assert choice.focusPolicy() == Qt.FocusPolicy.StrongFocus
    choice.wheelEvent(None)
    assert desk.case.eye == "not-said"


def test_every_control_has_a_name_and_takes_the_keyboard(form: CaseForm) -> None:
    for kind in (QLineEdit, QComboBox, QAbstractButton, QListWidget):
        for control in form.findChildren(kind):
            if control.isVisible() and not isinstance(control.parent(), QComboBox):
                assert control.accessibleName(), control
                assert control.focusPolicy() & Qt.FocusPolicy.TabFocus, control.accessibleName()


def test_tab_goes_down_the_page(form: CaseForm, qtbot: QtBot) -> None:
    first = named(form, QLineEdit, "Code of the case")
    first.setFocus()
    heights = []
    widget: QWidget | None = first
    for _ in range(30):
        assert widget is not None
        heights.append(widget.mapTo(form, widget.rect().topLeft()).y())
        form.focusNextChild()
        widget = form.focusWidget()
    assert heights == sorted(heights)
