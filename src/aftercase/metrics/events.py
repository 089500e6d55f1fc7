"""Events: how often, how densely, where and at which hour; classes are never added up."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from typing import Any, Final

from aftercase.clock import SECOND_US
from aftercase.metrics.hours import (
    EYE,
    PICTURE,
    counts_as_decoded,
    end_hours_of,
    hours_of,
    text_of_hours,
)
from aftercase.metrics.intervals import measure
from aftercase.metrics.steps import families
from aftercase.metrics.subject import Settings, Subject
from aftercase.metrics.table import Found
from aftercase.metrics.tables import (
    adoption_notes,
    counted,
    shown_events,
    spans_in,
    step_frame,
    steps_at,
)
from aftercase.model.guide import Guide
from aftercase.model.review import Course, Event

MINUTE_US: Final = 60 * SECOND_US
COMPLICATION: Final = "complication"
NOT_IN_GUIDE: Final = "not-in-guide"


def event_class(guide: Guide, kind: str) -> str:
    """Return an event kind's class, ``not-in-guide`` for a kind the guide does not know."""
    known = guide.event_by_id.get(kind)
    return known.event_class if known is not None else NOT_IN_GUIDE


def event_name(guide: Guide, kind: str) -> str:
    """Return an event kind's name; one the guide does not know is shown by its id as such."""
    known = guide.event_by_id.get(kind)
    return known.name if known is not None else f"{kind} (not in the guide)"


def events_found(subject: Subject, _settings: Settings) -> Found:
    """Return the number of events by kind and step, in the guide's order."""
    guide, steps, events = subject.guide, step_frame(subject), shown_events(subject)
    places = steps_at(steps, [event.at_us for event in events])
    n_events = Counter(zip([event.kind for event in events], places, strict=True))
    totals_us = {step: measure(spans_in(spans)) for step, spans in families(guide, steps)}
    rows = [
        {
            "kind": kind,
            "name": event_name(guide, kind),
            "event_class": event_class(guide, kind),
            "step": step,
            "n": n,
            "per_minute": n * MINUTE_US / totals_us[step] if step is not None else None,
        }
        for (kind, step), n in sorted(n_events.items(), key=lambda entry: _place(guide, *entry[0]))
    ]
    notes = (
        "Classes of events are never added up.",
        *_event_notes(guide, events),
        *adoption_notes(events),
    )
    return Found(tuple(rows), notes)


def event_list_found(subject: Subject, _settings: Settings) -> Found:
    """Return every event by time, with its hour and a complication's course."""
    events = shown_events(subject)
    places = steps_at(step_frame(subject), [event.at_us for event in events])
    rows = [_event_row(subject, event, step) for event, step in zip(events, places, strict=True)]
    notes = (
        *_event_notes(subject.guide, events),
        *_hour_notes(subject, events, rows),
        *adoption_notes(events),
    )
    return Found(tuple(rows), notes)


def _event_row(subject: Subject, event: Event, step: str | None) -> dict[str, Any]:
    start, end = hours_of(subject.case, event), end_hours_of(subject.case, event)
    hour, clock = start.shown
    course = event.course or Course()
    return {
        "at_us": event.at_us,
        "kind": event.kind,
        "name": event_name(subject.guide, event.kind),
        "event_class": event_class(subject.guide, event.kind),
        "step": step,
        "hour": hour,
        "to_hour": end.on(clock),
        "hour_clock": clock,
        "hour_text": text_of_hours(start, end),
        "sign_to_recognised_us": _between(course.first_sign_us, course.recognised_us),
        "recognised_to_response_us": _between(course.recognised_us, course.first_response_us),
        "note": event.note or None,
    }


def _between(earlier_us: int | None, later_us: int | None) -> int | None:
    return None if earlier_us is None or later_us is None else later_us - earlier_us


def _place(guide: Guide, kind: str, step: str | None) -> tuple[int, str, int, str]:
    """Return where a row belongs: kinds in the guide's order, then steps; unknown ones last."""
    kinds, steps = list(guide.event_by_id), list(guide.step_by_id)
    return (
        kinds.index(kind) if kind in kinds else len(kinds),
        kind,
        steps.index(step) if step in steps else len(steps),
        step or "",
    )


def _event_notes(guide: Guide, events: Sequence[Event]) -> Iterator[str]:
    if not events:
        yield "No events are marked."
    if any(event_class(guide, event.kind) == COMPLICATION for event in events):
        yield "Report complications through your own hospital's system as well: this does not."


def _hour_notes(
    subject: Subject, events: Sequence[Event], rows: Sequence[dict[str, Any]]
) -> Iterator[str]:
    clocks = {row["hour_clock"] for row in rows} - {None}
    if clocks - {EYE}:
        yield "Hours that are not the eye's own say so; hours of two clocks are never mixed."
    pointed = [row for event, row in zip(events, rows, strict=True) if event.place is not None]
    n_blank = sum(row["hour"] is None for row in pointed)
    if n_blank:
        yield (
            f"{counted(n_blank, 'place')} pointed at without an hour: the limbus centre or the "
            "picture's size is not known, or the place is the centre."
        )
    if PICTURE in {row["hour_clock"] for row in pointed} and not subject.case.turn_deg:
        yield "The camera's turn is not said: hours are the picture's own."
    if any(counts_as_decoded(subject.case, event) for event in events):
        yield (
            "How the film is shown was not kept when this case was made: the hours of places are "
            "wrong if its file says to turn or mirror it. “aftercase parts” with an order looks."
        )
