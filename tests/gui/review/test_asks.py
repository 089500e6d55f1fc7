"""What is asked beside the film: press a letter, read the review; type a time, see the player."""

from __future__ import annotations

import pytest
from PyQt6.QtWidgets import QListWidget
from tests.gui.review.finding import click, named
from tests.gui.review.marks import END_US, S, mark, record_id, span

from aftercase.gui.review.adopt_ask import AdoptAsk
from aftercase.gui.review.asks import ASKS
from aftercase.gui.review.letter_pad import LetterPad, PadChoice
from aftercase.gui.review.remark_editor import RemarkAsk
from aftercase.gui.review.saying import SayingAsk
from aftercase.session.verbs.changing import drag_edge

SEARCH = "Search by name"
RHEXIS = span("rhexis", 10, 20, step="capsulorhexis")


@pytest.fixture
def ask_of(host, shown):
    """Ask a question about a desk, None where there is nothing; count how often it was answered."""

    def ask(desk, question):
        made = ASKS[question](host, desk, None)
        return noted(shown(made)) if made is not None else None

    return ask


def noted(ask):
    ask.n_answered = 0

    def answered():
        ask.n_answered += 1

    ask.answered.connect(answered)
    return ask


def rows_of(ask):
    return {row.id: row for row in ask.findChild(QListWidget).shown()}


def sign_of(ask, word):
    return rows_of(ask)[word].sign


# Steps.


def test_a_step_is_begun_by_its_letter_and_ended_by_the_same(ask_of, desk_with, press):
    desk = desk_with()
    for at_s in (10, 25):
        desk.show_moment(at_s * S)
        ask = ask_of(desk, "step")
        press(ask, "I")  # the ninth step of the guide: capsulorhexis
        assert ask.n_answered == 1
    [step] = desk.review.steps
    assert (step.step, step.start_us, step.end_us) == ("capsulorhexis", 10 * S, 25 * S)
    desk.undo()
    assert desk.review.steps[0].end_us == END_US


def test_the_step_is_marked_on_the_frame_shown_when_its_letter_is_pressed(ask_of, desk_with, press):
    desk = desk_with()
    ask = ask_of(desk, "step")
    desk.show_moment(7 * S)  # the film goes on meanwhile
    press(ask, "I")
    assert desk.review.steps[0].start_us == 7 * S


def test_the_running_step_is_told_in_words(ask_of, desk_with):
    desk = desk_with(steps=[RHEXIS])
    desk.show_moment(15 * S)
    assert {word for word, row in rows_of(ask_of(desk, "step")).items() if row.word} == {
        "capsulorhexis"
    }
    desk.show_moment(20 * S)
    assert not [row for row in rows_of(ask_of(desk, "step")).values() if row.word]


def test_a_step_ended_on_its_first_frame_is_refused_in_words(ask_of, desk_with, press):
    desk = desk_with(steps=[RHEXIS])
    desk.show_moment(10 * S)
    press(ask_of(desk, "step"), "I")
    assert desk.review.steps[0].end_us == 20 * S
    assert desk.words.tone == "refused"


def test_large_letters_are_letters_of_their_own(ask_of, desk_with, type_text):
    desk = desk_with()
    ask = ask_of(desk, "step")
    words = [step.id for step in desk.guide.steps]
    assert (sign_of(ask, words[0]), sign_of(ask, words[36])) == ("a", "A")
    type_text(ask, "A")
    assert [step.step for step in desk.review.steps] == [words[36]]


def test_a_held_key_a_key_of_nothing_and_escape_begin_nothing(ask_of, desk_with, press, hold):
    desk = desk_with()
    ask = ask_of(desk, "step")
    hold(ask.findChild(QListWidget), "i")
    press(ask, ";", "Space")
    assert (desk.review.steps, ask.n_answered) == ((), 0)
    press(ask, "Esc")
    assert (desk.review.steps, ask.n_answered) == ((), 1)


# Searching a pad.


def searched(ask, press, type_text, text):
    press(ask, "/")
    type_text(ask, text)
    return ask


