"""Gaps and their causes, by hand."""

import pytest

from aftercase.metrics.measures import measured
from aftercase.metrics.subject import Settings

SECOND_US = 1_000_000


def gap_rows(subject, columns, **settings):
    table = measured("gaps", subject, Settings(**settings))
    return table.frame[list(columns)].to_numpy().tolist(), table.notes


@pytest.fixture
def ten_to_ninety(make):
    """Instruments in use 20 to 30, 32 to 50 and 60 to 80 s of a window from 10 to 90 s."""
    return {
        "steps": (make.step("tear", 10, 40), make.step("nucleus", 40, 90)),
        "instruments": (
            make.tool("probe", 20, 30),
            make.tool("probe", 32, 50),
            make.tool("forceps", 60, 80),
        ),
    }


def test_nothing_marked_is_not_marked_and_never_all_idle(make):
    subject = make.subject(steps=(make.step("tear", 0, 60),))
    rows, notes = gap_rows(subject, ["kind"])
    assert rows == []
    assert notes == ("Instruments and pauses are not marked: nothing is known about gaps.",)


def test_an_instrument_that_does_not_count_is_no_mark_of_use(make):
    subject = make.subject(
        steps=(make.step("tear", 0, 60),), instruments=(make.tool("speculum", 0, 60),)
    )
    rows, notes = gap_rows(subject, ["kind"], gap_source="instruments")
    assert rows == []
    assert notes == ("Instruments are not marked: nothing is known about gaps.",)


def test_one_gap_between_two_instruments_is_an_exchange(make):
    subject = make.subject(instruments=(make.tool("probe", 0, 10), make.tool("forceps", 14, 20)))
    rows, _ = gap_rows(subject, ["start_us", "end_us", "kind", "before", "after"])
    assert rows == [[10 * SECOND_US, 14 * SECOND_US, "exchange", "probe", "forceps"]]


def test_no_gap_is_found_where_an_instrument_is_always_in_use(make):
    subject = make.subject(instruments=(make.tool("probe", 0, 10), make.tool("hook", 10, 20)))
    rows, notes = gap_rows(subject, ["kind"], shortest_gap_us=0)
    assert rows == []
    assert "Shortest gap counted: 0.000 s; 0 shorter gaps dropped, 0.000 s together." in notes


def test_kinds_and_totals_by_hand(make, ten_to_ninety):
    rows, notes = gap_rows(
        make.subject(**ten_to_ninety), ["gap", "length_us", "kind", "step", "counts_in_total"]
    )
    assert rows == [
        [1, 10 * SECOND_US, "lead-in", "tear", False],
        [2, 2 * SECOND_US, "same-back", "tear", True],
        [3, 10 * SECOND_US, "exchange", "nucleus", True],
        [4, 10 * SECOND_US, "lead-out", "nucleus", False],
    ]
    assert "Lead-in and lead-out, 20.000 s, are left out of totals." in notes


def test_the_threshold_tests_the_whole_gap_which_is_cut_at_step_borders_after(make):
    subject = make.subject(
        steps=(make.step("tear", 0, 10.4), make.step("nucleus", 10.6, 30)),
        instruments=(make.tool("probe", 0, 10), make.tool("probe", 11, 30)),
    )
    rows, _ = gap_rows(subject, ["gap", "length_us", "step"], shortest_gap_us=SECOND_US)
    assert [row[:2] for row in rows] == [[1, 400_000], [1, 200_000], [1, 400_000]]
    assert [row[2] for row in rows][::2] == ["tear", "nucleus"]
    assert measured("gaps", subject).frame["step"].isna().tolist() == [False, True, False]


def test_a_gap_is_not_cut_where_one_step_only_goes_on(make):
    subject = make.subject(
        steps=(make.step("tear", 0, 12), make.step("tear", 12, 30)),
        instruments=(make.tool("probe", 0, 10), make.tool("probe", 14, 30)),
    )
    assert gap_rows(subject, ["length_us", "step"])[0] == [[4 * SECOND_US, "tear"]]


