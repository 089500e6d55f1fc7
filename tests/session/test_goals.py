"""Goals of earlier cases that are still open, and how they come into the next."""

from __future__ import annotations

import os

import pytest

from aftercase.media.watch import Watch, WorkCancelled
from aftercase.model.review import Goal, Review
from aftercase.model.rules import review_problems
from aftercase.session.cases import cases_near
from aftercase.session.goals import carried_over, open_goals
from aftercase.session.opened import open_case
from aftercase.session.recents import remember_case


@pytest.fixture
def goal(new_id):
    def make(act, **fields):
        return Goal(id=new_id(), act=act, **fields)

    return make


def acts(found):
    return [one.goal.act for one in found.goals]


def test_without_cases_there_is_none(at):
    assert open_goals("R07", [], at).goals == ()


def test_a_case_without_a_review_has_none(case_of, at):
    assert open_goals("R07", [case_of(trainee="R07")], at).goals == ()


def test_a_released_goal_is_found_with_its_case(case_of, at, write, goal):
    path = case_of("C1", trainee="R07")
    set_here = goal("lower the bottle", step="phaco")
    review = write(path, "T01", goals=(set_here,))
    [found] = open_goals("R07", [path], at).goals
    assert (found.goal, found.case_code, found.folder) == (set_here, "C1", path)
    assert (found.origin.case, found.origin.reviewer) == (review.case, "T01")
    assert (found.origin.revision, found.origin.id) == (1, set_here.id)


@pytest.mark.parametrize("state", ["draft", "sealed"])
def test_a_goal_that_was_not_released_is_nobodys_yet(state, case_of, at, write, goal):
    path = case_of(trainee="R07")
    write(path, "T01", state=state, goals=(goal("x"),))
    assert open_goals("R07", [path], at).goals == ()


def test_goals_of_other_trainees_and_of_nobody_are_left_alone(case_of, at, write, goal):
    paths = [case_of("C1", trainee="R08"), case_of("C2")]
    for path in paths:
        write(path, "T01", goals=(goal("x"),))
    assert open_goals("R07", paths, at) == open_goals("R07", [], at)


def test_of_several_revisions_the_newest_that_was_released_counts(case_of, at, write, goal):
    path = case_of(trainee="R07")
    sha = {"predecessor_sha256": "0" * 64}
    write(path, "T01", goals=(goal("old"),))
    write(path, "T01", revision=2, goals=(goal("new"),), **sha)
    write(path, "T01", revision=3, state="draft", goals=(goal("newer"),), **sha)
    assert acts(open_goals("R07", [path], at)) == ["new"]


def test_the_newest_case_comes_first_by_the_running_number(case_of, at, write, goal):
    paths = []
    for number in (2, 1, 3):
        path = case_of(f"C{number}", trainee="R07", running_case_number=number)
        write(path, "T01", goals=(goal(f"{number}a"), goal(f"{number}b")))
        paths.append(path)
    assert acts(open_goals("R07", paths, at)) == ["3a", "3b", "2a", "2b", "1a", "1b"]


def test_without_a_running_number_in_each_it_is_told_by_when_reviews_were_written(
    case_of, at, write, goal
):
    paths = []
    for number, written_s in ((1, 300), (2, 100), (3, 200)):
        header = {"running_case_number": number} if number != 2 else {}
        path = case_of(f"C{number}", trainee="R07", **header)
        write(path, "T01", goals=(goal(str(number)),))
        os.utime(path / "reviews" / "T01.r1.json", (written_s, written_s))
        paths.append(path)
    assert acts(open_goals("R07", paths, at)) == ["1", "3", "2"]


def carried_into(path, at, write, found, new_id, outcomes=("open",), reviewer="T01"):
    """Carry what was found into a case's review, say what became of it, and release that."""
    opened = open_case(path, at)
    blank = Review(id=new_id(), case=opened.case.id, reviewer=reviewer)
    carried = carried_over(blank, found.goals, opened.guide, new_id)
    goals = tuple(
        one.changed(outcome=outcome) for one, outcome in zip(carried, outcomes, strict=True)
    )
    return write(path, reviewer, goals=goals)


def test_a_goal_that_was_met_in_a_later_case_is_open_no_more(case_of, at, write, goal, new_id):
    first, second = (case_of(f"C{n}", trainee="R07", running_case_number=n) for n in (1, 2))
    write(first, "T01", goals=(goal("lower the bottle"), goal("mind the iris")))
    found = open_goals("R07", [first], at)
    carried_into(second, at, write, found, new_id, ("met", "open"))
    both = open_goals("R07", [second, first], at)
    assert acts(both) == ["mind the iris"]
    assert both.goals[0].case_code == "C2"


