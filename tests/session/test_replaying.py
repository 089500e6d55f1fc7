"""What is replayed: whose review, which moments, and how two reviews differ."""

from __future__ import annotations

import pytest

from aftercase.model.review import Closing, Remark, Review, StepSpan
from aftercase.session.opened import open_case
from aftercase.session.replaying import (
    Shown,
    differences,
    moments_of,
    next_choice,
    openable,
    replayed,
    shown_moments,
)

END_US = 60_000_000


@pytest.fixture
def review(new_id):
    def make(reviewer="T01", role="teacher", **fields):
        return Review(id=new_id(), case="c" * 26, reviewer=reviewer, role=role, **fields)

    return make


@pytest.fixture
def remark(new_id):
    return lambda at_us=0, **fields: Remark(id=new_id(), at_us=at_us, **fields)


@pytest.fixture
def step(new_id):
    return lambda step, start_us, end_us: StepSpan(
        id=new_id(), step=step, start_us=start_us, end_us=end_us
    )


@pytest.fixture
def guide(case_of, at):
    return open_case(case_of(), at).guide


def test_without_reviews_nothing_is_replayed():
    assert replayed([], "R07") == ()


def test_only_what_others_released_is_replayed_its_newest_revision(review, remark):
    said = (remark(),)
    old = review(state="released", remarks=said)
    new = review(state="released", revision=3, predecessor_sha256="0" * 64, remarks=said)
    later = review(revision=4, predecessor_sha256="0" * 64, remarks=said)
    assert replayed([old, new, later], "R07") == (new,)
    assert replayed([later], "R07") == ()


def test_ones_own_comes_after_the_others_and_silent_ones_last(review, remark):
    said = (remark(),)
    own = review("R07", "trainee", remarks=said)
    silent = review("A01", state="released")
    teacher = review("T01", state="released", remarks=said)
    assert replayed([own, silent, teacher], "R07") == (teacher, own, silent)
    assert replayed([review("R07", "trainee")], "R07") == ()


def test_judged_first_a_teachers_review_opens_when_ones_own_is_sealed(review, remark, case_of, at):
    case = open_case(case_of(judge_first=True), at).case
    theirs = review("T01", state="released", remarks=(remark(),))
    own = review("R07", "trainee")
    found, why = openable(case, [theirs], own)
    assert found == ()
    assert "opens when you have sealed your own" in why
    assert openable(case, [theirs], own.changed(state="sealed")) == ((theirs,), "")
    assert openable(case.changed(judge_first=False), [theirs], own) == ((theirs,), "")


def test_a_review_without_remarks_has_no_moments(review, guide):
    assert moments_of(review(), guide, (0, END_US)) == ()


def test_a_moment_plays_from_three_seconds_before_to_its_end_within_the_case(review, remark, guide):
    said = (remark(58_000_000), remark(11_000_000, end_us=15_000_000), remark(30_000_000))
    found = moments_of(review(remarks=said), guide, (10_000_000, END_US))
    # by hand: three seconds before each; a moment lasts three seconds; the case is 10 to 60 s
    assert [(one.start_us, one.end_us) for one in found] == [
        (10_000_000, 15_000_000),
        (27_000_000, 33_000_000),
        (55_000_000, 60_000_000),
    ]


def test_the_step_of_a_moment_is_the_one_that_runs_then(review, remark, step, guide):
    said = (remark(19_999_999), remark(20_000_000), remark(40_000_000))
    made = review(remarks=said, steps=(step("capsulorhexis", 20_000_000, 40_000_000),))
    found = moments_of(made, guide, (0, END_US))
    assert [(one.step, one.step_span_us) for one in found] == [
        ("", None),
        ("capsulorhexis", (20_000_000, 40_000_000)),
        ("", None),
    ]


def test_choices_go_round_through_what_occurs(review, remark, guide):
    kinds = ("safety", "well-done", "safety")
    said = tuple(remark(n, kind=kind) for n, kind in enumerate(kinds))
    moments = moments_of(review(remarks=said), guide, (0, END_US))
    shown, turns = Shown(), []
    for _ in range(4):
        shown = next_choice(shown, "kind", moments)
        turns.append(shown.kind)
    assert turns == ["safety", "well-done", "", "safety"]
    assert next_choice(Shown(), "step", moments) == Shown()


def test_before_a_case_the_closings_points_are_shown_each_a_third_of_a_minute_at_most(
    review, remark, guide
):
    said = (
        remark(5_000_000, kind="work-on", starred=True),
        remark(10_000_000, kind="work-on", end_us=50_000_000),
    )
    made = review(remarks=said, closing=Closing(points=(said[1].id,)))
    [shown] = shown_moments(made, guide, (0, END_US), Shown(before_a_case=True))
    assert shown.remark is said[1]
    assert 0 < shown.end_us - shown.start_us < 20_000_000
    starred = made.changed(closing=Closing())
    [shown] = shown_moments(starred, guide, (0, END_US), Shown(before_a_case=True))
    assert shown.remark is said[0]


def test_reviews_without_steps_do_not_differ(review):
    assert differences(review(), review("T02")) == ()


def test_equal_steps_differ_by_nothing(review, step):
    [found] = differences(review(steps=(step("seal", 1, 2),)), review(steps=(step("seal", 1, 2),)))
    assert found.difference_us == 0


def test_missing_visits_come_first_then_the_farthest_edges_then_what_is_equal(review, step):
    mine = review(
        steps=(step("seal", 50, 60), step("polish", 10, 20), step("cortex", 20, 30),
               step("polish", 40, 45))
    )  # fmt: skip
    theirs = review("T02", steps=(step("seal", 50, 60), step("polish", 12, 25),
                                  step("cortex", 21, 30)))  # fmt: skip
    # by hand: the second visit of polish is mine alone; polish is 5 apart, cortex 1, seal 0
    found = [(one.step, one.mine_us, one.theirs_us, one.difference_us)
             for one in differences(mine, theirs)]  # fmt: skip
    assert found == [
        ("polish", (40, 45), None, None),
        ("polish", (10, 20), (12, 25), 5),
        ("cortex", (20, 30), (21, 30), 1),
        ("seal", (50, 60), (50, 60), 0),
    ]
