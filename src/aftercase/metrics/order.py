"""Order of the steps: the guide's "first visit not before" rules, and what was left or repeated.

Only a broken strict rule is out of order; a later visit is "returned to".
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any, Final

from aftercase.metrics.segments import edit_score
from aftercase.metrics.steps import families, visits
from aftercase.metrics.subject import Settings, Subject
from aftercase.metrics.table import Found
from aftercase.metrics.tables import step_frame
from aftercase.model.base import NOT_SAID
from aftercase.model.case import technique_at
from aftercase.model.guide import OrderRule, Step

OUT_OF_ORDER: Final = "out-of-order"
USUAL_ORDER: Final = "usual-order"
MISSING: Final = "missing"
NOT_NEEDED: Final = "not-needed"
UNPLANNED: Final = "unplanned"
RETURNED_TO: Final = "returned-to"
REPEATED: Final = "repeated"
FULL_OPERATION_SETTINGS: Final = ("patient", NOT_SAID)

Finding = dict[str, Any]


@dataclass(frozen=True)
class Visit:
    """One visit of a step that is no part of another."""

    step: str
    start_us: int
    end_us: int


def visits_in_order(subject: Subject) -> list[Visit]:
    """Return the visits of all steps that are no part of another, by start.

    A visit of a part is one of its whole; touching or overlapping spans of one step are one visit.
    """
    guide = subject.guide
    found = [
        Visit(step_id, start_us, end_us)
        for step_id, spans in families(guide, step_frame(subject))
        if guide.parent_of(step_id) == step_id
        for start_us, end_us in visits(guide, step_id, spans).tolist()
    ]
    return sorted(found, key=lambda visit: (visit.start_us, visit.end_us))


def order_similarity(a: Sequence[str], b: Sequence[str]) -> float:
    """Return how alike two orders of steps are, 0 to 100: similarity, never quality.

    Args:
        a: Step ids in order, one a visit.
        b: The same of the other.

    Source:
        The edit score of action segmentation, `segments.edit_score`.

    Example:
        >>> order_similarity(["side-port", "main-wound"], ["main-wound", "side-port"])
        0.0
    """
    return edit_score(a, b)


def order_found(subject: Subject, _settings: Settings) -> Found:
    """Return what the order of the steps shows, rule breaks first."""
    in_order = visits_in_order(subject)
    if not in_order:
        return Found((), ("No steps are marked: nothing is known about their order.",))
    rows = (
        *_broken_rules(subject),
        *_missing(subject, in_order),
        *_later_visits(subject, in_order),
        *_unplanned(subject, in_order),
        *_not_needed(subject, in_order),
    )
    return Found(rows, tuple(_order_notes(subject, in_order)))


def _broken_rules(subject: Subject) -> Iterator[Finding]:
    guide = subject.guide
    starts_us = {
        step_id: visits(guide, step_id, spans)[:, 0].tolist()
        for step_id, spans in families(guide, step_frame(subject))
    }
    rules = sorted(guide.order, key=lambda rule: rule.kind != "strict")
    for rule in rules:
        if rule.step not in starts_us or _step(subject, rule.step).unplanned:
            continue
        at_us = starts_us[rule.step][-1 if rule.last_visit else 0]
        if rule.techniques and technique_at(subject.case, at_us) not in rule.techniques:
            continue
        for other in rule.not_before:
            if other in starts_us and at_us < starts_us[other][0]:
                yield _broken(subject, rule, other, at_us)


def _broken(subject: Subject, rule: OrderRule, other: str, at_us: int) -> Finding:
    name, other_name = (subject.guide.step_name(step) for step in (rule.step, other))
    visit = "last visit" if rule.last_visit else "first visit"
    if rule.kind == "strict":
        text = f"The {visit} of “{name}” comes before the first of “{other_name}”."
    else:
        text = f"The {visit} of “{name}” usually does not come before “{other_name}”."
        text = f"{text} {rule.note}".rstrip()
    finding = OUT_OF_ORDER if rule.kind == "strict" else USUAL_ORDER
    return {
        "finding": finding, "step": rule.step, "other": other, "at_us": at_us, "text": text
    }  # fmt: skip


def _missing(subject: Subject, in_order: Sequence[Visit]) -> Iterator[Finding]:
    if subject.case.setting not in FULL_OPERATION_SETTINGS:
        return
    present = {visit.step for visit in in_order} | set(subject.review.not_needed)
    for step in subject.guide.steps:
        may_lack = step.optional or step.unplanned or step.attempts or step.parent is not None
        if not may_lack and step.id not in present:
            yield {
                "finding": MISSING,
                "step": step.id,
                "text": f"“{step.name}” is not marked, and not said to be not needed.",
            }


def _later_visits(subject: Subject, in_order: Sequence[Visit]) -> Iterator[Finding]:
    """Yield a finding for each later visit: returned to if another step lies between."""
    latest: dict[str, int] = {}
    for position, visit in enumerate(in_order):
        step = _step(subject, visit.step)
        earlier = latest.get(visit.step)
        latest[visit.step] = position
        if earlier is None or step.attempts:
            continue
        between = position - earlier > 1
        usual = " A second visit is usual." if step.repeats or step.unplanned else ""
        came_from = in_order[position - 1].step if between else None
        what = (
            f"“{step.name}” is returned to after “{subject.guide.step_name(came_from)}”."
            if came_from is not None
            else f"“{step.name}” is taken up again, no other step between."
        )
        yield {
            "finding": RETURNED_TO if between else REPEATED,
            "step": visit.step,
            "other": came_from,
            "at_us": visit.start_us,
            "text": f"{what}{usual}",
        }


def _unplanned(subject: Subject, in_order: Sequence[Visit]) -> Iterator[Finding]:
    seen: set[str] = set()
    for visit in in_order:
        step = _step(subject, visit.step)
        if step.unplanned and visit.step not in seen:
            yield {
                "finding": UNPLANNED,
                "step": visit.step,
                "at_us": visit.start_us,
                "text": f"“{step.name}” is never part of the plan.",
            }
        seen.add(visit.step)


def _not_needed(subject: Subject, in_order: Sequence[Visit]) -> Iterator[Finding]:
    present = {visit.step for visit in in_order}
    for step_id in subject.review.not_needed:
        if step_id not in present:
            name = subject.guide.step_name(step_id)
            yield {
                "finding": NOT_NEEDED,
                "step": step_id,
                "text": f"“{name}” was not needed.",
            }


def _order_notes(subject: Subject, in_order: Sequence[Visit]) -> Iterator[str]:
    yield "Only a broken strict rule is out of order; a later visit is returned to."
    if subject.case.setting not in FULL_OPERATION_SETTINGS:
        yield "Not a patient's operation: every step is optional and none is missing."
    contrary = {visit.step for visit in in_order} & set(subject.review.not_needed)
    for step_id in sorted(contrary):
        yield f"“{subject.guide.step_name(step_id)}” is said to be not needed, but is marked."
    if any(rule.techniques for rule in subject.guide.order) and not subject.case.technique:
        yield "The technique is not said: rules for a technique are not applied."


def _step(subject: Subject, step_id: str) -> Step:
    """Return a step of the guide; one it does not know stands for itself, optional."""
    known = subject.guide.step_by_id.get(step_id)
    if known is not None:
        return known
    name = subject.guide.step_name(step_id)
    return Step(id=step_id, name=name, strip_label=name, optional=True)