def test_the_innermost_step_names_a_gap(make):
    subject = make.subject(
        steps=(make.step("nucleus", 0, 30), make.step("groove", 5, 20)),
        instruments=(make.tool("probe", 0, 10), make.tool("probe", 14, 30)),
    )
    assert gap_rows(subject, ["step"])[0] == [["groove"]]


def test_shorter_gaps_are_dropped_and_counted(make, ten_to_ninety):
    rows, notes = gap_rows(make.subject(**ten_to_ninety), ["gap"], shortest_gap_us=3 * SECOND_US)
    assert rows == [[1], [2], [3]]
    assert "Shortest gap counted: 3.000 s; 1 shorter gap dropped, 2.000 s together." in notes


def test_a_gap_just_as_long_as_the_shortest_is_counted(make):
    subject = make.subject(instruments=(make.tool("probe", 0, 10), make.tool("probe", 11, 20)))
    assert len(gap_rows(subject, ["gap"], shortest_gap_us=SECOND_US)[0]) == 1
    assert len(gap_rows(subject, ["gap"], shortest_gap_us=SECOND_US + 1)[0]) == 0


def test_what_cannot_be_seen_is_no_gap(make, ten_to_ninety):
    subject = make.subject(**ten_to_ninety, unseen=(make.unseen(52, 58), make.unseen(70, 75)))
    rows, notes = gap_rows(subject, ["start_us", "length_us", "kind", "before", "after"])
    assert rows[2:4] == [
        [50 * SECOND_US, 2 * SECOND_US, "exchange", "probe", "forceps"],
        [58 * SECOND_US, 2 * SECOND_US, "exchange", "probe", "forceps"],
    ]
    assert any(note.startswith("6.000 s without an instrument cannot be seen") for note in notes)


def test_the_main_hand_may_be_empty_while_the_second_rests_in_the_eye(make):
    tools = (make.tool("probe", 0, 10), make.tool("hook", 0, 30), make.tool("probe", 20, 30))
    subject = make.subject(instruments=tools)
    assert gap_rows(subject, ["gap"])[0] == []
    rows, notes = gap_rows(subject, ["length_us", "kind"], empty="main-hand-empty")
    assert rows == [[10 * SECOND_US, "same-back"]]
    assert any(note.startswith("Main hand empty") for note in notes)


def test_a_said_hand_wins_over_the_usual_one(make):
    tools = (
        make.tool("probe", 0, 10),
        make.tool("hook", 0, 30, hand="main"),
        make.tool("probe", 20, 30),
    )
    assert gap_rows(make.subject(instruments=tools), ["gap"], empty="main-hand-empty")[0] == []


def test_an_instrument_of_either_hand_is_taken_as_the_main_hands_and_said_so(make):
    tools = (make.tool("probe", 0, 10), make.tool("forceps", 8, 22), make.tool("probe", 20, 30))
    rows, notes = gap_rows(make.subject(instruments=tools), ["gap"], empty="main-hand-empty")
    assert rows == []
    assert any(
        "3 instrument spans without a hand" in note and "1 of them" in note for note in notes
    )


def test_two_instruments_withdrawn_at_once_are_both_named(make):
    tools = (make.tool("probe", 0, 10), make.tool("hook", 2, 10), make.tool("hook", 15, 20))
    rows, _ = gap_rows(make.subject(instruments=tools), ["kind", "before", "after"])
    assert rows == [["same-back", "hook + probe", "hook"]]


def test_a_cause_belongs_to_the_gap_it_overlaps_most(make, ten_to_ninety):
    causes = (
        make.cause(29, 62, "teaching"),
        make.cause(30, 31, "hesitation"),
        make.cause(55, 58, "hesitation"),
        make.cause(22, 25, "teaching"),
    )
    subject = make.subject(**ten_to_ninety, gap_causes=causes)
    rows, notes = gap_rows(subject, ["cause"])
    assert rows == [["not-said"], ["hesitation"], ["teaching"], ["not-said"]]
    assert "Where there is no gap: 1 cause." in notes


