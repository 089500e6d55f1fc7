"""Which steps are shown but left out of every comparison between cases or people, and why."""

from __future__ import annotations

from collections.abc import Collection
from typing import Final

import pandas as pd

from aftercase.metrics.intervals import Spans, intersect, lengths, overlap_of_each, spans_of
from aftercase.metrics.subject import Subject
from aftercase.metrics.tables import ancestors, spans_in
from aftercase.model.base import NOT_SAID

SEVERAL: Final = "several"
TAKEN: Final = frozenset({"taken-over", "given-back"})
CONVERTED_RESULT: Final = "converted-to-manual"


def left_out_of_all(subject: Subject) -> tuple[str, ...]:
    """Return why all of a case's steps are left out of comparisons; nothing where they are not.

    A conversion, a second procedure, or a step that makes a case unlike others.
    """
    case, guide = subject.case, subject.guide
    converted = case.result == CONVERTED_RESULT or any(
        entry.value in guide.technique_by_id and guide.technique_by_id[entry.value].converted
        for entry in case.technique
    )
    visited = {span.step for span in subject.review.steps}
    unlike = [step.name for step in guide.steps if step.unlike and step.id in visited]
    return (
        *(["converted"] if converted else []),
        *(["second procedure"] if case.second_procedure not in (NOT_SAID, "none", "") else []),
        *(f"case with: {name}" for name in unlike),
    )


def stated(spans: pd.DataFrame, step_id: str, field: str) -> frozenset[str]:
    """Return what is said of a step in a field, over its own spans and those of its parts.

    A part that says nothing goes by its whole, where a span of the whole holds it.
    """
    own, parts = spans[spans["step"] == step_id], spans[spans["step"] != step_id]
    silent = spans_in(parts[parts[field] == NOT_SAID])
    held = overlap_of_each(silent, spans_in(own)) == lengths(silent)
    said = {*own[field], *parts[field]} - {NOT_SAID}
    unsaid = NOT_SAID in set(own[field]) or not held.all()
    return frozenset({*said, NOT_SAID} if unsaid else said)


def left_out(step_id: str, spans: pd.DataFrame) -> tuple[str, ...]:
    """Return why a step is left out of comparisons, from its own and its parts' spans."""
    performers = stated(spans, step_id, "performer")
    return (
        *(["takeover"] if TAKEN & stated(spans, step_id, "takeover") else []),
        *(["performer not said"] if NOT_SAID in performers else []),
        *(["several performers"] if len(performers - {NOT_SAID}) > 1 else []),
    )


def taken_over(subject: Subject, step_ids: Collection[str]) -> Spans:
    """Return when the teacher had taken over in steps; a whole span where no moment is marked."""
    return spans_of(
        [
            (
                span.start_us if span.taken_over_us is None else span.taken_over_us,
                span.end_us if span.given_back_us is None else span.given_back_us,
            )
            for span in subject.review.steps
            if span.step in step_ids and span.takeover in TAKEN
        ]
    )


def relieved_in_whole(subject: Subject, step_id: str, spans: pd.DataFrame) -> tuple[str, ...]:
    """Return that a part was, for all one knows, done while its whole was taken over.

    A span of the part that says itself whether it was taken over is believed.
    """
    taken = taken_over(subject, ancestors(subject.guide, step_id))
    unsaid = spans_in(spans[spans["takeover"] == NOT_SAID])
    return ("takeover of the whole",) if len(intersect(unsaid, taken)) else ()


def single_or_several(values: Collection[str]) -> str:
    """Return the one value there is, or ``several``."""
    return next(iter(values)) if len(values) == 1 else SEVERAL
