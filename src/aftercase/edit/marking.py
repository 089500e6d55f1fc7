"""Marking as the film plays: one key begins on the shown frame, the same key ends there.

A span that was begun runs until something ends it, at the latest at the case's end. What cannot
be true at once ends by itself: another step ends the running one, another instrument in a hand the
one in it, a pause what the hands hold, and a step or instrument the pause.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

from aftercase.edit.records import add, begin_step, change, delete, split
from aftercase.errors import EditRefused
from aftercase.model.base import NOT_SAID, NewId
from aftercase.model.guide import Guide, Step
from aftercase.model.review import (
    Event,
    InstrumentSpan,
    PauseSpan,
    Review,
    Span,
    StepSpan,
    UnseenSpan,
)

_HELD: Final = ("main", "second", "either")


@dataclass(frozen=True)
class Moment:
    """Where a key was pressed.

    Attributes:
        at_us: Start of the shown frame.
        edge_us: Where a span that ends here ends: the shown frame's start, or the recording's end
            on the last frame.
        end_us: The case's end, where a span begun here ends until it is ended.
    """

    at_us: int
    edge_us: int
    end_us: int


def running(spans: tuple[Span, ...], at_us: int) -> tuple[Span, ...]:
    """Return the spans that cover a moment, the one begun last at the end."""
    return tuple(span for span in spans if span.start_us <= at_us < span.end_us)


def running_step(guide: Guide, review: Review, at_us: int) -> StepSpan | None:
    """Return the step that runs at a moment; of a step and its part the part, None for none."""
    there = [span for span in review.steps if span.start_us <= at_us < span.end_us]
    return max(there, key=lambda span: (_is_part(guide, span.step), span.start_us), default=None)


def _is_part(guide: Guide, step: str) -> bool:
    return guide.parent_of(step) != step


def usual_steps(guide: Guide, review: Review) -> tuple[Step, ...]:
    """Return the steps that “next step” walks: whole, planned, needed, and not optional.

    Where a guide calls every step optional, as one of drills does, all planned ones.
    """
    whole = [step for step in guide.steps if step.parent is None and not step.unplanned]
    needed = [step for step in whole if step.id not in review.not_needed]
    return tuple(step for step in needed if not step.optional) or tuple(needed)


def usual_next(guide: Guide, review: Review, at_us: int) -> Step | None:
    """Return the step that usually follows: the one after the furthest begun by a moment.

    A step that was returned to does not turn the order back. None after the last.
    """
    place = {step.id: number for number, step in enumerate(guide.steps)}
    begun = [
        place[guide.parent_of(span.step)]
        for span in review.steps
        if span.start_us <= at_us and guide.parent_of(span.step) in place
        if not guide.step_by_id[guide.parent_of(span.step)].unplanned
    ]
    furthest = max(begun, default=-1)
    ahead = (step for step in usual_steps(guide, review) if place[step.id] > furthest)
    return next(ahead, None)


def press_step(review: Review, guide: Guide, step: str, moment: Moment, new_id: NewId) -> Review:
    """Begin a step on the shown frame, or end it there if it is running.

    The step that was running ends, sharing the edge; a part leaves its whole running. On the very
    frame the running step began on, that one becomes the other step: it was the wrong key.

    Raises:
        ReviewClosed: The review is sealed or released.
        EditRefused: Nothing would be left of the span.
    """
    there = [span for span in review.steps if span.start_us <= moment.at_us < span.end_us]
    same = [span for span in there if span.step == step]
    if same:
        return _ended(review, same[-1], moment)
    going_on = {guide.parent_of(step)} - {step}
    ending = [span for span in there if span.step not in going_on]
    wrong = [span for span in ending if span.start_us == moment.at_us]
    if wrong:
        return change(_pause_over(review, moment), wrong[-1].id, step=step)
    end_us = _until_next(review, guide, step, moment)
    begun = _pause_over(review, moment)
    return begin_step(begun, step, moment.at_us, end_us, new_id, going_on=going_on)


def _until_next(review: Review, guide: Guide, step: str, moment: Moment) -> int:
    """Return where a step begun now ends at the latest: the next step, its whole, or the case."""
    parent = guide.parent_of(step)
    later = [span.start_us for span in review.steps if span.start_us > moment.at_us]
    if parent == step:
        later = [
            span.start_us
            for span in review.steps
            if span.start_us > moment.at_us and guide.parent_of(span.step) == span.step
        ]
    whole = [
        span.end_us
        for span in review.steps
        if parent != step and span.step == parent and span.start_us <= moment.at_us < span.end_us
    ]
    return min([*later, *whole, moment.end_us])


def press_instrument(
    review: Review, guide: Guide, instrument: str, hand: str, moment: Moment, new_id: NewId
) -> Review:
    """Put an instrument into a hand on the shown frame, or take it out if it is there.

    What the same hand held goes out; what stays in the eye without a hand stays.

    Raises:
        ReviewClosed: The review is sealed or released.
        EditRefused: Nothing would be left of the span.
    """
    there = [span for span in review.instruments if span.start_us <= moment.at_us < span.end_us]
    same = [
        span for span in there if span.instrument == instrument and hand in (span.hand, NOT_SAID)
    ]
    if same:
        return _ended(review, same[-1], moment)
    changed = _pause_over(review, moment)
    for span in there:
        if hand != NOT_SAID and span.hand == hand and _is_held(guide, span.instrument):
            changed = _over(changed, span, moment)
    later = [
        span.start_us
        for span in review.instruments
        if span.start_us > moment.at_us and (span.instrument, span.hand) == (instrument, hand)
    ]
    begun = InstrumentSpan(
        id=new_id(),
        instrument=instrument,
        hand=hand,
        start_us=moment.at_us,
        end_us=min([*later, moment.end_us]),
    )
    return add(changed, "instruments", begun)


def press_pause(review: Review, guide: Guide, moment: Moment, new_id: NewId) -> Review:
    """Say that nothing is in the eye from the shown frame on, or that this is over.

    Raises:
        ReviewClosed: The review is sealed or released.
        EditRefused: Nothing would be left of the pause.
    """
    changed = review
    if not running(review.pauses, moment.at_us):
        for span in review.instruments:
            held = span.start_us <= moment.at_us < span.end_us
            if held and _is_held(guide, span.instrument):
                changed = _over(changed, span, moment)
    later = [span.start_us for span in review.pauses if span.start_us > moment.at_us]
    end_us = min([*later, moment.end_us])

    def begun() -> PauseSpan:
        return PauseSpan(id=new_id(), start_us=moment.at_us, end_us=end_us)

    return _toggled(changed, "pauses", review.pauses, moment, begun)


def press_unseen(review: Review, moment: Moment, new_id: NewId) -> Review:
    """Say that nothing can be seen from the shown frame on, or that this is over.

    Raises:
        ReviewClosed: The review is sealed or released.
        EditRefused: Nothing would be left of the stretch.
    """
    later = [span.start_us for span in review.unseen if span.start_us > moment.at_us]
    end_us = min([*later, moment.end_us])

    def begun() -> UnseenSpan:
        return UnseenSpan(id=new_id(), start_us=moment.at_us, end_us=end_us)

    return _toggled(review, "unseen", review.unseen, moment, begun)


def press_takeover(review: Review, guide: Guide, moment: Moment, new_id: NewId) -> Review:
    """Say that the teacher took the running step over here, or gave it back here.

    A second takeover of a step that was given back begins a new span of it.

    Raises:
        ReviewClosed: The review is sealed or released.
        EditRefused: No step is running.
    """
    span = running_step(guide, review, moment.at_us)
    if span is None:
        raise EditRefused(
            "No step is running here.", hint="Begin the step first, then say who took it over."
        )
    if span.takeover == "taken-over":
        return change(review, span.id, takeover="given-back", given_back_us=moment.at_us)
    if span.takeover == "given-back" and span.start_us < moment.at_us:
        review = split(review, span.id, moment.at_us, new_id)
        later = running_step(guide, review, moment.at_us)
        assert later is not None, "the later half covers the moment"
        span = later
    return change(
        review, span.id, takeover="taken-over", taken_over_us=moment.at_us, given_back_us=None
    )


def mark_event(review: Review, kind: str, moment: Moment, new_id: NewId) -> Review:
    """Put an event on the shown frame.

    Raises:
        ReviewClosed: The review is sealed or released.
    """
    return add(review, "events", Event(id=new_id(), kind=kind, at_us=moment.at_us))


def _toggled(
    review: Review,
    name: str,
    spans: tuple[Span, ...],
    moment: Moment,
    begun: Callable[[], Span],
) -> Review:
    there = running(spans, moment.at_us)
    if there:
        return _ended(review, there[-1], moment)
    return add(review, name, begun())  # type: ignore[arg-type]


def _ended(review: Review, span: Span, moment: Moment) -> Review:
    """End a span by its own key; on its first frame nothing would be left, so it is refused."""
    if moment.edge_us <= span.start_us:
        raise EditRefused(
            "It begins on this very frame, so nothing would be left of it.",
            hint="Go on a frame to end it, or undo to take it back.",
        )
    return _over(review, span, moment)


def _over(review: Review, span: Span, moment: Moment) -> Review:
    """End a span because something else began; one that began on this frame goes."""
    if moment.edge_us <= span.start_us:
        return delete(review, span.id)
    if isinstance(span, StepSpan):
        takeover = {
            name: us if us is None or us <= moment.edge_us else None
            for name, us in (
                ("taken_over_us", span.taken_over_us),
                ("given_back_us", span.given_back_us),
            )
        }
        return change(review, span.id, end_us=moment.edge_us, **takeover)
    return change(review, span.id, end_us=moment.edge_us)


def _pause_over(review: Review, moment: Moment) -> Review:
    for pause in running(review.pauses, moment.at_us):
        review = _over(review, pause, moment)
    return review


def _is_held(guide: Guide, instrument: str) -> bool:
    known = guide.instrument_by_id.get(instrument)
    return known is None or known.hand in _HELD
