"""Handing a review over: seal, release, correct; and who may open whose."""

from __future__ import annotations

from pathlib import Path

from aftercase.document.files import Stored
from aftercase.document.folder import latest_of
from aftercase.edit import review as edits
from aftercase.errors import EditRefused, NameUnknown
from aftercase.model.case import Case
from aftercase.model.review import Review
from aftercase.session.inhand import WorkInHand
from aftercase.session.opened import OpenedCase, open_case
from aftercase.session.people import PLACEHOLDER
from aftercase.session.places import Places

JUDGES = ("teacher", "second-teacher")


def may_open(case: Case, own: Review, other: Review) -> str | None:
    """Return why a person may not open another's review yet, in words; None where they may.

    Where a case says “judge first”, a trainee seals a review of their own before a teacher's
    opens. It is courtesy between colleagues, not protection: the file can be read all the same.

    Args:
        case: The header.
        own: The person's own review as it is now; a correction counts as sealed before.
        other: The review they want to open.
    """
    has_judged = own.state != "draft" or own.revision > 1
    if not case.judge_first or own.role != "trainee" or has_judged or other.role not in JUDGES:
        return None
    return (
        f"This case is judged by yourself first: {other.reviewer}'s review opens when you have "
        "sealed your own."
    )


def named(review: Review) -> Review:
    """Return a review that somebody stands behind by their code; only such a one is sealed.

    Raises:
        EditRefused: Nobody said yet who reviews.
    """
    if review.reviewer == PLACEHOLDER.code:
        raise EditRefused(
            "Nobody said yet whose review this is.",
            hint="Say who reviews; then it can be sealed.",
        )
    return review


def seal_and_release(
    path: Path, reviewer: str, at: Places, *, release: bool = True
) -> Stored[Review]:
    """Seal a person's review, and release it to the person it is about.

    A sealed review that is released becomes the next revision with the same content; the sealed
    file stays.

    Args:
        path: The case folder.
        reviewer: Whose review.
        at: The program's folders.
        release: Whether it is released too, or only sealed.

    Returns:
        The review as it lies in the case folder.

    Raises:
        NameUnknown: That person has no review of this case.
        EditRefused: Nobody said who reviews yet, or it is released already.
        ReviewClosed: It is to be sealed and is closed already.
        DocumentMissing, DocumentBroken, DocumentTooNew: The case cannot be read.
        DocumentChanged, WriteFailed: It was not written; what was there is whole.
    """
    opened = open_case(path, at)
    stored = _review_of(opened, reviewer)
    review = named(stored.record)
    if not release:
        return _written(opened, stored, edits.seal(review), "seal the review")
    released = edits.release(review, stored.digest)
    return _written(opened, stored, released, "release the review")


def correct(path: Path, reviewer: str, at: Places) -> Stored[Review]:
    """Begin a correction of a closed review: a draft of the next revision; the closed one stays.

    Raises:
        NameUnknown: That person has no review of this case.
        EditRefused: It is a draft still.
        DocumentMissing, DocumentBroken, DocumentTooNew: The case cannot be read.
        DocumentChanged, WriteFailed: It was not written.
    """
    opened = open_case(path, at)
    stored = _review_of(opened, reviewer)
    draft = edits.corrected(stored.record, stored.digest or "")
    return _written(opened, stored, draft, "begin a correction")


def _review_of(opened: OpenedCase, reviewer: str) -> Stored[Review]:
    stored = latest_of(list(opened.reviews), reviewer)
    if stored is None:
        raise NameUnknown(
            f"{reviewer} has not reviewed this case.",
            hint="Name somebody who has.",
            path=opened.folder.path,
        )
    return stored


def _written(
    opened: OpenedCase, stored: Stored[Review], review: Review, label: str
) -> Stored[Review]:
    hand = WorkInHand(opened, stored)
    hand.edit(lambda _: review, label)
    state = hand.close()
    if state.fault is not None:
        raise state.fault
    return hand.stored
