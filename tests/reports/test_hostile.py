"""Whatever is typed, wherever it is typed, every output shows it as text."""

from __future__ import annotations

import html
import io
import re

import av
import pandas as pd
import pytest
import webvtt
from markdown_it import MarkdownIt

from aftercase.metrics.subject import Settings, Subject
from aftercase.model.case import Density, MachineReading, SinceWord
from aftercase.model.review import Closing, Course, Review
from aftercase.reports.bundle import critique_files
from aftercase.reports.escape import csv_cell, folded, lines_of, visible

HOSTILE = [
    "=1+1",
    "<script>alert(1)</script>",
    "</style></title><img src=x onerror=alert(1)>",
    "a | b || c",
    "one line\nanother\n\n\nand a third",
    "\u202egpj.exe\u2067 \u200f",
    "a\x00b\x0bc\x1b[31m",
    "🙂👩🏽‍⚕️ 手術 Öffnung",
    "العدسة في مكانها",
    "# heading",
    "- list\n- of two",
    "![x](javascript:alert(1)) [y](https://example.org)",
    "a --> b",
    "```\ncode\n```",
    "{{ 7 * 7 }} {% raw %}",
    "&lt;b&gt; &amp; \" '",
    "back\\slash\\",
    "\t@SUM(A1)",
    "x" * 1_000_000,
]


def hostile_subject(subject: Subject, text: str) -> Subject:
    """Return the sample with the text in every field that a person can type into."""
    case, guide, review = subject.case, subject.guide, subject.review
    marked = {"text": text, "reason": text, "next_time": text, "note": text}
    course = Course(holder=text, first_sign_us=59_000_000)
    return Subject(
        case.changed(
            setting="patient",
            complications=(text,),
            critical_statement=text,
            second_procedure=text,
            result=text,
            eye=text,
            anaesthesia=text,
            density=Density(scale=text, value=1.0, kind=text),
            machine=(SinceWord(from_us=0, value=text),),
            technique=(SinceWord(from_us=0, value=text),),
            machine_readings=(
                MachineReading(
                    id=case.machine_readings[0].id, label=text, value=1.0, unit=text, machine=text
                ),
            ),
        ),
        guide.changed(
            name=text,
            span_rule=text,
            pause_rule=text,
            steps=tuple(s.changed(name=text, strip_label=text) for s in guide.steps),
            instruments=tuple(i.changed(name=text) for i in guide.instruments),
            events=tuple(e.changed(name=text) for e in guide.events),
            tasks=tuple(t.changed(about=text, task=text, met_when=text) for t in guide.tasks),
            pause_causes=tuple(c.changed(name=text) for c in guide.pause_causes),
            usual_ranges=tuple(u.changed(measure=text, usual=text) for u in guide.usual_ranges),
        ),
        review.changed(
            remarks=tuple(r.changed(**marked) for r in review.remarks),
            events=tuple(e.changed(note=text, course=course) for e in review.events),
            unseen=tuple(u.changed(note=text, reason=text) for u in review.unseen),
            steps=tuple(
                s.changed(performer=text, help=text, takeover=text, takeover_reason=text, note=text)
                for s in review.steps
            ),
            instruments=tuple(i.changed(note=text) for i in review.instruments),
            gap_causes=tuple(c.changed(note=text) for c in review.gap_causes),
            flags=tuple(f.changed(note=text) for f in review.flags),
            measures=tuple(m.changed(note=text) for m in review.measures),
            goals=tuple(
                g.changed(act=text, seen_when=text, from_case=None, outcome=text)
                for g in review.goals
            ),
            closing=Closing(**{**review.closing.model_dump(), "words": text}),
        ),
    )


def hostile_replies(review: Review, text: str) -> Review:
    """Return another person's review with the text in all it replies."""
    replies = tuple(r.changed(text=text, understood=text) for r in review.replies)
    return review.changed(role=text, replies=replies)


@pytest.fixture(scope="module", params=HOSTILE, ids=lambda text: folded(text)[:20])
def typed(request):
    return request.param


@pytest.fixture(scope="module")
def made(typed, subject, stills, others):
    # A megabyte in every field would only make a slow test: one remark holds it.
    if len(typed) > 1000:
        first, *rest = subject.review.remarks
        review = subject.review.changed(remarks=(first.changed(text=typed), *rest))
        subject = Subject(subject.case, subject.guide, review)
    else:
        subject = hostile_subject(subject, typed)
        others = [hostile_replies(one, typed) for one in others]
    return critique_files(subject, Settings(), stills, film_link="film.mp4", others=others)


def test_the_page_shows_it_and_gains_no_element(typed, made, files, read_html):
    page, plain = read_html(made["critique.html"]), read_html(files["critique.html"])
    assert folded(typed) in page.text
    assert {tag for tag, _ in page.tags} <= {tag for tag, _ in plain.tags}
    assert not page.all("script")
    assert not [name for _, attributes in page.tags for name in attributes if name.startswith("on")]
    links = [a["href"] for a in page.all("a")]
    assert all(link.startswith(("#", "./film.mp4#t=")) for link in links)


def test_markdown_shows_it_and_gains_no_link(typed, made, read_html):
    reader = MarkdownIt("commonmark", {"html": False}).enable(["table", "strikethrough"])
    page = read_html(reader.render(made["critique.md"].decode()))
    assert folded(typed) in page.text.replace("\u200b", "")
    assert not page.all("script", "a", "pre", "code", "s")
    assert all(a["src"].startswith("stills/") for a in page.all("img"))
    rows = re.findall("<tr>.*?</tr>", reader.render(made["critique.md"].decode()), re.DOTALL)
    assert {row.count("<td") + row.count("<th") for row in rows} <= {2, 3, 4, 5, 6, 7, 8}


def test_csv_holds_it_in_one_cell_that_calculates_nothing(typed, made):
    frame = pd.read_csv(io.BytesIO(made["critique.csv"]), encoding="utf-8-sig", lineterminator=None)
    assert frame["text"][0] == csv_cell(typed)
    assert frame["at_ms"].to_list()[0] == 31200
    for name in ("summary.csv", "gaps.csv", "events.csv", "measures.csv"):
        cells = pd.read_csv(io.BytesIO(made[name]), encoding="utf-8-sig", dtype=str).stack()
        assert not cells.str.match("[=+@\t\r-]").any(), name


def test_the_tracks_hold_it_in_their_cues(typed, made, files):
    for name in ("steps.vtt", "remarks.vtt"):
        assert made[name].count(b" --> ") == files[name].count(b" --> ")
        captions = list(webvtt.from_string(made[name].decode()))
        assert len(captions) == made[name].count(b" --> ")
    with av.open(io.BytesIO(made["remarks.vtt"]), format="webvtt") as container:
        assert len([p for p in container.demux() if p.pts is not None]) == 7
    words = html.unescape(next(webvtt.from_string(made["remarks.vtt"].decode()).iter_slice()).text)
    assert words.startswith("Well done: " + "\n".join(lines_of(typed))[:1000])


def test_no_output_holds_a_control_sign_or_a_mark_that_turns_the_direction(made):
    for name, content in made.items():
        if not name.startswith("stills/"):
            text = content.decode("utf-8-sig")
            assert visible(text) == text.replace("\r\n", "\n"), name
