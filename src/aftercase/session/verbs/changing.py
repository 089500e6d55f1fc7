"""Changing marks that are there: edges, halves, names, and taking them away."""

from __future__ import annotations

from functools import reduce
from typing import Any, Literal

from aftercase.edit import records
from aftercase.errors import EditRefused
from aftercase.model.review import Event, Mark, Review, Span, StepSpan
from aftercase.session.desk import Desk

Edge = Literal["start", "end"]


def name_of(desk: Desk, mark: Mark) -> str:
    """Return what a mark is called, for telling a person."""
    for field, names in (
        ("step", desk.guide.step_by_id),
        ("instrument", desk.guide.instrument_by_id),
    ):
        word = getattr(mark, field, None)
        if word is not None:
            return names[word].name if word in names else word
    kind = getattr(mark, "kind", None)
    if kind in desk.guide.event_by_id:
        return desk.guide.event_by_id[kind].name
    return {
        "PauseSpan": "the pause",
        "UnseenSpan": "the stretch that cannot be seen",
        "Remark": "the remark",
        "Flag": "the flag",
        "Goal": "the goal",
        "Calibration": "the ruler",
        "Measure": "the measure",
    }.get(type(mark).__name__, "the mark")


def drag_edge(desk: Desk, record_id: str, edge: Edge, us: int) -> bool:
    """Move an edge of a span; one drag is undone as one."""
    return retime(desk, record_id, f"edge {edge}", **{f"{edge}_us": us})


def drag_span(desk: Desk, record_id: str, start_us: int, end_us: int) -> bool:
    """Move a span as a whole; one drag is undone as one."""
    return retime(desk, record_id, "move", start_us=start_us, end_us=end_us)


def drag_border(desk: Desk, ends_id: str, begins_id: str, us: int) -> bool:
    """Move the edge that two spans share; both stay neighbours, and one drag is undone as one."""
    ending, beginning = desk.record(ends_id), desk.record(begins_id)
    if not isinstance(ending, Span) or not isinstance(beginning, Span):
        return False

    def edit(review: Review) -> Review:
        for span, fields in ((ending, {"end_us": us}), (beginning, {"start_us": us})):
            kept = _takeover_kept(span, fields) if isinstance(span, StepSpan) else {}
            review = records.change(review, span.id, **fields, **kept)
        return review

    return desk.edit(
        edit,
        f"move the border of {name_of(desk, beginning)}",
        merge_key=f"border {ends_id} {begins_id}",
        quiet=True,
    )


def drag_moment(desk: Desk, record_id: str, at_us: int) -> bool:
    """Move a mark that stands at a moment; one drag is undone as one."""
    return retime(desk, record_id, "moment", at_us=at_us)


def retime(desk: Desk, record_id: str, how: str, **fields: int) -> bool:
    """Give a mark other times; edits in a row of the same kind are undone as one."""
    mark = desk.record(record_id)
    if mark is None:
        return False
    if isinstance(mark, StepSpan):
        fields = {**fields, **_takeover_kept(mark, fields)}
    return desk.edit(
        lambda review: records.change(review, record_id, **fields),
        f"move {name_of(desk, mark)}",
        merge_key=f"{how} {record_id}",
        quiet=True,
    )


def _takeover_kept(mark: StepSpan, fields: dict[str, int]) -> dict[str, Any]:
    """Return the takeover's moments, forgotten where they would lie outside the step."""
    start_us, end_us = fields.get("start_us", mark.start_us), fields.get("end_us", mark.end_us)
    moments = {"taken_over_us": mark.taken_over_us, "given_back_us": mark.given_back_us}
    return {
        name: None
        for name, us in moments.items()
        if us is not None and not start_us <= us <= end_us
    }


def put_edge_here(desk: Desk, edge: Edge) -> bool:
    """Let the selected span begin or end on the shown frame."""
    spans = [mark for mark in desk.selected() if isinstance(mark, Span)]
    if len(spans) != 1:
        desk.tell("Select one span first: click it on the strip.", "refused")
        return False
    us = desk.at_us if edge == "start" else desk.moment.edge_us
    return desk.edit(
        lambda review: records.change(review, spans[0].id, **{f"{edge}_us": us}),
        f"{name_of(desk, spans[0])} {'begins' if edge == 'start' else 'ends'} here",
    )


def split_here(desk: Desk) -> bool:
    """Split the selected span, else the running step, at the shown frame."""
    spans = [mark for mark in desk.selected() if isinstance(mark, Span)]
    there = spans or [s for s in desk.review.steps if s.start_us < desk.at_us < s.end_us]
    if not there:
        desk.tell("There is no span here to split.", "refused")
        return False
    span = there[-1]
    return desk.edit(
        lambda review: records.split(review, span.id, desk.at_us, desk.new_id),
        f"split {name_of(desk, span)}",
    )


def join_selected(desk: Desk) -> bool:
    """Join the selected spans of one name into one; with one selected, it and its next."""
    spans = sorted(
        (mark for mark in desk.selected() if isinstance(mark, Span)),
        key=lambda span: (span.start_us, span.id),
    )
    if len(spans) == 1:
        spans += _next_alike(desk.review, spans[0])
    if len(spans) < 2:
        desk.tell("Select two spans of the same name to join them.", "refused")
        return False

    def edit(review: Review) -> Review:
        return reduce(lambda r, span: records.join(r, spans[0].id, span.id), spans[1:], review)

    done = desk.edit(edit, f"join {name_of(desk, spans[0])}")
    if done:
        desk.select(spans[0].id)
    return done


def _next_alike(review: Review, span: Span) -> list[Span]:
    name = records.found(review, span.id)[0]
    field = {"steps": "step", "instruments": "instrument"}.get(name)
    alike = [
        other
        for other in getattr(review, name)
        if other.start_us >= span.end_us
        and (field is None or getattr(other, field) == getattr(span, field))
    ]
    return alike[:1]


def delete_selected(desk: Desk) -> bool:
    """Delete the selected marks; one undo brings them back."""
    marks = desk.selected()
    if not marks:
        desk.tell("Select something first; then it can be deleted.", "refused")
        return False

    def edit(review: Review) -> Review:
        return reduce(lambda r, mark: records.delete(r, mark.id), marks, review)

    label = f"delete {name_of(desk, marks[0])}" if len(marks) == 1 else f"delete {len(marks)} marks"
    done = desk.edit(edit, label)
    if done:
        desk.select()
    return done


def relabel(desk: Desk, record_id: str, word: str) -> bool:
    """Give a step, instrument or event another name; only a complication keeps its course."""
    mark = desk.record(record_id)
    field = next((f for f in ("step", "instrument", "kind") if hasattr(mark, f)), None)
    if mark is None or field is None:
        return False
    known = desk.guide.event_by_id.get(word) if isinstance(mark, Event) else None
    has_course = known is None or known.event_class == "complication"
    no_course: dict[str, Any] = {} if has_course else {"course": None}

    def edit(review: Review) -> Review:
        changed = records.change(review, record_id, **{field: word}, **no_course)
        if changed == review:
            raise EditRefused("It has that name already.")
        return changed

    return desk.edit(edit, f"{name_of(desk, mark)} is renamed")
