"""Saying more of a mark: press one key, read the review; undo, read the panel."""

from __future__ import annotations

import pytest
from PyQt6.QtCore import Qt
from PyQt6.QtTest import QTest
from PyQt6.QtWidgets import QLabel, QListWidget
from tests.gui.review.finding import choose, click, named
from tests.gui.review.marks import S, mark, record_id, span

from aftercase.document.guides import shipped_guides
from aftercase.gui.review.saying import SayingAsk, fields_of
from aftercase.model.review import StepSpan
from aftercase.session.verbs.marking import mark_event, press_takeover

MARKS = {
    "steps": [span("step", 5, 20, step="capsulorhexis")],
    "pauses": [span("pause", 21, 25)],
    "unseen": [span("unseen", 26, 28)],
    "instruments": [span("tool", 5, 10, instrument="forceps-capsule")],
    "events": [mark("slip", 8, kind="tear-outward"), mark("grave", 9, kind="posterior-open")],
}
DONE_BY, HELP, TAKEOVER, REASON = "Done by", "Help given", "Takeover", "Why taken over"
HOLDER = "Who held the instruments"
SIGN, RECOGNISED, RESPONSE = (
    f"{moment}: the shown frame" for moment in ("First sign", "Recognised", "First response")
)


@pytest.fixture
def desk(desk_with):
    return desk_with(**MARKS)


@pytest.fixture
def ask_of(host, desk, shown):
    """Ask about a mark; the ask takes note of how often it was left."""

    def ask(name):
        made = shown(SayingAsk(host, desk, desk.record(record_id(name))))
        made.n_left = 0

        def left():
            made.n_left += 1

        made.answered.connect(left)
        return made

    return ask


@pytest.fixture
def said(desk):
    """Read a field of a mark in the review."""
    return lambda name, field: getattr(desk.record(record_id(name)), field)


def by_heading(ask):
    """Return the rows below each heading."""
    found = {}
    for row in ask.rows():
        if not row.id:
            found[row.text] = under = []
        else:
            under.append(row)
    return found


def chosen(ask):
    return {
        heading: [row.text for row in rows if row.is_chosen]
        for heading, rows in by_heading(ask).items()
    }


def key_of(ask, heading, text):
    return next(row.sign for row in by_heading(ask)[heading] if row.text == text)


def click_row(ask, text):
    rows = ask.findChild(QListWidget)
    place = next(n for n, row in enumerate(ask.rows()) if row.text == text)
    rows.scrollToItem(rows.item(place))
    spot = rows.visualItemRect(rows.item(place)).center()
    QTest.mouseClick(rows.viewport(), Qt.MouseButton.LeftButton, pos=spot)


def heading_of(ask):
    return ask.findChild(QLabel).text()


# Nothing is said to begin with.


@pytest.mark.parametrize(
    ("name", "headings"),
    [
        ("step", [DONE_BY, HELP, TAKEOVER, REASON]),
        ("pause", ["Cause"]),
        ("unseen", ["Why it cannot be seen"]),
        ("tool", ["Hand"]),
        ("slip", []),
    ],
)
def test_every_field_begins_as_not_said(ask_of, name, headings):
    assert chosen(ask_of(name)) == {heading: ["not said"] for heading in headings}


@pytest.mark.parametrize(
    ("name", "heading"),
    [
        ("step", "Capsulorhexis at 0:00:05"),
        ("pause", "The pause at 0:00:21"),
        ("unseen", "The stretch that cannot be seen at 0:00:26"),
        ("tool", "Capsule forceps at 0:00:05"),
        ("slip", "Tear runs outward at 0:00:08"),
    ],
)
def test_the_panel_says_what_it_is_about(ask_of, name, heading):
    assert heading_of(ask_of(name)) == heading


# One key each.


