"""An opened case: what was read, the review in hand with its history, and its saving."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from aftercase.document.files import Stored
from aftercase.document.folder import (
    CaseFolder,
    latest_of,
    new_review,
    read_case,
    read_case_guide,
    read_reviews,
)
from aftercase.errors import NameUnknown
from aftercase.model.base import NewId
from aftercase.model.case import Case
from aftercase.model.guide import Guide
from aftercase.model.review import Review
from aftercase.session.places import Places


@dataclass(frozen=True)
class OpenedCase:
    """A case folder as it was read.

    Attributes:
        folder: Where it lies.
        stored_case: The header with what it was on disk.
        guide: The case's own copy of its guide.
        reviews: All reviews that can be read here, by reviewer and revision.
    """

    folder: CaseFolder
    stored_case: Stored[Case]
    guide: Guide
    reviews: tuple[Stored[Review], ...]

    @property
    def case(self) -> Case:
        """The header."""
        return self.stored_case.record


def open_case(path: Path, at: Places) -> OpenedCase:
    """Read a case folder whole.

    Raises:
        DocumentMissing: It is no case folder, or its guide is gone.
        DocumentBroken: A file of it cannot be read; place and fault are named.
        DocumentTooNew: A file of it was written by a newer program.
    """
    folder = CaseFolder(path, at.drafts)
    case = read_case(folder)
    guide = read_case_guide(folder)
    reviews = read_reviews(folder, case.record.id)
    return OpenedCase(folder, case, guide.record, tuple(reviews))


def chosen_review(opened: OpenedCase, reviewer: str | None) -> Stored[Review]:
    """Return a person's latest review; the only person's where none is named.

    Raises:
        NameUnknown: There is no review, none of that person, or several people's.
    """
    people = sorted({stored.record.reviewer for stored in opened.reviews})
    if not people:
        raise NameUnknown(
            "Nobody has reviewed this case yet.",
            hint="Take in a table with “aftercase spans”, or review it in the window.",
            path=opened.folder.path,
        )
    if reviewer is None and len(people) > 1:
        raise NameUnknown(
            f"{len(people)} people reviewed this case: {', '.join(people)}.",
            hint="Name one with --reviewer.",
            path=opened.folder.path,
        )
    latest = latest_of(list(opened.reviews), reviewer or people[0])
    if latest is None:
        raise NameUnknown(
            f"{reviewer} has not reviewed this case.",
            hint=f"Reviews here: {', '.join(people)}.",
            path=opened.folder.path,
        )
    return latest


def draft_of(opened: OpenedCase, reviewer: str, role: str, new_id: NewId) -> Stored[Review]:
    """Return a person's draft, an empty one where there is no review of theirs yet.

    A person whose latest review is closed gets that one back; editing it is refused with what
    to do.
    """
    latest = latest_of(list(opened.reviews), reviewer)
    if latest is not None:
        return latest
    review = Review(id=new_id(), case=opened.case.id, reviewer=reviewer, role=role)
    return new_review(opened.folder, review)
