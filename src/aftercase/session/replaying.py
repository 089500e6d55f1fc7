"""Replaying: the moments of a released review in order, and what stands beside each."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

from aftercase.edit.marking import running_step
from aftercase.model.case import Case
from aftercase.model.guide import Guide
from aftercase.model.review import Remark, Review
from aftercase.session.tasks.hand_over import may_open
from aftercase.session.verbs.closing import suggested

LEAD_US: Final = 3_000_000
"""A moment plays from this long before it."""

AFTER_US: Final = 3_000_000
"""A remark that stands at a moment plays on this long."""

MOST_BEFORE_US: Final = 18_000_000
"""Before a case no moment plays longer: three of them take less than a minute."""


@dataclass(frozen=True)
class ReplayMoment:
    """A remark as it is replayed.

    Attributes:
        remark: What was said.
        start_us: Where it is played from.
        end_us: Where it ends.
        step: Step that ran then, empty for none.
        step_span_us: That step's span, ``[start, end)``; None for none.
    """

    remark: Remark
    start_us: int
    end_us: int
    step: str
    step_span_us: tuple[int, int] | None


@dataclass(frozen=True)
class Shown:
    """Which moments are shown.

    Attributes:
        kind: Only this kind; all where empty.
        step: Only this step; all where empty.
        starred: Only the starred.
        before_a_case: Only what to think of before the next case.
    """

    kind: str = ""
    step: str = ""
    starred: bool = False
    before_a_case: bool = False

    def takes(self, moment: ReplayMoment) -> bool:
        """Claim that a moment is shown, as far as that is told by the moment alone."""
        return (
            self.kind in ("", moment.remark.kind)
            and self.step in ("", moment.step)
            and (moment.remark.starred or not self.starred)
        )


def moments_of(
    review: Review, guide: Guide, bounds_us: tuple[int, int]
) -> tuple[ReplayMoment, ...]:
    """Return a review's remarks in the order of the film, each with where it plays."""
    start_us, end_us = bounds_us
    found = []
    for remark in sorted(review.remarks, key=lambda one: (one.at_us, one.id)):
        span = running_step(guide, review, remark.at_us)
        found.append(
            ReplayMoment(
                remark,
                max(start_us, remark.at_us - LEAD_US),
                min(end_us, remark.end_us or remark.at_us + AFTER_US),
                span.step if span is not None else "",
                (span.start_us, span.end_us) if span is not None else None,
            )
        )
    return tuple(found)


def shown_moments(
    review: Review, guide: Guide, bounds_us: tuple[int, int], shown: Shown
) -> tuple[ReplayMoment, ...]:
    """Return those of a review's moments that are shown, in the order of the film."""
    every = moments_of(review, guide, bounds_us)
    if not shown.before_a_case:
        return tuple(moment for moment in every if shown.takes(moment))
    points = points_of(review)
    return tuple(
        replace(moment, end_us=min(moment.end_us, moment.start_us + MOST_BEFORE_US))
        for moment in every
        if moment.remark.id in points
    )


def points_of(review: Review) -> frozenset[str]:
    """Return the ids of what to work on: as the closing says, else of the starred remarks."""
    return frozenset(review.closing.points or (remark.id for remark in suggested(review, "points")))


def next_choice(shown: Shown, field: str, moments: Sequence[ReplayMoment]) -> Shown:
    """Return the filter with the next word of a field: each that occurs in turn, then all.

    Args:
        shown: The filter.
        field: ``kind`` or ``step``.
        moments: All moments.
    """
    words = [m.remark.kind if field == "kind" else m.step for m in moments]
    turns = ["", *dict.fromkeys(word for word in words if word)]
    now = getattr(shown, field)
    place = turns.index(now) if now in turns else 0
    word = turns[(place + 1) % len(turns)]
    return replace(shown, kind=word) if field == "kind" else replace(shown, step=word)


def replayed(reviews: Sequence[Review], person: str) -> tuple[Review, ...]:
    """Return the reviews a person can replay, the newest revision of each reviewer.

    Released ones of others, by code, then the person's own, closed or not, if it remarks anything;
    last what others released without a remark.
    """
    latest: dict[str, Review] = {}
    for review in reviews:
        known = latest.get(review.reviewer)
        is_newer = known is None or review.revision >= known.revision
        if is_newer and (review.state == "released" or review.reviewer == person):
            latest[review.reviewer] = review
    own = latest.pop(person, None)
    others = [review for _, review in sorted(latest.items())]
    with_own = [*others, own] if own is not None and own.remarks else others
    return tuple(sorted(with_own, key=lambda review: not review.remarks))


def openable(case: Case, reviews: Sequence[Review], own: Review) -> tuple[tuple[Review, ...], str]:
    """Return the reviews somebody can replay now, and why another opens only later, in words.

    Args:
        case: The header; it may ask to be judged by the trainee first.
        reviews: All reviews of the case.
        own: The person's own review as it is now.
    """
    found = replayed([*reviews, own], own.reviewer)
    refused = {one.reviewer: may_open(case, own, one) for one in found}
    why = next((words for words in refused.values() if words is not None), "")
    return tuple(one for one in found if refused[one.reviewer] is None), why


@dataclass(frozen=True)
class StepDifference:
    """How two reviews differ about one visit of a step.

    Attributes:
        step: The step.
        mine_us: My span, None where I have none.
        theirs_us: Theirs.
        difference_us: The larger distance of their edges; None where one of them is missing.
    """

    step: str
    mine_us: tuple[int, int] | None
    theirs_us: tuple[int, int] | None
    difference_us: int | None


def differences(mine: Review, theirs: Review) -> tuple[StepDifference, ...]:
    """Return two reviews' visits of steps beside each other, differences first.

    Visits that only one marked come first, then those whose edges lie farthest apart; equal ones
    last. Visits of a step are taken in order: the first beside the first.

    Example:
        Two reviews without steps have none.
    """
    found = []
    steps = dict.fromkeys(span.step for span in (*mine.steps, *theirs.steps))
    for step in steps:
        own, other = _visits(mine, step), _visits(theirs, step)
        for place in range(max(len(own), len(other))):
            one = own[place] if place < len(own) else None
            two = other[place] if place < len(other) else None
            found.append(StepDifference(step, one, two, _distance(one, two)))
    return tuple(
        sorted(
            found,
            key=lambda one: (one.difference_us is not None, -(one.difference_us or 0)),
        )
    )


def _visits(review: Review, step: str) -> list[tuple[int, int]]:
    return sorted((span.start_us, span.end_us) for span in review.steps if span.step == step)


def _distance(one: tuple[int, int] | None, two: tuple[int, int] | None) -> int | None:
    if one is None or two is None:
        return None
    return max(abs(one[0] - two[0]), abs(one[1] - two[1]))
