"""The same step in earlier cases of the same trainee."""

from __future__ import annotations

import pytest

from aftercase.model.review import StepSpan
from aftercase.session.earlier import earlier_spans


@pytest.fixture
def span(new_id):
    return lambda start_us, end_us, step="capsulorhexis": StepSpan(
        id=new_id(), step=step, start_us=start_us, end_us=end_us
    )


def found(at, here, trainee="R07"):
    return [
        (one.case_code, one.reviewer, one.start_us, one.end_us)
        for one in earlier_spans(at, here, trainee, "capsulorhexis")
    ]


def test_without_other_cases_there_is_none(case_of, at):
    assert found(at, case_of("C1", trainee="R07")) == []


def test_visits_of_the_same_trainees_other_cases_come_in_order_of_the_clock(
    case_of, at, write, span
):
    here, other = case_of("C1", trainee="R07"), case_of("C2", trainee="R07")
    write(here, "T01", steps=(span(1, 2),))
    write(other, "T01", steps=(span(30, 40), span(10, 20), span(50, 60, "seal")))
    assert found(at, here) == [("C2", "T01", 10, 20), ("C2", "T01", 30, 40)]


def test_cases_of_others_and_of_nobody_are_left_out(case_of, at, write, span):
    here = case_of("C1", trainee="R07")
    for code, header in (("C2", {"trainee": "R08"}), ("C3", {})):
        write(case_of(code, **header), "T01", steps=(span(1, 2),))
    assert found(at, here) == []
    assert found(at, here, trainee=None) == []


@pytest.mark.parametrize("state", ["draft", "sealed"])
def test_what_was_not_released_is_left_out(state, case_of, at, write, span):
    here, other = case_of("C1", trainee="R07"), case_of("C2", trainee="R07")
    write(other, "T01", state=state, steps=(span(1, 2),))
    assert found(at, here) == []


def test_a_case_that_cannot_be_read_is_passed_over(case_of, at, write, span):
    here, broken = case_of("C1", trainee="R07"), case_of("C2", trainee="R07")
    (broken / "case.json").write_text("{", encoding="utf-8")
    good = case_of("C3", trainee="R07")
    write(good, "T01", steps=(span(1, 2),))
    assert found(at, here) == [("C3", "T01", 1, 2)]
