"""The page that explains the files names every file and every column there is."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

DOCS = Path(__file__).parents[2] / "docs/reference/report-files.md"


def columns_explained(text: str) -> list[str]:
    cells = re.findall(r"^\| (`[^|]*) \|", text, re.MULTILINE)
    return [name for cell in cells for name in re.findall("`([a-z_]+)`", cell)]


@pytest.mark.parametrize(
    "name", ["critique.csv", "summary.csv", "gaps.csv", "events.csv", "measures.csv"]
)
def test_every_column_is_explained_in_its_order(name, files):
    text = DOCS.read_text(encoding="utf-8")
    shared = text.split("\n## CSV files\n")[1].split("\n### ")[0]
    own = text.split(f"\n### `{name}`\n")[1].split("\n#")[0]
    columns = files[name].decode("utf-8-sig").splitlines()[0].split(",")
    assert [*columns_explained(shared), *columns_explained(own)] == columns


def test_every_file_is_named(files):
    text = DOCS.read_text(encoding="utf-8")
    for name in files:
        assert f"| `{name}` |" in text or name.startswith("stills/")
