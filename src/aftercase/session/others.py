"""What others wrote of the case on the desk: marks that can be adopted, moments to look at."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from aftercase.model.review import Review
from aftercase.session.opened import OpenedCase


@dataclass(frozen=True)
class AskedMoment:
    """A moment somebody asks others to look at: who, when, and why."""

    reviewer: str
    at_us: int
    note: str


def adoptable(opened: OpenedCase, reviewer: str) -> tuple[Review, ...]:
    """Return other people's newest reviews whose step or instrument marks can be adopted."""
    latest = newest_of(stored.record for stored in opened.reviews)
    return tuple(
        review
        for who, review in sorted(latest.items())
        if who != reviewer and (review.steps or review.instruments)
    )


def asked_moments(opened: OpenedCase, reviewer: str) -> tuple[AskedMoment, ...]:
    """Return the moments that others' closed reviews flag, in the film's order."""
    closed = (stored.record for stored in opened.reviews if stored.record.state != "draft")
    found = [
        AskedMoment(who, flag.at_us, flag.note)
        for who, review in newest_of(closed).items()
        if who != reviewer
        for flag in review.flags
    ]
    return tuple(sorted(found, key=lambda one: (one.at_us, one.reviewer)))


def newest_of(reviews: Iterable[Review]) -> dict[str, Review]:
    """Return each person's newest revision among some reviews."""
    latest: dict[str, Review] = {}
    for review in reviews:
        known = latest.get(review.reviewer)
        if known is None or review.revision >= known.revision:
            latest[review.reviewer] = review
    return latest
