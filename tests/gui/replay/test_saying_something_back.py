"""Watched, understood, an answer, a question: kept in the resident's own review."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from PyQt6.QtWidgets import QLabel, QPushButton

from aftercase.gui.window import Window
from aftercase.model.review import Origin, Reply, Review
from aftercase.session.cases import released_of
from aftercase.session.inbox import unread_replies
from aftercase.session.opened import open_case
from aftercase.session.people import Person
from aftercase.session.places import Places

Press = Callable[..., None]
Until = Callable[..., None]
TypeText = Callable[[Window, str], None]
OwnReview = Callable[[Window], Review]


def said(window: Window) -> str:
    panel = window._bench.replay.right
    return "\n".join(one.text() for one in panel.findChildren(QLabel) if one.isVisible())


def notes(window: Window) -> list[str]:
    return [row.notes for row in window._bench.replay.left.rows]


def test_a_moment_that_was_played_is_kept_as_watched(
    room: Window, press: Press, own_review: OwnReview, ids: tuple[str, ...]
) -> None:
    assert own_review(room).replies == ()
    press(room, "Down", "Down")
    assert [(reply.to.id, reply.watched) for reply in own_review(room).replies] == [
        (ids[0], True),
        (ids[1], True),
    ]
    assert notes(room) == ["watched", "watched", "", ""]


def test_understood_not_yet_and_nothing_said_in_turn(
    room: Window, press: Press, own_review: OwnReview
) -> None:
    press(room, "Down")
    words = []
    for _ in range(3):
        press(room, "G")
        [reply] = own_review(room).replies
        words.append(reply.understood)
    assert words == ["understood", "not-yet", "not-said"]
    press(room, "G")
    assert notes(room)[0] == "✓ understood"


def test_an_answer_goes_into_ones_own_review_and_comes_back_after_opening_again(
    room: Window,
    reviewed: Path,
    press: Press,
    type_text: TypeText,
    until: Until,
    own_review: OwnReview,
    ids: tuple[str, ...],
) -> None:
    press(room, "Down", "Down", "R")
    type_text(room, "früher nachfassen: g m b")
    room.take_film_focus()
    review = own_review(room)
    [_, reply] = review.replies
    assert (review.reviewer, review.role) == ("R07", "trainee")
    assert (reply.to.reviewer, reply.to.id, reply.at_us) == ("T01", ids[1], 25_000_000)
    assert (reply.text, reply.asks) == ("früher nachfassen: g m b", False)
    assert reply.understood == "not-said", "letters typed are no keys"
    room.open_path(reviewed)
    until(lambda: room.desk is not None and room.player.is_exact)
    room.enter("replay")
    press(room, "Down", "Down")
    answer = room._bench.replay.right._answer
    assert answer.toPlainText() == "früher nachfassen: g m b"
    assert "It stays yours until you release your own review (C)." in said(room)


def test_the_keys_of_undo_take_back_what_is_typed_as_an_answer(
    room: Window, press: Press, type_text: TypeText, own_review: OwnReview
) -> None:
    press(room, "Down", "R")
    type_text(room, "yes")
    assert [reply.text for reply in own_review(room).replies] == ["yes"]
    press(room, "Ctrl+Z")
    assert [reply.text for reply in own_review(room).replies if reply.text] == []
    assert room._bench.replay.right._answer.toPlainText() == ""


def test_a_question_is_one_that_is_said_to_be_one(
    room: Window, press: Press, type_text: TypeText, own_review: OwnReview
) -> None:
    press(room, "Down", "R")
    type_text(room, "how often?")
    press(room, "Tab", "Space")
    [reply] = own_review(room).replies
    assert (reply.text, reply.asks) == ("how often?", True)
    assert notes(room)[0] == "watched · asked"


def test_the_teachers_review_is_never_written(
    room: Window, reviewed: Path, press: Press, type_text: TypeText, own_review: OwnReview
) -> None:
    before = (reviewed / "reviews" / "T01.r1.json").read_bytes()
    press(room, "Down", "G", "R")
    type_text(room, "yes")
    own_review(room)
    assert (reviewed / "reviews" / "T01.r1.json").read_bytes() == before


def test_what_was_said_stands_on_the_teachers_start_page_once_it_is_released(
    room: Window, reviewed: Path, press: Press, type_text: TypeText, own_review: OwnReview
) -> None:
    press(room, "Down", "R")
    type_text(room, "how often?")
    press(room, "Tab", "Space")
    room.take_film_focus()
    own_review(room)
    assert unread_replies("T01", [reviewed], room.at).unread == ()
    press(room, "C")
    page = room._sheet.page
    page.findChild(QPushButton, "release").click()
    own_review(room)
    [unread] = unread_replies("T01", [reviewed], room.at).unread
    assert (unread.trainee, unread.reply.text, unread.reply.asks) == ("R07", "how often?", True)


@pytest.mark.parametrize("state", ["sealed", "released"])
def test_what_is_said_after_ones_own_review_was_closed_goes_into_its_next_revision(
    enter: Callable[..., Window],
    reviewed: Path,
    write: Callable[..., Review],
    press: Press,
    type_text: TypeText,
    own_review: OwnReview,
    state: str,
) -> None:
    write(reviewed, "R07", "trainee", state=state)
    first = reviewed / "reviews" / "R07.r1.json"
    before = first.read_bytes()
    window = enter(reviewed)
    press(window, "Down", "R")
    type_text(window, "I see")
    review = own_review(window)
    assert (review.revision, review.state) == (2, "draft")
    assert [reply.text for reply in review.replies] == ["I see"]
    assert review.replies[0].watched
    assert first.read_bytes() == before


def test_the_first_letters_of_an_answer_stay_in_order_when_they_begin_a_revision(
    enter: Callable[..., Window],
    reviewed: Path,
    at: Places,
    write: Callable[..., Review],
    ids: tuple[str, ...],
    new_id: Callable[[], str],
    press: Press,
    type_text: TypeText,
    own_review: OwnReview,
) -> None:
    case = open_case(reviewed, at).case.id
    to = Origin(case=case, reviewer="T01", revision=1, id=ids[0])
    watched = Reply(id=new_id(), to=to, at_us=5_000_000, watched=True)
    write(reviewed, "R07", "trainee", replies=(watched,))
    window = enter(reviewed)
    press(window, "Down")
    assert own_review(window).revision == 1, "it was watched before: nothing to keep"
    press(window, "R")
    type_text(window, "abc")
    assert [(own_review(window).revision, own_review(window).replies[0].text)] == [(2, "abc")]


def test_a_teacher_reads_what_was_said_beside_the_own_remark(
    enter: Callable[..., Window],
    reviewed: Path,
    at: Places,
    write: Callable[..., Review],
    ids: tuple[str, ...],
    new_id: Callable[[], str],
    until: Until,
    press: Press,
) -> None:
    case = open_case(reviewed, at).case.id
    to = Origin(case=case, reviewer="T01", revision=1, id=ids[1])
    long = "one sentence after the other, each of them meant. " * 12 + "how far?"
    reply = Reply(id=new_id(), to=to, at_us=25_000_000, text=long, asks=True, understood="not-yet")
    write(reviewed, "R07", "trainee", replies=(reply,))
    window = enter(reviewed)
    window.be(Person("T01", "teacher"))
    until(lambda: window.desk is not None and window.desk.review.reviewer == "T01")
    until(lambda: window.player.is_exact)
    window.enter("replay")
    press(window, "Down", "Down")
    assert f"R07 asks: {long} (not yet clear)" in said(window)
    assert not window._bench.replay.right._answer.isVisible()
    [theirs] = [r.record for r in released_of(open_case(reviewed, window.at)) if
                r.record.reviewer == "T01"]  # fmt: skip
    assert theirs.revision == 1, "looking begins no correction of a teacher's review"
    assert window.desk.review.state == "released"
