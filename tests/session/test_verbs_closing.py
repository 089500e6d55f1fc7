"""Sealing and releasing on the desk."""

from __future__ import annotations

import pytest

from aftercase.edit.records import add
from aftercase.media.frameclock import FrameClock
from aftercase.model.review import Goal, Origin
from aftercase.session.desk import Desk
from aftercase.session.opened import draft_of, open_case
from aftercase.session.settings import Settings
from aftercase.session.verbs import closing


@pytest.fixture
def desk_of(case_of, at, new_id):
    desks = []

    def make(reviewer):
        opened = open_case(case_of(), at)
        stored = draft_of(opened, reviewer, "teacher", new_id)
        clock = FrameClock.without_film(60_000_000)
        desks.append(Desk(opened, stored, clock, new_id, Settings()))
        return desks[-1]

    yield make
    for desk in desks:
        desk.close()


@pytest.mark.parametrize("deed", [closing.seal_review, closing.release_review])
def test_nobody_in_particular_seals_nothing(deed, desk_of):
    desk = desk_of("me")
    assert not deed(desk)
    assert (desk.review.state, desk.words.tone) == ("draft", "refused")
    assert "who reviews" in desk.words.text


def test_a_review_is_sealed_released_and_corrected_each_keeping_what_was_before(desk_of, at):
    desk = desk_of("T01")
    for deed in (closing.seal_review, closing.release_review, closing.correct_review):
        assert desk.hand.wait_until_saved(10.0).word == "saved"
        desk.saving_changed(desk.hand.saving)
        assert deed(desk)
    assert desk.close().word == "saved"
    reviews = open_case(desk.opened.folder.path, at).reviews
    assert [(one.record.revision, one.record.state) for one in reviews] == [
        (1, "sealed"),
        (2, "released"),
        (3, "draft"),
    ]


def _goals(desk):
    return [(goal.act, goal.outcome) for goal in desk.review.goals]


def test_a_goal_of_this_case_that_is_taken_off_is_gone(desk_of):
    desk = desk_of("T01")
    closing.add_goal(desk, "lower the bottle")
    closing.drop_goal(desk, desk.review.goals[0].id)
    assert _goals(desk) == []


def test_a_goal_of_an_earlier_case_that_is_taken_off_stays_as_let_go(desk_of, new_id):
    desk = desk_of("T01")
    origin = Origin(case=new_id(), reviewer="T01", revision=1, id=new_id())
    goal = Goal(id=new_id(), act="mind the iris", from_case="C0", adopted_from=origin)
    desk.bring_in(lambda review: add(review, "goals", goal))
    closing.drop_goal(desk, goal.id)
    assert _goals(desk) == [("mind the iris", "let-go")]


def test_what_nobody_did_by_hand_is_not_undone(desk_of, new_id):
    desk = desk_of("T01")
    closing.add_goal(desk, "lower the bottle")
    goal = Goal(id=new_id(), act="mind the iris")
    assert desk.bring_in(lambda review: add(review, "goals", goal))
    assert desk.words.text == "Set a goal", "nothing is said of it here"
    desk.undo()
    assert _goals(desk) == [("mind the iris", "open")]
    desk.redo()
    assert _goals(desk) == [("lower the bottle", "open"), ("mind the iris", "open")]
    desk.undo()
    desk.undo()
    assert _goals(desk) == [("mind the iris", "open")]
