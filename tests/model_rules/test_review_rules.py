from __future__ import annotations

import pytest

from aftercase.model.rules import review_problems

SECOND_US = 1_000_000


def some_id(number):
    return f"id{number:024d}"


def set_to(*steps, value):
    """Return a change that puts a value at a place of the file's data."""

    def change(data):
        for step in steps[:-1]:
            data = data[step]
        data[steps[-1]] = value

    return change


def all_of(*changes):
    def change(data):
        for one in changes:
            one(data)

    return change


def drawn(**fields):
    """Return a change of the one drawing there is."""
    return lambda data: data["remarks"][1]["drawings"][0].update(fields)


def reply_twice(data):
    data["replies"].append({**data["replies"][0], "id": some_id(12)})


BROKEN = [
    (
        "case",
        all_of(
            set_to("case", value=some_id(200)),
            set_to("replies", 0, "to", "case", value=some_id(200)),
        ),
    ),
    ("predecessor_sha256", set_to("revision", value=2)),
    ("role", set_to("role", value="visitor")),
    ("state", set_to("state", value="half-open")),
    ("instruments/0/id", set_to("instruments", 0, "id", value=some_id(1))),
    ("goals/0/id", set_to("goals", 0, "id", value=some_id(1))),
    ("instruments/0/end_us", set_to("instruments", 0, "end_us", value=11 * SECOND_US)),
    ("pauses/0/end_us", set_to("pauses", 0, "end_us", value=1 * SECOND_US)),
    ("remarks/1/end_us", set_to("remarks", 1, "end_us", value=18 * SECOND_US)),
    ("gap_causes/0/end_us", set_to("gap_causes", 0, "end_us", value=13 * SECOND_US)),
    ("unseen/0", set_to("unseen", 0, "end_us", value=100 * SECOND_US + 1)),
    ("unseen/0", set_to("unseen", 0, "start_us", value=SECOND_US - 1)),
    ("remarks/0", set_to("remarks", 0, "at_us", value=100 * SECOND_US + 1)),
    ("events/0", set_to("events", 0, "at_us", value=-1)),
    ("steps/0/step", set_to("steps", 0, "step", value="polishing")),
    ("steps/0/takeover_reason", set_to("steps", 0, "takeover", value="none")),
    ("steps/0/taken_over_us", set_to("steps", 0, "taken_over_us", value=9 * SECOND_US)),
    ("steps/0/given_back_us", set_to("steps", 0, "given_back_us", value=21 * SECOND_US)),
    ("steps/0/given_back_us", set_to("steps", 0, "given_back_us", value=11 * SECOND_US)),
    ("steps/0/performer", set_to("steps", 0, "performer", value="robot")),
    (
        "steps/0/takeover",
        all_of(
            set_to("steps", 0, "takeover", value="perhaps"),
            set_to("steps", 0, "takeover_reason", value="not-said"),
        ),
    ),
    ("steps/0/tear_direction", set_to("steps", 0, "tear_direction", value="up")),
    ("instruments/0/hand", set_to("instruments", 0, "hand", value="third")),
    ("remarks/0/kind", set_to("remarks", 0, "kind", value="praise")),
    ("goals/0/outcome", set_to("goals", 0, "outcome", value="great")),
    ("events/0/hour/clock", set_to("events", 0, "hour", "clock", value="wall")),
    ("steps/0/help", set_to("steps", 0, "help", value="much")),
    ("steps/0/takeover_reason", set_to("steps", 0, "takeover_reason", value="mood")),
    ("steps/0/result", set_to("steps", 0, "result", value="fine")),
    ("instruments/0/instrument", set_to("instruments", 0, "instrument", value="spoon")),
    ("pauses/0/cause", set_to("pauses", 0, "cause", value="lunch")),
    ("unseen/0/reason", set_to("unseen", 0, "reason", value="fog")),
    ("gap_causes/0/cause", set_to("gap_causes", 0, "cause", value="lunch")),
    ("events/0/kind", set_to("events", 0, "kind", value="sneeze")),
    ("events/0/course", set_to("events", 0, "kind", value="grip")),
    (
        "events/0/course/recognised_us",
        set_to("events", 0, "course", "recognised_us", value=15 * SECOND_US),
    ),
    (
        "events/0/course/first_response_us",
        all_of(
            set_to("events", 0, "course", "recognised_us", value=None),
            set_to("events", 0, "course", "first_response_us", value=15 * SECOND_US),
        ),
    ),
    ("events/0/hour", set_to("events", 0, "hour", "hour", value=2.25)),
    ("events/0/place/part", set_to("events", 0, "place", "part", value=2)),
    ("flags/0/id", set_to("flags", 0, "id", value=some_id(1))),
    ("flags/0", set_to("flags", 0, "at_us", value=0)),
    ("remarks/1/drawings/0/shape", drawn(shape="spiral")),
    ("remarks/1/drawings/0/colour", drawn(colour="pearl")),
    ("remarks/1/drawings/0/points", drawn(points=[[0.1, 0.2]])),
    ("remarks/1/drawings/0/points", drawn(points=[[0.1, 0.2]] * 3)),
    ("remarks/1/drawings/0/points", drawn(shape="freehand", points=[[0.1, 0.2]] * 501)),
    ("remarks/1/drawings/0/part", drawn(part=2)),
    ("remarks/1/drawings/0/at_us", drawn(at_us=SECOND_US - 1)),
    ("remarks/1/drawings/0/at_us", drawn(at_us=100 * SECOND_US + 1)),
    ("replies/0/id", set_to("replies", 0, "id", value=some_id(1))),
    ("replies/0", set_to("replies", 0, "at_us", value=0)),
    ("replies/0/to/case", set_to("replies", 0, "to", "case", value=some_id(200))),
    ("replies/0/to/reviewer", set_to("replies", 0, "to", "reviewer", value="T1")),
    ("replies/0/understood", set_to("replies", 0, "understood", value="half")),
    ("replies/0/text", set_to("replies", 0, "text", value=" ")),
    ("replies/1/to", reply_twice),
    (
        "closing/points",
        set_to("closing", "points", value=[some_id(7), some_id(6), some_id(7), some_id(6)]),
    ),
    ("closing/strengths", set_to("closing", "strengths", value=[some_id(6)] * 3)),
    ("closing/points/0", set_to("closing", "points", value=[some_id(1)])),
    ("closing/task", set_to("closing", "task", value="juggling")),
    ("goals/0/task", set_to("goals", 0, "task", value="juggling")),
    ("goals/0/step", set_to("goals", 0, "step", value="polishing")),
    ("goals/0/evidence", set_to("goals", 0, "evidence", value=some_id(300))),
]