@pytest.mark.parametrize(
    ("name", "heading", "text", "field", "word"),
    [
        ("step", DONE_BY, "trainee", "performer", "trainee"),
        ("step", DONE_BY, "second trainee", "performer", "second-trainee"),
        ("step", DONE_BY, "shared", "performer", "shared"),
        ("step", HELP, "alone", "help", "alone"),
        ("step", HELP, "hands on", "help", "hands-on"),
        ("step", TAKEOVER, "none", "takeover", "none"),
        ("step", TAKEOVER, "given back", "takeover", "given-back"),
        ("pause", "Cause", "instruments changed", "cause", "exchange"),
        ("unseen", "Why it cannot be seen", "red reflex lost", "reason", "reflex-lost"),
        ("tool", "Hand", "second", "hand", "second"),
    ],
)
def test_one_key_says_it_and_undo_takes_it_back(
    ask_of, desk, said, press, name, heading, text, field, word
):
    ask = ask_of(name)
    press(ask, key_of(ask, heading, text))
    assert said(name, field) == word
    assert chosen(ask)[heading] == [text]
    desk.undo()
    assert said(name, field) == "not-said"
    assert chosen(ask)[heading] == ["not said"]
    assert ask.n_left == 0


def test_what_is_said_of_the_running_step_is_four_keys_in_a_row(ask_of, said, press):
    ask = ask_of("step")
    for heading, text in (
        (DONE_BY, "trainee"),
        (HELP, "talked through"),
        (TAKEOVER, "given back"),
        (REASON, "to show, then given back"),
    ):
        press(ask, key_of(ask, heading, text))
    assert [said("step", field) for field in ("performer", "help", "takeover", "takeover_reason")] \
        == ["trainee", "talked-through", "given-back", "demonstration"]  # fmt: skip


def test_a_wrong_key_set_right_is_two_edits(ask_of, desk, said, press):
    ask = ask_of("step")
    press(ask, key_of(ask, DONE_BY, "teacher"), key_of(ask, DONE_BY, "trainee"))
    desk.undo()
    assert said("step", "performer") == "teacher"


def test_not_said_can_be_said_again(ask_of, said, press):
    ask = ask_of("step")
    press(ask, key_of(ask, DONE_BY, "teacher"), key_of(ask, DONE_BY, "not said"))
    assert said("step", "performer") == "not-said"


def test_a_reason_without_a_takeover_is_refused_in_words(ask_of, desk, said, press):
    ask = ask_of("step")
    press(ask, key_of(ask, REASON, "the trainee asked"))
    assert said("step", "takeover_reason") == "not-said"
    assert desk.words.tone == "refused"


@pytest.mark.parametrize("text", ["none", "not said"])
def test_a_takeover_that_was_none_leaves_neither_reason_nor_moments(
    ask_of, desk, said, press, text
):
    for at_s in (8, 12):
        desk.show_moment(at_s * S)
        press_takeover(desk)
    ask = ask_of("step")
    press(ask, key_of(ask, REASON, "the list was late"))
    assert (said("step", "taken_over_us"), said("step", "given_back_us")) == (8 * S, 12 * S)
    press(ask, key_of(ask, TAKEOVER, text))
    for field in ("taken_over_us", "given_back_us"):
        assert said("step", field) is None
    assert said("step", "takeover_reason") == "not-said"
    desk.undo()
    assert said("step", "takeover_reason") == "time"
    assert said("step", "taken_over_us") == 8 * S


def test_a_key_that_is_held_down_and_a_key_of_nothing_say_nothing(ask_of, desk, press, hold):
    ask = ask_of("step")
    before = desk.review
    hold(ask.findChild(QListWidget), key_of(ask, DONE_BY, "trainee"))
    press(ask, "9", "/")
    assert desk.review is before


def test_arrows_and_enter_or_a_click_say_it_too(ask_of, said, press):
    ask = ask_of("step")
    press(ask, "Down", "Down", "Return")
    assert said("step", "performer") == "second-trainee"
    click_row(ask, "reminded")
    assert said("step", "help") == "reminded"
    click_row(ask, HELP)
    assert said("step", "help") == "reminded"


def test_escape_leaves(ask_of, press):
    ask = ask_of("step")
    press(ask, "Esc")
    assert ask.n_left == 1


