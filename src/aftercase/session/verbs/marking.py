"""Marking on the shown frame."""

from __future__ import annotations

from aftercase.edit import marking
from aftercase.edit.answer import add_flag
from aftercase.edit.records import add, change
from aftercase.edit.review import say_not_needed
from aftercase.model.base import NOT_SAID
from aftercase.model.picture import PicturePoint
from aftercase.model.review import Event, StatedHour
from aftercase.session.desk import Desk


def next_step(desk: Desk) -> bool:
    """Begin the step that usually follows."""
    step = marking.usual_next(desk.guide, desk.review, desk.at_us)
    if step is None:
        desk.tell("The usual order ends here. Any step: its own two keys.", "refused")
        return False
    return press_step(desk, step.id)


def press_step(desk: Desk, step: str) -> bool:
    """Begin a step, or end it if it is running."""
    ends = any(
        span.step == step and span.start_us <= desk.at_us < span.end_us
        for span in desk.review.steps
    )
    return desk.edit(
        lambda review: marking.press_step(review, desk.guide, step, desk.moment, desk.new_id),
        f"{'end' if ends else 'begin'} {desk.guide.step_name(step)}",
    )


def press_instrument(desk: Desk, instrument: str, hand: str = NOT_SAID) -> bool:
    """Put an instrument into a hand, or take it out if it is there."""
    known = desk.guide.instrument_by_id.get(instrument)
    name = known.name if known else instrument
    where = {"main": " in the main hand", "second": " in the second hand"}.get(hand, "")
    ends = any(
        span.instrument == instrument
        and hand in (span.hand, NOT_SAID)
        and span.start_us <= desk.at_us < span.end_us
        for span in desk.review.instruments
    )
    return desk.edit(
        lambda review: marking.press_instrument(
            review, desk.guide, instrument, hand, desk.moment, desk.new_id
        ),
        f"{'take out' if ends else 'put in'} {name}{where}",
    )


def press_pause(desk: Desk) -> bool:
    """Say that nothing is in the eye, or that this is over."""
    ends = marking.running(desk.review.pauses, desk.at_us)
    return desk.edit(
        lambda review: marking.press_pause(review, desk.guide, desk.moment, desk.new_id),
        "end the pause" if ends else "begin a pause: nothing in the eye",
    )


def press_takeover(desk: Desk) -> bool:
    """Say that the teacher took the running step over, or gave it back."""
    span = marking.running_step(desk.guide, desk.review, desk.at_us)
    ends = span is not None and span.takeover == "taken-over"
    name = desk.guide.step_name(span.step) if span is not None else "the step"
    return desk.edit(
        lambda review: marking.press_takeover(review, desk.guide, desk.moment, desk.new_id),
        f"{name} {'given back' if ends else 'taken over'}",
    )


def press_unseen(desk: Desk) -> bool:
    """Say that nothing can be seen, or that this is over."""
    ends = marking.running(desk.review.unseen, desk.at_us)
    return desk.edit(
        lambda review: marking.press_unseen(review, desk.moment, desk.new_id),
        "can be seen again" if ends else "cannot be seen from here",
    )


def mark_event(desk: Desk, kind: str) -> bool:
    """Put an event on the shown frame and select it, so that its place can be given."""
    known = desk.guide.event_by_id.get(kind)
    event = Event(id=desk.new_id(), kind=kind, at_us=desk.at_us)
    done = desk.edit(lambda review: add(review, "events", event), known.name if known else kind)
    if done:
        desk.select(event.id)
        if known is not None and (known.report_locally or known.event_class == "complication"):
            desk.tell(f"{known.name}. Report it through your hospital's system as well.")
    return done


def say_place(desk: Desk, event_id: str, place: PicturePoint) -> bool:
    """Say where an event was, by pointing; its hour is worked out from that."""
    return desk.edit(lambda review: change(review, event_id, place=place), "point at the place")


def say_hour(desk: Desk, event_id: str, hour: StatedHour, to_hour: StatedHour | None) -> bool:
    """Say the clock hour of an event, or from which to which."""
    return desk.edit(
        lambda review: change(review, event_id, hour=hour, to_hour=to_hour), "say the hour"
    )


def flag(desk: Desk, note: str = "") -> bool:
    """Flag the shown frame: look here."""
    return desk.edit(
        lambda review: add_flag(review, desk.at_us, desk.new_id, note),
        "flag this moment: look here",
    )


def switch_not_needed(desk: Desk, step: str) -> bool:
    """Say that a step was not needed, or take that back."""
    before = set(desk.review.not_needed)
    after = before ^ {step}
    name = desk.guide.step_name(step)
    return desk.edit(
        lambda review: say_not_needed(review, tuple(sorted(after))),
        f"{name} {'was not needed' if step in after else 'is looked for again'}",
    )


def say_of_mark(desk: Desk, record_id: str, label: str, **fields: object) -> bool:
    """Say something of a mark: who did a step, with what help, why a pause; typing is one edit."""
    key = f"say {record_id} {' '.join(sorted(fields))}"
    return desk.edit(
        lambda review: change(review, record_id, **fields), label, merge_key=key, quiet=True
    )
