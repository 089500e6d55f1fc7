"""The page on the guides names what the guides hold."""

from __future__ import annotations

import re
from functools import cache
from importlib.resources import files
from pathlib import Path

import pytest

from aftercase.model import guide as guide_model
from aftercase.model.base import Record
from aftercase.model.guide import Guide

PAGE = Path(__file__).parents[2] / "docs" / "reference" / "guides.md"
NAMES = ("cataract-phaco", "cataract-manual-small", "practice")
LISTS = (
    "steps",
    "instruments",
    "events",
    "techniques",
    "help",
    "takeover_reasons",
    "pause_causes",
    "unseen_reasons",
    "attempt_results",
    "difficulties",
    "usual_ranges",
    "tasks",
)


@cache
def page() -> str:
    return PAGE.read_text(encoding="utf-8")


@cache
def guide(name: str) -> Guide:
    text = (files("aftercase.data") / "guides" / f"{name}.json").read_text(encoding="utf-8")
    return Guide.model_validate_json(text)


def rows() -> set[tuple[str, ...]]:
    """Return the cells of every table row of the page."""
    lines = [line for line in page().splitlines() if line.startswith("| ")]
    return {tuple(c.strip(" `") for c in re.split(r"(?<!\\)\|", line)[1:-1]) for line in lines}


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("listed", LISTS)
def test_every_word_of_a_guide_stands_in_a_table_with_its_name(name: str, listed: str):
    known = rows()
    for record in getattr(guide(name), listed):
        shown = getattr(record, "name", None) or getattr(record, "measure", None) or record.about
        assert any(
            record.id in row and shown in row[row.index(record.id) + 1 :] for row in known
        ), record.id


@pytest.mark.parametrize("name", NAMES)
def test_every_event_stands_there_with_its_class_and_hour(name: str):
    known = rows()
    for kind in guide(name).events:
        if kind.event_class != "outside":
            expected = (kind.id, kind.name, kind.event_class, kind.hour)
            assert any(row[:4] == expected for row in known), kind.id


@pytest.mark.parametrize("name", NAMES)
def test_every_order_rule_and_every_header_word_stands_there(name: str):
    known = rows()
    for rule in guide(name).order:
        earlier = ", ".join(rule.not_before)
        assert any(
            row[0] == rule.kind
            and row[1].startswith(rule.step)
            and row[2].replace("`", "") == earlier
            for row in known
        ), rule.step
    for found in guide(name).header_lists:
        (row,) = (row for row in known if row[0] == found.field and len(row) == 2)
        assert {word.id for word in found.words} <= set(row[1].split(", "))


@pytest.mark.parametrize("name", NAMES)
def test_what_another_school_should_look_at_stands_there(name: str):
    section = page().split("## What two surgeons of other schools should look at")[1]
    for line in guide(name).second_look:
        assert f"| {line} |" in section


def test_every_field_of_a_guide_file_is_explained():
    section = page().split("## The file")[1]
    explained = set(re.findall(r"`([a-z_]+)`", section))
    records = [
        kind
        for kind in vars(guide_model).values()
        if isinstance(kind, type) and issubclass(kind, Record) and kind is not Record
    ]
    fields = {name for kind in records for name in kind.model_fields}
    assert len(records) == 12
    assert fields - explained == set()


def test_where_a_step_begins_is_told_in_the_guide_s_own_words():
    assert guide("cataract-phaco").span_rule in page()
    assert guide("cataract-phaco").pause_rule in page()
