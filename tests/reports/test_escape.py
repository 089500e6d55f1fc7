"""Typed text comes out as it was typed; a second reader of each format says so."""

from __future__ import annotations

import csv
import io
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st
from markdown_it import MarkdownIt

from aftercase.reports.escape import csv_cell, folded, lines_of, markdown, markdown_lines, visible
from aftercase.reports.escape import webvtt as vtt

READER = MarkdownIt("commonmark", {"html": False}).enable(["table", "strikethrough"])

AWKWARD = st.text(
    alphabet=st.sampled_from(
        list("\\`*_{}[]()<>#+-=.!|~&$:;'\"/ \n\r\t\x00\x0b\u202e\u00a0019aé手🙂")
    )
)
TYPED = st.one_of(AWKWARD, st.text())

HARMLESS_WORDS = [
    "Wound 2.4 mm, well placed",
    "4 to 6 o’clock",
    "12.5 s",
    "手術 – Öffnung",
    "العدسة في مكانها",
]


def text_of(rendered: str, element: str) -> str:
    """Return an element's text the way a browser would, by markup's five names only."""
    inside = re.search(rf"<{element}[^>]*>(.*)</{element}>", rendered, re.DOTALL)
    assert inside is not None, rendered
    text = inside[1].replace("<br />", "")
    assert not re.search("<[^>]*>", text), f"markup came out of typed text: {text}"
    for name, sign in (("&lt;", "<"), ("&gt;", ">"), ("&quot;", '"'), ("&amp;", "&")):
        text = text.replace(name, sign)
    return " ".join(text.split())


@given(TYPED)
def test_a_markdown_paragraph_reads_as_it_was_typed(text):
    typed = folded(text)
    rendered = READER.render(markdown(text))
    assert (text_of(rendered, "p") if typed else rendered) == typed


@given(TYPED)
def test_a_markdown_cell_reads_as_it_was_typed_and_stays_one_cell(text):
    rendered = READER.render(f"| a | b |\n| --- | --- |\n| {markdown(text)} | end |")
    cells = re.findall("<td>.*?</td>", rendered, re.DOTALL)
    assert [text_of(cell, "td") for cell in cells] == [folded(text), "end"]


@given(TYPED)
def test_a_markdown_heading_reads_as_it_was_typed(text):
    rendered = READER.render(f"### {markdown(text)}\n")
    assert text_of(rendered, "h3") == folded(text)


@given(TYPED)
def test_markdown_lines_keep_their_breaks_and_their_words(text):
    rendered = READER.render(markdown_lines(text))
    lines = lines_of(text)
    assert rendered.count("<br />") == max(0, len(lines) - 1)
    assert (text_of(rendered, "p") if lines else rendered) == " ".join(lines)


@given(TYPED)
def test_a_csv_cell_is_never_a_formula_and_reads_as_it_was_typed(text):
    written = io.StringIO(newline="")
    csv.writer(written, lineterminator="\r\n").writerow([csv_cell(text), "end"])
    [(cell, end)] = csv.reader(io.StringIO(written.getvalue(), newline=""))
    assert end == "end"
    assert not cell.startswith(("=", "+", "-", "@", "\t", "\r"))
    assert cell.removeprefix("'") == visible(text).removeprefix("'")


@given(TYPED)
def test_a_cue_holds_no_blank_line_no_tag_and_no_arrow(text):
    cue = vtt(text)
    assert "-->" not in cue
    assert not set("<>") & set(cue)
    assert all(line.strip() for line in cue.split("\n")) or not cue


@given(st.text())
def test_visible_text_holds_no_control_sign_and_no_direction_mark(text):
    shown = visible(text)
    assert not re.search(
        "[\x00-\x08\x0b-\x1f\x7f-\x9f\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069]", shown
    )
    assert visible(shown) == shown


@pytest.mark.parametrize("text", HARMLESS_WORDS)
def test_harmless_words_are_written_plain(text):
    assert (markdown(text), csv_cell(text), vtt(text)) == (text, text, text)


def test_a_lone_surrogate_can_still_be_written():
    assert visible("a\ud800b").encode() == "a\ufffdb".encode()


def test_empty_text_stays_empty():
    assert (visible(""), folded(" \n"), markdown(""), markdown_lines("\n"), vtt("")) == ("",) * 5
    assert csv_cell("") == ""
