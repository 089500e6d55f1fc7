"""The only door from a review's records to frames of numbers.

All marks pass through here, cut to what is shown: the case's stretch of the film, or its trim
where that is set. A mark outside is hidden, never shifted.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Final

import numpy as np
import pandas as pd

from aftercase.clock import seconds_text
from aftercase.metrics.intervals import Spans
from aftercase.metrics.subject import Subject
from aftercase.model.base import NOT_SAID
from aftercase.model.case import Case, Window, window_of
from aftercase.model.guide import Guide
from aftercase.model.review import Event, Mark, Span

MAIN_HAND: Final = "main"
UNSAID_HANDS: Final = frozenset({NOT_SAID, "either"})


def shown_window(case: Case) -> Window:
    """Return the stretch of the film that is looked at: the trim within the case's window."""
    whole = window_of(case)
    if case.trim is None:
        return whole
    start_us = max(whole.start_us, case.trim.start_us)
    return Window(start_us=start_us, end_us=max(start_us, min(whole.end_us, case.trim.end_us)))


def step_frame(subject: Subject) -> pd.DataFrame:
    """Return the step spans by start: step, start_us, end_us, performer, help, takeover and so on.

    ``depth`` is how many parents the step has in the guide.
    """
    fields = ("id", "step", "performer", "help", "takeover", "tear_direction", "result")
    frame = _span_frame(subject.review.steps, fields, shown_window(subject.case))
    frame["depth"] = [len(ancestors(subject.guide, step)) for step in frame["step"]]
    return frame


def instrument_frame(subject: Subject) -> pd.DataFrame:
    """Return the spans of instruments that count as in use: instrument, start_us, end_us, hand.

    An unsaid hand is the instrument's usual one; ``hand_said`` says which.
    """
    known = subject.guide.instrument_by_id
    spans = _span_frame(
        subject.review.instruments, ("instrument", "hand"), shown_window(subject.case)
    )
    counting = [name not in known or known[name].counts for name in spans["instrument"]]
    frame = spans[np.array(counting, dtype=bool)].reset_index(drop=True)
    said = [hand != NOT_SAID for hand in frame["hand"]]
    usual = [known[name].hand if name in known else "either" for name in frame["instrument"]]
    frame["hand"] = [
        hand if is_said else use
        for hand, is_said, use in zip(frame["hand"], said, usual, strict=True)
    ]
    frame["hand_said"] = np.array(said, dtype=bool)
    return frame


def pause_frame(subject: Subject) -> pd.DataFrame:
    """Return the pauses marked directly: start_us, end_us, cause; none overlaps an earlier one."""
    frame = _span_frame(subject.review.pauses, ("cause",), shown_window(subject.case))
    reached_us = frame["end_us"].cummax().shift(fill_value=np.iinfo(np.int64).min)
    frame["start_us"] = np.maximum(frame["start_us"], reached_us)
    return frame[frame["start_us"] < frame["end_us"]].reset_index(drop=True)


def unseen_frame(subject: Subject) -> pd.DataFrame:
    """Return the stretches that cannot be seen: start_us, end_us, reason."""
    return _span_frame(subject.review.unseen, ("reason",), shown_window(subject.case))


def shown_events(subject: Subject) -> list[Event]:
    """Return the events that are shown, by time."""
    window = shown_window(subject.case)
    shown = [e for e in subject.review.events if window.start_us <= e.at_us < window.end_us]
    return sorted(shown, key=lambda event: event.at_us)


def spans_in(frame: pd.DataFrame) -> Spans:
    """Return the spans of a frame, one a row."""
    return frame[["start_us", "end_us"]].to_numpy(dtype=np.int64)


def ancestors(guide: Guide, step_id: str) -> list[str]:
    """Return the steps a step is a part of, the nearest first."""
    found: list[str] = []
    parent = guide.parent_of(step_id)
    while parent not in (step_id, *found):
        found.append(parent)
        step_id, parent = parent, guide.parent_of(parent)
    return found


def steps_at(steps: pd.DataFrame, moments_us: Iterable[int]) -> list[str | None]:
    """Return the innermost step at each moment: a part before its whole, then the latest begun.

    Args:
        steps: What `step_frame` gives.
        moments_us: Moments, in any order.

    Returns:
        A step id for each moment, None where no step is marked.
    """
    order = np.lexsort((-steps["end_us"], steps["start_us"], steps["depth"]))
    inward = steps.iloc[order]
    starts, ends = inward["start_us"].to_numpy(), inward["end_us"].to_numpy()
    names = inward["step"].to_list()
    found: list[str | None] = []
    for moment in moments_us:
        around = np.flatnonzero((starts <= moment) & (moment < ends))
        found.append(names[around[-1]] if len(around) else None)
    return found


def adoption_notes(marks: Iterable[Mark]) -> tuple[str, ...]:
    """Return a note on how many marks were taken over from other people's reviews, if any."""
    origins = [mark.adopted_from for mark in marks if mark.adopted_from is not None]
    if not origins:
        return ()
    people = ", ".join(sorted({origin.reviewer for origin in origins}))
    return (f"{counted(len(origins), 'mark')} adopted from {people}; they count like own ones.",)


def counted(n: int, noun: str) -> str:
    """Return a number with its noun.

    Example:
        >>> counted(1, "gap"), counted(2, "gap"), counted(0, "gap")
        ('1 gap', '2 gaps', '0 gaps')
    """
    return f"{n} {noun}" if n == 1 else f"{n} {noun}s"


def duration_text(us: int) -> str:
    """Return a length as seconds with its unit.

    Example:
        >>> duration_text(1_500_000)
        '1.500 s'
    """
    return f"{seconds_text(us)} s"


def _span_frame(spans: Sequence[Span], fields: Sequence[str], window: Window) -> pd.DataFrame:
    frame = pd.DataFrame(
        {name: [getattr(span, name) for span in spans] for name in (*fields, "start_us", "end_us")}
    ).astype(dict.fromkeys(("start_us", "end_us"), np.int64) | dict.fromkeys(fields, object))
    frame[["start_us", "end_us"]] = frame[["start_us", "end_us"]].clip(
        window.start_us, window.end_us
    )
    shown = frame[frame["start_us"] < frame["end_us"]]
    return shown.sort_values(["start_us", "end_us"], kind="stable", ignore_index=True)
