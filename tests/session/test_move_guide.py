"""A case moves to another version of its guide with all drafts, or not at all."""

from __future__ import annotations

import pytest

from aftercase.document.codec import encoded
from aftercase.document.guides import guide_named
from aftercase.errors import EditRefused, NameUnknown, ReviewClosed
from aftercase.media.watch import Watch, WorkCancelled
from aftercase.model.review import Goal, StepSpan
from aftercase.session.opened import open_case
from aftercase.session.tasks.move_guide import move_case_to_guide

GUIDE = "cataract-phaco"


@pytest.fixture
def next_version(at):
    """The guide with its step “side-port” under another id, among the program's own guides."""
    guide = guide_named(GUIDE, at.own_guides)
    text = encoded(guide.changed(guide_version="9.0")).decode()
    at.own_guides.mkdir(parents=True)
    (at.own_guides / "next.json").write_text(
        text.replace('"side-port"', '"paracentesis"'), encoding="utf-8"
    )
    return guide_named(GUIDE, at.own_guides)


@pytest.fixture
def path(case_of):
    return case_of(planned_steps=("side-port",))


@pytest.fixture
def marked(path, write, new_id):
    def make(reviewer="T01", state="draft", step="side-port"):
        span = StepSpan(id=new_id(), step=step, start_us=0, end_us=9)
        goal = Goal(id=new_id(), act="x", step=step)
        return write(path, reviewer, state=state, steps=(span,), goals=(goal,))

    return make


def before_and_after(path):
    return {file.name: file.read_bytes() for file in path.rglob("*.json")}


def test_the_header_the_guide_and_every_draft_move_together(path, at, next_version, marked):
    first, second = marked("T01"), marked("T02")
    case = move_case_to_guide(path, GUIDE, {"side-port": "paracentesis"}, at)
    opened = open_case(path, at)
    assert opened.case == case
    assert (case.guide.guide_version, case.planned_steps) == ("9.0", ("paracentesis",))
    assert opened.guide == next_version
    for was, now in zip((first, second), opened.reviews, strict=True):
        assert now.record.steps[0] == was.steps[0].changed(step="paracentesis")
        assert now.record.goals[0].step == "paracentesis"


def test_a_case_without_reviews_moves_too(path, at, next_version):
    move_case_to_guide(path, GUIDE, {"side-port": "paracentesis"}, at)
    assert open_case(path, at).guide.guide_version == "9.0"


@pytest.mark.parametrize("steps", [{}, {"side-port": "no-such-step"}])
def test_a_step_without_a_place_refuses_the_whole(steps, path, at, next_version, marked):
    marked()
    before = before_and_after(path)
    with pytest.raises(EditRefused, match="no place"):
        move_case_to_guide(path, GUIDE, steps, at)
    assert before_and_after(path) == before


def test_a_closed_review_that_would_lose_a_step_refuses_the_whole(path, at, next_version, marked):
    marked("T01")
    marked("T02", "released")
    before = before_and_after(path)
    with pytest.raises(ReviewClosed, match="side-port"):
        move_case_to_guide(path, GUIDE, {"side-port": "paracentesis"}, at)
    assert before_and_after(path) == before


def test_a_closed_review_whose_steps_are_all_there_stands_in_no_way(path, at, next_version, marked):
    closed = marked("T02", "released", step="capsulorhexis")
    move_case_to_guide(path, GUIDE, {"side-port": "paracentesis"}, at)
    assert [one.record for one in open_case(path, at).reviews] == [closed]


def test_a_guide_that_is_not_there_is_named_and_stopping_writes_nothing(path, at, next_version):
    before = before_and_after(path)
    with pytest.raises(NameUnknown):
        move_case_to_guide(path, "no-guide", {}, at)
    with pytest.raises(WorkCancelled):
        move_case_to_guide(
            path,
            GUIDE,
            {"side-port": "paracentesis"},
            at,
            watch=Watch(cancelled=lambda: True),
        )
    assert before_and_after(path) == before
