"""A review made into the content of its critique, once for all writers."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from typing import Final

from aftercase.clock import SECOND_US
from aftercase.metrics.gaps import NOT_MARKED, gaps_of
from aftercase.metrics.measures import measured
from aftercase.metrics.picture import PictureMeasure
from aftercase.metrics.steps import families, visits
from aftercase.metrics.subject import Settings, Subject
from aftercase.metrics.table import Table
from aftercase.metrics.tables import shown_window, step_frame
from aftercase.model.review import Review
from aftercase.reports.cautions import CAUTIONS, NOT_QUALITY
from aftercase.reports.content import (
    ClockPicture,
    CritiqueContent,
    Cue,
    Definition,
    RemarkItem,
    StepBar,
    Stills,
)
from aftercase.reports.framesheet import worded_sheet
from aftercase.reports.header import header_facts
from aftercase.reports.measures import measure_items, measure_sheet, shown_measures
from aftercase.reports.recordsheets import remark_sheet
from aftercase.reports.remarks import front_page, goal_items, remark_groups, remark_items
from aftercase.reports.sections import (
    critical_section,
    events_section,
    flags_section,
    gaps_section,
    order_section,
    steps_section,
)
from aftercase.reports.sheet import Column, Sheet
from aftercase.reports.words import said

MOMENT_CUE_US: Final = 4 * SECOND_US
"""How long a remark about one moment stays on a caption track."""

MEASURES: Final = (
    "window",
    "steps",
    "attempts",
    "gaps",
    "gap-causes",
    "events",
    "event-list",
    "arcs",
    "order",
    "critical",
    "overlaps",
    "unassigned",
)

ALWAYS_DEFINED: Final = frozenset({"window", "steps", "gaps"})

SUMMARY_COLUMNS: Final = (
    "step step_name parent unplanned n_spans n_visits first_start total share longest_visit idle "
    "net performer help takeover left_out left_out_why"
)
GAP_COLUMNS: Final = "gap start end length kind step step_name before after cause counts_in_total"
EVENT_COLUMNS: Final = (
    "at kind name event_class step step_name hour to_hour hour_clock hour_text "
    "sign_to_recognised recognised_to_response note"
)


def critique_content(
    subject: Subject,
    settings: Settings,
    stills: Stills,
    printed_on: str | None = None,
    *,
    others: Iterable[Review] = (),
) -> CritiqueContent:
    """Return all that the critique of a review says.

    Args:
        subject: The case, its guide and the review.
        settings: How gaps are counted.
        stills: Pictures of remarks and measures, by the mark's id; marks without one go without.
        printed_on: A date to print, if wanted.
        others: Other people's reviews of the case; what released ones reply is printed.
    """
    tables = [measured(name, subject, settings) for name in MEASURES]
    sheets = {table.name: _sheet(table, subject) for table in tables}
    clock = _clock_picture(subject, settings, sheets["steps"])
    remarks = remark_items(subject, stills, others)
    goals = goal_items(subject, remarks)
    measures = shown_measures(subject)
    return CritiqueContent(
        title=f"Critique of case {subject.case.code}",
        byline=_byline(subject),
        printed_on=printed_on or "",
        front=front_page(subject, remarks, goals),
        header=header_facts(subject),
        steps=steps_section(subject, sheets),
        remarks=remark_groups(remarks),
        gaps=gaps_section(subject, sheets, known=clock.gaps_known),
        events=events_section(subject, sheets),
        measures=measure_items(measures, stills),
        order=order_section(sheets),
        critical=critical_section(sheets),
        flags=flags_section(subject),
        goals=goals,
        definitions=_definitions(subject, tables),
        cautions=CAUTIONS,
        clock=clock,
        step_cues=_step_cues(subject),
        remark_cues=_remark_cues(remarks, shown_window(subject.case).end_us),
        csv_sheets=_csv_sheets(subject, sheets, remarks, measures),
    )


def _sheet(table: Table, subject: Subject) -> Sheet:
    sheet = worded_sheet(table, subject.guide)
    return replace(sheet, notes=tuple(note for note in sheet.notes if note != NOT_QUALITY))


def _byline(subject: Subject) -> str:
    case, review = subject.case, subject.review
    return " · ".join(
        (
            subject.guide.name,
            f"setting {said(case.setting)}",
            f"trainee {case.trainee or said(None)}",
            f"reviewed by {review.reviewer} ({said(review.role)})",
        )
    )


def _definitions(subject: Subject, tables: Iterable[Table]) -> tuple[Definition, ...]:
    rules = (
        ("Where a step begins and ends", subject.guide.span_rule),
        ("When nothing is in use", subject.guide.pause_rule),
    )
    used = [table for table in tables if len(table.frame) or table.name in ALWAYS_DEFINED]
    return tuple(
        Definition(title, text)
        for title, text in (*rules, *((table.title, table.definition) for table in used))
        if text
    )


def _clock_picture(subject: Subject, settings: Settings, steps: Sheet) -> ClockPicture:
    window, gaps = shown_window(subject.case), gaps_of(subject, settings)
    return ClockPicture(
        window.start_us,
        window.end_us,
        _step_bars(subject, steps),
        tuple((gap.start_us, gap.end_us) for gap in gaps.kept if gap.counts),
        gaps.source != NOT_MARKED,
    )


def _step_bars(subject: Subject, steps: Sheet) -> tuple[StepBar, ...]:
    """Return the steps by first start, each followed by its parts."""
    guide = subject.guide
    rows = zip(*map(steps.column, ("step", "total", "idle")), strict=True)
    times = {str(step): (total, idle) for step, total, idle in rows}
    bars = {
        step_id: StepBar(
            guide.step_by_id[step_id].strip_label if step_id in guide.step_by_id else step_id,
            guide.parent_of(step_id) != step_id,
            tuple((start, end) for start, end in visits(guide, step_id, spans).tolist()),
            *times[step_id],
        )
        for step_id, spans in families(guide, step_frame(subject))
    }

    def place(step_id: str) -> tuple[int, str, bool, int]:
        whole = guide.parent_of(step_id)
        first_us = bars[step_id].spans_us[0][0]
        return bars[whole].spans_us[0][0], whole, bars[step_id].is_part, first_us

    return tuple(bars[step_id] for step_id in sorted(bars, key=place))


def _step_cues(subject: Subject) -> tuple[Cue, ...]:
    frame = step_frame(subject)
    columns = (frame[name].tolist() for name in ("id", "step", "start_us", "end_us"))
    return tuple(
        Cue(f"step-{span_id}", start_us, end_us, subject.guide.step_name(step))
        for span_id, step, start_us, end_us in zip(*columns, strict=True)
    )


def _remark_cues(remarks: Iterable[RemarkItem], end_us: int) -> tuple[Cue, ...]:
    return tuple(
        Cue(
            f"remark-{remark.id}",
            remark.at_us,
            min(remark.end_us or remark.at_us + MOMENT_CUE_US, end_us),
            "\n".join(_remark_lines(remark)),
        )
        for remark in remarks
    )


def _remark_lines(remark: RemarkItem) -> Iterator[str]:
    yield f"{remark.kind}: {remark.text}" if remark.text else remark.kind
    if remark.reason:
        yield f"Why it matters: {remark.reason}"
    if remark.next_time:
        yield f"Next time: {remark.next_time}"


def _csv_sheets(
    subject: Subject,
    sheets: Mapping[str, Sheet],
    remarks: tuple[RemarkItem, ...],
    measures: tuple[PictureMeasure, ...],
) -> dict[str, Sheet]:
    files = {
        "critique.csv": remark_sheet(remarks),
        "summary.csv": sheets["steps"].only(SUMMARY_COLUMNS),
        "gaps.csv": sheets["gaps"].only(GAP_COLUMNS),
        "events.csv": sheets["event-list"].only(EVENT_COLUMNS),
        "measures.csv": measure_sheet(measures),
    }
    return {name: _with_case(sheet, subject) for name, sheet in files.items()}


def _with_case(sheet: Sheet, subject: Subject) -> Sheet:
    """Put case and reviewer before each row, so that tables of several cases can be stacked."""
    return replace(
        sheet,
        columns=(Column("case", "Case"), Column("reviewer", "Reviewer"), *sheet.columns),
        rows=tuple((subject.case.code, subject.review.reviewer, *row) for row in sheet.rows),
    )
