"""The critique as Markdown: typed text comes out as typed, tables as tables."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Final

from aftercase.clock import text_of
from aftercase.metrics.picturecautions import APPROXIMATE
from aftercase.reports.cautions import NOT_QUALITY
from aftercase.reports.content import (
    CritiqueContent,
    FrontPage,
    GoalItem,
    MeasureItem,
    RemarkItem,
    Section,
    Still,
    TaskItem,
)
from aftercase.reports.escape import markdown, markdown_lines
from aftercase.reports.sheet import NUMERIC, Sheet, shown

STILL_FOLDER: Final = "stills"


def critique_markdown(content: CritiqueContent) -> bytes:
    """Return the critique as a Markdown file; its stills lie beside it in ``stills/``."""
    return ("\n\n".join(block for block in _blocks(content) if block) + "\n").encode()


def _blocks(content: CritiqueContent) -> Iterator[str]:
    yield f"# {markdown(content.title)}"
    yield markdown(content.byline)
    yield f"Printed on {markdown(content.printed_on)}" if content.printed_on else ""
    yield from _front(content.front)
    yield "---"
    yield markdown_lines(content.front.words)
    yield "## The case"
    yield _table(("Field", "Value"), "--", ((fact.label, fact.value) for fact in content.header))
    yield from _section(content.steps)
    yield "## Remarks by step"
    yield "" if content.remarks else "No remarks."
    for group in content.remarks:
        yield f"### {markdown(group.step)}"
        for remark in group.remarks:
            yield from _remark(remark)
    for section in (content.gaps, content.events):
        yield from _section(section)
    yield from _measures(content.measures)
    for section in (content.order, content.critical):
        yield from _section(section)
    yield from _section(content.flags) if content.flags.sheets else ()
    yield "## Goals"
    yield _goals(content.goals)
    yield "## What the words mean"
    for definition in content.definitions:
        yield f"**{markdown(definition.title)}.** {markdown(definition.text)}"
    yield "## Cautions"
    yield "\n".join(f"- {markdown(caution)}" for caution in content.cautions)


def _front(front: FrontPage) -> Iterator[str]:
    yield markdown(front.notice)
    yield "## What went well"
    yield "" if front.strengths else "Nothing chosen."
    for remark in front.strengths:
        yield f"### {_place(remark)}"
        yield from _words(remark)
    yield "## What to work on"
    yield "" if front.points else "Nothing chosen."
    for number, remark in enumerate(front.points, start=1):
        yield f"### {number}. {_place(remark)}"
        yield from _stills(remark.stills[:1])
        yield from _words(remark)
        yield _said("Next time", remark.next_time)
    yield "## Practice until next time"
    yield from _task(front.task)
    yield "## Goal for the next case"
    yield "" if front.goals else "No goal was set."
    for goal in front.goals:
        yield from _goal(goal)


def _words(remark: RemarkItem) -> Iterator[str]:
    yield markdown_lines(remark.text)
    yield _said("Why it matters", remark.reason)


def _remark(remark: RemarkItem) -> Iterator[str]:
    star = " · starred" if remark.starred else ""
    yield f"**{remark.when} · {markdown(remark.kind)}{star}**"
    yield from _stills(remark.stills)
    yield from _words(remark)
    yield _said("Next time", remark.next_time)
    yield _said("Note", remark.note)
    yield _said("Form item", remark.form_item)
    yield _said("Adopted from", remark.adopted_from)
    for reply in remark.replies:
        yield _said(reply.label, reply.text)


def _place(remark: RemarkItem) -> str:
    return f"{remark.when} · {markdown(remark.step)}" if remark.step else remark.when


def _said(label: str, text: str) -> str:
    return f"*{markdown(label)}:* {markdown_lines(text)}" if text.strip() else ""


def _stills(stills: Iterable[Still]) -> Iterator[str]:
    for still in stills:
        yield f"![{markdown(still.alt)}]({STILL_FOLDER}/{still.file_name})"
        yield f"*Drawn on the picture at {text_of(still.at_us)}*" if still.drawn else ""


def _task(task: TaskItem | None) -> Iterator[str]:
    if task is None:
        yield "No practice task was chosen."
        return
    yield f"**{markdown(task.task)}**" if task.task.strip() else ""
    yield _said("About", task.about)
    yield _said("Met when", task.met_when)
    yield _said("Drills", ", ".join(task.drills))


def _goal(goal: GoalItem) -> Iterator[str]:
    yield f"**{markdown(goal.act)}**" if goal.act.strip() else ""
    yield _said("Step", goal.step)
    yield _said("Seen when", goal.seen_when)


def _goals(goals: Iterable[GoalItem]) -> str:
    rows = [
        (
            goal.act,
            goal.step or "–",
            goal.seen_when or "not said",
            goal.task or "–",
            f"case {goal.from_case}" if goal.from_case else "this case",
            goal.outcome,
            goal.evidence_when or "–",
        )
        for goal in goals
    ]
    labels = ("Goal", "Step", "Seen when", "Practice", "Set in", "Outcome", "Evidence at")
    return _table(labels, "-" * len(labels), rows) if rows else "No goals."


def _section(section: Section) -> Iterator[str]:
    yield f"## {markdown(section.title)}"
    yield from map(markdown, section.notices)
    for sheet in section.sheets:
        yield from _sheet(sheet)


def _sheet(sheet: Sheet) -> Iterator[str]:
    yield f"### {markdown(sheet.title)}"
    if sheet.rows:
        yield _table(
            [column.label for column in sheet.columns],
            ["r" if column.kind in NUMERIC else "l" for column in sheet.columns],
            (map(shown, row, sheet.columns) for row in sheet.rows),
        )
        yield f"*{NOT_QUALITY}*" if sheet.shows_lengths else ""
    else:
        yield markdown(sheet.empty)
    yield "\n".join(f"- {markdown(note)}" for note in sheet.notes)


def _measures(measures: Iterable[MeasureItem]) -> Iterator[str]:
    for number, one in enumerate(measures):
        yield "" if number else f"## Measured on the picture\n\n{markdown(APPROXIMATE)}"
        yield f"### {text_of(one.at_us)} · {markdown(one.name)}"
        yield from _stills(one.stills)
        yield _said("Note", one.note)
        if one.numbers:
            rows = ((fact.label, fact.value) for fact in one.numbers)
            yield _table(("Number", "Value"), "lr", rows)
        yield markdown(one.hours)
        yield "\n".join(f"- {markdown(sentence)}" for sentence in one.said)


def _table(labels: Iterable[str], sides: Iterable[str], rows: Iterable[Iterable[str]]) -> str:
    rules = ["---:" if side == "r" else "---" for side in sides]
    lines = [map(markdown, labels), rules, *(map(markdown, row) for row in rows)]
    return "\n".join(f"| {' | '.join(line)} |" for line in lines)
