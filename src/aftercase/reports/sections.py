"""The measures of a review as the tables of a report: which columns, and what they are called."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Final

from aftercase.clock import text_of
from aftercase.metrics.subject import Subject
from aftercase.reports.cautions import REPORT_LOCALLY, has_complication
from aftercase.reports.content import Section
from aftercase.reports.framesheet import chosen
from aftercase.reports.recordsheets import (
    complication_sheet,
    flag_sheet,
    note_sheet,
    takeover_sheet,
    unseen_sheet,
)
from aftercase.reports.sheet import Column, Sheet
from aftercase.reports.words import UNSAID

_STEP: Final = Column("step_name", "Step", blank="outside any step")

TIME_COLUMNS: Final = (
    _STEP,
    Column("first_start", "First start", "moment"),
    Column("total", "Time", "length"),
    Column("share", "Share of the operation", "share"),
    Column("n_visits", "Visits", "count"),
    Column("longest_visit", "Longest visit", "length"),
    Column("idle", "Idle within", "length", blank="not marked"),
    Column("net", "Time less idle", "length", blank="not marked"),
)
PEOPLE_COLUMNS: Final = (
    _STEP,
    Column("performer", "Performed by", blank=UNSAID),
    Column("help", "Help", blank=UNSAID),
    Column("takeover", "Takeover", blank=UNSAID),
    Column("left_out_why", "Left out of comparisons because"),
)
ATTEMPT_COLUMNS: Final = (
    _STEP,
    Column("number", "Attempt", "count"),
    Column("start", "Start", "moment"),
    Column("length", "Time", "length"),
    Column("result", "Result", blank=UNSAID),
)
GAP_COLUMNS: Final = (
    Column("start", "Start", "moment"),
    Column("length", "Length", "length"),
    Column("kind", "Kind"),
    _STEP,
    Column("before", "Before"),
    Column("after", "After"),
    Column("cause", "Cause", blank=UNSAID),
    Column("counts_in_total", "In totals", "flag"),
)
CAUSE_COLUMNS: Final = (
    Column("cause", "Cause", blank=UNSAID),
    Column("n_gaps", "Gaps", "count"),
    Column("total", "Time", "length"),
)
EVENT_COLUMNS: Final = (
    Column("at", "When", "moment"),
    Column("name", "Event"),
    Column("event_class", "Class"),
    _STEP,
    Column("hour_text", "Clock hour"),
    Column("note", "Note"),
)
COUNT_COLUMNS: Final = (
    Column("name", "Event"),
    Column("event_class", "Class"),
    _STEP,
    Column("n", "Times", "count"),
    Column("per_minute", "Per minute of the step", "number"),
)
ARC_COLUMNS: Final = (
    _STEP,
    Column("at", "When", "moment"),
    Column("from_hour", "From hour", "number"),
    Column("to_hour", "To hour", "number"),
    Column("hour_clock", "Clock of"),
    Column("arc_deg", "Arc, degrees", "number"),
    Column("path_deg", "Path, degrees", "number"),
    Column("net_deg", "Net, degrees", "number"),
)
OVERLAP_COLUMNS: Final = (
    Column("start", "Start", "moment"),
    Column("length", "Length", "length"),
    _STEP,
    Column("other_name", "Together with"),
)
UNASSIGNED_COLUMNS: Final = (
    Column("start", "Start", "moment"),
    Column("end", "End", "moment"),
    Column("length", "Length", "length"),
)
ORDER_COLUMNS: Final = (
    Column("finding", "Finding"),
    Column("at", "When", "moment"),
    Column("text", "What was found"),
)
CRITICAL_COLUMNS: Final = (
    _STEP,
    Column("performer", "Performed by", blank=UNSAID),
    Column("by_trainee", "By the trainee", blank=UNSAID),
)
_BASIS_WORDS: Final = {
    "trim": "from and to where the case was trimmed",
    "steps": "from the start of the first step marked to the end of the last",
    "instruments": "from the start of the first instrument marked to the end of the last",
}


def steps_section(subject: Subject, sheets: Mapping[str, Sheet]) -> Section:
    """Return time and people per step; attempts, overlaps, notes and the like where there are."""
    steps = _with_parts_marked(sheets["steps"])
    tables = (
        replace(chosen(steps, "Who did what", PEOPLE_COLUMNS), name="people", notes=()),
        takeover_sheet(subject),
        chosen(sheets["attempts"], "Attempts", ATTEMPT_COLUMNS),
        chosen(sheets["overlaps"], "Steps that overlap", OVERLAP_COLUMNS),
        chosen(sheets["unassigned"], "Time that no step holds", UNASSIGNED_COLUMNS),
        note_sheet(subject),
    )
    notices = _window_notices(sheets["window"])
    times = chosen(steps, "Time per step", TIME_COLUMNS)
    return Section("Steps", (times, *_following(times, tables)), notices)


def gaps_section(subject: Subject, sheets: Mapping[str, Sheet], *, known: bool) -> Section:
    """Return the gaps, their causes and what could not be seen.

    Args:
        subject: The case, its guide and the review.
        sheets: The measures, by name.
        known: Whether instruments or pauses are marked; if not, nothing is said of gaps.
    """
    gaps = chosen(
        sheets["gaps"], "Gap by gap", GAP_COLUMNS, empty="No gap is counted." if known else ""
    )
    causes = chosen(sheets["gap-causes"], "Gaps by cause", CAUSE_COLUMNS)
    return Section("Gaps", (gaps, *_following(gaps, (causes, unseen_sheet(subject)))))


def events_section(subject: Subject, sheets: Mapping[str, Sheet]) -> Section:
    """Return the events one by one, counted, and complications with their course."""
    tables = (
        complication_sheet(subject),
        chosen(sheets["events"], "Events by kind and step", COUNT_COLUMNS),
        chosen(sheets["arcs"], "Arc of the tear from grip to grip", ARC_COLUMNS),
    )
    told = has_complication(subject.case, subject.guide, subject.review)
    notices = (REPORT_LOCALLY,) if told else ()
    listed = chosen(sheets["event-list"], "Event by event", EVENT_COLUMNS)
    return Section("Events", (listed, *_following(listed, tables)), notices)


def order_section(sheets: Mapping[str, Sheet]) -> Section:
    """Return what is to be said of the order of steps."""
    empty = "Nothing is out of order, missing, unplanned or returned to."
    known = bool(sheets["steps"].rows)
    order = chosen(sheets["order"], "Findings", ORDER_COLUMNS, empty=empty if known else "")
    return Section("Order of the steps", (order,))


def critical_section(sheets: Mapping[str, Sheet]) -> Section:
    """Return the critical portions and the supervisor's own statement; no verdict."""
    sheet = chosen(sheets["critical"], "Who did them", CRITICAL_COLUMNS, empty="")
    return Section("Critical portions", (sheet,))