# Words that the guide does not have.


UNKNOWN = [span("step", 5, 20, step="moonwalk", performer="visiting-surgeon", help="by-letter")]


def test_words_the_guide_does_not_have_are_kept_and_shown(host, desk_with, shown, press):
    desk = desk_with(steps=UNKNOWN)
    ask = shown(SayingAsk(host, desk, desk.review.steps[0]))
    assert heading_of(ask) == "Moonwalk at 0:00:05"
    assert chosen(ask)[DONE_BY] == ["visiting-surgeon (not in the guide)"]
    assert named(ask, "Called").currentText() == "moonwalk (not in the guide)"
    before = desk.review
    click_row(ask, "visiting-surgeon (not in the guide)")
    assert desk.review is before
    press(ask, key_of(ask, TAKEOVER, "none"))
    [step] = desk.review.steps
    assert (step.step, step.performer, step.help) == ("moonwalk", "visiting-surgeon", "by-letter")


def test_keys_stay_the_same_whatever_the_file_says(host, desk_with, shown, ask_of):
    desk = desk_with(steps=UNKNOWN)
    known = [key_of(ask_of("step"), HELP, text) for text in ("alone", "reminded")]
    ask = shown(SayingAsk(host, desk, desk.review.steps[0]))
    assert [key_of(ask, HELP, text) for text in ("alone", "reminded")] == known


# Name and note.


def test_a_note_is_typed_into_the_review_and_undone_as_one(ask_of, desk, said, press, type_text):
    ask = ask_of("pause")
    named(ask, "Note").setFocus()
    type_text(ask, "Linse wärmen")
    assert said("pause", "note") == "Linse wärmen"
    desk.undo()
    assert said("pause", "note") == ""
    assert named(ask, "Note").text() == ""
    press(ask, "Return")
    assert ask.n_left == 1


def test_the_keys_of_undo_take_back_a_note_and_then_what_was_said_before(opened, press, type_text):
    press(opened, "Return", "A", "B")
    named(opened, "Note").setFocus()
    type_text(opened, "first case")
    press(opened, "Ctrl+Z")
    [step] = opened.desk.review.steps
    assert (step.note, step.performer) == ("", "trainee")
    assert named(opened, "Note").text() == ""
    press(opened, "Ctrl+Z")
    assert opened.desk.review.steps[0].performer == "not-said"


def test_letters_in_a_note_say_nothing_else(ask_of, said, type_text):
    ask = ask_of("step")
    named(ask, "Note").setFocus()
    type_text(ask, "bdg")
    assert (said("step", "note"), said("step", "performer")) == ("bdg", "not-said")


def test_a_mark_of_which_only_a_note_can_be_said_begins_in_the_note(ask_of, said, type_text):
    ask = ask_of("slip")
    type_text(ask, "b")
    assert said("slip", "note") == "b"
    assert ask.n_left == 0


@pytest.mark.parametrize(
    ("name", "field", "word", "heading"),
    [
        ("step", "step", "seal", "Sealing and checking the wounds at 0:00:05"),
        ("tool", "instrument", "sponge", "Sponge at 0:00:05"),
        ("slip", "kind", "surge", "Chamber jumps as a piece clears at 0:00:08"),
    ],
)
def test_a_mark_is_renamed_and_undo_gives_its_name_back(
    ask_of, desk, said, name, field, word, heading
):
    ask = ask_of(name)
    before, told = said(name, field), heading_of(ask)
    choose(named(ask, "Called"), word)
    assert (said(name, field), heading_of(ask)) == (word, heading)
    desk.undo()
    assert (said(name, field), heading_of(ask)) == (before, told)
    assert named(ask, "Called").word == before


def test_the_tears_direction_is_asked_once_a_grip_is_marked_in_the_step(ask_of, desk, said, press):
    ask = ask_of("step")
    assert "The tear goes, on the picture," not in by_heading(ask)
    desk.show_moment(6 * S)
    mark_event(desk, "tear-started")
    press(ask, key_of(ask, "The tear goes, on the picture,", "anticlockwise"))
    assert said("step", "tear_direction") == "anticlockwise"


