"""Work out one measure of one person's review."""

from __future__ import annotations

from pathlib import Path

from aftercase.metrics.gaps import INSTRUMENTS, gaps_of
from aftercase.metrics.measures import measured
from aftercase.metrics.subject import Settings, Subject
from aftercase.metrics.table import Table
from aftercase.model.case import Case
from aftercase.model.guide import Guide
from aftercase.model.review import Review
from aftercase.session.opened import OpenedCase, chosen_review, open_case
from aftercase.session.places import Places


def subject_of(opened: OpenedCase, reviewer: str | None) -> Subject:
    """Return what measures are worked out of: the case, its guide and one person's review.

    Raises:
        NameUnknown: There is no review, none of that person, or several people's.
    """
    review = chosen_review(opened, reviewer).record
    return Subject(case=opened.case, guide=opened.guide, review=review)


def worked_out_gaps_us(
    case: Case, guide: Guide, review: Review, shortest_us: int
) -> tuple[tuple[int, int], ...]:
    """Return the gaps between instruments, ``[start, end)``; none where those are not marked."""
    subject = Subject(case=case, guide=guide, review=review)
    found = gaps_of(subject, Settings(shortest_gap_us=shortest_us, gap_source=INSTRUMENTS))
    return tuple((gap.start_us, gap.end_us) for gap in found.kept)


def tabulate(
    case_folder: Path, measure: str, settings: Settings, at: Places, *, reviewer: str | None = None
) -> Table:
    """Work out a measure of a review.

    Raises:
        NameUnknown: There is no such measure or review; those that exist are named.
        DocumentMissing, DocumentBroken, DocumentTooNew: The case cannot be read.
    """
    return measured(measure, subject_of(open_case(case_folder, at), reviewer), settings)
