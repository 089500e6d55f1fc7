"""Edits of a review as a whole: its closing, adopting another's marks, sealing, correcting."""

from __future__ import annotations

from typing import Any

from aftercase.edit.records import add_all, refuse_closed
from aftercase.errors import EditRefused
from aftercase.model.base import NewId
from aftercase.model.review import Closing, InstrumentSpan, Origin, Review, StepSpan
from aftercase.model.rules import MOST_POINTS, MOST_STRENGTHS


def close_with(review: Review, closing: Closing) -> Review:
    """Set what the review ends with.

    Raises:
        ReviewClosed: The review is sealed or released.
        EditRefused: There are too many points, or a remark that does not exist.
    """
    refuse_closed(review)
    known = {remark.id for remark in review.remarks}
    for name, chosen, most in (
        ("strengths", closing.strengths, MOST_STRENGTHS),
        ("points to work on", closing.points, MOST_POINTS),
    ):
        if len(chosen) > most:
            raise EditRefused(f"{len(chosen)} {name} are too many; {most} are taken.")
        if missing := set(chosen) - known:
            raise EditRefused(f"No remark has the id {sorted(missing)[0]}.")
    return review.model_copy(update={"closing": closing})


def say_not_needed(review: Review, steps: tuple[str, ...]) -> Review:
    """Set the steps that did not happen because they were not needed.

    Raises:
        ReviewClosed: The review is sealed or released.
    """
    refuse_closed(review)
    return review.changed(not_needed=tuple(sorted(set(steps))))


def adopt(review: Review, other: Review, new_id: NewId) -> Review:
    """Adopt another person's step and instrument marks; who marked them is kept.

    Marks of that review which were adopted before are left as they are, and one's own that come
    back from the other are not taken.

    Raises:
        ReviewClosed: The review is sealed or released.
        EditRefused: It is the same person's review, or one of another case.
    """
    if other.reviewer == review.reviewer:
        raise EditRefused("A review cannot adopt its own author's marks.")
    if other.case != review.case:
        raise EditRefused("This review belongs to another case.")
    here = {
        (mark.adopted_from.reviewer, mark.adopted_from.id)
        for mark in (*review.steps, *review.instruments)
        if mark.adopted_from is not None
    }

    def fresh(span: StepSpan | InstrumentSpan) -> bool:
        author = _author(span, other)
        return author not in here and author[0] != review.reviewer

    steps = [_copied(span, other, new_id) for span in other.steps if fresh(span)]
    instruments = [_copied(span, other, new_id) for span in other.instruments if fresh(span)]
    return add_all(add_all(review, "steps", steps), "instruments", instruments)


def _author(span: StepSpan | InstrumentSpan, other: Review) -> tuple[str, str]:
    if span.adopted_from is not None:
        return span.adopted_from.reviewer, span.adopted_from.id
    return other.reviewer, span.id


def _copied(span: StepSpan | InstrumentSpan, other: Review, new_id: NewId) -> Any:
    origin = span.adopted_from or Origin(
        case=other.case, reviewer=other.reviewer, revision=other.revision, id=span.id
    )
    return span.changed(id=new_id(), adopted_from=origin)


def seal(review: Review) -> Review:
    """Seal a draft: it is never written again.

    Raises:
        ReviewClosed: It is sealed or released already.
    """
    refuse_closed(review)
    return review.changed(state="sealed")


def release(review: Review, sha256: str | None = None) -> Review:
    """Release a review to the person it is about.

    A draft is sealed and released in one; a sealed one, whose file is never written again, is
    released as its next revision with the same content.

    Args:
        review: A draft or a sealed review.
        sha256: SHA-256 of the sealed review's file in hex; not needed for a draft.

    Raises:
        EditRefused: It is released already.
    """
    if review.state == "released":
        raise EditRefused("This review is released already.")
    draft = review if review.state == "draft" else corrected(review, _named(sha256))
    return draft.changed(state="released")


def corrected(review: Review, sha256: str) -> Review:
    """Return the draft of a correction: the next revision, naming its predecessor's file.

    Args:
        review: A sealed or released review.
        sha256: SHA-256 of its file, in hex.

    Raises:
        EditRefused: The review is still a draft.
    """
    if review.state == "draft":
        raise EditRefused("A draft needs no correction.", hint="Edit it as it is.")
    return review.changed(state="draft", revision=review.revision + 1, predecessor_sha256=sha256)


def _named(sha256: str | None) -> str:
    if sha256 is None:
        raise ValueError("releasing a sealed review needs the SHA-256 of its file")
    return sha256
