"""Critical portions: who did each; numbers for the supervisor, never a verdict."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any, Final

import pandas as pd

from aftercase.metrics.fairness import TAKEN, single_or_several, stated, taken_over
from aftercase.metrics.intervals import measure, subtract
from aftercase.metrics.steps import families
from aftercase.metrics.subject import Settings, Subject
from aftercase.metrics.table import Found
from aftercase.metrics.tables import spans_in, step_frame
from aftercase.model.base import NOT_SAID

TRAINEE: Final = "trainee"
YES: Final = "yes"
NO: Final = "no"
IN_PART: Final = "in part"
UNSAID: Final = "not said"
PATIENT: Final = "patient"


def critical_steps(subject: Subject) -> list[str]:
    """Return the critical portions: the program's own list, else the guide's; a whole once.

    A part stands for its whole.
    """
    guide, listed = subject.guide, subject.case.critical_steps
    if listed is None:
        listed = tuple(step.id for step in guide.steps if step.critical == "yes")
    return list(dict.fromkeys(guide.parent_of(step) for step in listed))


def critical_found(subject: Subject, _settings: Settings) -> Found:
    """Return each critical portion with who did it; nothing where no patient was operated on."""
    setting = subject.case.setting
    if setting != PATIENT:
        said = "not said" if setting == NOT_SAID else setting
        return Found((), (f"Critical portions are for patients only; the setting is {said}.",))
    spans_of_step = dict(families(subject.guide, step_frame(subject)))
    not_needed = set(subject.review.not_needed)
    steps = [step for step in critical_steps(subject) if step not in not_needed]
    rows = [
        {
            "step": step,
            "name": subject.guide.step_name(step),
            "performer": single_or_several(stated(spans_of_step[step], step, "performer"))
            if step in spans_of_step
            else None,
            "by_trainee": by_trainee(step, spans_of_step.get(step)),
        }
        for step in steps
    ]
    marked = [spans_of_step[step] for step in steps if step in spans_of_step]
    return Found(tuple(rows), tuple(_critical_notes(subject, rows, marked)))


def by_trainee(step_id: str, spans: pd.DataFrame | None) -> str:
    """Say whether the trainee did a step: ``yes``, ``no``, ``in part`` or ``not said``.

    Args:
        step_id: The step.
        spans: The step's and its parts' spans; None where none is marked.
    """
    if spans is None:
        return UNSAID
    performers = stated(spans, step_id, "performer")
    if NOT_SAID in performers:
        return UNSAID
    if TRAINEE not in performers:
        return IN_PART if "shared" in performers else NO
    relieved = TAKEN & stated(spans, step_id, "takeover")
    return IN_PART if relieved or len(performers) > 1 else YES


def _critical_notes(
    subject: Subject, rows: Sequence[dict[str, Any]], marked: Sequence[pd.DataFrame]
) -> Iterator[str]:
    n_by = {answer: sum(row["by_trainee"] == answer for row in rows) for answer in (YES, IN_PART)}
    n_unsaid = sum(row["by_trainee"] == UNSAID for row in rows)
    in_part = f", {n_by[IN_PART]} in part" if n_by[IN_PART] else ""
    yield f"{n_by[YES]} of {len(rows)} by trainee{in_part}, {n_unsaid} not said."
    own_list = subject.case.critical_steps is not None
    yield f"The list is {'the program’s own' if own_list else 'the guide’s proposal'}."
    not_needed = [s for s in critical_steps(subject) if s in subject.review.not_needed]
    if not_needed:
        names = ", ".join(subject.guide.step_name(step) for step in not_needed)
        yield f"Not needed, so not among them: {names}."
    yield from _share_notes(subject, marked)
    if subject.case.critical_statement:
        yield f"The supervisor's statement: “{subject.case.critical_statement}”"
    yield "The supervisor judges; these numbers are no verdict."


def _share_notes(subject: Subject, marked: Sequence[pd.DataFrame]) -> Iterator[str]:
    if not marked:
        return
    spans = pd.concat(marked)
    whole_us = measure(spans_in(spans))
    by_whom = spans["performer"]
    relieved = taken_over(subject, set(spans["step"]))
    trainee = subtract(spans_in(spans[by_whom == TRAINEE]), relieved)
    unsaid = subtract(spans_in(spans), spans_in(spans[by_whom != NOT_SAID]))
    yield (
        f"Share of time, not the rule: {measure(trainee) / whole_us:.1%} of the marked critical "
        f"time by the trainee, {measure(unsaid) / whole_us:.1%} not said."
    )
