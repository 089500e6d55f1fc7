"""Times of others: a range only where enough residents and cases are behind it."""

from __future__ import annotations

import numpy as np
import pytest

from aftercase.model.review import StepSpan
from aftercase.session.tasks.others_times import OthersTimes, times_of_others

SECOND_US = 1_000_000
NOTHING = OthersTimes(0, 0, 0, None)


@pytest.fixture
def operated(case_of, write, new_id):
    """Make a patient's case in which a resident needed so many seconds for the tear."""
    numbers = iter(range(1000))

    def make(trainee, seconds, header=None, role="teacher", **fields):
        given = {"setting": "patient", **(header or {})}
        if trainee is not None:
            given["trainee"] = trainee
        path = case_of(f"C{next(numbers)}", **given)
        fields = {"performer": "trainee", "takeover": "none", **fields}
        end_us = round(seconds * SECOND_US)
        span = StepSpan(id=new_id(), step="capsulorhexis", start_us=0, end_us=end_us, **fields)
        write(path, "T01", role, steps=(span,))
        return path

    return make


def found(paths, at):
    return times_of_others("capsulorhexis", "R07", paths, at)


def test_without_cases_there_is_no_range(at):
    assert found([], at) == NOTHING


def test_twenty_cases_of_five_others_give_the_middle_half(operated, at):
    seconds = [20 + number for number in range(20)]
    paths = [operated(f"R{20 + n % 5}", length) for n, length in enumerate(seconds)]
    paths += [operated("R07", 1), operated("R07", 59)]
    times = found(paths, at)
    assert (times.n_cases, times.n_residents, times.n_left_out) == (20, 5, 0)
    # numpy's default quantiles, another implementation of the same definition
    low_s, high_s = np.percentile(seconds, [25, 75])
    assert times.middle_half_us == (round(low_s * SECOND_US), round(high_s * SECOND_US))


@pytest.mark.parametrize(("n_cases", "n_residents"), [(19, 5), (20, 4)])
def test_too_few_give_no_range_but_how_many_there_are(n_cases, n_residents, operated, at):
    paths = [operated(f"R{20 + n % n_residents}", 30) for n in range(n_cases)]
    assert found(paths, at) == OthersTimes(n_cases, n_residents, 0, None)


@pytest.mark.parametrize(
    "fields",
    [
        {"performer": "not-said"},
        {"performer": "teacher"},
        {"takeover": "taken-over"},
        {"takeover": "given-back"},
        {"header": {"span_custom": "until-next"}},
        {"header": {"result": "converted-to-manual"}},
    ],
)
def test_a_step_that_is_no_residents_own_is_left_out_and_counted(fields, operated, at):
    assert found([operated("R20", 30, **fields)], at) == OthersTimes(0, 0, 1, None)


def test_a_case_of_nobody_in_particular_is_left_out(operated, at):
    assert found([operated(None, 30)], at) == OthersTimes(0, 0, 1, None)


@pytest.mark.parametrize("fields", [{"header": {"setting": "practice-eye"}}, {"role": "trainee"}])
def test_practice_and_ones_own_view_are_no_cases(fields, operated, at):
    assert found([operated("R20", 30, **fields)], at) == NOTHING
