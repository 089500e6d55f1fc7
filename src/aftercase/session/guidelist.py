"""What the guide list says of every step: time so far, visits, instruments, remarks."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from typing import Final

from aftercase.clock import text_of
from aftercase.edit.marking import running_step, usual_next
from aftercase.model.guide import Guide, Step
from aftercase.model.review import Review
from aftercase.session.actions.table import signs_for

RUNNING: Final = "running"
NEXT: Final = "next"


@dataclass(frozen=True)
class StepLine:
    """One row of the list.

    Attributes:
        step: The step.
        sign: Its second key, empty for none.
        depth: 0 for a whole step, 1 for a part of one.
        visits_us: Its spans in order, ``[start, end)`` each.
        instruments: Names of the instruments seen in it.
        n_remarks: Remarks in it.
        not_needed: Whether somebody said that it was not needed.
        folded: Whether the list leaves it out until it happens.
    """

    step: Step
    sign: str
    depth: int
    visits_us: tuple[tuple[int, int], ...]
    instruments: tuple[str, ...]
    n_remarks: int
    not_needed: bool
    folded: bool

    @property
    def total_us(self) -> int:
        """Its time so far."""
        return sum(end_us - start_us for start_us, end_us in self.visits_us)

    @property
    def about(self) -> str:
        """What is said under its name, in one line; empty where nothing is known."""
        parts = []
        if self.visits_us:
            parts.append(text_of(self.total_us)[:-4])
        if len(self.visits_us) > 1:
            parts.append(
                f"{len(self.visits_us)} visits, again at {text_of(self.visits_us[-1][0])[:-4]}"
            )
        parts += self.instruments
        if self.n_remarks:
            parts.append(f"{self.n_remarks} remark{'' if self.n_remarks == 1 else 's'}")
        if self.not_needed:
            parts.append("not needed")
        return " · ".join(parts)


def step_lines(guide: Guide, review: Review) -> tuple[StepLine, ...]:
    """Return every step of the guide in usual order, with what the review says of it."""
    visits: dict[str, list[tuple[int, int]]] = defaultdict(list)
    for span in review.steps:
        visits[span.step].append((span.start_us, span.end_us))
    signs = signs_for(tuple(step.id for step in guide.steps))
    return tuple(
        StepLine(
            step,
            signs.get(step.id, ""),
            0 if step.parent is None else 1,
            tuple(visits[step.id]),
            _instruments(guide, review, visits[step.id]),
            sum(_inside(remark.at_us, visits[step.id]) for remark in review.remarks),
            step.id in review.not_needed,
            folded=not visits[step.id]
            and step.id not in review.not_needed
            and (step.parent is not None or step.optional or step.unplanned)
            and any(not one.optional for one in guide.steps),
        )
        for step in guide.steps
    )


def marked_rows(guide: Guide, review: Review, at_us: int) -> tuple[str | None, str | None]:
    """Return the step that runs at a moment and the one “next step” would begin, by id."""
    running = running_step(guide, review, at_us)
    following = usual_next(guide, review, at_us)
    return (running.step if running else None, following.id if following else None)


def _inside(us: int, spans: list[tuple[int, int]]) -> bool:
    return any(start_us <= us < end_us for start_us, end_us in spans)


def _instruments(guide: Guide, review: Review, spans: list[tuple[int, int]]) -> tuple[str, ...]:
    seen = dict.fromkeys(
        one.instrument
        for one in review.instruments
        if any(one.start_us < end_us and start_us < one.end_us for start_us, end_us in spans)
    )
    known = guide.instrument_by_id
    return tuple(known[one].name if one in known else one for one in seen)
