"""Gaps as tables: cut at step borders, and added up by cause."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any, Final

import pandas as pd

from aftercase.metrics.gaps import Gap, gaps_of
from aftercase.metrics.intervals import cut_at, spans_of
from aftercase.metrics.subject import Settings, Subject
from aftercase.metrics.table import Found
from aftercase.metrics.tables import spans_in, step_frame, steps_at
from aftercase.model.base import NOT_SAID

NOBODY: Final = "nobody"
TEACHER_DECIDES: Final = "teacher-decides"


@dataclass(frozen=True)
class Piece:
    """What of a gap lies in one step, or in none; the gap is named by its position."""

    position: int
    start_us: int
    end_us: int
    step: str | None


def gaps_found(subject: Subject, settings: Settings) -> Found:
    """Return the gaps cut at step borders, one row a piece; pieces of one gap share its number."""
    gaps = gaps_of(subject, settings)
    rows = [
        {
            "gap": piece.position + 1,
            "start_us": piece.start_us,
            "end_us": piece.end_us,
            "length_us": piece.end_us - piece.start_us,
            "kind": gap.kind,
            "step": piece.step,
            "before": gap.before,
            "after": gap.after,
            "cause": gap.cause,
            "counts_in_total": gap.counts,
        }
        for piece in pieces_of(gaps.kept, step_frame(subject))
        for gap in (gaps.kept[piece.position],)
    ]
    return Found(tuple(rows), gaps.notes)


def gap_causes_found(subject: Subject, settings: Settings) -> Found:
    """Return number and total of the counted gaps by cause, the guide's order, unsaid ones last."""
    gaps = gaps_of(subject, settings)
    counting = [gap for gap in gaps.kept if gap.counts]
    n_gaps = Counter(gap.cause for gap in counting)
    choices = {choice.id: choice for choice in subject.guide.pause_causes}
    ordered = [*choices, *sorted(set(n_gaps) - set(choices))]
    rows = []
    for cause in sorted(ordered, key=lambda word: word == NOT_SAID):
        if cause not in n_gaps:
            continue
        choice = choices.get(cause)
        counts_as = choice.counts_as if choice is not None else ""
        rows.append(
            {
                "cause": cause,
                "name": choice.name if choice is not None else cause,
                "n_gaps": n_gaps[cause],
                "total_us": sum(gap.length_us for gap in counting if gap.cause == cause),
                "counts_as": counts_as,
                "against_nobody": counts_as == NOBODY,
                "in_person_figure": counts_as == TEACHER_DECIDES,
            }
        )
    return Found(tuple(rows), (*gaps.notes, *_cause_notes(rows)))


def _cause_notes(rows: Sequence[dict[str, Any]]) -> Iterator[str]:
    if any(row["cause"] == NOT_SAID for row in rows):
        yield "Gaps without a cause are shown apart and never summed into a figure about a person."
    if any(row["counts_as"] == NOBODY for row in rows):
        yield "Causes that count against nobody are never summed into a figure about a person."


def pieces_of(gaps: Sequence[Gap], steps: pd.DataFrame) -> list[Piece]:
    """Cut gaps at step borders; neighbours of one step stay together."""
    stretches = spans_of([(gap.start_us, gap.end_us) for gap in gaps])
    cut, whose = cut_at(stretches, spans_in(steps).ravel())
    found: list[Piece] = []
    inside = steps_at(steps, cut[:, 0].tolist())
    for (start_us, end_us), position, step in zip(
        cut.tolist(), whose.tolist(), inside, strict=True
    ):
        if found and (found[-1].position, found[-1].step) == (position, step):
            start_us = found.pop().start_us
        found.append(Piece(position, start_us, end_us, step))
    return found
