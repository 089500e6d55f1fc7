"""Arc per grip, by hand: 30 degrees an hour, in the tear's direction."""

import pytest

from aftercase.metrics.measures import measured
from aftercase.model.case import SinceDegrees, SinceFlag
from aftercase.model.review import StatedHour

COLUMNS = ["count", "from_hour", "to_hour", "arc_deg", "path_deg", "net_deg"]


def arcs(subject):
    table = measured("arcs", subject)
    return table.frame[COLUMNS].to_numpy().tolist(), table.notes


def grips(make, *hours, kind="grip", clock="picture", from_s=1):
    return tuple(
        make.event(kind, from_s + at, hour=StatedHour(hour=hour, clock=clock))
        for at, hour in enumerate(hours)
    )


def tear(make, direction="clockwise", start_s=0, end_s=50):
    return make.step("tear", start_s, end_s, tear_direction=direction)


def test_no_grips_give_no_arc(make):
    rows, notes = arcs(make.subject(steps=(tear(make),)))
    assert rows == []
    assert notes[-1].startswith("No grips are marked")


def test_one_grip_gives_no_arc(make):
    assert arcs(make.subject(steps=(tear(make),), events=grips(make, 3)))[0] == []


def test_four_quarter_turns_come_round(make):
    rows, _ = arcs(make.subject(steps=(tear(make),), events=grips(make, 12, 3, 6, 9, 12)))
    assert [row[3:] for row in rows] == [
        [90, 90, 90],
        [90, 180, 180],
        [90, 270, 270],
        [90, 360, 0],
    ]


@pytest.mark.parametrize(("direction", "arc_deg"), [("clockwise", 210), ("anticlockwise", 150)])
def test_from_two_to_nine_depends_on_the_direction(make, direction, arc_deg):
    subject = make.subject(steps=(tear(make, direction),), events=grips(make, 2, 9))
    assert arcs(subject)[0] == [[1, 2, 9, arc_deg, arc_deg, arc_deg]]


def test_without_a_direction_no_arc_is_shown(make):
    subject = make.subject(steps=(tear(make, "not-said"),), events=grips(make, 3, 9))
    assert arcs(subject)[0] == []


def test_half_hours_are_fifteen_degrees(make):
    subject = make.subject(steps=(tear(make),), events=grips(make, 11.5, 12.0))
    assert arcs(subject)[0][0][3] == 15


def test_a_reversal_starts_a_new_count(make):
    events = (
        *grips(make, 12, 4),
        *grips(make, 5, kind="turned-back", from_s=10),
        *grips(make, 7, 8, from_s=20),
    )
    rows, _ = arcs(make.subject(steps=(tear(make),), events=events))
    assert rows == [
        [1, 12, 4, 120, 120, 120],
        [1, 4, 5, 30, 150, 150],
        [2, 5, 7, 60, 60, 60],
        [2, 7, 8, 30, 90, 90],
    ]


def test_a_reversal_without_an_hour_leaves_no_arc_across_it(make):
    events = (*grips(make, 12, 4), make.event("turned-back", 10), *grips(make, 7, 8, from_s=20))
    rows, notes = arcs(make.subject(steps=(tear(make),), events=events))
    assert [row[:3] for row in rows] == [[1, 12, 4], [2, 7, 8]]
    assert any("1 point without an hour" in note for note in notes)


def test_slips_are_no_grips(make):
    events = (
        *grips(make, 12),
        *grips(make, 2, kind="iris-touch", from_s=3),
        *grips(make, 4, from_s=5),
    )
    assert [row[1:4] for row in arcs(make.subject(steps=(tear(make),), events=events))[0]] == [
        [12, 4, 120]
    ]


def test_hours_of_two_clocks_are_never_mixed(make):
    events = (
        *grips(make, 12, 3),
        *grips(make, 1, clock="eye", from_s=5),
        *grips(make, 2, clock="not-said", from_s=7),
        *grips(make, 8, 9, from_s=10),
    )
    subject = make.subject(steps=(tear(make),), events=events)
    assert [row[:3] for row in arcs(subject)[0]] == [[1, 12, 3], [2, 8, 9]]
    assert measured("arcs", subject).frame["hour_clock"].tolist() == ["picture", "picture"]