@pytest.mark.parametrize(
    ("typed", "first"),
    [
        ("capsulorhexis", "capsulorhexis"),
        ("RHEXIS", "capsulorhexis"),
        ("rhéxis", "capsulorhexis"),
        (" wound  main ", "main-wound"),
        ("OVD", "viscoelastic-in"),
        ("trypan", "dye"),
    ],
)
def test_a_step_is_found_by_its_name_or_what_it_is_also_called(
    ask_of, desk_with, press, type_text, typed, first
):
    desk = desk_with()
    press(searched(ask_of(desk, "step"), press, type_text, typed), "Return")
    assert [step.step for step in desk.review.steps] == [first]


@pytest.mark.parametrize("typed", ["", "  ", "xylophone"])
def test_return_takes_nothing_where_nothing_is_found_or_looked_for(
    ask_of, desk_with, press, type_text, typed
):
    desk = desk_with()
    ask = searched(ask_of(desk, "step"), press, type_text, typed)
    press(ask, "Return")
    assert (desk.review.steps, ask.n_answered) == ((), 0)
    press(ask, "Esc")
    assert ask.n_answered == 1


def test_the_down_key_goes_from_the_search_into_what_was_found(ask_of, desk_with, press, type_text):
    desk = desk_with()
    ask = searched(ask_of(desk, "step"), press, type_text, "lens")
    found = ask.shown()
    press(ask, "Down", "Down", "Return")
    assert [step.step for step in desk.review.steps] == [found[1]]


def test_letters_stay_the_same_while_the_pad_is_searched(ask_of, desk_with, press, type_text):
    ask = searched(ask_of(desk_with(), "step"), press, type_text, "rhexis")
    assert sign_of(ask, "capsulorhexis") == "i"


def test_what_has_no_letter_left_is_found_by_its_name(host, shown, press, type_text):
    taken = []
    choices = tuple(PadChoice(f"w-{n}", f"Thing {n}") for n in range(70))
    pad = shown(LetterPad(host, "Thing", choices, (), taken.append))
    assert sign_of(pad, "w-69") == ""
    press(searched(pad, press, type_text, "thing 69"), "Return")
    assert taken == ["w-69"]


# Instruments.


@pytest.mark.parametrize(("question", "hand"), [("hand-main", "main"), ("hand-second", "second")])
def test_an_instrument_goes_into_a_hand_by_its_letter_and_out_by_the_same(
    ask_of, desk_with, press, question, hand
):
    desk = desk_with()
    for at_s in (10, 25):
        desk.show_moment(at_s * S)
        press(ask_of(desk, question), "K")  # the eleventh: the ultrasound handpiece
    [one] = desk.review.instruments
    assert (one.instrument, one.hand, one.start_us, one.end_us) == (
        "phaco-probe", hand, 10 * S, 25 * S,
    )  # fmt: skip


def test_each_hand_holds_its_own(ask_of, desk_with, press):
    desk = desk_with()
    press(ask_of(desk, "hand-main"), "K")
    press(ask_of(desk, "hand-second"), "L")
    desk.show_moment(5 * S)
    press(ask_of(desk, "hand-main"), "A")
    held = {(one.instrument, one.hand): one.end_us for one in desk.review.instruments}
    assert held == {
        ("phaco-probe", "main"): 5 * S,
        ("chopper", "second"): END_US,
        ("knife-side", "main"): END_US,
    }


def test_what_is_usual_in_the_running_step_comes_first_with_its_own_letter(ask_of, desk_with):
    desk = desk_with(steps=[RHEXIS])
    unhurried = ask_of(desk, "hand-main")
    desk.show_moment(15 * S)
    ask = ask_of(desk, "hand-main")
    # common practice: forceps or a bent needle lead the tear
    assert ask.shown()[:2] == ["forceps-capsule", "needle-capsule"]
    assert sign_of(ask, "forceps-capsule") == sign_of(unhurried, "forceps-capsule")
    assert sorted(ask.shown()) == sorted(unhurried.shown())


@pytest.mark.parametrize(("hand", "told"), [("main", True), ("second", False), ("not-said", False)])
def test_the_pad_says_held_exactly_where_the_letter_takes_it_out(
    ask_of, desk_with, press, hand, told
):
    desk = desk_with(instruments=[span("tip", 0, 60, instrument="phaco-probe", hand=hand)])
    desk.show_moment(5 * S)
    ask = ask_of(desk, "hand-main")
    assert rows_of(ask)["phaco-probe"].is_chosen == told
    press(ask, "K")
    assert (desk.record(record_id("tip")).end_us == 5 * S) == told


