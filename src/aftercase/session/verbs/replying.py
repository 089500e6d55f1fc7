"""What a person says to another's remarks; it goes into the person's own review."""

from __future__ import annotations

from typing import Final

from aftercase.edit import answer
from aftercase.edit.review import corrected
from aftercase.model.review import Origin, Remark, Reply, Review
from aftercase.session.desk import Desk
from aftercase.session.verbs.closing import is_saved

_NEXT_UNDERSTOOD: Final = {
    "not-said": "understood",
    "understood": "not-yet",
    "not-yet": "not-said",
}


def may_reply(desk: Desk) -> bool:
    """Claim that something can be said to another's remarks.

    A trainee who has sealed an own review, because it is judged first, says it in its next
    revision; a teacher's closed review is not opened again by looking at another's.
    """
    return desk.is_draft or desk.review.role == "trainee"


def reply_to(desk: Desk, review: Review, remark: Remark) -> Reply | None:
    """Return what was said to a remark so far; None for nothing."""
    return answer.reply_to(desk.review, review.reviewer, remark.id)


def say_watched(desk: Desk, review: Review, remark: Remark) -> bool:
    """Say that a remark's moment was played; said once, where anything can be said."""
    known = reply_to(desk, review, remark)
    if (known is not None and known.watched) or not may_reply(desk):
        return False
    return _say(desk, review, remark, "watch a moment", watched=True)


def switch_understood(desk: Desk, review: Review, remark: Remark) -> bool:
    """Say that a remark is understood; again: not yet; again: nothing said."""
    known = reply_to(desk, review, remark)
    word = _NEXT_UNDERSTOOD.get(known.understood if known else "not-said", "understood")
    return _say(desk, review, remark, "say whether it is understood", understood=word)


def say_answer(desk: Desk, review: Review, remark: Remark, text: str) -> bool:
    """Write an answer or a question; typing is one edit."""
    return _say(desk, review, remark, "answer a remark", text=text)


def say_asks(desk: Desk, review: Review, remark: Remark, asks: bool) -> bool:
    """Say that what was written is a question, or that it is not."""
    return _say(desk, review, remark, "say that it is a question", asks=asks)


def _say(
    desk: Desk,
    review: Review,
    remark: Remark,
    label: str,
    *,
    watched: bool | None = None,
    understood: str | None = None,
    text: str | None = None,
    asks: bool | None = None,
) -> bool:
    if not desk.is_draft and not is_saved(desk):
        return False
    closed, digest = not desk.is_draft, desk.hand.stored.digest or ""
    to = Origin(case=review.case, reviewer=review.reviewer, revision=review.revision, id=remark.id)
    said = desk.edit(
        lambda mine: answer.set_reply(
            corrected(mine, digest) if closed else mine, to, remark.at_us, desk.new_id,
            watched=watched, understood=understood, text=text, asks=asks,
        ),
        label,
        merge_key=f"{label} {remark.id}" if text is not None else None,
        quiet=True,
    )  # fmt: skip
    if said and closed:
        desk.tell("What you closed stays as it is; what you say now goes into its next revision.")
    return said
