"""The frozen schemas say what the models say, for ever."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import jsonschema
import pytest

from aftercase.document.schema import schema_bytes, schema_name, schema_of, write_schemas
from aftercase.document.versions import FORMATS

SCHEMAS = Path(__file__).parents[2] / "schemas"
IN_WORDS = ("description", "title")
AGAIN = "run: python -m aftercase.document.schema schemas/"


def without_words(schema):
    """Return a schema without what only people read; names of fields are kept."""
    if isinstance(schema, list):
        return [without_words(one) for one in schema]
    if not isinstance(schema, dict):
        return schema
    return {
        name: (
            {field: without_words(one) for field, one in value.items()}
            if name in ("properties", "$defs")
            else without_words(value)
        )
        for name, value in schema.items()
        if name not in IN_WORDS
    }


def parts_of(schema):
    if isinstance(schema, dict):
        yield schema
        for value in schema.values():
            yield from parts_of(value)
    elif isinstance(schema, list):
        for value in schema:
            yield from parts_of(value)


@pytest.mark.parametrize("kind", FORMATS, ids=schema_name)
def test_a_frozen_schema_still_says_what_the_model_says(kind):
    frozen = json.loads((SCHEMAS / schema_name(kind)).read_text(encoding="utf-8"))
    assert without_words(frozen) == without_words(schema_of(kind)), (
        f"the format changed: raise its minor version in the model, add a file to tests/corpus, "
        f"and {AGAIN} (a version that was never released is frozen anew instead)"
    )


@pytest.mark.parametrize("kind", FORMATS, ids=schema_name)
def test_a_frozen_schema_has_the_model_s_words(kind):
    frozen = (SCHEMAS / schema_name(kind)).read_bytes()
    assert frozen == schema_bytes(kind), f"only the descriptions changed: {AGAIN}"


@pytest.mark.parametrize("path", sorted(SCHEMAS.glob("*.json")), ids=lambda path: path.name)
def test_every_frozen_schema_is_a_good_one_and_allows_fields_of_later_versions(path):
    schema = json.loads(path.read_text(encoding="utf-8"))
    jsonschema.Draft202012Validator.check_schema(schema)
    assert schema["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    assert {"format", "version"} <= set(schema["required"])
    assert {"id", "code"} & set(schema["required"])
    objects = [part for part in parts_of(schema) if part.get("type") == "object"]
    assert objects
    assert all(part.get("additionalProperties", True) is True for part in objects)


@pytest.mark.parametrize("kind", FORMATS, ids=schema_name)
def test_a_schema_is_named_by_its_version(kind):
    version = FORMATS[kind][1]
    assert schema_of(kind)["$id"].endswith(f":{version}")


def test_schemas_are_written_one_file_a_format(tmp_path):
    written = write_schemas(tmp_path)
    assert {path.name for path in written} == {
        "case-1.2.schema.json",
        "review-1.3.schema.json",
        "guide-1.0.schema.json",
        "intake-1.0.schema.json",
    }
    assert {path.name for path in tmp_path.iterdir()} == {path.name for path in written}


def test_the_command_that_the_failing_test_names_works(tmp_path):
    command = [sys.executable, "-m", "aftercase.document.schema", str(tmp_path)]
    done = subprocess.run(command, capture_output=True, text=True, check=True)
    assert done.stdout.splitlines() == [str(tmp_path / schema_name(kind)) for kind in FORMATS]
    for kind in FORMATS:
        assert (tmp_path / schema_name(kind)).read_bytes() == schema_bytes(kind)
