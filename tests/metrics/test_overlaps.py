"""Overlapping and unassigned time, by hand."""

from aftercase.metrics.measures import measured
from aftercase.model.case import Window


def rows(name, subject):
    return measured(name, subject).frame.to_numpy().tolist()


def test_nothing_marked_overlaps_nothing(make):
    assert rows("overlaps", make.subject()) == []
    assert rows("unassigned", make.subject()) == []


def test_one_step_leaves_nothing_open(make):
    subject = make.subject(steps=(make.step("tear", 5, 9),))
    assert rows("overlaps", subject) == []
    assert measured("unassigned", subject).notes == (
        "Every moment of the window belongs to a step.",
    )


def test_touching_steps_do_not_overlap(make):
    assert (
        rows("overlaps", make.subject(steps=(make.step("tear", 0, 5), make.step("seal", 5, 9))))
        == []
    )


def test_a_part_within_its_whole_is_no_overlap(make):
    steps = (make.step("tear", 0, 9), make.step("tear-start", 2, 5))
    assert rows("overlaps", make.subject(steps=steps)) == []


def test_two_spans_of_one_step_are_no_overlap(make):
    assert (
        rows("overlaps", make.subject(steps=(make.step("tear", 0, 9), make.step("tear", 5, 12))))
        == []
    )


def test_overlaps_and_open_time_by_hand(make):
    steps = (
        make.step("wound", 0, 10),
        make.step("tear", 8, 20),
        make.step("tear-start", 19, 24),
        make.step("nucleus", 22, 30),
        make.step("seal", 40, 50),
    )
    subject = make.subject(steps=steps)
    second = 1_000_000
    assert rows("overlaps", subject) == [
        [8 * second, 10 * second, 2 * second, "wound", "tear"],
        [22 * second, 24 * second, 2 * second, "tear-start", "nucleus"],
    ]
    assert rows("unassigned", subject) == [[30 * second, 40 * second, 10 * second]]
    assert measured("unassigned", subject).notes == (
        "Belonging to no step: 10.000 s, 20.0% of the window.",
    )


def test_the_trim_opens_the_time_before_the_first_step(make):
    subject = make.subject(
        steps=(make.step("tear", 5, 9),),
        case={"trim": Window(start_us=0, end_us=9_000_000)},
        length_s=20,
    )
    assert rows("unassigned", subject) == [[0, 5_000_000, 5_000_000]]
