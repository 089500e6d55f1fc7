"""The remarks beside the film: press their keys, read the review; go on, read the list."""

from __future__ import annotations

import time

import pytest
from PyQt6.QtCore import Qt
from PyQt6.QtTest import QTest
from PyQt6.QtWidgets import QCheckBox, QListWidget
from tests.gui.review.finding import choose, click, named
from tests.gui.review.marks import END_US, S, mark, record_id

from aftercase.gui.review.remark_editor import RemarkAsk
from aftercase.gui.review.remarks_list import RemarksList
from aftercase.session.opened import open_case
from aftercase.session.verbs.closing import seal_review

ARROW = {"shape": "arrow", "colour": "sky", "at_us": 20 * S, "points": [(0.1, 0.1), (0.2, 0.2)]}
REMARKS = [
    mark("long", 5, kind="work-on", text="Wound a little long", reason="It leaks later",
         next_time="Count to two"),
    mark("calm", 10, kind="well-done", text="Schön ruhig geführt", starred=True),
    mark("edge", 20, end_us=26 * S, kind="safety", text="Mind the edge", drawings=[ARROW]),
]  # fmt: skip
FLAGS = [mark("look", 30, note="Pupil coming down?")]
LONG, CALM, EDGE, LOOK = (record_id(name) for name in ("long", "calm", "edge", "look"))
FILTER, SEARCH = "Which remarks are shown", "Search remarks"
MANY = 2_000
ROUNDS = 3
QUICK_S = 0.1  # an answer that comes sooner is felt as one with its key; common practice


@pytest.fixture
def desk(desk_with):
    return desk_with(remarks=REMARKS, flags=FLAGS)


@pytest.fixture
def panel(host, desk, shown):
    return shown(RemarksList(host, desk))


@pytest.fixture
def edit(panel, desk, press, type_text):
    """Select a remark and type at the end of one of its fields."""

    def typed(remark_id, name, text):
        desk.select(remark_id)
        named(panel, name).setFocus()
        press(panel, "Ctrl+End")
        type_text(panel, text)

    return typed


def list_of(panel):
    return panel.findChild(QListWidget)


def ids(panel):
    return [row.id for row in panel.shown()]


def now(panel):
    return [row.id for row in panel.shown() if row.is_now]


def lit(panel):
    return [ids(panel)[list_of(panel).row(item)] for item in list_of(panel).selectedItems()]


def click_row(panel, place):
    rows = list_of(panel)
    rows.scrollToItem(rows.item(place))
    spot = rows.visualItemRect(rows.item(place)).center()
    QTest.mouseClick(rows.viewport(), Qt.MouseButton.LeftButton, pos=spot)


def is_in_sight(panel, place):
    rows = list_of(panel)
    return rows.viewport().rect().intersects(rows.visualItemRect(rows.item(place)))


def remark(desk, remark_id):
    return desk.record(remark_id)


# What the rows say.


def test_an_empty_review_has_an_empty_list_and_no_fields(host, desk_with, shown):
    panel = shown(RemarksList(host, desk_with()))
    assert panel.shown() == ()
    assert not named(panel, "Remark").isVisible()


def test_remarks_and_flags_stand_in_the_films_order_with_time_kind_and_words(panel):
    assert [(row.head, row.text, row.notes) for row in panel.shown()] == [
        ("0:00:05 work on", "Wound a little long", ""),
        ("0:00:10 well done, starred", "Schön ruhig geführt", ""),
        ("0:00:20 to 0:00:26 safety", "Mind the edge", "1 drawing"),
        ("0:00:30 look here", "Pupil coming down?", ""),
    ]


def test_a_remark_without_words_or_of_an_unknown_kind_says_so(host, desk_with, shown):
    panel = shown(RemarksList(host, desk_with(remarks=[mark("a", 1, kind="for-the-nurse")])))
    [row] = panel.shown()
    assert (row.head, row.text) == ("0:00:01 for the nurse", "(no words)")


