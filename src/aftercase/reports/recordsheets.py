"""Tables taken straight from records, where no measure stands between."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Final, TypeVar

from aftercase.metrics.subject import Subject
from aftercase.metrics.tables import shown_events, shown_window, step_frame, steps_at
from aftercase.model.base import NOT_SAID
from aftercase.model.review import Course, Event, GapCause, Origin, Span
from aftercase.reports.content import RemarkItem
from aftercase.reports.framesheet import namings
from aftercase.reports.sheet import Column, Sheet, Value
from aftercase.reports.words import UNSAID, said

AnySpan = TypeVar("AnySpan", bound=Span)

UNSEEN_COLUMNS: Final = (
    Column("start", "Start", "moment"),
    Column("end", "End", "moment"),
    Column("length", "Length", "length"),
    Column("reason", "Reason", blank=UNSAID),
    Column("note", "Note"),
)
TAKEOVER_COLUMNS: Final = (
    Column("step_name", "Step"),
    Column("takeover", "Takeover"),
    Column("taken_over", "Taken over", "moment", blank="not marked"),
    Column("given_back", "Given back", "moment", blank="not marked"),
    Column("reason", "Reason", blank=UNSAID),
)
COMPLICATION_COLUMNS: Final = (
    Column("name", "Complication"),
    Column("first_sign", "First sign", "moment", blank="not marked"),
    Column("recognised", "Recognised", "moment", blank="not marked"),
    Column("first_response", "First response", "moment", blank="not marked"),
    Column("holder", "Instruments held by", blank=UNSAID),
    Column("note", "Note"),
)
NOTE_COLUMNS: Final = (
    Column("start", "Start", "moment"),
    Column("end", "End", "moment"),
    Column("mark", "Mark"),
    Column("note", "Note"),
    Column("adopted_from", "Adopted from", blank="own mark"),
)
FLAG_COLUMNS: Final = (
    Column("at", "When", "moment"),
    Column("step_name", "Step", blank="outside any step"),
    Column("note", "Note"),
)
REMARK_COLUMNS: Final = (
    Column("id", "Id"),
    Column("at", "When", "moment"),
    Column("end", "To", "moment"),
    Column("kind", "Kind"),
    Column("step_name", "Step"),
    Column("text", "What was seen"),
    Column("reason", "Why it matters"),
    Column("next_time", "Next time"),
    Column("note", "Note"),
    Column("starred", "Starred", "flag"),
    Column("form_item", "Form item"),
    Column("adopted_from", "Adopted from"),
)


def takeover_sheet(subject: Subject) -> Sheet:
    """Return each span of a step that was taken over, by time."""
    reason_name = namings(subject.guide)["takeover_reason"]
    rows = tuple(
        (
            subject.guide.step_name(span.step),
            said(span.takeover),
            span.taken_over_us,
            span.given_back_us,
            reason_name(span.takeover_reason),
        )
        for span in _shown(subject.review.steps, subject)
        if span.takeover not in (NOT_SAID, "none")
    )
    return Sheet("takeovers", "Takeovers", TAKEOVER_COLUMNS, rows)


def unseen_sheet(subject: Subject) -> Sheet:
    """Return the stretches that cannot be seen, as marked, by time."""
    reason_name = namings(subject.guide)["reason"]
    rows = tuple(
        (
            span.start_us,
            span.end_us,
            span.end_us - span.start_us,
            reason_name(span.reason),
            span.note,
        )
        for span in _shown(subject.review.unseen, subject)
    )
    return Sheet("unseen", "What could not be seen", UNSEEN_COLUMNS, rows)


def complication_sheet(subject: Subject) -> Sheet:
    """Return the events that have a course: first sign, recognition, first response."""
    rows = tuple(
        _complication_row(event, event.course, subject)
        for event in shown_events(subject)
        if event.course is not None
    )
    return Sheet("complications", "Complications", COMPLICATION_COLUMNS, rows)


def note_sheet(subject: Subject) -> Sheet:
    """Return the notes beside steps, instruments, pauses and causes of gaps, by time."""
    guide, review = subject.guide, subject.review
    named = namings(guide)
    marks: list[tuple[str, Span | GapCause]] = [
        *((f"Step: {guide.step_name(span.step)}", span) for span in review.steps),
        *((f"Instrument: {named['instrument'](s.instrument)}", s) for s in review.instruments),
        *((f"Pause: {named['cause'](span.cause)}", span) for span in review.pauses),
        *((f"Cause of a gap: {named['cause'](one.cause)}", one) for one in review.gap_causes),
    ]
    window = shown_window(subject.case)
    rows = tuple(
        (mark.start_us, mark.end_us, name, mark.note, author(mark.adopted_from))
        for name, mark in sorted(marks, key=lambda pair: pair[1].start_us)
        if mark.note.strip() and mark.start_us < window.end_us and window.start_us < mark.end_us
    )
    sheet = Sheet("notes", "Notes beside marks", NOTE_COLUMNS, rows)
    return sheet if any(sheet.column("adopted_from")) else sheet.only("start end mark note")


def flag_sheet(subject: Subject) -> Sheet:
    """Return the moments that whoever reviews next is asked to look at, by time."""
    window = shown_window(subject.case)
    flags = [f for f in subject.review.flags if window.start_us <= f.at_us < window.end_us]
    flags.sort(key=lambda flag: flag.at_us)
    steps = steps_at(step_frame(subject), [flag.at_us for flag in flags])
    rows = tuple(
        (flag.at_us, subject.guide.step_name(step) if step else None, flag.note)
        for flag, step in zip(flags, steps, strict=True)
    )
    return Sheet("flags", "Look here", FLAG_COLUMNS, rows)


def author(origin: Origin | None) -> str:
    """Return whose mark an adopted one was; empty for one's own."""
    return "" if origin is None else f"{origin.reviewer}, revision {origin.revision}"


def remark_sheet(items: Iterable[RemarkItem]) -> Sheet:
    """Return the remarks as a table, by time."""
    rows = tuple(
        (
            item.id,
            item.at_us,
            item.end_us,
            item.kind,
            item.step,
            item.text,
            item.reason,
            item.next_time,
            item.note,
            item.starred,
            item.form_item,
            item.adopted_from,
        )
        for item in items
    )
    return Sheet("remarks", "Remarks", REMARK_COLUMNS, rows)


def _shown(spans: Iterable[AnySpan], subject: Subject) -> Iterator[AnySpan]:
    """Yield the spans that reach into what is shown of the case, by start."""
    window = shown_window(subject.case)
    for span in sorted(spans, key=lambda span: span.start_us):
        if span.start_us < window.end_us and window.start_us < span.end_us:
            yield span


def _complication_row(event: Event, course: Course, subject: Subject) -> tuple[Value, ...]:
    kind = subject.guide.event_by_id.get(event.kind)
    return (
        kind.name if kind is not None else event.kind,
        course.first_sign_us,
        course.recognised_us,
        course.first_response_us,
        said(course.holder),
        event.note,
    )
