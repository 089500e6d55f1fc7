"""What the guide list says of every step: time so far, visits, instruments, remarks, idle time."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Final

from aftercase.clock import text_of
from aftercase.edit.marking import running_step, usual_next
from aftercase.model.case import Case, window_of
from aftercase.model.guide import Guide, Step
from aftercase.model.review import Review, Span
from aftercase.session.actions.table import signs_for

RUNNING: Final = "running"
NEXT: Final = "next"
_MOST_RETURNS: Final = 3

Stretch = tuple[int, int]
"""A start and an end, ``[start_us, end_us)``."""


@dataclass(frozen=True)
class StepLine:
    """One row of the list.

    Attributes:
        step: The step.
        sign: Its second key, empty for none.
        depth: 0 for a whole step, 1 for a part of one.
        visits_us: Its visits in order; those of its parts are its own, touching ones are one.
        is_open: Whether the last visit has not been ended: it reaches the case's end.
        instruments: Names of the instruments seen in it, in the order they came.
        n_remarks: Remarks in it.
        not_needed: Whether somebody said that it was not needed.
        folded: Whether the list leaves it out until it happens.
    """

    step: Step
    sign: str
    depth: int
    visits_us: tuple[Stretch, ...]
    is_open: bool
    instruments: tuple[str, ...]
    n_remarks: int
    not_needed: bool
    folded: bool

    def time_us(self, at_us: int) -> int:
        """Return its time so far: a visit that was not ended counts up to the shown frame."""
        ended = self.visits_us[:-1] if self.is_open else self.visits_us
        total_us = sum(end_us - start_us for start_us, end_us in ended)
        if self.is_open:
            start_us, end_us = self.visits_us[-1]
            total_us += max(0, min(at_us, end_us) - start_us)
        return total_us

    @property
    def returns(self) -> str:
        """How often it was visited and where it was returned to; empty for one visit or none."""
        n_visits = len(self.visits_us)
        if n_visits < 2:
            return ""
        again = [seconds_of(start_us) for start_us, _ in self.visits_us[1:]]
        where = ", ".join(again[:_MOST_RETURNS])
        more = f" and {len(again) - _MOST_RETURNS} more" if len(again) > _MOST_RETURNS else ""
        what = "attempts" if self.step.attempts else "visits"
        return f"{n_visits} {what}, again at {where}{more}"


@dataclass
class _Found:
    """What is gathered of one step while the marks are gone through."""

    spans_us: list[Stretch] = field(default_factory=list)
    instruments: dict[str, None] = field(default_factory=dict)
    n_remarks: int = 0


def step_lines(guide: Guide, review: Review, end_us: int) -> tuple[StepLine, ...]:
    """Return every step in usual order with what the review says of it; unknown ones at the end.

    Args:
        guide: The guide.
        review: The review.
        end_us: The case's end: a span that reaches it was not ended.
    """
    found = _found(guide, review)
    signs = signs_for(tuple(step.id for step in guide.steps))
    unknown = sorted(set(found) - set(guide.step_by_id))
    steps = (*guide.steps, *(_not_in_guide(guide, word) for word in unknown))
    drills = all(step.optional for step in guide.steps)
    return tuple(
        _line(step, signs.get(step.id, ""), found[step.id], review, end_us, drills)
        for step in steps
    )


def _line(
    step: Step, sign: str, found: _Found, review: Review, end_us: int, drills: bool
) -> StepLine:
    visits = tuple(found.spans_us) if step.attempts else _joined(found.spans_us)
    not_needed = step.id in review.not_needed
    aside = step.parent is not None or step.unplanned or (step.optional and not drills)
    return StepLine(
        step=step,
        sign=sign,
        depth=0 if step.parent is None else 1,
        visits_us=visits,
        is_open=bool(visits) and visits[-1][1] >= end_us,
        instruments=tuple(found.instruments),
        n_remarks=found.n_remarks,
        not_needed=not_needed,
        folded=aside and not visits and not not_needed,
    )


def _found(guide: Guide, review: Review) -> defaultdict[str, _Found]:
    """Go through all marks once, in the film's order, and note what lies in which step."""
    found: defaultdict[str, _Found] = defaultdict(_Found)
    names = {one.id: one.name for one in guide.instruments}
    begins = sorted(
        [(span.start_us, 0, span.end_us, span.step) for span in review.steps]
        + [(one.start_us, 1, one.end_us, one.instrument) for one in review.instruments]
        + [(remark.at_us, 2, remark.at_us + 1, "") for remark in review.remarks]
    )
    steps: list[tuple[int, str]] = []
    held: list[tuple[int, str]] = []
    for start_us, kind, end_us, word in begins:
        steps = [one for one in steps if one[0] > start_us]
        held = [one for one in held if one[0] > start_us]
        if kind == 0:
            for step in dict.fromkeys((word, guide.parent_of(word))):
                found[step].spans_us.append((start_us, end_us))
                _see(found[step], held, names)
                steps.append((end_us, step))
        elif kind == 1:
            held.append((end_us, word))
            for _, step in steps:
                _see(found[step], held[-1:], names)
        else:
            for step in {step for _, step in steps}:
                found[step].n_remarks += 1
    return found


