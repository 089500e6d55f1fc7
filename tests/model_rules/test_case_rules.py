from __future__ import annotations

import pytest

from aftercase.model.rules import case_problems, unsafe_path

SECOND_US = 1_000_000


def set_to(*steps, value):
    """Return a change that puts a value at a place of the file's data."""

    def change(data):
        for step in steps[:-1]:
            data = data[step]
        data[steps[-1]] = value

    return change


def without(*names):
    def change(data):
        for name in names:
            del data[name]

    return change


def all_of(*changes):
    def change(data):
        for one in changes:
            one(data)

    return change


BROKEN = [
    ("parts/1/id", set_to("parts", 1, "id", value=f"id{101:024d}")),
    ("masks/0/id", set_to("masks", 0, "id", value=f"id{102:024d}")),
    ("parts/0/path", set_to("parts", 0, "path", value="../secret.mp4")),
    ("parts/0/path", set_to("parts", 0, "path", value="/etc/film.mp4")),
    ("parts/0/path", set_to("parts", 0, "path", value="C:\\film.mp4")),
    ("parts/0/path", set_to("parts", 0, "path", value="card\\..\\..\\film.mp4")),
    ("parts/0/path", set_to("parts", 0, "path", value="  ")),
    ("parts/0/path", set_to("parts", 0, "path", value="a\0b.mp4")),
    (
        "parts/1/end_us",
        all_of(without("window", "trim"), set_to("parts", 1, "end_us", value=60 * SECOND_US)),
    ),
    ("parts/1/start_us", set_to("parts", 1, "start_us", value=60 * SECOND_US + 1)),
    ("parts/0/start_us", set_to("parts", 0, "start_us", value=1)),
    ("parts/0/time_base", set_to("parts", 0, "time_base", value=[1, 0])),
    ("parts/0/time_base", set_to("parts", 0, "time_base", value=[-1, 90000])),
    ("parts", without("parts", "window", "trim")),
    ("stated_duration_us", set_to("stated_duration_us", value=0)),
    ("window", all_of(without("trim"), set_to("window", value={"start_us": 5, "end_us": 5}))),
    ("window", set_to("window", value={"start_us": -1, "end_us": 100 * SECOND_US})),
    ("window", set_to("window", "end_us", value=120 * SECOND_US + 1)),
    ("trim", set_to("trim", value={"start_us": 9, "end_us": 8})),
    ("trim", set_to("trim", "start_us", value=SECOND_US - 1)),
    ("trim", set_to("trim", "end_us", value=100 * SECOND_US + 1)),
    ("technique", set_to("technique", value=[{"from_us": 0, "value": "plain"}] * 2)),
    ("turn_deg", set_to("turn_deg", value=[{"from_us": 7, "value": 1.0}] * 3)),
    ("seat/0", set_to("seat", 0, "value", value="on the roof")),
    ("masks/0", set_to("masks", 0, "right", value=1.1)),
    ("masks/0", set_to("masks", 0, "left", value=0.5)),
    ("masks/0", set_to("masks", 0, "bottom", value=0.0)),
    ("masks/0/end_us", set_to("masks", 0, "end_us", value=0)),
    ("eye", set_to("eye", value="middle")),
    ("setting", set_to("setting", value="garage")),
    ("span_custom", set_to("span_custom", value="whenever")),
    ("guide", set_to("guide", "guide_version", value="2.0")),
    ("guide", set_to("guide", "id", value="three-step")),
    ("technique/0", set_to("technique", 0, "value", value="fancy")),
    ("anaesthesia", set_to("anaesthesia", value="magic")),
    ("difficulties/0", set_to("difficulties", 0, value="bad-mood")),
    ("critical_steps/0", set_to("critical_steps", 0, value="polishing")),
    ("planned_steps/0", set_to("planned_steps", 0, value="polishing")),
]


def test_a_clean_case_breaks_no_rule(case_with, guide):
    assert case_problems(case_with(None), guide) == []


@pytest.mark.parametrize(("place", "change"), BROKEN)
def test_each_broken_rule_is_named_with_its_place_and_alone(place, change, case_with, guide):
    assert [problem.place for problem in case_problems(case_with(change), guide)] == [place]


def test_a_case_needs_no_film_where_a_duration_is_stated(case_with, guide):
    def no_film(data):
        del data["parts"]
        data["stated_duration_us"] = 120 * SECOND_US

    assert case_problems(case_with(no_film), guide) == []


def test_header_words_nobody_said_are_no_broken_rule(case_with, guide):
    assert case_problems(case_with(set_to("anaesthesia", value="not-said")), guide) == []


def test_a_guide_without_a_list_of_difficulties_takes_any(case_with, guide):
    free = guide.changed(difficulties=())
    change = set_to("difficulties", 0, value="bad-mood")
    assert case_problems(case_with(change), free) == []


def test_every_broken_rule_is_told_not_only_the_first(case_with, guide):
    def many(data):
        for change in (BROKEN[2][1], BROKEN[9][1], BROKEN[28][1]):
            change(data)

    assert [problem.place for problem in case_problems(case_with(many), guide)] == [
        "parts/0/path",
        "parts/1/start_us",
        "eye",
    ]


def test_without_its_guide_only_words_of_the_guide_go_unchecked(case_with):
    assert case_problems(case_with(set_to("technique", 0, "value", value="fancy"))) == []
    assert len(case_problems(case_with(set_to("eye", value="middle")))) == 1


def test_a_newer_minor_version_may_know_more_words(case_with, guide):
    def newer(data):
        data["version"] = "1.4"
        data["eye"] = "third"

    assert case_problems(case_with(newer), guide) == []


def test_a_hidden_folder_and_dots_inside_a_name_are_safe():
    assert not unsafe_path(".hidden/op..final.mp4")


@pytest.mark.parametrize("path", ["//server/share/a.mp4", "\\\\server\\share\\a.mp4", "C:a.mp4"])
def test_names_that_another_system_reads_as_absolute_are_unsafe(path):
    assert unsafe_path(path)