@pytest.mark.parametrize(("mirrored", "arc_deg"), [(False, 90), (True, 270)])
def test_eye_hours_run_the_other_way_in_a_mirrored_picture(make, mirrored, arc_deg):
    subject = make.subject(
        case={"mirrored": (SinceFlag(from_us=0, value=mirrored),)},
        steps=(tear(make),),
        events=grips(make, 12, 3, clock="eye"),
    )
    assert arcs(subject)[0][0][3] == arc_deg


def test_a_picture_hour_is_not_touched_by_the_mirror(make):
    subject = make.subject(
        case={"mirrored": (SinceFlag(from_us=0, value=True),)},
        steps=(tear(make),),
        events=grips(make, 12, 3),
    )
    assert arcs(subject)[0][0][3] == 90


def test_pointing_gives_the_same_arc_on_either_clock(make):
    film = {
        "parts": (make.part(0, 100),),
        "stated_duration_us": None,
        "limbus_centre": (make.point(0.5, 0.5),),
    }
    places = ((0.5, 0.1), (0.9, 0.5), (0.5, 0.9))
    events = tuple(
        make.event("grip", at, place=make.point(*place, at)) for at, place in enumerate(places)
    )
    sides = {"eye": "left", "seat": make.since((0, "temporal"))}
    mirror = {"mirrored": (SinceFlag(from_us=0, value=True),)}
    for case in (film, {**film, **sides}, {**film, **sides, **mirror}):
        rows, _ = arcs(make.subject(case=case, steps=(tear(make),), events=events))
        assert [row[3] for row in rows] == [pytest.approx(90), pytest.approx(90)]


@pytest.mark.parametrize("side", ["eye", "not-said"])
@pytest.mark.parametrize("mirrored", [False, True])
def test_a_tears_direction_is_that_of_the_picture_as_shown(make, mirrored, side):
    """On a film whose file says to mirror it, a tear runs the other way than on its frames."""
    film = {
        "parts": (make.part(0, 100).changed(shown_turn_deg=0, shown_mirrored=mirrored),),
        "stated_duration_us": None,
        "limbus_centre": (make.point(0.5, 0.5),),
        "eye": "left" if side == "eye" else side,
        "seat": make.since((0, "temporal")),
        "turn_deg": (SinceDegrees(from_us=0, value=0.0),),
    }
    seen_at = ((0.5, 0.1), (0.9, 0.5))  # up, then right: a quarter clockwise
    places = [(1 - x if mirrored else x, y) for x, y in seen_at]
    events = tuple(
        make.event("grip", at, place=make.point(*place, at)) for at, place in enumerate(places)
    )
    rows, _ = arcs(make.subject(case=film, steps=(tear(make),), events=events))
    assert [row[3] for row in rows] == [pytest.approx(90)]


def test_each_tear_counts_for_itself(make):
    steps = (tear(make, end_s=10), tear(make, "anticlockwise", 20, 30), tear(make, "not-said", 40))
    events = (*grips(make, 12, 3), *grips(make, 12, 9, from_s=21), *grips(make, 1, 2, from_s=41))
    table = measured("arcs", make.subject(steps=steps, events=events))
    assert table.frame[["tear", "arc_deg"]].to_numpy().tolist() == [[1, 90], [2, 90]]
    assert "1 span without a tear direction: no arc there." in table.notes


def test_a_grip_inside_a_part_with_its_own_direction_counts_there_alone(make):
    steps = (tear(make), make.step("tear-round", 0, 20, tear_direction="anticlockwise"))
    frame = measured("arcs", make.subject(steps=steps, events=grips(make, 12, 9))).frame
    assert frame[["step", "arc_deg"]].to_numpy().tolist() == [["tear-round", 90]]


def test_a_kind_the_guide_does_not_know_is_no_grip(make):
    events = (*grips(make, 12), *grips(make, 2, kind="odd", from_s=3))
    assert arcs(make.subject(steps=(tear(make),), events=events))[0] == []


def test_a_grip_just_behind_the_one_before_is_pointed_at(make):
    rows, notes = arcs(make.subject(steps=(tear(make),), events=grips(make, 6, 5.5, 6)))
    assert [row[3] for row in rows] == [345, 15]
    assert [note for note in notes if "same place" in note] == [
        "Tear 1 at 0:00:02.000: 345 degrees. The grip lies less than an hour behind the one "
        "before: a turn nearly all round, or a new grip at the same place?"
    ]
