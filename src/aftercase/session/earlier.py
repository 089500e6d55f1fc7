"""The same step in earlier cases, for looking at both side by side."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from aftercase.document.files import Stored
from aftercase.errors import AftercaseError
from aftercase.model.case import Case
from aftercase.model.review import Review
from aftercase.session.opened import open_case
from aftercase.session.places import Places
from aftercase.session.recents import recent_cases

_MOST_CASES = 50


@dataclass(frozen=True)
class EarlierSpan:
    """A visit of a step in some case.

    Attributes:
        folder: The case folder.
        case_code: The case's code.
        reviewer: Who marked it.
        start_us: Where it starts on that case's clock.
        end_us: Where it ends.
    """

    folder: Path
    case_code: str
    reviewer: str
    start_us: int
    end_us: int


def spans_of_step(
    folder: Path, case: Case, reviews: Iterable[Stored[Review]], step: str
) -> tuple[EarlierSpan, ...]:
    """Return the visits of a step in a case's closed reviews and drafts, in order of the clock.

    Only the newest revision of each person counts.
    """
    latest: dict[str, Review] = {}
    for stored in reviews:
        known = latest.get(stored.record.reviewer)
        if known is None or stored.record.revision >= known.revision:
            latest[stored.record.reviewer] = stored.record
    found = [
        EarlierSpan(folder, case.code, review.reviewer, span.start_us, span.end_us)
        for review in latest.values()
        for span in review.steps
        if span.step == step
    ]
    return tuple(sorted(found, key=lambda span: (span.start_us, span.reviewer)))


def earlier_spans(at: Places, here: Path, step: str) -> tuple[EarlierSpan, ...]:
    """Return the visits of a step in the other recent cases whose reviews are released.

    A case that cannot be read is passed over.
    """
    found: list[EarlierSpan] = []
    for recent in recent_cases(at)[:_MOST_CASES]:
        if recent.path == here:
            continue
        try:
            opened = open_case(recent.path, at)
        except AftercaseError:
            continue
        released = [one for one in opened.reviews if one.record.state == "released"]
        found += spans_of_step(recent.path, opened.case, released, step)
    return tuple(found)