def test_how_an_attempt_ended_is_asked_of_drills_only(desk):
    drill = StepSpan.model_validate(span("drill", 5, 9, step="drill-groove"))
    fields = fields_of(shipped_guides()["practice"], desk.review, drill)
    [words] = [words for name, _, words in fields if name == "result"]
    assert [word for word, _ in words][:3] == ["not-said", "done", "done-with-flaw"]
    of_a_step = fields_of(desk.guide, desk.review, desk.review.steps[0])
    assert "result" not in [name for name, _, _ in of_a_step]


# How a complication went.


def at_here(ask, desk, name, at_s):
    desk.show_moment(at_s * S)
    named(ask, name).click()


def test_a_complications_course_is_three_moments_and_a_holder_each_undone_by_itself(
    ask_of, desk, said
):
    ask = ask_of("grave")
    for at_s, name in ((7, SIGN), (9, RECOGNISED), (12, RESPONSE)):
        at_here(ask, desk, name, at_s)
    choose(named(ask, HOLDER), "trainee")
    course = said("grave", "course")
    assert (course.first_sign_us, course.recognised_us, course.first_response_us) == (
        7 * S, 9 * S, 12 * S,
    )  # fmt: skip
    assert course.holder == "trainee"
    desk.undo()
    assert said("grave", "course").holder == "not-said"
    assert named(ask, HOLDER).word == "not-said"
    desk.undo()
    assert said("grave", "course").first_response_us is None
    assert said("grave", "course").recognised_us == 9 * S


def test_a_courses_moments_are_refused_out_of_order_and_may_be_one(ask_of, desk, said):
    ask = ask_of("grave")
    at_here(ask, desk, RECOGNISED, 9)
    at_here(ask, desk, SIGN, 10)
    assert desk.words.tone == "refused"
    assert said("grave", "course").first_sign_us is None
    at_here(ask, desk, RESPONSE, 9)
    assert said("grave", "course").first_response_us == 9 * S


def test_a_moment_of_the_course_is_shown_as_it_is_said(ask_of, desk):
    ask = ask_of("grave")
    assert [label.text() for label in ask.findChildren(QLabel)].count("not said") == 3
    at_here(ask, desk, SIGN, 7)
    assert "0:00:07" in [label.text() for label in ask.findChildren(QLabel)]


def test_return_presses_the_button_it_stands_on_and_leaves_from_elsewhere(
    ask_of, desk, said, press
):
    ask = ask_of("grave")
    desk.show_moment(7 * S)
    named(ask, SIGN).setFocus()
    press(ask, "Return")
    assert (said("grave", "course").first_sign_us, ask.n_left) == (7 * S, 0)
    named(ask, "Note").setFocus()
    press(ask, "Return")
    assert ask.n_left == 1


def test_only_a_complication_has_a_course(ask_of, desk, said):
    ask = ask_of("slip")
    assert not named(ask, SIGN).isVisible()
    choose(named(ask, "Called"), "anterior-tear")
    assert named(ask, SIGN).isVisible()
    at_here(ask, desk, SIGN, 7)
    choose(named(ask, "Called"), "tear-outward")
    assert not named(ask, SIGN).isVisible()
    assert said("slip", "course") is None
    desk.undo()
    assert said("slip", "course").first_sign_us == 7 * S


def test_the_place_of_an_event_is_asked_for_by_its_button(ask_of, host):
    click(ask_of("slip"), "Place and hour…")
    assert host.asked == ["place"]


# A mark that is gone.


def test_a_mark_that_is_gone_closes_what_asks_about_it(ask_of, desk):
    ask = ask_of("step")
    desk.undo()
    assert ask.n_left == 1


def test_a_panel_that_is_put_away_listens_no_more(host, desk):
    ask = SayingAsk(host, desk, desk.review.steps[0])
    ask.answered.connect(lambda: pytest.fail("it still listens"))
    ask.stop()
    desk.undo()
    ask.deleteLater()
