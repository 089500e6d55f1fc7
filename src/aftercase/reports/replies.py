"""What others replied to the remarks of a review: only where they released their own.

A reply is an answer between two people. It stands at its remark, in words; nothing counts replies.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from aftercase.model.base import NOT_SAID
from aftercase.model.review import Reply, Review
from aftercase.reports.content import ReplyItem
from aftercase.reports.words import UNDERSTANDING_NAMES, said


def replies_to(review: Review, others: Iterable[Review]) -> Mapping[str, tuple[ReplyItem, ...]]:
    """Return what others replied to a review's remarks, by the remark's id, by their codes.

    Args:
        review: The review whose remarks are replied to.
        others: Reviews of the case in any state and revision; of each person the latest released
            one is taken, and none where none is released.
    """
    found: dict[str, tuple[ReplyItem, ...]] = {}
    for other in _released(review, others):
        for reply in other.replies:
            if reply.to.reviewer == review.reviewer and (text := _words(reply)):
                item = ReplyItem(_label(reply, other), text)
                found[reply.to.id] = (*found.get(reply.to.id, ()), item)
    return found


def _released(review: Review, others: Iterable[Review]) -> list[Review]:
    latest: dict[str, Review] = {}
    for other in sorted(others, key=lambda one: (one.reviewer, one.revision)):
        same_case = other.case == review.case and other.reviewer != review.reviewer
        if same_case and other.state == "released":
            latest[other.reviewer] = other
    return list(latest.values())


def _label(reply: Reply, other: Review) -> str:
    return f"{'Question' if reply.asks else 'Reply'} of {other.reviewer} ({said(other.role)})"


def _words(reply: Reply) -> str:
    """Return what a reply says; that a moment was watched is no more than that, and not told."""
    understood = ""
    if reply.understood != NOT_SAID:
        understood = f"{said(reply.understood, UNDERSTANDING_NAMES)}."
    return "\n".join(line for line in (understood, reply.text) if line.strip())