# Events and what was not needed.


def test_an_event_is_marked_on_the_shown_frame_and_selected(ask_of, desk_with, press):
    desk = desk_with()
    desk.show_moment(12 * S)
    ask = ask_of(desk, "event")
    press(ask, sign_of(ask, "regrab"))
    [event] = desk.review.events
    assert (event.kind, event.at_us) == ("regrab", 12 * S)
    assert desk.selection == (event.id,)


def test_events_are_told_apart_by_their_class_in_words(ask_of, desk_with):
    rows = rows_of(ask_of(desk_with(), "event"))
    words = {
        word: rows[word].word for word in ("regrab", "surge", "posterior-open", "patient-pain")
    }
    assert words == {
        "regrab": "action", "surge": "slip", "posterior-open": "complication",
        "patient-pain": "outside",
    }  # fmt: skip


@pytest.mark.parametrize(
    ("kind", "told"), [("posterior-open", True), ("wrong-lens", True), ("surge", False)]
)
def test_a_complication_says_that_the_hospital_is_to_be_told_as_well(
    ask_of, desk_with, press, type_text, kind, told
):
    desk = desk_with()
    ask = ask_of(desk, "event")
    press(searched(ask, press, type_text, rows_of(ask)[kind].text), "Return")
    assert [event.kind for event in desk.review.events] == [kind]
    assert ("hospital" in desk.words.text) == told


def test_a_step_is_said_to_be_not_needed_and_needed_again(ask_of, desk_with, press):
    desk = desk_with()
    press(ask_of(desk, "not-needed"), "E")  # the fifth step: staining the capsule
    assert desk.review.not_needed == ("dye",)
    ask = ask_of(desk, "not-needed")
    assert (rows_of(ask)["dye"].word, rows_of(ask)["dye"].is_chosen) == ("not needed", True)
    press(ask, "E")
    assert desk.review.not_needed == ()


# About a mark.


def test_what_is_asked_about_is_the_running_step_else_the_selected_one(ask_of, desk_with, press):
    desk = desk_with(steps=[RHEXIS, span("seal", 40, 50, step="seal")])
    desk.show_moment(15 * S)
    press(ask_of(desk, "about-step"), "B")
    desk.show_moment(30 * S)
    desk.select(record_id("seal"))
    press(ask_of(desk, "about-step"), "D")
    assert [step.performer for step in desk.review.steps] == ["trainee", "teacher"]


def test_about_a_mark_a_remark_has_its_fields_and_all_else_what_can_be_said(ask_of, desk_with):
    desk = desk_with(steps=[RHEXIS], remarks=[mark("seen", 5, text="Calm")])
    desk.select(record_id("seen"))
    assert isinstance(ask_of(desk, "about-mark"), RemarkAsk)
    desk.select(record_id("rhexis"))
    assert isinstance(ask_of(desk, "about-mark"), SayingAsk)


@pytest.mark.parametrize("question", ["about-step", "about-mark", "place", "adopt"])
def test_where_there_is_nothing_to_ask_this_is_told_in_words(ask_of, desk_with, question):
    desk = desk_with()
    assert ask_of(desk, question) is None
    assert desk.words.tone == "refused"
    assert desk.words.text.endswith(".")


def test_two_selected_marks_are_not_asked_about_at_once(ask_of, desk_with):
    desk = desk_with(steps=[RHEXIS, span("seal", 40, 50, step="seal")])
    desk.select(record_id("rhexis"), record_id("seal"))
    assert ask_of(desk, "about-mark") is None
    assert desk.words.tone == "refused"


# Adopting.


@pytest.fixture
def others(written):
    seal = span("seal", 40, 50, step="seal")
    forceps = span("tip", 12, 15, instrument="forceps-capsule", hand="main")
    written("P01", "preparer", steps=[RHEXIS, seal], instruments=[forceps])
    written("R07", "trainee", steps=[span("own", 10, 22, step="capsulorhexis")])


def test_whose_marks_there_are_and_how_many_is_said(ask_of, others, desk_with):
    rows = rows_of(ask_of(desk_with(), "adopt")).values()
    assert [(row.sign, row.text, row.word) for row in rows] == [
        ("a", "P01, preparer", "2 steps, 1 instrument span"),
        ("b", "R07, trainee", "1 step, 0 instrument spans"),
    ]


