"""The page on recordings says what is tested, and what it says is there."""

from __future__ import annotations

import ast
import re
from functools import cache
from itertools import dropwhile, takewhile
from pathlib import Path

import pytest
from made_films.catalogue import ALL, REFUSED
from made_films.store import REPOSITORY

import aftercase.media
from aftercase.errors import AftercaseError
from aftercase.media.recording import open_recording

PAGE = (REPOSITORY / "docs" / "reference" / "recordings.md").read_text(encoding="utf-8")
N_REPORTS = 76
TEST = re.compile(r"`(tests/\S+\.py)::(\w+)`")


def rows_after(heading: str) -> list[list[str]]:
    """The cells of the first table after a heading, its two head lines left out."""
    after = PAGE.split(heading)[1].splitlines()
    from_table = dropwhile(lambda line: not line.startswith("|"), after)
    lines = list(takewhile(lambda line: line.startswith("|"), from_table))
    return [[cell.strip() for cell in line.strip("|").split(" | ")] for line in lines[2:]]


@cache
def functions_of(file: str) -> frozenset[str]:
    path = REPOSITORY / file
    if not path.is_file():
        return frozenset()
    nodes = ast.walk(ast.parse(path.read_text(encoding="utf-8")))
    return frozenset(node.name for node in nodes if isinstance(node, ast.FunctionDef))


REPORTS = rows_after("## Public reports")


def test_every_report_has_its_row_in_order():
    assert [int(row[0]) for row in REPORTS] == list(range(1, N_REPORTS + 1))


@pytest.mark.parametrize("row", REPORTS, ids=lambda row: row[0])
def test_a_report_names_a_test_that_is_there_or_says_why_it_cannot_happen(row):
    named = TEST.findall(row[3])
    assert row[1]
    assert row[2]
    assert named or len(row[3].split()) >= 8
    assert [name for file, name in named if name not in functions_of(file)] == []


def test_the_table_has_every_kind_of_film_and_ours_is_right_on_all():
    rows = rows_after("<!-- table of readers -->")
    films = {row[0]: row[3] for row in rows if not row[0].startswith(("**", "films"))}
    assert set(films) == set(ALL)
    assert all(cell.startswith("all ") for cell in films.values())


@pytest.mark.parametrize("name", REFUSED)
def test_what_is_no_film_is_refused_in_words(name):
    from made_films.catalogue import film_path

    with pytest.raises(AftercaseError) as caught:
        open_recording([film_path(name)])
    assert caught.value.message
    assert caught.value.hint


def test_the_library_s_log_is_left_alone():
    """Setting its level or capturing it can stop a program with decoding threads for good."""
    sources = Path(aftercase.media.__path__[0]).rglob("*.py")
    assert not [path.name for path in sources if "av.logging" in path.read_text(encoding="utf-8")]
