"""Every released format version, good and bad, read by the program and by a second validator."""

from __future__ import annotations

import json
from pathlib import Path

import jsonschema
import pytest

from aftercase.document.codec import decoded, encoded
from aftercase.document.files import read_document
from aftercase.document.guides import shipped_guides
from aftercase.document.schema import schema_name
from aftercase.document.versions import FORMATS
from aftercase.errors import DocumentBroken, DocumentTooNew
from aftercase.model.base import Record
from aftercase.model.case import Case
from aftercase.model.guide import Guide
from aftercase.model.intake import IntakeList
from aftercase.model.review import Review

CORPUS = Path(__file__).parent
SCHEMAS = CORPUS.parents[1] / "schemas"
KINDS = {"case": Case, "review": Review, "guide": Guide, "intake": IntakeList}
NOT_IN_A_SCHEMA = {"no-json", "empty", "field-twice", "not-utf-8", "not-a-number"}
"""Faults of the text itself, which a schema never sees."""


def files(folder):
    found = sorted(CORPUS.glob(f"*/{folder}/*.json"))
    return [pytest.param(path, id=f"{path.parts[-3]}-{path.stem}") for path in found]


def kind_of(path):
    return KINDS[path.parts[-3]]


def validator(kind):
    return validator_named(schema_name(kind))


def validator_named(name):
    schema = json.loads((SCHEMAS / name).read_text(encoding="utf-8"))
    return jsonschema.Draft202012Validator(schema)


def own_schema(path):
    """Return the name of the schema a file was written by; a newer minor has the current one."""
    version = json.loads(path.read_bytes())["version"]
    own = f"{path.parts[-3]}-{version}.schema.json"
    return own if (SCHEMAS / own).exists() else schema_name(kind_of(path))


def current(kind):
    """Return the current version of a kind of document, as its files are named."""
    return FORMATS[KINDS[kind]][1]


@pytest.mark.parametrize("path", files("good"))
def test_a_good_file_is_read_and_fits_its_schema(path):
    stored = read_document(kind_of(path), path)
    assert validator_named(own_schema(path)).is_valid(json.loads(path.read_bytes()))
    assert decoded(kind_of(path), encoded(stored.record), path) == stored.record


@pytest.mark.parametrize("path", files("good"))
def test_what_is_written_again_fits_its_schema_and_has_lost_nothing(path):
    before = json.loads(path.read_bytes())
    written = json.loads(encoded(read_document(kind_of(path), path).record))
    assert validator(kind_of(path)).is_valid(written)
    numbers = [tuple(map(int, data.pop("version").split("."))) for data in (before, written)]
    here = tuple(map(int, current(path.parts[-3]).split(".")))
    assert numbers[1] == max(numbers[0], here)
    assert_within(before, written)


def assert_within(part, whole):
    """Assert that all values of one JSON value stand in the other at the same place."""
    if isinstance(part, dict):
        assert set(part) <= set(whole)
        for name, value in part.items():
            assert_within(value, whole[name])
    elif isinstance(part, list):
        for value, other in zip(part, whole, strict=True):
            assert_within(value, other)
    else:
        assert part == whole


@pytest.mark.parametrize("kind", ["case", "review", "intake"])
def test_the_full_file_of_the_current_version_is_written_back_byte_for_byte(kind):
    path = CORPUS / kind / "good" / f"{current(kind)}-full.json"
    assert encoded(read_document(KINDS[kind], path).record) == path.read_bytes()


@pytest.mark.parametrize("kind", ["case", "review", "intake"])
def test_the_full_file_uses_every_field_there_is(kind):
    path = CORPUS / kind / "good" / f"{current(kind)}-full.json"
    record = read_document(KINDS[kind], path).record
    for one in records_in(record):
        unset = set(type(one).model_fields) - one.model_fields_set
        assert not unset, f"{type(one).__name__} {unset}: add it to {path.name}"


def records_in(value):
    """Yield a record and all those inside it."""
    if isinstance(value, Record):
        yield value
        for name in type(value).model_fields:
            yield from records_in(getattr(value, name))
    elif isinstance(value, tuple):
        for one in value:
            yield from records_in(one)


@pytest.mark.parametrize("path", files("bad"))
def test_a_bad_file_is_refused_with_what_to_do(path):
    with pytest.raises(DocumentBroken) as caught:
        read_document(kind_of(path), path)
    assert caught.value.path == str(path)
    assert caught.value.hint


@pytest.mark.parametrize("path", files("bad"))
def test_the_schema_refuses_the_same_bad_files(path):
    if path.stem in NOT_IN_A_SCHEMA:
        return
    assert not validator(kind_of(path)).is_valid(json.loads(path.read_bytes()))


@pytest.mark.parametrize("path", files("too-new"))
def test_a_newer_major_version_is_refused_untouched(path):
    before = path.read_bytes()
    with pytest.raises(DocumentTooNew):
        read_document(kind_of(path), path)
    assert path.read_bytes() == before


@pytest.mark.parametrize("name", sorted(shipped_guides()))
def test_a_shipped_guide_fits_its_schema(name):
    written = json.loads(encoded(shipped_guides()[name]))
    assert validator(Guide).is_valid(written)


@pytest.mark.parametrize("kind", KINDS)
def test_every_released_version_has_its_files(kind):
    schemas = SCHEMAS.glob(f"{kind}-*.schema.json")
    released = {path.name.split("-")[1].removesuffix(".schema.json") for path in schemas}
    tried = {path.stem.split("-")[0] for path in (CORPUS / kind / "good").glob("*.json")}
    assert "1.0" in released <= tried


ODD_VALUES = (None, True, -1, 0.5, 13, 10**30, "", "x", "../x", [], ["x"], {}, "1.0")


def variants(data):
    """Yield copies of a JSON value in which one place holds something odd, or is missing."""
    if isinstance(data, dict):
        for name in data:
            yield f"{name} left out", {k: v for k, v in data.items() if k != name}
    if isinstance(data, dict | list):
        for key in data if isinstance(data, dict) else range(len(data)):
            inner = ((f"is {odd!r}", odd) for odd in ODD_VALUES)
            for what, value in (*inner, *variants(data[key])):
                changed = data.copy()
                changed[key] = value
                yield f"{key}/{what}", changed


def reads(kind, data):
    try:
        decoded(kind, json.dumps(data).encode(), Path("x.json"))
    except (DocumentBroken, DocumentTooNew):
        return False
    return True


@pytest.mark.parametrize("kind", KINDS)
def test_reader_and_schema_agree_on_one_odd_value_at_any_place(kind):
    """A second implementation of the format, the `jsonschema` library, answers the same."""
    name = f"{current(kind)}-{'minimal' if kind == 'guide' else 'full'}"
    data = json.loads((CORPUS / kind / "good" / f"{name}.json").read_bytes())
    schema = validator(KINDS[kind])
    differing = [
        (what, "read" if reads(KINDS[kind], odd) else "refused")
        for what, odd in variants(data)
        if reads(KINDS[kind], odd) != schema.is_valid(odd)
    ]
    assert differing == []
