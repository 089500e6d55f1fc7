"""What can be taken over from others: marks of the clock, and flags as stops."""

from __future__ import annotations

import pytest

from aftercase.model.review import Flag, InstrumentSpan, Review, StepSpan
from aftercase.session.adopting import adoptable, stops
from aftercase.session.opened import open_case


@pytest.fixture
def marks(new_id):
    def make(n_steps=1, n_instruments=0, flags_us=()):
        return {
            "steps": tuple(
                StepSpan(id=new_id(), step="side-port", start_us=n, end_us=n + 1)
                for n in range(n_steps)
            ),
            "instruments": tuple(
                InstrumentSpan(id=new_id(), instrument="knife", start_us=n, end_us=n + 1)
                for n in range(n_instruments)
            ),
            "flags": tuple(Flag(id=new_id(), at_us=us, note=str(us)) for us in flags_us),
        }

    return make


@pytest.fixture
def own(new_id):
    def make(path, at, role="teacher", **fields):
        case = open_case(path, at).case.id
        return Review(id=new_id(), case=case, reviewer="T01", role=role, **fields)

    return make


def offered(path, at, own):
    return [
        (one.review.reviewer, one.n_steps, one.n_instruments)
        for one in adoptable(open_case(path, at), own)
    ]


def test_without_other_reviews_there_is_nothing(case_of, at, own, write, marks):
    path = case_of()
    assert offered(path, at, own(path, at)) == []
    write(path, "T01", **marks())
    assert offered(path, at, own(path, at)) == []


def test_released_marks_of_others_are_offered_and_empty_reviews_are_not(
    case_of, at, own, write, marks
):
    path = case_of()
    write(path, "T02", **marks(2, 3))
    write(path, "R07", "trainee", **marks(0, 1))
    write(path, "T03")
    assert offered(path, at, own(path, at)) == [("R07", 0, 1), ("T02", 2, 3)]


def test_drafts_are_offered_of_those_who_judge_nothing_alone(case_of, at, own, write, marks):
    path = case_of()
    write(path, "P01", "preparer", state="draft", **marks(4))
    write(path, "me", "teacher", state="draft", **marks(1))
    write(path, "R07", "trainee", state="draft", **marks(9))
    write(path, "T02", "teacher", state="sealed", **marks(9))
    assert offered(path, at, own(path, at)) == [("P01", 4, 0), ("me", 1, 0)]


def test_a_trainee_who_judges_first_adopts_nothing_of_a_teacher_before(
    case_of, at, own, write, marks
):
    path = case_of(judge_first=True)
    write(path, "T02", **marks(2))
    write(path, "P01", "preparer", **marks(1))
    assert offered(path, at, own(path, at, "trainee")) == [("P01", 1, 0)]
    sealed = own(path, at, "trainee", state="sealed")
    assert offered(path, at, sealed) == [("P01", 1, 0), ("T02", 2, 0)]


def test_flags_of_others_are_stops_in_the_order_of_the_film(case_of, at, own, write, marks):
    path = case_of()
    assert stops(open_case(path, at), own(path, at)) == ()
    write(path, "R07", "trainee", **marks(0, 0, (900, 100)))
    write(path, "R08", "trainee", **marks(0, 0, (500,)))
    write(path, "R09", "trainee", state="draft", **marks(0, 0, (1,)))
    write(path, "T01", **marks(0, 0, (2,)))
    found = stops(open_case(path, at), own(path, at))
    assert [(one.flag.note, one.reviewer, one.role) for one in found] == [
        ("100", "R07", "trainee"),
        ("500", "R08", "trainee"),
        ("900", "R07", "trainee"),
    ]
