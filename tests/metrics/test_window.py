"""The operation's window, by hand."""

import pytest

from aftercase.metrics.measures import measured
from aftercase.model.case import Window


def window_row(subject):
    table = measured("window", subject)
    assert len(table.frame) == 1
    return table.frame.iloc[0], table.notes


def test_no_marks_give_no_window(make):
    row, notes = window_row(make.subject())
    assert row["basis"] == "none"
    assert row[["start_us", "end_us", "length_us", "before_us", "after_us"]].isna().all()
    assert notes == ("No steps and no instruments are marked.",)


def test_one_step_is_the_window(make):
    row, _ = window_row(make.subject(steps=(make.step("tear", 10, 30),), length_s=100))
    assert row.to_dict() == {
        "start_us": 10_000_000,
        "end_us": 30_000_000,
        "basis": "steps",
        "length_us": 20_000_000,
        "before_us": 10_000_000,
        "after_us": 70_000_000,
    }


def test_the_last_end_counts_not_the_last_mark(make):
    steps = (make.step("tear", 10, 90), make.step("wound", 20, 30))
    row, _ = window_row(make.subject(steps=steps))
    assert (row["start_us"], row["end_us"]) == (10_000_000, 90_000_000)


def test_instruments_are_taken_where_no_step_is_marked(make):
    tools = (make.tool("speculum", 0, 900), make.tool("probe", 40, 50), make.tool("hook", 45, 70))
    row, _ = window_row(make.subject(instruments=tools))
    assert (row["basis"], row["start_us"], row["end_us"]) == ("instruments", 40_000_000, 70_000_000)


def test_steps_win_over_instruments(make):
    subject = make.subject(
        steps=(make.step("tear", 10, 30),), instruments=(make.tool("probe", 0, 60),)
    )
    assert window_row(subject)[0]["basis"] == "steps"


def test_the_trim_wins_over_steps_and_hides_what_lies_outside(make):
    subject = make.subject(
        case={"trim": Window(start_us=20_000_000, end_us=80_000_000)},
        steps=(make.step("tear", 10, 30), make.step("seal", 85, 90)),
        events=(make.event("grip", 5),),
        length_s=100,
    )
    row, notes = window_row(subject)
    assert (row["basis"], row["length_us"]) == ("trim", 60_000_000)
    assert (row["before_us"], row["after_us"]) == (20_000_000, 20_000_000)
    assert "2 spans and 1 event reach outside the trim" in notes[0]
    steps = measured("steps", subject).frame
    assert steps[["step", "total_us"]].to_numpy().tolist() == [["tear", 10_000_000]]


def test_before_and_after_are_of_the_cases_stretch_of_the_film(make):
    subject = make.subject(
        case={"window": Window(start_us=100_000_000, end_us=200_000_000)},
        steps=(make.step("tear", 110, 130),),
    )
    row, _ = window_row(subject)
    assert (row["before_us"], row["after_us"]) == (10_000_000, 70_000_000)


def test_adopted_marks_count_and_are_named(make):
    adopted = make.step("tear", 10, 30, adopted_from=make.origin("P7"))
    row, notes = window_row(make.subject(steps=(adopted,)))
    assert row["length_us"] == 20_000_000
    assert notes == ("1 mark adopted from P7; they count like own ones.",)


@pytest.mark.parametrize("trim", [(500, 600), (90, 20)])
def test_a_trim_outside_the_case_or_backwards_leaves_nothing(make, trim):
    start_us, end_us = (second * 1_000_000 for second in trim)
    subject = make.subject(
        case={"trim": Window(start_us=start_us, end_us=end_us)},
        steps=(make.step("tear", 10, 30),),
        length_s=100,
    )
    row, _ = window_row(subject)
    assert row["length_us"] == 0
    assert measured("steps", subject).frame.empty