@pytest.mark.parametrize("outcome", ["open", "partly", "not-seen"])
def test_a_goal_that_was_not_wholly_met_goes_on_and_names_the_case_it_was_set_in(
    outcome, case_of, at, write, goal, new_id
):
    paths = [case_of(f"C{n}", trainee="R07", running_case_number=n) for n in (1, 2, 3)]
    write(paths[0], "T01", goals=(goal("lower the bottle"),))
    carried_into(paths[1], at, write, open_goals("R07", paths, at), new_id, (outcome,))
    again = open_goals("R07", paths, at)
    assert acts(again) == ["lower the bottle"]
    review = carried_into(paths[2], at, write, again, new_id, reviewer="T02")
    assert (review.goals[0].from_case, review.goals[0].outcome) == ("C1", "open")
    assert len(open_goals("R07", paths, at).goals) == 1


def test_what_is_carried_breaks_no_rule_of_another_guide(case_of, at, write, goal, new_id):
    path, other = case_of("C1", trainee="R07"), case_of("C2", "practice", trainee="R07")
    about = {"step": "capsulorhexis", "task": "task-eye-rolled", "evidence": new_id()}
    write(path, "T01", goals=(goal("a", **about), goal("b", task="task-tear-size")))
    opened = open_case(other, at)
    guide = opened.guide.changed(tasks=opened.guide.tasks[:1])  # of tears' sizes alone
    review = Review(id=new_id(), case=opened.case.id, reviewer="T01")
    carried = carried_over(review, open_goals("R07", [path], at).goals, guide, new_id)
    assert [(one.act, one.step, one.task) for one in carried] == [
        ("a", None, None),
        ("b", None, "task-tear-size"),
    ]
    assert review_problems(review.changed(goals=carried), opened.case, guide) == []


def test_a_goal_is_carried_once(case_of, at, write, goal, new_id):
    path = case_of(trainee="R07")
    write(path, "T01", goals=(goal("a"), goal("b")))
    found = open_goals("R07", [path], at).goals
    guide = open_case(path, at).guide
    review = Review(id=new_id(), case=new_id(), reviewer="T01")
    once = carried_over(review, found, guide, new_id)
    assert [one.act for one in once] == ["a", "b"]
    again = review.changed(goals=once)
    assert carried_over(again, found, guide, new_id) == ()


def test_a_goal_that_was_let_go_is_not_carried_again_nor_into_later_cases(
    case_of, at, write, goal, new_id
):
    first, second, third = (
        case_of(f"C{n}", trainee="R07", running_case_number=n) for n in (1, 2, 3)
    )
    write(first, "T01", goals=(goal("lower the bottle"), goal("mind the iris")))
    found = open_goals("R07", [first], at)
    review = carried_into(second, at, write, found, new_id, ("let-go", "open"))
    guide = open_case(second, at).guide
    assert carried_over(review, found.goals, guide, new_id) == ()
    assert acts(open_goals("R07", [first, second], at)) == ["mind the iris"]
    later = open_goals("R07", [first, second], at)
    assert [one.act for one in carried_into(third, at, write, later, new_id).goals] == [
        "mind the iris"
    ]


def test_folders_that_cannot_be_read_are_passed_over_with_why(case_of, at, write, goal, tmp_path):
    good, broken = case_of("C1", trainee="R07"), case_of("C2", trainee="R07")
    write(good, "T01", goals=(goal("a"),))
    (broken / "case.json").write_text("{", encoding="utf-8")
    found = open_goals("R07", [tmp_path / "gone", broken, good], at)
    assert acts(found) == ["a"]
    assert [one.path for one in found.skipped] == [tmp_path / "gone", broken]
    assert "no case folder" in found.skipped[0].why
    assert "JSON" in found.skipped[1].why


def test_looking_ends_in_time_and_names_what_is_left(case_of, at, write, goal):
    paths = [case_of(f"C{n}", trainee="R07") for n in range(4)]
    for path in paths:
        write(path, "T01", goals=(goal(path.name),))
    seconds = iter([0.0, 1.0, 4.0, 5.1])  # begun, then before each folder
    found = open_goals("R07", paths, at, within_s=5.0, now=lambda: next(seconds))
    assert sorted(acts(found)) == ["C0", "C1"]
    assert [one.path for one in found.skipped] == paths[2:]
    assert "time" in found.skipped[0].why


def test_looking_can_be_stopped_and_tells_how_far_it_is(case_of, at):
    paths = [case_of(f"C{n}") for n in range(3)]
    told = []
    open_goals("R07", paths, at, watch=Watch(lambda *step: told.append(step)))
    assert told == [(0, 3), (1, 3), (2, 3)]
    with pytest.raises(WorkCancelled):
        open_goals("R07", paths, at, watch=Watch(cancelled=lambda: True))


def test_cases_near_are_the_recent_and_those_beside_without_the_case_itself(case_of, at, tmp_path):
    here, beside, elsewhere = case_of("C1"), case_of("C2"), tmp_path / "unplugged"
    (here.parent / "no case").mkdir()
    for path in (here, elsewhere):
        remember_case(at, path, "X")
    assert cases_near(here, at) == (elsewhere, beside)
    assert cases_near(None, at) == (elsewhere, here)
