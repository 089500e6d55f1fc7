"""Per step: visits, total, share of the window, idle and net; and drills' numbered attempts."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, Final

import pandas as pd

from aftercase.metrics.fairness import (
    left_out,
    left_out_of_all,
    relieved_in_whole,
    single_or_several,
    stated,
)
from aftercase.metrics.gaps import NOT_MARKED, PAUSES, Gaps, gaps_of
from aftercase.metrics.intervals import Spans, intersect, lengths, measure, union
from aftercase.metrics.subject import Settings, Subject
from aftercase.metrics.table import Found
from aftercase.metrics.tables import adoption_notes, ancestors, counted, spans_in, step_frame
from aftercase.metrics.window import operation_window
from aftercase.model.base import NOT_SAID
from aftercase.model.guide import Guide

DURATION_CAUTION: Final = "Duration is not quality."
UNTIL_NEXT: Final = "until-next"
UNTIL_NEXT_NOTE: Final = (
    "A step lasts until the next one begins: never compared with steps that end at the last touch."
)


def families(guide: Guide, steps: pd.DataFrame) -> Iterator[tuple[str, pd.DataFrame]]:
    """Yield each step that has a span of its own or of a part, with all those spans.

    Guide order; steps the guide does not know come last, by name.
    """
    members: dict[str, set[str]] = {}
    for step in steps["step"].unique():
        for head in (step, *ancestors(guide, step)):
            members.setdefault(head, set()).add(step)
    known = [step for step in guide.step_by_id if step in members]
    for head in (*known, *sorted(set(members) - set(known))):
        yield head, steps[steps["step"].isin(members[head])]


def visits(guide: Guide, step_id: str, spans: pd.DataFrame) -> Spans:
    """Return a step's visits by start: touching or overlapping spans are one, attempts never."""
    step = guide.step_by_id.get(step_id)
    return spans_in(spans) if step is not None and step.attempts else union(spans_in(spans))


def steps_found(subject: Subject, settings: Settings) -> Found:
    """Return one row for each step that has a span."""
    guide, steps, gaps = subject.guide, step_frame(subject), gaps_of(subject, settings)
    window = operation_window(subject)
    whole_case = left_out_of_all(subject)
    rows = []
    for step_id, spans in families(guide, steps):
        row = _step_row(guide, step_id, spans)
        total_us = row["total_us"]
        reasons = (
            *left_out(step_id, spans),
            *relieved_in_whole(subject, step_id, spans),
            *whole_case,
        )
        row["share"] = total_us / window.length_us if window is not None else None
        row["left_out"] = bool(reasons)
        row["left_out_why"] = "; ".join(reasons) or None
        if gaps.source != NOT_MARKED:
            row["idle_us"] = measure(intersect(spans_in(spans), gaps.idle))
            row["net_us"] = total_us - row["idle_us"]
        rows.append(row)
    return Found(tuple(rows), tuple(_step_notes(subject, gaps, rows)))


def attempts_found(subject: Subject, _settings: Settings) -> Found:
    """Return each attempt at a drill, numbered within its step."""
    guide, steps = subject.guide, step_frame(subject)
    rows = []
    for step in guide.steps:
        spans = steps[steps["step"] == step.id]
        if not step.attempts:
            continue
        for number, (start_us, end_us, result) in enumerate(
            zip(spans["start_us"], spans["end_us"], spans["result"], strict=True), start=1
        ):
            rows.append(
                {
                    "step": step.id,
                    "name": step.name,
                    "number": number,
                    "start_us": start_us,
                    "end_us": end_us,
                    "length_us": end_us - start_us,
                    "result": result,
                }
            )
    none = () if rows else ("No drill attempts are marked.",)
    return Found(tuple(rows), (DURATION_CAUTION, *none))


def _step_row(guide: Guide, step_id: str, spans: pd.DataFrame) -> dict[str, Any]:
    step = guide.step_by_id.get(step_id)
    stretches = visits(guide, step_id, spans)
    return {
        "step": step_id,
        "name": guide.step_name(step_id),
        "parent": step.parent if step is not None else None,
        "unplanned": step is not None and step.unplanned,
        "n_spans": len(spans),
        "n_visits": len(stretches),
        "total_us": measure(stretches),
        "first_start_us": int(stretches[:, 0].min()),
        "longest_visit_us": int(lengths(stretches).max()),
        **{
            field: single_or_several(stated(spans, step_id, field))
            for field in ("performer", "help", "takeover")
        },
    }


def _step_notes(subject: Subject, gaps: Gaps, rows: list[dict[str, Any]]) -> Iterator[str]:
    yield DURATION_CAUTION
    if not rows:
        yield "No steps are marked."
        return
    yield from _custom_notes(subject)
    if any(row["parent"] is not None for row in rows):
        yield "A step's total holds that of its parts: the rows are not to be added up."
    if gaps.source == PAUSES:
        yield "Idle inside a step is from the pauses marked directly, not from instruments."
    if gaps.source == NOT_MARKED:
        yield "Instruments are not marked: idle and net are blank."
    else:
        yield "Idle holds gaps of every cause and of none: it is no figure about a person."
    n_left_out = sum(row["left_out"] for row in rows)
    if n_left_out:
        yield f"{counted(n_left_out, 'step')} shown here but left out of comparisons."
    yield from adoption_notes(subject.review.steps)


def _custom_notes(subject: Subject) -> Iterator[str]:
    """Say where a step begins and ends: as the case says, else as the guide does."""
    if subject.case.span_custom == UNTIL_NEXT:
        yield UNTIL_NEXT_NOTE
        return
    if subject.case.span_custom == NOT_SAID:
        yield "The case does not say where a step begins and ends; the guide's rule is taken."
    if subject.guide.span_rule:
        yield subject.guide.span_rule
