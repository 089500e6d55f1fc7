"""The lists every shipped guide carries: help, causes, reasons, density, header words, tasks.

What they hold is common practice; wording and what counts against whom are an own choice.
"""

from __future__ import annotations

import re
from functools import cache
from importlib.resources import files

import pytest

from aftercase.model.guide import Guide

NAMES = ("cataract-phaco", "cataract-manual-small", "practice")
CATARACT = NAMES[:2]


def words(text: str) -> list[str]:
    """Return the words of a list written as one text."""
    return text.split()


@cache
def guide(name: str) -> Guide:
    text = (files("aftercase.data") / "guides" / f"{name}.json").read_text(encoding="utf-8")
    return Guide.model_validate_json(text)


def ids(records: object) -> list[str]:
    return [record.id for record in records]  # type: ignore[attr-defined]


@pytest.mark.parametrize("name", NAMES)
def test_help_has_seven_levels_and_starts_as_not_said(name: str):
    assert ids(guide(name).help) == (
        words("not-said alone reminded talked-through hands-on shown taken-over")
    )


@pytest.mark.parametrize("name", NAMES)
def test_most_takeovers_are_no_outcome_and_asking_is_credit(name: str):
    counted = {reason.id: reason.counts_as for reason in guide(name).takeover_reasons}
    assert counted == {
        "safety": "information",
        "complication": "information",
        "planned": "not-an-outcome",
        "demonstration": "not-an-outcome",
        "time": "not-an-outcome",
        "asked": "credit",
        "patient": "not-an-outcome",
        "equipment": "not-an-outcome",
        "not-said": "left-out",
    }


@pytest.mark.parametrize("name", NAMES)
def test_only_hesitation_can_be_set_against_a_person_and_only_by_the_teacher(name: str):
    causes = guide(name).pause_causes
    other = {cause.id: cause.counts_as for cause in causes if cause.counts_as != "nobody"}
    assert other == {
        "hesitation": "teacher-decides",
        "not-in-picture": "unseen",
        "not-said": "apart",
    }
    assert len(causes) == (17 if name == "practice" else 16)
    assert ("material" in ids(causes)) is (name == "practice")


@pytest.mark.parametrize("name", NAMES)
def test_there_are_sixteen_reasons_why_something_cannot_be_seen(name: str):
    assert len(guide(name).unseen_reasons) == 16


@pytest.mark.parametrize("name", CATARACT)
def test_density_has_five_values_and_nine_kinds_that_lie_on_no_scale(name: str):
    density = guide(name).density
    assert density is not None
    assert [v.name for v in density.values] == ["soft", "slight", "medium", "dense", "very dense"]
    assert len(density.kinds) == 9
    named = next(found for found in guide(name).header_lists if found.field == "density-kind")
    assert tuple(ids(named.words)) == density.kinds


@pytest.mark.parametrize("name", CATARACT)
def test_there_are_26_reasons_why_a_case_was_hard(name: str):
    assert len(guide(name).difficulties) == 26


def test_the_header_lists_offer_these_words():
    lists = {found.field: ids(found.words) for found in guide("cataract-manual-small").header_lists}
    assert lists == {
        "anaesthesia": words("drops drops-and-chamber sub-tenon block-around-eye general not-said"),
        "seat": words("temporal superior superotemporal superonasal other"),
        "hand": ["right", "left", "both"],
        "planned-part": (
            words("whole-operation chosen-steps from-the-end-backwards observation not-said")
        ),
        "second-procedure": (
            words("angle-stent filtering retinal corneal-graft astigmatic-cuts iris surface other")
        ),
        "result": (
            words("as-planned technique-changed converted-to-manual staged referred-on not-said")
        ),
        "setting": ["patient", "practice-eye", "animal-eye", "simulator-film"],
        "density-kind": list(guide("cataract-phaco").density.kinds),  # type: ignore[union-attr]
        "capsule-opening-kind": ["round", "can-opener", "linear", "v-shaped", "mixed"],
    }


def test_a_practice_task_points_at_drills_that_exist():
    drills = guide("practice").step_by_id
    for name in NAMES:
        for task in guide(name).tasks:
            assert task.drill_guide == (None if name == "practice" else "practice")
            assert task.drills
            assert set(task.drills) <= set(drills)
    assert len(guide("cataract-phaco").tasks) == len(guide("practice").tasks) == 10


@pytest.mark.parametrize("name", NAMES)
def test_a_task_and_a_step_never_share_an_id(name: str):
    assert not set(ids(guide(name).tasks)) & set(guide(name).step_by_id)


@pytest.mark.parametrize("name", NAMES)
def test_a_published_figure_names_its_source(name: str):
    for usual in guide(name).usual_ranges:
        if usual.source == "published":
            assert re.search(r"pages|abstract|20\d\d|[Pp]ublished", usual.caution), usual.id


@pytest.mark.parametrize("name", NAMES)
def test_every_guide_says_where_a_step_begins_and_what_a_pause_is(name: str):
    assert "first frame on which its instrument touches the eye" in guide(name).span_rule
    assert "no counting instrument of either hand" in guide(name).pause_rule


@pytest.mark.parametrize("name", NAMES)
def test_every_guide_says_what_another_school_should_look_at(name: str):
    assert len(guide(name).second_look) >= 5
