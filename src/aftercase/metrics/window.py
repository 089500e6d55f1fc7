"""The operation's window: from its first mark to its last."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from aftercase.metrics.intervals import Spans
from aftercase.metrics.subject import Settings, Subject
from aftercase.metrics.table import Found
from aftercase.metrics.tables import (
    adoption_notes,
    counted,
    instrument_frame,
    shown_window,
    step_frame,
)
from aftercase.model.case import window_of
from aftercase.model.review import Review


@dataclass(frozen=True)
class OperationWindow:
    """The stretch ``[start_us, end_us)`` and what it rests on: trim, steps or instruments."""

    start_us: int
    end_us: int
    basis: str

    @property
    def length_us(self) -> int:
        """How long it is."""
        return self.end_us - self.start_us

    @property
    def span(self) -> Spans:
        """The window as a set of one span."""
        return np.array([[self.start_us, self.end_us]], dtype=np.int64)


def operation_window(subject: Subject) -> OperationWindow | None:
    """Return the operation's window, or None where nothing is marked that it could rest on."""
    if subject.case.trim is not None:
        shown = shown_window(subject.case)
        return OperationWindow(shown.start_us, shown.end_us, "trim")
    for basis, frame in (("steps", step_frame), ("instruments", instrument_frame)):
        marks = frame(subject)
        if len(marks):
            return OperationWindow(int(marks["start_us"].min()), int(marks["end_us"].max()), basis)
    return None


def window_found(subject: Subject, _settings: Settings) -> Found:
    """Return the window as one row, with the time before and after it."""
    notes = (*_outside_notes(subject), *adoption_notes(subject.review.steps))
    window = operation_window(subject)
    if window is None:
        return Found(({"basis": "none"},), ("No steps and no instruments are marked.", *notes))
    film = window_of(subject.case)
    row = {
        "start_us": window.start_us,
        "end_us": window.end_us,
        "basis": window.basis,
        "length_us": window.length_us,
        "before_us": window.start_us - film.start_us,
        "after_us": film.end_us - window.end_us,
    }
    return Found((row,), notes)


def _outside_notes(subject: Subject) -> tuple[str, ...]:
    shown = shown_window(subject.case)
    review: Review = subject.review
    spans = (*review.steps, *review.instruments, *review.pauses, *review.unseen)
    reaching = sum(s.start_us < shown.start_us or s.end_us > shown.end_us for s in spans)
    outside = sum(not shown.start_us <= e.at_us < shown.end_us for e in review.events)
    if not reaching + outside:
        return ()
    what = "the trim" if subject.case.trim is not None else "this case's stretch of the film"
    return (
        f"{counted(reaching, 'span')} and {counted(outside, 'event')} reach outside {what}; "
        "what lies outside is left out of every number.",
    )