def test_one_key_adopts_the_marks_of_one_person_and_one_undo_gives_them_back(
    ask_of, others, desk_with, press
):
    desk = desk_with()
    ask = ask_of(desk, "adopt")
    press(ask, "A")
    assert ask.n_answered == 1
    assert [(one.step, one.start_us, one.end_us) for one in desk.review.steps] == [
        ("capsulorhexis", 10 * S, 20 * S),
        ("seal", 40 * S, 50 * S),
    ]
    assert [one.instrument for one in desk.review.instruments] == ["forceps-capsule"]
    desk.undo()
    assert (desk.review.steps, desk.review.instruments) == ((), ())


def test_an_adopted_mark_says_whose_it_was_also_after_it_was_moved(
    ask_of, others, desk_with, press
):
    desk = desk_with()
    press(ask_of(desk, "adopt"), "B")
    [step] = desk.review.steps
    assert (step.adopted_from.reviewer, step.adopted_from.id) == ("R07", record_id("own"))
    drag_edge(desk, step.id, "end", 25 * S)
    moved = desk.record(step.id)
    assert (moved.end_us, moved.adopted_from) == (25 * S, step.adopted_from)


def test_marks_that_are_here_already_are_not_doubled_and_this_is_told(
    ask_of, others, desk_with, press
):
    desk = desk_with()
    for _ in range(2):
        press(ask_of(desk, "adopt"), "A")
    assert len(desk.review.steps) == 2
    assert desk.words.tone == "refused"
    assert "P01" in desk.words.text


@pytest.mark.parametrize("leave", ["key", "button"])
def test_adopting_is_left_without_adopting(ask_of, others, desk_with, press, leave):
    desk = desk_with()
    ask = ask_of(desk, "adopt")
    assert isinstance(ask, AdoptAsk)
    if leave == "key":
        press(ask, "Esc")
    else:
        click(ask, "Leave (Esc)")
    assert (ask.n_answered, desk.review.steps) == (1, ())


# A typed time.


def time_typed(ask, press, type_text, text):
    line = named(ask, "Time to go to")
    line.setFocus()
    line.selectAll()
    type_text(ask, text)
    press(ask, "Return")


@pytest.mark.parametrize(
    ("typed", "us"),
    [
        ("12", 12 * S),
        ("12.5", 12_500_000),
        ("12,5", 12_500_000),
        ("0:12", 12 * S),
        ("00:00:12.040", 12_040_000),
        (" 0 ", 0),
        ("59.999", 59_999_000),
        ("1:00", END_US - 1),  # the end itself: the last frame is still shown
    ],
)
def test_a_typed_time_is_gone_to(host, ask_of, desk_with, press, type_text, typed, us):
    ask = ask_of(desk_with(), "time")
    time_typed(ask, press, type_text, typed)
    assert (host.player.went, ask.n_answered, ask.refusal) == ([us], 1, "")


@pytest.mark.parametrize("typed", ["soon", "1:75", "", "1:2:3:4", "-1", "1:00.001", "999999999999"])
def test_what_is_no_time_of_the_case_is_refused_in_words_and_can_be_mended(
    host, ask_of, desk_with, press, type_text, typed
):
    ask = ask_of(desk_with(), "time")
    if not typed:
        named(ask, "Time to go to").clear()
    time_typed(ask, press, type_text, typed)
    assert (host.player.went, ask.n_answered) == ([], 0)
    assert ask.refusal.endswith(".")
    type_text(ask, "30")  # what was refused is selected: typing takes its place
    press(ask, "Return")
    assert (host.player.went, ask.n_answered) == ([30 * S], 1)


def test_a_time_out_of_range_is_told_the_range(ask_of, desk_with, press, type_text):
    ask = ask_of(desk_with(), "time")
    time_typed(ask, press, type_text, "2:00")
    assert ask.refusal == "The case runs from 0:00:00.000 to 0:01:00.000."


def test_the_shown_time_stands_there_to_be_typed_over_and_escape_goes_nowhere(
    host, ask_of, desk_with, press
):
    desk = desk_with()
    desk.show_moment(12 * S)
    ask = ask_of(desk, "time")
    line = named(ask, "Time to go to")
    assert line.selectedText() == "0:00:12.000"
    press(ask, "Esc")
    assert (host.player.went, ask.n_answered) == ([], 1)
