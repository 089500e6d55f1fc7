"""The page on the case format explains every field of a header and of a review."""

from __future__ import annotations

import re
import types
import typing
from pathlib import Path

import pytest

from aftercase.model import picture
from aftercase.model.base import Record
from aftercase.model.case import Case
from aftercase.model.review import Review

PAGE = Path(__file__).parents[2] / "docs" / "reference" / "case-format.md"


def records_in(annotation: object) -> list[type[Record]]:
    """Return the records a field's type holds, at any depth of tuples and alternatives."""
    if isinstance(annotation, type) and not isinstance(annotation, types.GenericAlias):
        return [annotation] if issubclass(annotation, Record) else []
    return [kind for inner in typing.get_args(annotation) for kind in records_in(inner)]


def nested(kind: type[Record]) -> dict[str, type[Record]]:
    """Return a record and all records inside it, by name."""
    found = {kind.__name__: kind}
    for field in kind.model_fields.values():
        for inner in records_in(field.annotation):
            if inner.__name__ not in found:
                found |= nested(inner)
    return found


RECORDS = nested(Case) | nested(Review) | {"FrameShape": picture.FrameShape}


def part_of_page(start: str, end: str | None) -> str:
    text = PAGE.read_text(encoding="utf-8").split(f"\n## {start}", 1)[1]
    return text.split(f"\n## {end}", 1)[0] if end else text


def explained(text: str) -> set[str]:
    """Return the names in the first two cells of the table rows, where fields stand."""
    rows = [line.split("|")[1:3] for line in text.splitlines() if line.startswith("| ")]
    return {name for row in rows for cell in row for name in re.findall(r"`([a-z0-9_]+)`", cell)}


def test_the_records_of_header_and_review_are_found():
    assert {
        "Case",
        "Part",
        "SinceFlag",
        "Mask",
        "Review",
        "Origin",
        "Course",
        "StatedHour",
        "Reply",
        "Calibration",
        "Measure",
    } <= set(RECORDS)
    assert len(RECORDS) == 31


def test_every_field_of_the_header_is_explained_in_its_table():
    section = part_of_page("The header", "A review")
    table = section.split("### GuideReference")[0]
    assert explained(table) >= set(Case.model_fields)


def test_every_field_of_a_review_is_explained_in_its_table():
    table = part_of_page("A review", None).split("### What every mark has")[0]
    assert explained(table) >= set(Review.model_fields)


@pytest.mark.parametrize("name", sorted(set(RECORDS) - {"Case", "Review"}))
def test_every_field_of_a_record_inside_them_is_explained(name: str):
    section = part_of_page("The header", None)
    names = {*explained(section), *re.findall(r"`([a-z_]+)`", section.split("FrameShape")[1])}
    assert set(RECORDS[name].model_fields) - names == set()
    assert name in section


@pytest.mark.parametrize("name", sorted(set(RECORDS) - {"Case", "Review"}))
def test_the_fields_of_a_record_stand_under_its_own_heading(name: str):
    section = part_of_page("The header", None)
    start = re.search(rf"^(?:###[^\n]*\b{name}\b|{name}:$)", section, re.MULTILINE)
    if start is None:
        assert name == "FrameShape"
        return
    own = re.split(r"\n(?:###? |[A-Z][A-Za-z]+:\n)", section[start.start() + 1 :])[0]
    shared = {"id", "note", "adopted_from"}
    assert set(RECORDS[name].model_fields) - explained(own) <= shared


@pytest.mark.parametrize("kind", [Case, Review])
def test_every_plain_default_is_the_one_the_page_tells(kind: type[Record]):
    lines = PAGE.read_text(encoding="utf-8").splitlines()
    for name, field in kind.model_fields.items():
        default = field.default
        if isinstance(default, str) and default:
            rows = [line for line in lines if line.startswith(f"| `{name}` |")]
            assert any(f"`{default}`" in row for row in rows), name


def test_the_page_explains_no_field_that_does_not_exist():
    real = {name for kind in RECORDS.values() for name in kind.model_fields}
    assert explained(part_of_page("The header", None)) - real == set()
