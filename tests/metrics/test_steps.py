"""Per step: visits, totals, idle, net; and drills' attempts; by hand."""

import pytest

from aftercase.metrics.measures import measured
from aftercase.metrics.subject import Settings
from aftercase.model.case import Window


def step_rows(subject, settings=None):
    table = measured("steps", subject, settings or Settings())
    return table.frame.set_index("step"), table.notes


def test_no_steps_give_an_empty_table_that_says_so(make):
    rows, notes = step_rows(make.subject())
    assert rows.empty
    assert notes == ("Duration is not quality.", "No steps are marked.")


def test_one_step_holds_the_whole_window(make):
    said = {"performer": "trainee", "help": "alone", "takeover": "none"}
    rows, _ = step_rows(make.subject(steps=(make.step("wound", 5, 25, **said),)))
    row = rows.loc["wound"]
    assert row["n_spans"] == row["n_visits"] == 1
    assert row["total_us"] == row["longest_visit_us"] == 20_000_000
    assert row["share"] == 1.0
    assert row["first_start_us"] == 5_000_000
    assert (row["performer"], row["help"], row["takeover"]) == ("trainee", "alone", "none")
    assert not row["left_out"]
    assert row[["left_out_why", "parent"]].isna().all()


def test_touching_and_overlapping_spans_join_the_same_visit(make):
    spans = [(0, 10), (10, 15), (14, 20), (30, 34)]
    rows, _ = step_rows(make.subject(steps=tuple(make.step("nucleus", *span) for span in spans)))
    row = rows.loc["nucleus"]
    assert (row["n_spans"], row["n_visits"]) == (4, 2)
    assert (row["total_us"], row["longest_visit_us"]) == (24_000_000, 20_000_000)
    assert row["share"] == pytest.approx(24 / 34)


def test_a_whole_holds_the_union_of_its_own_spans_and_its_parts(make):
    steps = (
        make.step("tear", 0, 10),
        make.step("tear-start", 8, 14),
        make.step("tear-round", 20, 25),
    )
    rows, notes = step_rows(make.subject(steps=steps))
    assert rows["total_us"].to_dict() == {
        "tear": 19_000_000,
        "tear-start": 6_000_000,
        "tear-round": 5_000_000,
    }
    assert rows.loc["tear", "n_visits"] == 2
    assert rows.loc["tear-round", "parent"] == "tear"
    assert any("not to be added up" in note for note in notes)


def test_a_whole_is_shown_where_only_a_part_is_marked(make):
    rows, _ = step_rows(make.subject(steps=(make.step("groove", 3, 9),)))
    assert rows["total_us"].to_dict() == {"nucleus": 6_000_000, "groove": 6_000_000}


def test_rows_stand_in_the_guides_order_and_unknown_steps_come_last(make):
    steps = tuple(
        make.step(step, start, start + 1)
        for start, step in enumerate(["zz-other", "seal", "aa-other", "wound"])
    )
    rows, _ = step_rows(make.subject(steps=steps))
    assert list(rows.index) == ["wound", "seal", "aa-other", "zz-other"]
    assert rows.loc["aa-other", "name"] == "aa-other (not in the guide)"


def test_idle_is_the_counted_gap_time_inside_and_net_the_rest(make):
    subject = make.subject(
        steps=(make.step("tear", 0, 20), make.step("nucleus", 20, 40)),
        instruments=(
            make.tool("probe", 0, 17),
            make.tool("probe", 23, 30),
            make.tool("hook", 30.5, 40),
        ),
    )
    rows, _ = step_rows(subject)
    assert rows["idle_us"].to_dict() == {"tear": 3_000_000, "nucleus": 3_000_000}
    assert rows["net_us"].to_dict() == {"tear": 17_000_000, "nucleus": 17_000_000}
    shorter, _ = step_rows(subject, Settings(shortest_gap_us=500_000))
    assert shorter["idle_us"].to_dict() == {"tear": 3_000_000, "nucleus": 3_500_000}


def test_lead_in_time_is_not_idle(make):
    subject = make.subject(
        steps=(make.step("tear", 0, 20),), instruments=(make.tool("probe", 6, 20),)
    )
    assert step_rows(subject)[0].loc["tear", "idle_us"] == 0


def test_idle_and_net_are_blank_where_instruments_are_not_marked(make):
    rows, notes = step_rows(make.subject(steps=(make.step("tear", 0, 20),)))
    assert rows[["idle_us", "net_us"]].isna().all(axis=None)
    assert "Instruments are not marked: idle and net are blank." in notes


def test_idle_from_pauses_says_so(make):
    subject = make.subject(steps=(make.step("tear", 0, 20),), pauses=(make.pause(5, 8),))
    rows, notes = step_rows(subject)
    assert rows.loc["tear", "idle_us"] == 3_000_000
    assert any("pauses marked directly" in note for note in notes)


@pytest.mark.parametrize(
    ("fields", "why"),
    [
        ({}, "performer not said"),
        ({"performer": "trainee", "takeover": "taken-over"}, "takeover"),
        ({"performer": "trainee", "takeover": "given-back"}, "takeover"),
    ],
)
def test_a_relieved_or_unsaid_performer_is_left_out_of_comparisons(make, fields, why):
    rows, notes = step_rows(make.subject(steps=(make.step("tear", 0, 20, **fields),)))
    assert rows.loc["tear", "left_out"]
    assert rows.loc["tear", "left_out_why"] == why
    assert "1 step shown here but left out of comparisons." in notes