def test_a_remark_made_meanwhile_comes_in_and_undo_takes_it_out(host, desk_with, shown, desk):
    panel = shown(RemarksList(host, desk))
    desk.undo()
    assert panel.shown() == ()


def test_other_peoples_flags_are_listed_with_their_code(host, written, desk_with, shown):
    written("P01", "preparer", flags=[mark("p", 12, note="Left hand?")])
    panel = shown(RemarksList(host, desk_with(remarks=REMARKS)))
    assert [(row.head, row.text) for row in panel.shown() if not row.id] == [
        ("0:00:12 look here (P01)", "Left hand?")
    ]


@pytest.mark.parametrize("header", [{"trainee": "R01", "judge_first": True}])
def test_a_teachers_flags_come_in_when_the_resident_has_judged_first(
    host, written, desk_with, shown
):
    written("T01", "teacher", flags=[mark("t", 12, note="And here?")])
    desk = desk_with(("R01", "trainee"))
    panel = shown(RemarksList(host, desk))
    assert panel.shown() == ()
    assert seal_review(desk)
    assert [row.text for row in panel.shown()] == ["And here?"]


def test_what_the_resident_answered_stands_under_the_remark(
    host, written, desk_with, shown, case_folder, at
):
    origin = {
        "case": open_case(case_folder, at).case.id, "reviewer": "T01", "revision": 1, "id": LONG,
    }  # fmt: skip
    reply = mark("reply", 5, to=origin, text="How long is right?", asks=True, understood="not-yet")
    written("R01", "trainee", replies=[reply])
    panel = shown(RemarksList(host, desk_with(remarks=REMARKS)))
    first = panel.shown()[0]
    assert first.notes == "R01 asks: How long is right? (not yet clear)"
    assert first.notes in first.spoken


# In step with the clock.


@pytest.mark.parametrize(
    ("at_s", "reached"),
    [(0, []), (4.9, []), (5, [LONG]), (9.9, [LONG]), (10, [CALM]), (25, [EDGE]), (59, [LOOK])],
)
def test_the_remark_reached_last_is_marked_in_words(panel, desk, at_s, reached):
    desk.show_moment(round(at_s * S))
    assert now(panel) == reached
    assert [row.id for row in panel.shown() if "now" in row.spoken.split(", ")] == reached


def test_the_list_scrolls_to_the_remark_that_is_reached(host, desk_with, shown, qapp):
    desk = desk_with(remarks=[mark(f"r{n}", n, text=f"Remark {n}") for n in range(60)])
    panel = shown(RemarksList(host, desk), height=300)
    for at_s in (50, 2):
        desk.show_moment(at_s * S)
        qapp.processEvents()
        assert is_in_sight(panel, at_s)


def test_the_list_scrolls_to_another_persons_flag_after_their_flag(
    host, written, desk_with, shown, qapp
):
    written("P01", "preparer", flags=[mark(f"p{n:02}", n, note="here") for n in range(60)])
    desk = desk_with()
    panel = shown(RemarksList(host, desk), height=300)
    desk.show_moment(1 * S)
    desk.show_moment(50 * S)
    qapp.processEvents()
    assert is_in_sight(panel, 50)


def test_a_click_goes_there_selects_it_and_leaves_the_keys_with_the_film(host, panel, desk):
    named(panel, SEARCH).clearFocus()
    click_row(panel, 2)
    assert host.player.went == [20 * S]
    assert desk.selection == (EDGE,)
    assert not list_of(panel).hasFocus()
    assert named(panel, "Remark").toPlainText() == "Mind the edge"


def test_arrow_keys_go_from_remark_to_remark(host, panel, desk, press):
    list_of(panel).setFocus()
    press(panel, "Down", "Down", "Up")
    assert host.player.went == [5 * S, 10 * S, 5 * S]
    assert desk.selection == (LONG,)


