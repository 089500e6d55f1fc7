"""JSON Schemas (2020-12) of the files, one frozen file per released version.

``python -m aftercase.document.schema FOLDER`` writes those of the current version.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Any

from aftercase.document.versions import FORMATS
from aftercase.model.base import Record
from aftercase.storage import write_all


def schema_name(kind: type[Record]) -> str:
    """Return the file name of a document's current schema.

    Example:
        >>> from aftercase.model.case import Case
        >>> schema_name(Case)
        'case-1.2.schema.json'
    """
    name, version = FORMATS[kind]
    return f"{name.partition('/')[2]}-{version}.schema.json"


def schema_of(kind: type[Record]) -> dict[str, Any]:
    """Return the JSON Schema of a document as it is written; unknown properties are allowed."""
    name, version = FORMATS[kind]
    schema = kind.model_json_schema(mode="serialization")
    schema["required"] = sorted({*schema.get("required", ()), "format", "version"})
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "$id": f"urn:{name.replace('/', ':')}:{version}",
        **schema,
    }


def schema_bytes(kind: type[Record]) -> bytes:
    """Return the schema's file content."""
    text = json.dumps(schema_of(kind), ensure_ascii=False, indent=2, sort_keys=True)
    return (text + "\n").encode()


def write_schemas(folder: Path) -> list[Path]:
    """Write the current schema of every kind of document into a folder."""
    files = {folder / schema_name(kind): schema_bytes(kind) for kind in FORMATS}
    write_all(files)
    return list(files)


if __name__ == "__main__":
    for written in write_schemas(Path(sys.argv[1])):
        print(written)
