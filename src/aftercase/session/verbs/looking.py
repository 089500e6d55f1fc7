"""Where the marks lie, for going from one to the next and for looping."""

from __future__ import annotations

from typing import Final

from aftercase.edit.marking import running_step
from aftercase.model.measure import Calibration
from aftercase.model.review import RECORD_LISTS, Span
from aftercase.session.desk import Desk

_MOMENTS: Final = ("at_us",)
_EDGES: Final = ("start_us", "end_us", *_MOMENTS)
"""A ruler's span is no mark of what happened: only its frame is gone to."""


def stops_us(desk: Desk) -> tuple[int, ...]:
    """Return the frames where something begins, ends or stands, in order."""
    start_us, end_us = desk.bounds_us
    moments = {start_us}
    for name in RECORD_LISTS:
        for mark in getattr(desk.shown_review, name):
            for field in _MOMENTS if isinstance(mark, Calibration) else _EDGES:
                us = getattr(mark, field, None)
                if us is not None and start_us <= us < end_us:
                    moments.add(desk.frames.start_of(us))
    return tuple(sorted(moments))


def next_stop_us(desk: Desk) -> int | None:
    """Return the next frame with a mark's edge; None after the last."""
    return next((us for us in stops_us(desk) if us > desk.at_us), None)


def previous_stop_us(desk: Desk) -> int | None:
    """Return the last frame with a mark's edge before the shown one; None before the first."""
    return next((us for us in reversed(stops_us(desk)) if us < desk.at_us), None)


def looped_us(desk: Desk) -> tuple[int, int] | None:
    """Return the stretch that a loop plays: the selected span, else the running step."""
    spans = [mark for mark in desk.selected() if isinstance(mark, Span)]
    if spans:
        return min(s.start_us for s in spans), max(s.end_us for s in spans)
    span = running_step(desk.guide, desk.review, desk.at_us)
    return (span.start_us, span.end_us) if span is not None else None


def select_beside(desk: Desk, ahead: bool) -> None:
    """Select the next or the previous mark of the selected one's list, else of the steps."""
    chosen = desk.selected()
    name = next(
        (n for n in RECORD_LISTS if chosen and chosen[-1] in getattr(desk.review, n)), "steps"
    )
    marks = list(getattr(desk.review, name))
    if not marks:
        return
    if chosen:
        place = marks.index(chosen[-1]) + (1 if ahead else -1)
    else:
        place = next((i for i, m in enumerate(marks) if _start(m) >= desk.at_us), len(marks) - 1)
    desk.select(marks[min(max(place, 0), len(marks) - 1)].id)


def _start(mark: object) -> int:
    return int(getattr(mark, "start_us", getattr(mark, "at_us", 0)))