def test_arrow_keys_go_on_from_what_was_selected_elsewhere(host, panel, desk, press):
    desk.select(EDGE)
    list_of(panel).setFocus()
    press(panel, "Down")
    assert host.player.went == [30 * S]
    assert desk.selection == (LOOK,)


@pytest.mark.parametrize(("key", "at_s"), [("Down", 20), ("Up", 5)])
def test_arrow_keys_begin_where_the_film_is(host, panel, desk, press, key, at_s):
    desk.show_moment(12 * S)
    list_of(panel).setFocus()
    press(panel, key)
    assert host.player.went == [at_s * S]


def test_arrow_keys_pass_another_persons_flag_both_ways(host, written, desk_with, shown, press):
    written("P01", "preparer", flags=[mark("p", 10)])
    desk = desk_with(remarks=REMARKS)
    panel = shown(RemarksList(host, desk))
    list_of(panel).setFocus()
    for key in ("Down", "Down", "Down", "Down", "Up", "Up", "Up"):
        press(panel, key)
        desk.show_moment(host.player.went[-1])
    assert [us // S for us in host.player.went] == [5, 10, 10, 20, 10, 10, 5]


def test_what_is_selected_elsewhere_is_lit_and_shown_for_editing(panel, desk):
    desk.select(CALM)
    assert lit(panel) == [CALM]
    assert named(panel, "Remark").toPlainText() == "Schön ruhig geführt"
    desk.select(LOOK)
    assert lit(panel) == [LOOK]
    assert not named(panel, "Remark").isVisible()
    desk.select(LONG, CALM)
    assert not named(panel, "Remark").isVisible()


def test_a_click_on_another_persons_flag_goes_there_and_selects_nothing(
    host, written, desk_with, shown
):
    written("P01", "preparer", flags=[mark("p", 12)])
    desk = desk_with(remarks=REMARKS)
    panel = shown(RemarksList(host, desk))
    desk.select(LONG)
    click_row(panel, 2)
    assert host.player.went == [12 * S]
    assert desk.selection == ()
    assert not named(panel, "Remark").isVisible()


# Search and filters.


@pytest.mark.parametrize(
    ("typed", "found"),
    [
        ("wound", [LONG]),
        ("WOUND", [LONG]),
        ("schön", [CALM]),
        ("scho\u0308n", [CALM]),  # the same letter, written as two signs
        ("schon", [CALM]),  # a keyboard without the letter
        ("leaks", [LONG]),  # why it matters
        ("count to", [LONG]),  # next time
        ("edge mind", [EDGE]),  # words in any order
        (" edge ", [EDGE]),
        ("drawing", [EDGE]),
        ("0:00:2", [EDGE]),
        ("starred", [CALM]),
        ("pupil", [LOOK]),
        ("xylophone", []),
        ("", [LONG, CALM, EDGE, LOOK]),
    ],
)
def test_search_finds_what_was_written_however_it_is_typed(panel, type_text, typed, found):
    named(panel, SEARCH).setFocus()
    type_text(panel, typed)
    assert ids(panel) == found


def test_search_finds_what_was_answered(host, written, desk_with, shown, case_folder, at):
    case = open_case(case_folder, at).case.id
    origin = {"case": case, "reviewer": "T01", "revision": 1, "id": CALM}
    written("R01", "trainee", replies=[mark("reply", 10, to=origin, text="Merci")])
    panel = shown(RemarksList(host, desk_with(remarks=REMARKS)))
    named(panel, SEARCH).setText("merci")
    assert ids(panel) == [CALM]


@pytest.mark.parametrize(
    ("word", "found"),
    [
        ("work-on", [LONG]),
        ("well-done", [CALM]),
        ("safety", [EDGE]),
        ("question", []),
        ("starred", [CALM]),
        ("flag", [LOOK]),
        ("", [LONG, CALM, EDGE, LOOK]),
    ],
)
def test_the_filter_shows_one_kind_the_starred_or_the_flags(panel, word, found):
    choose(named(panel, FILTER), word)
    assert ids(panel) == found


def test_filter_and_search_both_hold_and_the_clock_reaches_only_what_is_shown(panel, desk):
    choose(named(panel, FILTER), "safety")
    named(panel, SEARCH).setText("edge")
    desk.show_moment(12 * S)
    assert (ids(panel), now(panel)) == ([EDGE], [])
    named(panel, SEARCH).setText("wound")
    assert ids(panel) == []
    named(panel, SEARCH).clear()
    choose(named(panel, FILTER), "")
    assert now(panel) == [CALM]


def test_after_a_search_the_list_is_back_at_the_film(host, desk_with, shown, qapp):
    desk = desk_with(remarks=[mark(f"r{n}", n, text=f"Remark {n}") for n in range(60)])
    panel = shown(RemarksList(host, desk), height=300)
    desk.show_moment(50 * S)
    for typed in ("remark 3", ""):
        named(panel, SEARCH).setText(typed)
        qapp.processEvents()
    assert is_in_sight(panel, 50)


def test_a_remark_selected_elsewhere_is_scrolled_to_and_the_film_after_it(
    host, desk_with, shown, qapp, until
):
    desk = desk_with(remarks=[mark(f"r{n}", n, text=f"Remark {n}") for n in range(60)])
    panel = shown(RemarksList(host, desk), height=500)
    desk.show_moment(50 * S)
    qapp.processEvents()
    desk.select(desk.review.remarks[3].id)
    until(lambda: is_in_sight(panel, 3))
    desk.select()
    until(lambda: is_in_sight(panel, 50))


# Editing in place.


@pytest.mark.parametrize(
    ("label", "field", "before"),
    [
        ("Remark", "text", "Wound a little long"),
        ("Why it matters", "reason", "It leaks later"),
        ("Next time", "next_time", "Count to two"),
    ],
)
def test_a_field_is_typed_into_the_review_and_undone_as_one(
    panel, desk, edit, label, field, before
):
    edit(LONG, label, " – schön!")
    assert getattr(remark(desk, LONG), field) == f"{before} – schön!"
    desk.undo()
    assert getattr(remark(desk, LONG), field) == before
    assert named(panel, label).toPlainText() == before
    desk.redo()
    assert named(panel, label).toPlainText() == f"{before} – schön!"


def test_the_keys_of_undo_take_back_what_is_typed_in_a_field_and_go_on_from_there(
    opened, press, type_text
):
    press(opened, "+")
    type_text(opened, "calm hands")
    press(opened, "Return")
    desk = opened.desk
    desk.select(desk.review.remarks[0].id)
    field = named(opened, "Why it matters")
    field.setFocus()
    type_text(opened, "less strain")
    press(opened, "Ctrl+Z")
    assert (desk.review.remarks[0].reason, field.toPlainText()) == ("", "")
    press(opened, "Ctrl+Shift+Z")
    assert (desk.review.remarks[0].reason, field.toPlainText()) == ("less strain", "less strain")
    type_text(opened, "!")
    assert desk.review.remarks[0].reason == "less strain!"
    press(opened, "Ctrl+Z", "Ctrl+Z", "Ctrl+Z")
    assert desk.review.remarks == ()


def test_two_fields_are_two_edits(panel, desk, edit):
    edit(LONG, "Remark", "!")
    edit(LONG, "Next time", "!")
    edit(LONG, "Remark", "!")
    desk.undo()
    assert remark(desk, LONG).text == "Wound a little long!"
    assert remark(desk, LONG).next_time == "Count to two!"
    desk.undo()
    assert remark(desk, LONG).next_time == "Count to two"


def test_the_row_follows_what_is_typed_and_grows_with_it(panel, edit, qapp):
    low = list_of(panel).visualItemRect(list_of(panel).item(0)).height()
    edit(LONG, "Remark", ", and " * 30)
    qapp.processEvents()
    assert panel.shown()[0].text.startswith("Wound a little long, and")
    assert list_of(panel).visualItemRect(list_of(panel).item(0)).height() > 2 * low


def test_the_kind_is_chosen_and_each_choice_is_undone_by_itself(panel, desk):
    desk.select(LONG)
    for word in ("question", "safety"):
        choose(named(panel, "Kind of the chosen remark"), word)
        assert remark(desk, LONG).kind == word
    desk.undo()
    assert remark(desk, LONG).kind == "question"
    assert named(panel, "Kind of the chosen remark").word == "question"


def star_of(panel):
    [star] = [box for box in panel.findChildren(QCheckBox) if "Starred" in box.text()]
    return star


def test_the_star_is_set_and_taken_back_and_each_is_undone_by_itself(panel, desk):
    desk.select(LONG)
    star_of(panel).click()
    assert remark(desk, LONG).starred
    star_of(panel).click()
    assert not remark(desk, LONG).starred
    desk.undo()
    assert remark(desk, LONG).starred
    assert star_of(panel).isChecked()


def test_it_covers_the_film_up_to_here_and_is_one_moment_again(panel, desk):
    desk.select(LONG)
    for at_s in (15, 18):
        desk.show_moment(at_s * S)
        click(panel, "Ends here")
        assert remark(desk, LONG).end_us == at_s * S
    assert panel.shown()[0].head == "0:00:05 to 0:00:18 work on"
    desk.undo()
    assert remark(desk, LONG).end_us == 15 * S
    click(panel, "One moment")
    assert remark(desk, LONG).end_us is None


def test_an_end_before_its_moment_is_refused_in_words(panel, desk):
    desk.select(CALM)
    desk.show_moment(3 * S)
    click(panel, "Ends here")
    assert remark(desk, CALM).end_us is None
    assert desk.words.tone == "refused"


ITEM = "Form item it is evidence for"


def item_typed(panel, press, type_text, text, *keys):
    named(panel, ITEM).setFocus()
    named(panel, ITEM).selectAll()
    type_text(panel, text)
    press(panel, *keys)


def test_a_form_item_is_kept_as_a_word_and_taken_off_again(panel, desk, press, type_text):
    desk.select(LONG)
    item_typed(panel, press, type_text, "Wound construction", "Return")
    assert remark(desk, LONG).form_item == "wound-construction"
    desk.undo()
    assert remark(desk, LONG).form_item is None
    assert named(panel, ITEM).text() == ""
    item_typed(panel, press, type_text, "wound", "Return")
    named(panel, ITEM).clear()
    named(panel, ITEM).setModified(True)
    press(panel, "Return")
    assert remark(desk, LONG).form_item is None


def test_what_cannot_be_a_form_item_is_refused_and_stands_to_be_mended(
    panel, desk, press, type_text
):
    desk.select(LONG)
    item_typed(panel, press, type_text, "wound?!", "Return")
    assert remark(desk, LONG).form_item is None
    assert desk.words.tone == "refused"
    assert named(panel, ITEM).text() == "wound?!"


def test_a_form_item_belongs_to_the_remark_it_was_typed_for(panel, desk, press, type_text):
    desk.select(LONG)
    item_typed(panel, press, type_text, "wound")
    click_row(panel, 1)
    assert named(panel, ITEM).text() == ""
    named(panel, "Remark").setFocus()
    assert remark(desk, LONG).form_item == "wound"
    assert remark(desk, CALM).form_item is None


def test_choosing_another_remark_writes_nothing_into_it(panel, desk, edit):
    edit(LONG, "Remark", "!")
    before = remark(desk, CALM)
    click_row(panel, 1)
    assert named(panel, "Remark").toPlainText() == before.text
    assert remark(desk, CALM) is before
    assert remark(desk, LONG).text == "Wound a little long!"


def test_what_is_typed_for_two_remarks_in_a_row_is_two_edits(panel, desk, edit, type_text):
    edit(LONG, "Remark", "!")
    click_row(panel, 1)
    type_text(panel, "?")
    desk.undo()
    assert remark(desk, CALM).text == "Schön ruhig geführt"
    assert remark(desk, LONG).text == "Wound a little long!"


@pytest.mark.parametrize("name", [SEARCH, "Remark", "Why it matters", "Next time", ITEM, "Remarks",
                                  FILTER, "Kind of the chosen remark"])  # fmt: skip
def test_escape_gives_the_keys_to_the_film(host, panel, desk, press, name):
    desk.select(LONG)
    named(panel, name).setFocus()
    press(panel, "Esc")
    assert host.n_film_focus == 1
    assert remark(desk, LONG).text == "Wound a little long"


def test_a_sealed_review_can_be_read_and_searched_but_not_edited(panel, desk, edit):
    desk.select(LONG)
    assert seal_review(desk)
    sealed = remark(desk, LONG)
    edit(LONG, "Remark", "more")
    edit(LONG, "Next time", "more")
    assert named(panel, "Remark").toPlainText() == "Wound a little long"
    for name in ("Kind of the chosen remark", ITEM, "It covers the film up to the shown frame"):
        assert not named(panel, name).isEnabled()
    assert not star_of(panel).isEnabled()
    assert remark(desk, LONG) == sealed
    named(panel, SEARCH).setText("schon")
    assert ids(panel) == [CALM]


@pytest.mark.parametrize("gone", ["undo", "select"])
def test_fields_that_go_away_leave_the_keys_to_the_film(host, panel, desk, gone):
    desk.select(LONG)
    named(panel, "Next time").setFocus()
    getattr(desk, gone)()
    assert not named(panel, "Next time").isVisible()
    assert host.n_film_focus == 1


def test_keys_that_are_elsewhere_stay_there_when_the_fields_go_away(host, panel, desk):
    desk.select(LONG)
    named(panel, SEARCH).setFocus()
    desk.undo()
    assert named(panel, SEARCH).hasFocus()
    assert host.n_film_focus == 0


# The same fields, asked for by a key.


def test_the_fields_asked_for_by_a_key_are_the_reviews_own(host, desk, shown, press, type_text):
    ask = shown(RemarkAsk(host, desk, remark(desk, CALM)))
    left = []
    ask.answered.connect(lambda: left.append(True))
    press(ask, "Ctrl+End")
    type_text(ask, ", so weiter")
    assert remark(desk, CALM).text == "Schön ruhig geführt, so weiter"
    press(ask, "Esc")
    assert left == [True]


def test_the_ask_closes_when_its_remark_is_gone(host, desk, shown):
    ask = shown(RemarkAsk(host, desk, remark(desk, CALM)))
    left = []
    ask.answered.connect(lambda: left.append(True))
    desk.undo()
    assert left == [True]


# Many.


def seconds_for(qapp, deed, number):
    """Return how long the window's thread worked for a deed and all that is laid out after it."""
    began_s = time.thread_time()
    deed(number)
    qapp.processEvents()
    return time.thread_time() - began_s


def test_two_thousand_remarks_are_searched_walked_and_typed_in_without_a_wait(
    host, desk_with, shown, qapp
):
    step_us = END_US // MANY
    marks = [
        {**mark(f"r{n:04}", 0), "at_us": n * step_us, "text": f"Remark {n} of many"}
        for n in range(MANY)
    ]
    desk = desk_with(remarks=marks)
    panel = shown(RemarksList(host, desk))
    desk.select(record_id("r1000"))
    search, field = named(panel, SEARCH), named(panel, "Remark")
    for deed in (
        lambda n: search.setText(f"remark 1{n}"),
        lambda n: search.setText("remark" * (n % 2)),
        lambda n: desk.show_moment(END_US // (n + 2)),
        lambda n: field.insertPlainText("x"),
    ):
        assert min(seconds_for(qapp, deed, n) for n in range(ROUNDS)) < QUICK_S
