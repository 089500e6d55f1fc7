"""Order of the steps, by hand."""

import pytest

from aftercase.metrics.measures import measured
from aftercase.metrics.order import order_similarity, visits_in_order


def findings(subject, kind=None):
    frame = measured("order", subject).frame
    rows = frame[["finding", "step", "other"]].astype(object).where(frame.notna(), None)
    rows = [tuple(row) for row in rows.to_numpy()]
    return [row for row in rows if kind in (None, row[0])]


def in_turn(make, *steps):
    return tuple(make.step(step, 10 * at, 10 * at + 8) for at, step in enumerate(steps))


def test_no_steps_miss_nothing(make):
    table = measured("order", make.subject())
    assert table.frame.empty
    assert table.notes == ("No steps are marked: nothing is known about their order.",)


def test_one_step_breaks_no_rule_and_the_others_are_missing(make):
    assert findings(make.subject(steps=in_turn(make, "nucleus"))) == [
        ("missing", "wound", None),
        ("missing", "tear", None),
        ("missing", "seal", None),
    ]


def test_the_usual_order_finds_nothing(make):
    subject = make.subject(steps=in_turn(make, "wound", "tear", "nucleus", "polish", "seal"))
    assert findings(subject) == []


def test_only_a_broken_strict_rule_is_out_of_order(make):
    subject = make.subject(steps=in_turn(make, "nucleus", "tear", "wound", "seal"))
    assert findings(subject) == [
        ("out-of-order", "nucleus", "tear"),
        ("usual-order", "tear", "wound"),
    ]
    frame = measured("order", subject).frame
    assert frame["at_us"].tolist() == [0, 10_000_000]
    assert frame["text"].tolist() == [
        "The first visit of “Nucleus” comes before the first of “Tear”.",
        "The first visit of “Tear” usually does not come before “Wound”. Air is possible.",
    ]


def test_a_part_stands_for_its_whole_in_a_rule(make):
    subject = make.subject(steps=in_turn(make, "wound", "groove", "tear-start", "seal"))
    assert findings(subject) == [("out-of-order", "nucleus", "tear")]


def test_steps_that_begin_together_break_no_rule(make):
    steps = (make.step("nucleus", 0, 9), make.step("tear", 0, 5))
    assert findings(make.subject(steps=steps), "out-of-order") == []


def test_a_later_visit_is_returned_to_and_never_out_of_order(make):
    subject = make.subject(steps=in_turn(make, "wound", "tear", "nucleus", "tear", "seal"))
    assert findings(subject) == [("returned-to", "tear", "nucleus")]


def test_a_second_visit_with_no_other_step_between_is_repeated(make):
    subject = make.subject(steps=in_turn(make, "wound", "tear", "nucleus", "nucleus", "seal"))
    assert findings(subject) == [("repeated", "nucleus", None)]
    assert "usual" in measured("order", subject).frame["text"][0]


def test_a_rule_on_the_last_visit_looks_at_the_last(make):
    good = in_turn(make, "wound", "tear", "nucleus", "seal", "polish", "seal")
    assert findings(make.subject(steps=good), "usual-order") == []
    bad = in_turn(make, "wound", "tear", "nucleus", "seal", "polish")
    assert findings(make.subject(steps=bad), "usual-order") == [("usual-order", "seal", "polish")]


@pytest.mark.parametrize(
    ("technique", "n_broken"),
    [
        (((0, "chop"),), 1),
        (((0, "crack"),), 0),
        (((0, "crack"), (15, "chop")), 1),
        (((0, "chop"), (15, "crack")), 0),
        ((), 0),
    ],
)
def test_the_technique_in_force_at_the_step_chooses_its_rules(make, technique, n_broken):
    subject = make.subject(
        steps=in_turn(make, "wound", "tear", "polish", "nucleus", "seal"),
        case={"technique": make.since(*technique)},
    )
    assert len(findings(subject, "out-of-order")) == n_broken


def test_an_unplanned_step_is_listed_and_never_out_of_order(make):
    subject = make.subject(steps=in_turn(make, "wound", "tear", "vitrectomy", "nucleus", "seal"))
    assert findings(subject) == [("unplanned", "vitrectomy", None)]


def test_a_step_that_was_not_needed_is_not_missing(make):
    subject = make.subject(
        steps=in_turn(make, "wound", "tear", "nucleus"), not_needed=("seal", "polish")
    )
    assert findings(subject) == [("not-needed", "seal", None), ("not-needed", "polish", None)]


def test_a_step_said_not_needed_but_marked_is_told(make):
    subject = make.subject(
        steps=in_turn(make, "wound", "tear", "nucleus", "seal"), not_needed=("seal",)
    )
    assert findings(subject) == []
    assert "“Seal” is said to be not needed, but is marked." in measured("order", subject).notes


def test_on_a_practice_eye_nothing_is_missing(make):
    subject = make.subject(steps=in_turn(make, "tear"), case={"setting": "practice-eye"})
    assert findings(subject) == []


def test_attempts_are_neither_repeated_nor_returned_to(make):
    subject = make.subject(
        steps=in_turn(make, "drill", "drill", "tear", "drill"), case={"setting": "practice-eye"}
    )
    assert findings(subject) == []


def test_a_step_the_guide_does_not_know_breaks_nothing(make):
    subject = make.subject(steps=in_turn(make, "wound", "odd", "tear", "nucleus", "seal"))
    assert findings(subject) == []


def test_visits_stand_in_order_of_their_start(make):
    steps = in_turn(make, "wound", "tear-start", "tear-round", "nucleus")
    visits = [visit.step for visit in visits_in_order(make.subject(steps=steps))]
    assert visits == ["wound", "tear", "tear", "nucleus"]


def test_similarity_is_the_edit_score():
    assert order_similarity([], []) == 100
    assert order_similarity(["a"], []) == 0
    assert order_similarity(["a", "b"], ["a", "b"]) == 100
    assert order_similarity(["a", "b", "c", "d"], ["a", "c", "d"]) == 75
