"""The Markdown critique read back with markdown-it-py."""

from __future__ import annotations

import pytest
from markdown_it import MarkdownIt

READER = MarkdownIt("commonmark", {"html": False}).enable("table")


def tables_by_heading(text: str) -> dict[str, list[list[str]]]:
    """Return each table's rows of cells, by the heading it stands under."""
    found: dict[str, list[list[str]]] = {}
    heading, last = "", ""
    for token in READER.parse(text):
        if token.type == "inline":
            plain = "".join(child.content for child in token.children or ())
            if last == "heading_open":
                heading = plain
            elif last in ("th_open", "td_open"):
                found.setdefault(heading, [[]])[-1].append(plain)
        elif token.type == "tr_open" and found.get(heading, [[]])[-1]:
            found.setdefault(heading, []).append([])
        last = token.type
    return found


@pytest.fixture(scope="module")
def tables(files):
    return tables_by_heading(files["critique.md"].decode())


def test_time_per_step_is_the_table_counted_by_hand(tables):
    head, *rows = tables["Time per step"]
    assert head[:4] == ["Step", "First start", "Time", "Share of the operation"]
    assert [row[:4] for row in rows] == [
        ["Side port", "0:00:08.000", "0:00:06.000", "5.2 %"],
        ["Viscoelastic in", "0:00:16.000", "0:00:09.000", "7.8 %"],
        ["Main wound", "0:00:24.000", "0:00:12.000", "10.4 %"],
        ["Capsulorhexis", "0:00:40.000", "0:00:34.000", "29.6 %"],
        ["– Starting the flap", "0:00:40.000", "0:00:08.000", "7.0 %"],
        ["– Leading the tear round", "0:00:48.000", "0:00:26.000", "22.6 %"],
        ["Hydrodissection", "0:01:18.000", "0:00:06.000", "5.2 %"],
        ["Nucleus removal", "0:01:28.000", "0:00:30.000", "26.1 %"],
        ["– Groove", "0:01:28.000", "0:00:22.000", "19.1 %"],
        ["– Cracking along a groove", "0:01:50.000", "0:00:08.000", "7.0 %"],
    ]


def test_every_row_of_every_table_has_a_cell_for_each_heading(tables):
    assert len(tables) >= 10
    for heading, (head, *rows) in tables.items():
        assert rows, heading
        assert {len(row) for row in rows} == {len(head)}, heading


def test_each_event_has_its_class_and_its_hour(tables):
    assert [(row[1], row[2], row[4]) for row in tables["Event by event"][1:]] == [
        ("Re-grab of the flap", "action", "3 (eye)"),
        ("Re-grab of the flap", "action", "1:30 (eye)"),
        ("Tear runs outward", "slip", "12 (eye)"),
        ("Anterior capsule torn out to the edge", "complication", "–"),
        ("Tear turned back inwards", "rescue", "–"),
        ("Inner cornea touched", "slip", "–"),
    ]


def test_a_table_of_lengths_says_that_duration_is_not_quality(files):
    text = files["critique.md"].decode()
    for part in text.split("\n### ")[1:]:
        head = next((line for line in part.splitlines() if line.startswith("|")), "")
        if {"Time", "Length"} & set(head.strip("| ").split(" | ")):
            assert "*Duration is not quality.*" in part, part.splitlines()[0]


def test_the_pictures_it_names_are_among_the_files(files):
    named = [
        str(child.attrs["src"])
        for token in READER.parse(files["critique.md"].decode())
        for child in token.children or ()
        if child.type == "image"
    ]
    # Two at the remark drawn on twice, one at five others; one for each of page one's points;
    # and one of a measure.
    assert len(named) == 2 + 5 + 3 + 1
    assert set(named) <= set(files)


def test_page_one_comes_before_everything_else(files):
    first, rest = files["critique.md"].decode().split("\n---\n", 1)
    headings = [line for line in first.splitlines() if line.startswith("## ")]
    assert headings == [
        "## What went well",
        "## What to work on",
        "## Practice until next time",
        "## Goal for the next case",
    ]
    words, _, _ = rest.partition("\n## The case\n")
    assert words.strip() == "Calm hands all the way; the next step is to see the tear earlier."
    assert first.count("### ") == 2 + 3