def test_causes_are_added_up_with_unsaid_ones_apart(make, ten_to_ninety):
    subject = make.subject(**ten_to_ninety, gap_causes=(make.cause(50, 60, "teaching"),))
    table = measured("gap-causes", subject)
    columns = ["cause", "n_gaps", "total_us", "against_nobody", "in_person_figure"]
    assert table.frame[columns].to_numpy().tolist() == [
        ["teaching", 1, 10 * SECOND_US, True, False],
        ["not-said", 1, 2 * SECOND_US, False, False],
    ]
    assert any("never summed into a figure about a person" in note for note in table.notes)


def test_only_a_cause_the_teacher_chose_may_enter_a_persons_figure(make, ten_to_ninety):
    causes = (make.cause(50, 60, "hesitation"), make.cause(30, 32, "coffee"))
    table = measured("gap-causes", make.subject(**ten_to_ninety, gap_causes=causes))
    assert table.frame.set_index("cause")["in_person_figure"].to_dict() == {
        "hesitation": True,
        "coffee": False,
    }


def test_a_gap_that_went_on_outside_the_picture_is_left_out_of_totals(make, ten_to_ninety):
    subject = make.subject(**ten_to_ninety, gap_causes=(make.cause(50, 60, "not-in-picture"),))
    rows, notes = gap_rows(subject, ["counts_in_total"])
    assert rows == [[False], [True], [False], [False]]
    assert any("outside the picture" in note for note in notes)
    assert measured("steps", subject).frame.set_index("step")["idle_us"].to_dict() == {
        "tear": 2 * SECOND_US,
        "nucleus": 0,
    }


def test_marked_pauses_are_the_other_source_and_count_however_short(make):
    subject = make.subject(
        steps=(make.step("tear", 0, 60),),
        pauses=(make.pause(10, 10.2, cause="teaching"), make.pause(20, 30), make.pause(25, 32)),
    )
    rows, notes = gap_rows(subject, ["start_us", "length_us", "kind", "cause"])
    assert rows == [
        [10 * SECOND_US, 200_000, "pause", "teaching"],
        [20 * SECOND_US, 10 * SECOND_US, "pause", "not-said"],
        [30 * SECOND_US, 2 * SECOND_US, "pause", "not-said"],
    ]
    assert notes[0].startswith("Source: pauses")


def test_pauses_are_listed_where_nothing_else_is_marked(make):
    rows, _ = gap_rows(make.subject(pauses=(make.pause(5, 9),)), ["length_us"])
    assert rows == [[4 * SECOND_US]]


def test_said_hands_need_no_word_about_usual_ones(make):
    tools = (make.tool("probe", 0, 10, hand="main"), make.tool("probe", 20, 30, hand="main"))
    _, notes = gap_rows(make.subject(instruments=tools), ["gap"], empty="main-hand-empty")
    assert not any("without a hand" in note for note in notes)


def test_the_two_sources_are_never_mixed(make, ten_to_ninety):
    subject = make.subject(**ten_to_ninety, pauses=(make.pause(12, 13),))
    from_instruments, notes = gap_rows(subject, ["kind"])
    assert ["pause"] not in from_instruments
    assert any("never mixed" in note for note in notes)
    assert gap_rows(subject, ["kind"], gap_source="pauses")[0] == [["pause"]]


def test_instruments_outside_the_operations_window_are_not_marks_in_it(make):
    subject = make.subject(
        steps=(make.step("tear", 100, 200),), instruments=(make.tool("probe", 0, 50),)
    )
    assert gap_rows(subject, ["kind"])[0] == []


@pytest.mark.parametrize(
    "settings",
    [{"shortest_gap_us": -1}, {"empty": "both-hands"}, {"gap_source": "guess"}],
)
def test_a_setting_that_does_not_exist_is_refused(settings):
    with pytest.raises(ValueError, match=r"shortest gap|empty is one of"):
        Settings(**settings)
