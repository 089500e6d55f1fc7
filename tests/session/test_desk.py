"""The desk without a window: press a verb, read the review, hear who was told."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from aftercase.edit.header import change_header
from aftercase.media.frameclock import FrameClock
from aftercase.model.base import NewId
from aftercase.model.review import Remark
from aftercase.session.desk import Desk
from aftercase.session.opened import draft_of, open_case
from aftercase.session.places import Places
from aftercase.session.settings import Settings
from aftercase.session.tasks.create import Wanted, new_case
from aftercase.session.verbs import changing, closing, looking, marking, remarks

S = 1_000_000


@pytest.fixture
def desk(tmp_path: Path, at: Places, new_id: NewId) -> Iterator[Desk]:
    wanted = Wanted("C1", "cataract-phaco", duration_us=60 * S)
    opened = new_case(tmp_path / "c", wanted, at, new_id)
    stored = draft_of(opened, "T01", "teacher", new_id)
    desk = Desk(opened, stored, FrameClock.without_film(60 * S), new_id, Settings())
    yield desk
    desk.close()


def test_one_key_a_step_walks_the_usual_order(desk: Desk) -> None:
    for second in (1, 5, 9):
        desk.show_moment(second * S)
        assert marking.next_step(desk)
    # guide content, usual order without optional steps (common practice)
    assert [(span.step, span.start_us, span.end_us) for span in desk.review.steps] == [
        ("side-port", 1 * S, 5 * S),
        ("viscoelastic-in", 5 * S, 9 * S),
        ("main-wound", 9 * S, 60 * S),
    ]


def test_a_pause_begins_and_ends_by_one_key_and_the_next_step_ends_it_too(desk: Desk) -> None:
    marking.press_pause(desk)
    desk.show_moment(2 * S)
    marking.press_pause(desk)
    desk.show_moment(4 * S)
    marking.press_pause(desk)
    desk.show_moment(6 * S)
    marking.next_step(desk)
    assert [(p.start_us, p.end_us) for p in desk.review.pauses] == [(0, 2 * S), (4 * S, 6 * S)]


def test_taken_over_and_given_back_is_one_key_and_says_so(desk: Desk) -> None:
    marking.press_takeover(desk)
    assert desk.words is not None
    assert desk.words.tone == "refused"
    marking.next_step(desk)
    desk.show_moment(3 * S)
    marking.press_takeover(desk)
    desk.show_moment(5 * S)
    marking.press_takeover(desk)
    [step] = desk.review.steps
    assert (step.takeover, step.taken_over_us, step.given_back_us) == ("given-back", 3 * S, 5 * S)
    assert step.performer == "not-said"


def test_undo_says_what_it_took_back(desk: Desk) -> None:
    marking.next_step(desk)
    desk.undo()
    assert desk.words is not None
    assert desk.words.text == "Undone: begin Side port"
    assert desk.review.steps == ()
    desk.undo()
    assert desk.words.text == "Nothing to undo."


def test_a_remark_sits_the_lead_before_where_typing_began(desk: Desk) -> None:
    desk.show_moment(10 * S)
    began_us = remarks.began_at(desk)
    desk.show_moment(14 * S)  # the film went on while it was typed
    kept = remarks.keep_remark(desk, remarks.Typed(began_us, "- turn the probe first"))
    [remark] = desk.review.remarks
    assert remark.id == kept
    assert (remark.at_us, remark.kind, remark.text) == (8 * S, "work-on", "turn the probe first")


def test_nothing_is_kept_of_an_empty_line(desk: Desk) -> None:
    assert remarks.keep_remark(desk, remarks.Typed(0, "  + ")) is None
    assert desk.review.remarks == ()


def test_typing_in_one_field_is_undone_as_one(desk: Desk) -> None:
    marking.next_step(desk)
    [step] = desk.review.steps
    for text in ("a", "ab", "abc"):
        marking.say_of_mark(desk, step.id, "write a note", note=text)
    desk.undo()
    assert desk.review.steps[0].note == ""


def test_one_drag_is_undone_as_one_and_two_drags_as_two(desk: Desk) -> None:
    marking.next_step(desk)
    [step] = desk.review.steps
    for us in (20 * S, 30 * S, 40 * S):
        changing.drag_edge(desk, step.id, "end", us)
    changing.drag_edge(desk, step.id, "start", 1 * S)
    desk.undo()
    assert (desk.review.steps[0].start_us, desk.review.steps[0].end_us) == (0, 40 * S)
    desk.undo()
    assert desk.review.steps[0].end_us == 60 * S


def test_who_listens_is_told_once_a_change_and_no_longer_after_stopping(desk: Desk) -> None:
    heard: list[str] = []
    stop = desk.listen("review", lambda: heard.append("review"))
    marking.next_step(desk)
    assert heard == ["review"]
    desk.edit_header(lambda case: change_header(case, eye="right"), "say the eye")
    assert heard == ["review"]
    stop()
    desk.undo()
    desk.undo()
    assert heard == ["review"]


def test_stops_are_where_marks_begin_and_end(desk: Desk) -> None:
    desk.show_moment(2 * S)
    marking.next_step(desk)
    desk.show_moment(4 * S)
    marking.press_pause(desk)
    desk.show_moment(0)
    assert looking.stops_us(desk)[:3] == (0, 2 * S, 4 * S)
    assert looking.next_stop_us(desk) == 2 * S
    assert looking.previous_stop_us(desk) is None


def test_deleting_several_is_one_undo(desk: Desk) -> None:
    for second in (1, 2, 3):
        desk.show_moment(second * S)
        marking.next_step(desk)
    desk.select(*(span.id for span in desk.review.steps[:2]))
    assert changing.delete_selected(desk)
    assert len(desk.review.steps) == 1
    desk.undo()
    assert len(desk.review.steps) == 3


def test_split_and_join_give_back_the_span(desk: Desk) -> None:
    marking.next_step(desk)
    [before] = desk.review.steps
    desk.show_moment(20 * S)
    assert changing.split_here(desk)
    desk.select(before.id)
    assert changing.join_selected(desk)
    [after] = desk.review.steps
    assert (after.id, after.start_us, after.end_us) == (before.id, 0, 60 * S)


def test_the_closing_takes_starred_remarks_three_at_most(desk: Desk) -> None:
    for second in range(5):
        desk.show_moment(second * 5 * S)
        typed = remarks.Typed(desk.at_us, f"- point {second}", starred=True)
        remarks.keep_remark(desk, typed)
    assert closing.take_suggested(desk)
    chosen = [desk.record(one) for one in desk.review.closing.points]
    assert [remark.text for remark in chosen if isinstance(remark, Remark)] == [
        "point 0",
        "point 1",
        "point 2",
    ]


def test_a_sealed_review_refuses_marks_in_words_and_a_correction_takes_them(
    desk: Desk, at: Places
) -> None:
    marking.next_step(desk)
    assert closing.seal_review(desk)
    desk.hand.wait_until_saved(10)
    assert not marking.press_pause(desk)
    assert desk.words is not None
    assert "correction" in desk.words.text
    assert closing.correct_review(desk)
    assert marking.press_pause(desk)
    assert desk.hand.wait_until_saved(10).word == "saved"
    reviews = [one.record for one in open_case(desk.opened.folder.path, at).reviews]
    assert sorted((one.revision, one.state) for one in reviews) == [(1, "sealed"), (2, "draft")]


def test_releasing_a_draft_seals_and_releases_in_one(desk: Desk, at: Places) -> None:
    marking.next_step(desk)
    assert closing.release_review(desk)
    assert desk.hand.wait_until_saved(10).word == "saved"
    [stored] = open_case(desk.opened.folder.path, at).reviews
    assert (stored.record.state, stored.record.revision) == ("released", 1)