def problems_of(review_with, case_with, guide, change):
    return review_problems(review_with(change), case_with(None), guide)


def test_a_clean_review_breaks_no_rule(review_with, case_with, guide):
    assert problems_of(review_with, case_with, guide, None) == []


def test_an_empty_review_breaks_no_rule(review_with, case_with, guide):
    def emptied(data):
        for name in list(data):
            if name not in ("id", "case", "reviewer"):
                del data[name]

    assert problems_of(review_with, case_with, guide, emptied) == []


@pytest.mark.parametrize(("place", "change"), BROKEN)
def test_each_broken_rule_is_named_with_its_place_and_alone(
    place, change, review_with, case_with, guide
):
    found = problems_of(review_with, case_with, guide, change)
    assert [problem.place for problem in found] == [place]


def test_what_nobody_said_is_never_a_broken_rule(review_with, case_with, guide):
    fields = ("performer", "help", "takeover", "takeover_reason", "tear_direction", "result")
    unsaid = all_of(
        *(set_to("steps", 0, field, value="not-said") for field in fields),
        set_to("instruments", 0, "hand", value="not-said"),
        set_to("pauses", 0, "cause", value="not-said"),
        set_to("unseen", 0, "reason", value="not-said"),
        set_to("gap_causes", 0, "cause", value="not-said"),
    )
    assert problems_of(review_with, case_with, guide, unsaid) == []


def test_a_goal_may_stand_without_step_task_or_evidence(review_with, case_with, guide):
    bare = all_of(*(set_to("goals", 0, name, value=None) for name in ("step", "task", "evidence")))
    assert problems_of(review_with, case_with, guide, bare) == []


def test_a_newer_minor_version_may_know_more_words(review_with, case_with, guide):
    newer = all_of(
        set_to("version", value="1.9"),
        set_to("role", value="visitor"),
        set_to("steps", 0, "performer", value="robot"),
        set_to("remarks", 0, "kind", value="praise"),
        drawn(shape="spiral", colour="pearl", points=[[0.1, 0.2]]),
        set_to("replies", 0, "understood", value="half"),
    )
    assert problems_of(review_with, case_with, guide, newer) == []


def test_a_broken_rule_reads_as_a_sentence_with_its_place(review_with, case_with, guide):
    change = set_to("instruments", 0, "end_us", value=11 * SECOND_US)
    (problem,) = problems_of(review_with, case_with, guide, change)
    assert str(problem) == "instruments/0/end_us: it must end after it starts"


def test_marks_lie_in_the_case_s_window_not_only_on_its_film(review_with, case_with, guide):
    """The window is 1 s to 100 s of a film of 120 s: 110 s belongs to another case."""
    change = set_to("remarks", 0, "at_us", value=110 * SECOND_US)
    (problem,) = problems_of(review_with, case_with, guide, change)
    assert "0:00:01.000 to 0:01:40.000" in problem.what
