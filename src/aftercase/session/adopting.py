"""What a reviewer can take over from others: their marks of the clock, and their flags as stops."""

from __future__ import annotations

from dataclasses import dataclass

from aftercase.document.files import Stored
from aftercase.document.folder import latest_of
from aftercase.model.review import Flag, Review
from aftercase.session.cases import released_of
from aftercase.session.opened import OpenedCase
from aftercase.session.people import PLACEHOLDER
from aftercase.session.tasks.hand_over import may_open


@dataclass(frozen=True)
class Adoptable:
    """Another person's review whose marks of the clock can be adopted.

    Attributes:
        review: The review.
        n_steps: Step spans in it.
        n_instruments: Instrument spans in it.
    """

    review: Review
    n_steps: int
    n_instruments: int


@dataclass(frozen=True)
class Stop:
    """A moment that somebody asked to be looked at.

    Attributes:
        flag: The flag, with its note.
        reviewer: Whose it is.
        role: That person's role.
    """

    flag: Flag
    reviewer: str
    role: str


def adoptable(opened: OpenedCase, own: Review) -> tuple[Adoptable, ...]:
    """Return the reviews of others whose step and instrument marks can be adopted, by code.

    Args:
        opened: The case.
        own: The review that adopts, as it is now.
    """
    found = [
        Adoptable(stored.record, len(stored.record.steps), len(stored.record.instruments))
        for stored in _readable(opened, own)
    ]
    return tuple(one for one in found if one.n_steps or one.n_instruments)


def stops(opened: OpenedCase, own: Review) -> tuple[Stop, ...]:
    """Return the flags of others as stops on a reviewer's pass, in the order of the film."""
    found = [
        Stop(flag, stored.record.reviewer, stored.record.role)
        for stored in _readable(opened, own)
        for flag in stored.record.flags
    ]
    return tuple(sorted(found, key=lambda stop: (stop.flag.at_us, stop.flag.id)))


def _readable(opened: OpenedCase, own: Review) -> list[Stored[Review]]:
    """Return what a reviewer may read of others.

    What was released; of whoever only marks the clock, and of nobody in particular, drafts too.
    """
    shared = {stored.record.reviewer: stored for stored in released_of(opened)}
    for code in {stored.record.reviewer for stored in opened.reviews} - set(shared):
        latest = latest_of(list(opened.reviews), code)
        if latest is not None and (latest.record.role == "preparer" or code == PLACEHOLDER.code):
            shared[code] = latest
    return [
        shared[code]
        for code in sorted(shared)
        if code != own.reviewer and may_open(opened.case, own, shared[code].record) is None
    ]
