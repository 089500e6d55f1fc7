"""Add, change, delete, split, join and move the records of a review.

Every edit is a pure function: the review that comes in is never touched, so undo is the list of
earlier reviews. Records keep their id when they are moved, retimed or relabelled; a split keeps it
on the earlier half, a join keeps the earlier one.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import dataclass
from typing import Any, Final

import pydantic

from aftercase.clock import retimed, text_of
from aftercase.errors import EditRefused, ReviewClosed
from aftercase.model.base import Identified, NewId
from aftercase.model.measure import Calibration, Measure
from aftercase.model.picture import PicturePoint
from aftercase.model.problem import problems_of
from aftercase.model.review import (
    RECORD_LISTS,
    Drawing,
    GapCause,
    RecordList,
    Review,
    Span,
    StepSpan,
)

_MOMENT_FIELDS: Final = ("start_us", "at_us", "taken_over_us", "given_back_us")
_EARLIER_WINS: Final = ("id", "start_us", "end_us", "note", "adopted_from")
_COURSE_FIELDS: Final = ("first_sign_us", "recognised_us", "first_response_us")


def add(review: Review, name: RecordList, record: Identified) -> Review:
    """Add a record to one of the review's lists, at its place in time.

    Raises:
        ReviewClosed: The review is sealed or released.
        EditRefused: Its id is taken, or it ends before it starts.
    """
    return add_all(review, name, (record,))


def add_all(review: Review, name: RecordList, records: Iterable[Identified]) -> Review:
    """Add several records in one edit; all or none.

    Raises:
        ReviewClosed: The review is sealed or released.
        EditRefused: An id is taken, or one ends before it starts.
    """
    new = tuple(records)
    taken = _ids(review)
    for record in new:
        if record.id in taken:
            raise EditRefused(f"The id {record.id} is taken.")
        taken.add(record.id)
        _refuse_empty(record)
    return _with_list(review, name, (*getattr(review, name), *new))


def delete(review: Review, record_id: str) -> Review:
    """Delete a record; the closing, goals and measures that name it forget it too.

    Raises:
        ReviewClosed: The review is sealed or released.
        EditRefused: There is no such record.
    """
    name, record = found(review, record_id)
    kept = tuple(other for other in getattr(review, name) if other is not record)
    closing = review.closing.changed(
        strengths=tuple(i for i in review.closing.strengths if i != record_id),
        points=tuple(i for i in review.closing.points if i != record_id),
    )
    changed = _with_list(review, name, kept)
    goals = tuple(
        goal.changed(evidence=None) if goal.evidence == record_id else goal
        for goal in changed.goals
    )
    measures = tuple(
        measure.changed(calibration=None) if measure.calibration == record_id else measure
        for measure in changed.measures
    )
    return changed.changed(closing=closing, goals=goals, measures=measures)


def change(review: Review, record_id: str, **fields: Any) -> Review:
    """Change some fields of a record; its id stays.

    Raises:
        ReviewClosed: The review is sealed or released.
        EditRefused: There is no such record, a field breaks its rule, or a span would be empty.
    """
    name, record = found(review, record_id)
    if unknown := ({"id"} & set(fields)) | (set(fields) - set(type(record).model_fields)):
        raise ValueError(f"{sorted(unknown)} cannot be changed")
    try:
        changed = record.changed(**fields)
    except pydantic.ValidationError as error:
        raise EditRefused(f"{problems_of(error)[0]}.") from error
    _refuse_empty(changed)
    return _swapped(review, name, record, (changed,))


def split(review: Review, record_id: str, at_us: int, new_id: NewId) -> Review:
    """Split a span in two at a frame's start; the earlier half keeps the id.

    Raises:
        ReviewClosed: The review is sealed or released.
        EditRefused: It is not a span, or the moment is not inside it.
    """
    name, record = found(review, record_id)
    if not isinstance(record, Span) or not record.start_us < at_us < record.end_us:
        raise EditRefused(f"{text_of(at_us)} is not inside a span that can be split.")
    later = {"id": new_id(), "start_us": at_us}
    earlier = {"end_us": at_us}
    if isinstance(record, StepSpan):
        earlier |= _takeover_within(record, record.start_us, at_us)
        later |= _takeover_within(record, at_us, record.end_us)
    return _swapped(review, name, record, (record.changed(**earlier), record.changed(**later)))


def _takeover_within(span: StepSpan, start_us: int, end_us: int) -> dict[str, Any]:
    """Return the takeover moments that lie in one half; the word itself stays on both."""
    moments = {"taken_over_us": span.taken_over_us, "given_back_us": span.given_back_us}
    return {
        name: us if us is not None and start_us <= us <= end_us else None
        for name, us in moments.items()
    }


def join(review: Review, record_id: str, other_id: str) -> Review:
    """Join two spans of one kind into one that covers both; the earlier keeps its id.

    What only one of them says is kept, notes of both are; goals that pointed at the later one
    point at the joined one.

    Raises:
        ReviewClosed: The review is sealed or released.
        EditRefused: They are not two spans of the same step, instrument or kind, or they say
            different things.
    """
    name, first = found(review, record_id)
    other_name, second = found(review, other_id)
    if (
        name != other_name
        or first is second
        or not (isinstance(first, Span) and isinstance(second, Span))
        or _label(first) != _label(second)
    ):
        raise EditRefused("Only two spans of the same name can be joined.")
    earlier, later = sorted((first, second), key=lambda span: (span.start_us, span.id))
    joined = earlier.changed(**_said_by_both(earlier, later))
    goals = tuple(
        goal.changed(evidence=earlier.id) if goal.evidence == later.id else goal
        for goal in review.goals
    )
    without = _swapped(_with_list(review, "goals", goals), name, later, ())
    return _swapped(without, name, earlier, (joined,))


def _said_by_both(earlier: Span, later: Span) -> dict[str, Any]:
    """Return the fields of two spans as one; what one of them leaves unsaid comes from the other.

    Raises:
        EditRefused: Both say something, and not the same.
    """
    said = {**(later.model_extra or {}), **(earlier.model_extra or {})}
    for name, field in type(earlier).model_fields.items():
        one, other = getattr(earlier, name), getattr(later, name)
        said[name] = other if one == field.default else one
        if one in (field.default, other) or other == field.default or name in _EARLIER_WINS:
            continue
        raise EditRefused(
            f"The two spans say different things about {name.replace('_', ' ')}.",
            hint="Make them alike first, or leave them apart.",
        )
    notes = [note for note in dict.fromkeys((earlier.note, later.note)) if note]
    end_us = max(earlier.end_us, later.end_us)
    return {**said, "note": "\n".join(notes), "end_us": end_us}


def begin_step(
    review: Review,
    step: str,
    at_us: int,
    end_us: int,
    new_id: NewId,
    *,
    going_on: Collection[str] = (),
) -> Review:
    """Begin a step on the shown frame; the one that is running there ends, sharing the edge.

    Args:
        review: The review.
        step: Step id of the guide.
        at_us: Start of the shown frame.
        end_us: Where the new span ends until it is ended: the case's end, or the next step's start.
        new_id: Source of ids.
        going_on: Steps that do not end: the parent of the one that begins.

    Raises:
        ReviewClosed: The review is sealed or released.
        EditRefused: Nothing would be left of it.
    """
    ended = review
    for span in review.steps:
        if span.start_us < at_us < span.end_us and span.step not in going_on:
            takeover = _takeover_within(span, span.start_us, at_us)
            ended = change(ended, span.id, end_us=at_us, **takeover)
    return add(ended, "steps", StepSpan(id=new_id(), step=step, start_us=at_us, end_us=end_us))


def retime(
    review: Review, old_starts_us: Sequence[int], new_starts_us: Sequence[int], end_us: int
) -> Review:
    """Move every mark by its frame after the frames got new times.

    Args:
        review: The review.
        old_starts_us: Frame starts the marks were made on, strictly increasing.
        new_starts_us: New starts of the same frames.
        end_us: End of the recording's last frame on the new clock; ends that lay past the last
            frame's start go there.

    Raises:
        ReviewClosed: The review is sealed or released.
        TimeOutside: A mark lies before the first frame.
    """

    def moved(us: int) -> int:
        return retimed(us, old_starts_us, new_starts_us)

    def moved_span(start_us: int, span_end_us: int) -> tuple[int, int]:
        past_last = span_end_us > old_starts_us[-1]
        return moved(start_us), end_us if past_last else moved(span_end_us)

    def moved_place(place: PicturePoint) -> PicturePoint:
        return place.changed(at_us=moved(place.at_us))

    def moved_around(start_us: int, span_end_us: int, _at_us: int) -> tuple[int, int]:
        return moved_span(start_us, span_end_us)

    return retimed_review(review, Retiming(moved, moved_span, moved_place, moved_around))


@dataclass(frozen=True)
class Retiming:
    """Where marks go when frames get new times.

    Attributes:
        moment: The new time of the frame shown at a moment.
        span: The new start and end of a span, ``[start_us, end_us)``.
        place: A place on the picture, with its frame's new time.
        around: The new start and end of what is left of a span around a moment, where the span
            may come apart.
    """

    moment: Callable[[int], int]
    span: Callable[[int, int], tuple[int, int]]
    place: Callable[[PicturePoint], PicturePoint]
    around: Callable[[int, int, int], tuple[int, int]]


def retimed_review(review: Review, retiming: Retiming) -> Review:
    """Move every mark of a review as `retiming` says; ids stay.

    Raises:
        ReviewClosed: The review is sealed or released.
        AftercaseError: As `retiming` raises it.
    """
    changed = review
    for name in RECORD_LISTS:
        records = tuple(_with_times(record, retiming) for record in getattr(changed, name))
        changed = _with_list(changed, name, records)
    return changed


def _with_times(record: Identified, retiming: Retiming) -> Identified:
    if isinstance(record, Calibration):
        return _moved_calibration(record, retiming)
    fields: dict[str, Any] = {
        name: retiming.moment(us)
        for name in _MOMENT_FIELDS
        if (us := getattr(record, name, None)) is not None
    }
    if (end_us := getattr(record, "end_us", None)) is not None:
        start = "start_us" if hasattr(record, "start_us") else "at_us"
        fields[start], fields["end_us"] = retiming.span(getattr(record, start), end_us)
    for name in ("place", "to_place"):
        if (place := getattr(record, name, None)) is not None:
            fields[name] = retiming.place(place)
    course = getattr(record, "course", None)
    if course is not None:
        moments = {name: getattr(course, name) for name in _COURSE_FIELDS}
        fields["course"] = course.changed(
            **{name: retiming.moment(us) for name, us in moments.items() if us is not None}
        )
    if drawings := getattr(record, "drawings", ()):
        fields["drawings"] = tuple(
            drawing.changed(**_moved_frame(drawing, retiming)) for drawing in drawings
        )
    if isinstance(record, Measure):
        fields |= _moved_frame(record, retiming)
        fields["times_us"] = tuple(map(retiming.moment, record.times_us))
    return record.changed(**fields) if fields else record


def _moved_calibration(calibration: Calibration, retiming: Retiming) -> Calibration:
    bounds = calibration.start_us, calibration.end_us, calibration.at_us
    start_us, end_us = retiming.around(*bounds)
    frame = _moved_frame(calibration, retiming)
    return calibration.changed(**frame, start_us=start_us, end_us=end_us)


def _moved_frame(record: Drawing | Calibration | Measure, retiming: Retiming) -> dict[str, int]:
    frame = retiming.place(PicturePoint(x=0.0, y=0.0, part=record.part, at_us=record.at_us))
    return {"part": frame.part, "at_us": frame.at_us}


def found(review: Review, record_id: str) -> tuple[RecordList, Any]:
    """Return a record and the list it stands in.

    Raises:
        EditRefused: There is no such record.
    """
    for name in RECORD_LISTS:
        for record in getattr(review, name):
            if record.id == record_id:
                return name, record
    raise EditRefused(f"There is no record {record_id} in this review.")


def refuse_closed(review: Review) -> None:
    """Refuse to edit a review that is no draft.

    Raises:
        ReviewClosed: The review is sealed or released.
    """
    if review.state != "draft":
        raise ReviewClosed(
            f"This review is {review.state} and is not written again.",
            hint="Make a correction: a new revision that keeps this one.",
        )


def _refuse_empty(record: Identified) -> None:
    start_us = getattr(record, "start_us", getattr(record, "at_us", None))
    end_us = getattr(record, "end_us", None)
    if start_us is not None and end_us is not None and end_us <= start_us:
        raise EditRefused(
            f"A span from {text_of(start_us)} to {text_of(end_us)} is empty.",
            hint="Let it end after it starts.",
        )


def _label(span: Span) -> Any:
    for name in ("step", "instrument", "cause", "reason"):
        if hasattr(span, name):
            return name, getattr(span, name), getattr(span, "hand", None)
    return None


def _ids(review: Review) -> set[str]:
    return {record.id for name in RECORD_LISTS for record in getattr(review, name)}


def _swapped(
    review: Review, name: RecordList, old: Identified, new: Iterable[Identified]
) -> Review:
    records = getattr(review, name)
    place = next(place for place, other in enumerate(records) if other is old)
    return _with_list(review, name, (*records[:place], *new, *records[place + 1 :]))


def _with_list(review: Review, name: RecordList, records: Iterable[Identified]) -> Review:
    refuse_closed(review)
    ordered = tuple(records) if name == "goals" else tuple(sorted(records, key=_place_in_time))
    return review.model_copy(update={name: ordered})


def _place_in_time(record: Identified) -> tuple[int, str]:
    # Asking a record for a field it lacks is slow, and this runs for every record at every edit.
    us = record.start_us if isinstance(record, Span | GapCause) else getattr(record, "at_us", 0)
    return us, record.id