def test_a_part_done_while_its_whole_was_taken_over_is_left_out_too(make):
    trainee = {"performer": "trainee"}
    whole = make.step("tear", 0, 30, takeover="given-back", **trainee)
    steps = (
        whole.changed(taken_over_us=10_000_000, given_back_us=20_000_000),
        make.step("tear-start", 0, 10, **trainee),
        make.step("tear-round", 10, 30, **trainee),
    )
    rows, _ = step_rows(make.subject(steps=steps))
    assert rows["left_out"].to_dict() == {"tear": True, "tear-start": False, "tear-round": True}
    assert rows.loc["tear-round", "left_out_why"] == "takeover of the whole"


def test_a_part_that_says_it_was_not_taken_over_is_believed(make):
    steps = (
        make.step("tear", 0, 30, takeover="taken-over", performer="trainee"),
        make.step("tear-start", 0, 10, takeover="none", performer="trainee"),
    )
    assert not step_rows(make.subject(steps=steps))[0].loc["tear-start", "left_out"]


@pytest.mark.parametrize(
    ("case", "why"),
    [
        ({"result": "converted-to-manual"}, "converted"),
        ({"second_procedure": "angle-stent"}, "second procedure"),
    ],
)
def test_a_converted_or_doubled_case_is_left_out_whole(make, case, why):
    steps = (
        make.step("wound", 0, 5, performer="trainee"),
        make.step("tear", 5, 9, performer="teacher"),
    )
    rows, _ = step_rows(make.subject(steps=steps, case=case))
    assert rows["left_out_why"].tolist() == [why, why]


def test_a_converted_technique_and_an_unlike_step_leave_the_case_out(make):
    steps = (
        make.step("wound", 0, 5, performer="trainee"),
        make.step("vitrectomy", 5, 9, performer="teacher"),
    )
    case = {"technique": make.since((0, "crack"), (6, "by-hand"))}
    rows, _ = step_rows(make.subject(steps=steps, case=case))
    assert rows.loc["wound", "left_out_why"] == "converted; case with: Vitrectomy"
    assert rows.loc["vitrectomy", "unplanned"]


def test_two_performers_of_one_step_are_several_and_left_out(make):
    steps = (
        make.step("tear", 0, 5, performer="trainee"),
        make.step("tear", 5, 9, performer="teacher"),
    )
    rows, _ = step_rows(make.subject(steps=steps))
    assert rows.loc["tear", "performer"] == "several"
    assert rows.loc["tear", "left_out_why"] == "several performers"


def test_a_part_that_says_nothing_goes_by_its_whole_but_not_in_its_own_row(make):
    steps = (
        make.step("tear", 0, 30, performer="trainee", help="alone", takeover="none"),
        make.step("tear-start", 0, 10),
    )
    rows, _ = step_rows(make.subject(steps=steps))
    fields = ["performer", "help", "takeover", "left_out"]
    assert rows.loc["tear", fields].tolist() == ["trainee", "alone", "none", False]
    assert rows.loc["tear-start", fields].tolist() == ["not-said", "not-said", "not-said", True]


def test_a_part_outside_its_wholes_spans_speaks_for_itself(make):
    steps = (
        make.step("tear", 0, 30, performer="trainee"),
        make.step("tear-start", 25, 40),
    )
    rows, _ = step_rows(make.subject(steps=steps))
    assert rows.loc["tear", "performer"] == "several"
    assert rows.loc["tear", "left_out_why"] == "performer not said"


def test_the_custom_of_where_a_step_ends_is_printed(make):
    steps = (make.step("tear", 0, 20),)
    assert make.guide.span_rule in step_rows(make.subject(steps=steps))[1]
    until_next = make.subject(steps=steps, case={"span_custom": "until-next"})
    notes = step_rows(until_next)[1]
    assert any("never compared" in note for note in notes)
    assert make.guide.span_rule not in notes


def test_a_guide_may_leave_open_where_a_step_ends(make):
    guide = make.guide.changed(span_rule="")
    subject = make.subject(
        guide=guide, steps=(make.step("tear", 0, 20),), case={"span_custom": "touch-to-touch"}
    )
    notes = step_rows(subject)[1]
    assert not any("begins" in note for note in notes)


def test_idle_is_said_to_be_no_figure_about_a_person(make):
    subject = make.subject(
        steps=(make.step("tear", 0, 20),), instruments=(make.tool("probe", 0, 20),)
    )
    assert any("no figure about a person" in note for note in step_rows(subject)[1])


def test_a_span_beyond_the_cases_stretch_is_cut(make):
    subject = make.subject(
        case={"window": Window(start_us=10_000_000, end_us=20_000_000)},
        steps=(make.step("tear", 5, 15), make.step("seal", 30, 40)),
    )
    rows, _ = step_rows(subject)
    assert rows["total_us"].to_dict() == {"tear": 5_000_000}


def test_no_drill_gives_no_attempts(make):
    table = measured("attempts", make.subject(steps=(make.step("tear", 0, 5),)))
    assert table.frame.empty
    assert "No drill attempts are marked." in table.notes


def test_touching_attempts_are_never_joined(make):
    steps = (
        make.step("drill", 10, 16, result="done"),
        make.step("drill", 0, 10, result="not-finished"),
        make.step("drill", 20, 24),
    )
    subject = make.subject(steps=steps, case={"setting": "practice-eye"})
    frame = measured("attempts", subject).frame
    assert frame[["number", "start_us", "length_us", "result"]].to_numpy().tolist() == [
        [1, 0, 10_000_000, "not-finished"],
        [2, 10_000_000, 6_000_000, "done"],
        [3, 20_000_000, 4_000_000, "not-said"],
    ]
    assert step_rows(subject)[0].loc["drill", "n_visits"] == 3