def _see(found: _Found, held: Iterable[tuple[int, str]], names: dict[str, str]) -> None:
    for _, word in held:
        found.instruments.setdefault(names.get(word, f"{word} (not in the guide)"))


def _joined(spans_us: list[Stretch]) -> tuple[Stretch, ...]:
    """Return stretches that are sorted by start with those that touch or overlap as one."""
    joined: list[Stretch] = []
    for start_us, end_us in spans_us:
        if joined and start_us <= joined[-1][1]:
            joined[-1] = (joined[-1][0], max(joined[-1][1], end_us))
        else:
            joined.append((start_us, end_us))
    return tuple(joined)


def _not_in_guide(guide: Guide, word: str) -> Step:
    name = guide.step_name(word)
    return Step(id=word, name=name, strip_label=word, unplanned=True)


def marked_rows(guide: Guide, review: Review, at_us: int) -> tuple[str | None, str | None]:
    """Return the step that runs at a moment and the one “next step” would begin, by id."""
    running = running_step(guide, review, at_us)
    following = usual_next(guide, review, at_us)
    return (running.step if running else None, following.id if following else None)


def idle_us(
    case: Case, guide: Guide, review: Review, shortest_us: int, at_us: int
) -> dict[str, int] | None:
    """Return how long nothing was in use in each step that was visited, by the step's id.

    Spans that were not ended count up to the shown frame.

    Args:
        case: The header.
        guide: The guide.
        review: The review.
        shortest_us: Shortest gap between instruments that counts.
        at_us: The shown frame.

    Returns:
        None where neither instruments nor pauses are marked: nothing is known then.
    """
    # Late: pandas takes a second to load, and the window must show at once.
    import numpy as np

    # Late as well: these load it.
    from aftercase.metrics.gaps import NOT_MARKED, gaps_of
    from aftercase.metrics.intervals import overlap_per_label, spans_of
    from aftercase.metrics.subject import Settings, Subject

    end_us = window_of(case).end_us
    until_now = _so_far(review, end_us, at_us)
    gaps = gaps_of(Subject(case, guide, until_now), Settings(shortest_gap_us=shortest_us))
    if gaps.source == NOT_MARKED:
        return None
    lines = [line for line in step_lines(guide, until_now, end_us) if line.visits_us]
    visits = [(place, visit) for place, line in enumerate(lines) for visit in line.visits_us]
    whose = np.array([place for place, _ in visits], dtype=np.int64)
    spans = spans_of([visit for _, visit in visits])
    idle = overlap_per_label(spans, whose, gaps.idle, len(lines))
    return {line.step.id: int(us) for line, us in zip(lines, idle, strict=True)}


def _so_far(review: Review, end_us: int, at_us: int) -> Review:
    """Return a review whose spans that were not ended end at the shown frame."""

    def ended(spans: tuple[Span, ...]) -> tuple[Span, ...]:
        cut = (
            span.changed(end_us=at_us) if span.end_us >= end_us else span
            for span in spans
            if span.end_us < end_us or span.start_us < at_us
        )
        return tuple(cut)

    lists = {name: ended(getattr(review, name)) for name in ("steps", "instruments", "pauses")}
    return review.model_copy(update=lists)


def seconds_of(us: int) -> str:
    """Return a moment as ``h:mm:ss``, for reading along.

    Example:
        >>> seconds_of(192_999_000)
        '0:03:12'
    """
    return text_of(us // 1_000_000 * 1_000_000)[:-4]
