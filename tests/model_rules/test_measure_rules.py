"""Each broken rule of a ruler or a measure is named with its place, and alone."""

from __future__ import annotations

import pytest

from aftercase.model.case import Window, span_without_zoom_change
from aftercase.model.rules import review_problems

SECOND_US = 1_000_000


def some_id(number):
    return f"id{number:024d}"


def measured(data):
    """Give the review one ruler from 10 s to 40 s, and a length and a tip's path with it."""
    data["calibrations"] = [
        {
            "id": some_id(20),
            "start_us": 10 * SECOND_US,
            "end_us": 40 * SECOND_US,
            "basis": "limbus",
            "size_from": "assumed",
            "at_us": 20 * SECOND_US,
            "points": [[0.25, 0.5], [0.5, 0.25], [0.75, 0.5]],
            "size_mm": 11.71,
        }
    ]
    common = {"calibration": some_id(20), "plane": "at-cornea", "at_us": 30 * SECOND_US}
    data["measures"] = [
        {"id": some_id(21), "kind": "length", "points": [[0.1, 0.1], [0.2, 0.2]], **common},
        {
            "id": some_id(22),
            "kind": "tip-path",
            "points": [[0.1, 0.1], [0.2, 0.2]],
            "times_us": [30 * SECOND_US, 31 * SECOND_US],
            **common,
        },
    ]


def ruler(**fields):
    return lambda data: data["calibrations"][0].update(fields)


def measure(number, **fields):
    return lambda data: data["measures"][number].update(fields)


BROKEN = [
    ("calibrations/0/id", lambda data: data["calibrations"].append(data["calibrations"][0])),
    ("calibrations/0/at_us", ruler(at_us=40 * SECOND_US)),
    ("calibrations/0/points", ruler(points=[[0.25, 0.5], [0.5, 0.25]])),
    ("calibrations/0/points", ruler(basis="known-length")),
    ("calibrations/0/part", ruler(part=2)),
    ("calibrations/0/basis", ruler(basis="pupil-ring")),
    ("calibrations/0/size_from", ruler(size_from="guessed")),
    ("calibrations/0/plane", ruler(plane="between")),
    ("calibrations/0", ruler(end_us=101 * SECOND_US)),
    ("measures/0/points", measure(0, points=[[0.1, 0.1]])),
    ("measures/0/kind", measure(0, kind="volume")),
    ("measures/0/plane", measure(0, plane="between")),
    ("measures/0/around_what", measure(0, around_what="lid")),
    ("measures/0/around", measure(0, around=[[0.1, 0.1], [0.2, 0.2]])),
    ("measures/0/optic", measure(0, optic=[[0.1, 0.1]])),
    ("measures/0/part", measure(0, part=2)),
    ("measures/0/calibration", measure(0, calibration=some_id(1))),
    ("measures/0/calibration", measure(0, at_us=40 * SECOND_US)),
    ("measures/0/times_us", measure(0, times_us=[30 * SECOND_US, 31 * SECOND_US])),
    ("measures/1/times_us", measure(1, times_us=[30 * SECOND_US])),
    ("measures/1/times_us", measure(1, times_us=[29 * SECOND_US, 31 * SECOND_US])),
    ("measures/1/times_us", measure(1, times_us=[30 * SECOND_US, 30 * SECOND_US])),
    ("measures/1/calibration", measure(1, times_us=[30 * SECOND_US, 40 * SECOND_US])),
    ("measures/1/times_us", measure(1, calibration=None, times_us=[30000000, 101000000])),
]


def both(change):
    def changed(data):
        measured(data)
        change(data)

    return changed


def problems(review, case, guide):
    return [problem.place for problem in review_problems(review, case, guide)]


def test_a_clean_ruler_and_clean_measures_break_no_rule(review_with, case_with, guide):
    assert problems(review_with(measured), case_with(None), guide) == []


@pytest.mark.parametrize(("place", "change"), BROKEN[1:])
def test_each_broken_rule_is_named_with_its_place_and_alone(
    place, change, review_with, case_with, guide
):
    assert problems(review_with(both(change)), case_with(None), guide) == [place]


def test_one_id_for_two_rulers_is_told(review_with, case_with, guide):
    found = problems(review_with(both(BROKEN[0][1])), case_with(None), guide)
    assert found == ["calibrations/1/id"]


@pytest.mark.parametrize("setting", ["practice-eye", "animal-eye", "simulator-film", "not-said"])
def test_a_human_size_is_never_assumed_but_for_patients(setting, review_with, case_with, guide):
    case = case_with(lambda data: data.update(setting=setting))
    assert problems(review_with(measured), case, guide) == ["calibrations/0/size_from"]
    unsaid = review_with(both(ruler(size_from="not-said")))
    assert problems(unsaid, case, guide) == ["calibrations/0/size_from"]
    for own in ("measured", "maker"):
        assert problems(review_with(both(ruler(size_from=own))), case, guide) == []


@pytest.mark.parametrize(
    ("zoom", "broken"),
    [
        ([(0, "x8")], False),
        ([(0, "x8"), (15, "x8")], False),
        ([(0, "x8"), (40, "x10")], False),
        ([(10, "x8"), (41, "x10")], False),
        ([(0, "x8"), (39, "x10")], True),
        ([(11, "x8")], True),
    ],
)
def test_a_ruler_does_not_hold_over_a_change_of_zoom(zoom, broken, review_with, case_with, guide):
    entries = [{"from_us": s * SECOND_US, "value": value} for s, value in zoom]
    case = case_with(lambda data: data.update(zoom=entries))
    found = problems(review_with(measured), case, guide)
    assert found == (["calibrations/0"] if broken else [])


def test_a_stretch_without_a_change_of_zoom_reaches_from_one_to_the_next(case_with):
    """The case lies from 1 s to 100 s; by hand."""
    zoom = [{"from_us": s * SECOND_US, "value": v} for s, v in ((50, "b"), (20, "a"), (60, "b"))]
    case = case_with(lambda data: data.update(zoom=zoom))

    def stretch(at_s):
        span = span_without_zoom_change(case, at_s * SECOND_US)
        return span.start_us // SECOND_US, span.end_us // SECOND_US

    assert [stretch(s) for s in (5, 20, 49, 50, 70)] == [
        (1, 20),
        (20, 50),
        (20, 50),
        (50, 100),
        (50, 100),
    ]
    assert span_without_zoom_change(case_with(None), 5) == Window(
        start_us=SECOND_US, end_us=100 * SECOND_US
    )


def test_a_newer_minor_version_may_know_more_words(review_with, case_with, guide):
    def newer(data):
        measured(data)
        data["version"] = "1.9"
        ruler(plane="between")(data)
        measure(0, kind="volume", around_what="lid")(data)

    assert problems(review_with(newer), case_with(None), guide) == []
