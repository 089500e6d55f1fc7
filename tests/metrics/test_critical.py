"""Critical portions, by hand."""

import pytest

from aftercase.metrics.measures import measured


def answers(subject):
    table = measured("critical", subject)
    return table.frame.set_index("step")["by_trainee"].to_dict(), table.notes


def test_nothing_marked_is_not_said(make):
    by_step, notes = answers(make.subject())
    assert by_step == {"wound": "not said", "tear": "not said", "nucleus": "not said"}
    assert notes[0] == "0 of 3 by trainee, 3 not said."


def test_one_portion_by_the_trainee(make):
    by_step, notes = answers(make.subject(steps=(make.step("tear", 0, 9, performer="trainee"),)))
    assert by_step["tear"] == "yes"
    assert notes[0] == "1 of 3 by trainee, 2 not said."


def test_all_portions_by_the_trainee(make):
    steps = tuple(
        make.step(step, at, at + 1, performer="trainee", takeover="none")
        for at, step in enumerate(["wound", "tear", "nucleus"])
    )
    _, notes = answers(make.subject(steps=steps))
    assert notes[0] == "3 of 3 by trainee, 0 not said."
    assert any("100.0% of the marked critical time" in note for note in notes)


@pytest.mark.parametrize(
    ("fields", "answer"),
    [
        ({"performer": "trainee"}, "yes"),
        ({"performer": "trainee", "takeover": "taken-over"}, "in part"),
        ({"performer": "trainee", "takeover": "given-back"}, "in part"),
        ({"performer": "shared"}, "in part"),
        ({"performer": "teacher"}, "no"),
        ({"performer": "second-trainee"}, "no"),
        ({}, "not said"),
    ],
)
def test_who_did_it_decides(make, fields, answer):
    by_step, _ = answers(make.subject(steps=(make.step("tear", 0, 9, **fields),)))
    assert by_step["tear"] == answer


def test_a_whole_counts_once_whatever_its_parts(make):
    steps = (
        make.step("tear", 0, 3, performer="trainee"),
        make.step("tear-start", 3, 6, performer="trainee"),
        make.step("tear-round", 6, 9, performer="teacher"),
    )
    by_step, notes = answers(make.subject(steps=steps))
    assert by_step["tear"] == "in part"
    assert notes[0] == "0 of 3 by trainee, 1 in part, 2 not said."


def test_a_part_that_says_nothing_goes_by_its_whole(make):
    steps = (make.step("tear", 0, 9, performer="trainee"), make.step("tear-start", 0, 6))
    assert answers(make.subject(steps=steps))[0]["tear"] == "yes"
    assert answers(make.subject(steps=steps[1:]))[0]["tear"] == "not said"


def test_the_programs_own_list_wins_and_a_part_stands_for_its_whole(make):
    subject = make.subject(case={"critical_steps": ("tear-start", "tear-round", "seal")})
    by_step, notes = answers(subject)
    assert list(by_step) == ["tear", "seal"]
    assert "The list is the program’s own." in notes


def test_a_portion_that_was_not_needed_is_none(make):
    by_step, notes = answers(make.subject(not_needed=("wound",)))
    assert list(by_step) == ["tear", "nucleus"]
    assert "Not needed, so not among them: Wound." in notes


def test_the_share_of_time_is_labelled_and_the_supervisor_is_quoted(make):
    steps = (
        make.step("wound", 0, 10, performer="trainee"),
        make.step("tear", 10, 40, performer="teacher"),
    )
    subject = make.subject(steps=steps, case={"critical_statement": "Two of three."})
    notes = measured("critical", subject).notes
    assert (
        "Share of time, not the rule: 25.0% of the marked critical time by the trainee, "
        "0.0% not said." in notes
    )
    assert "The supervisor's statement: “Two of three.”" in notes
    assert notes[-1] == "The supervisor judges; these numbers are no verdict."


def test_time_under_takeover_is_not_the_trainees_and_silent_parts_are_not_unsaid_time(make):
    relieved = make.step("tear", 10, 40, performer="trainee", takeover="given-back")
    steps = (
        make.step("wound", 0, 10, performer="trainee"),
        relieved.changed(taken_over_us=20_000_000, given_back_us=30_000_000),
        make.step("tear-start", 10, 15),
        make.step("nucleus", 40, 50),
    )
    notes = measured("critical", make.subject(steps=steps)).notes
    assert any(" 60.0% of the marked" in note and "20.0% not said" in note for note in notes)


@pytest.mark.parametrize("setting", ["practice-eye", "animal-eye", "simulator-film", "not-said"])
def test_critical_portions_are_for_patients_only(make, setting):
    subject = make.subject(
        steps=(make.step("tear", 0, 9, performer="trainee"),), case={"setting": setting}
    )
    by_step, notes = answers(subject)
    assert by_step == {}
    assert notes[0].startswith("Critical portions are for patients only")