def flags_section(subject: Subject) -> Section:
    """Return the moments to look at; a section without sheets where nothing is flagged."""
    sheet = flag_sheet(subject)
    return Section("Moments to look at", (sheet,) if sheet.rows else ())


def _with_parts_marked(steps: Sheet) -> Sheet:
    """Return the steps with a dash before the names of parts, which stand under their whole."""
    names = zip(steps.column("step_name"), steps.column("parent"), strict=True)
    marked = tuple(f"– {name}" if parent else name for name, parent in names)
    return steps.having("step_name", marked)


def _window_notices(window: Sheet) -> tuple[str, ...]:
    row = dict(zip([column.name for column in window.columns], window.rows[0], strict=True))
    if row["start"] is None:
        return window.notes
    start, end, length, before, after = (
        text_of(int(row[name] or 0)) for name in ("start", "end", "length", "before", "after")
    )
    basis = _BASIS_WORDS[str(row["basis"])]
    return (
        f"The operation: {start} to {end}, {length} in all; {basis}.",
        f"Before it the film shows {before}, after it {after}.",
        *window.notes,
    )


def _following(first: Sheet, sheets: Iterable[Sheet]) -> tuple[Sheet, ...]:
    """Return the sheets that have rows, without the notes that stand under the first already."""
    return tuple(
        replace(sheet, notes=tuple(note for note in sheet.notes if note not in first.notes))
        for sheet in sheets
        if sheet.rows
    )
