"""What a person says to another's remarks; it goes into the person's own review."""

from __future__ import annotations

from typing import Final

from aftercase.edit import answer
from aftercase.model.review import Origin, Remark, Reply, Review
from aftercase.session.desk import Desk

_NEXT_UNDERSTOOD: Final = {
    "not-said": "understood",
    "understood": "not-yet",
    "not-yet": "not-said",
}


def reply_to(desk: Desk, review: Review, remark: Remark) -> Reply | None:
    """Return what was said to a remark so far; None for nothing."""
    return answer.reply_to(desk.review, review.reviewer, remark.id)


def say_watched(desk: Desk, review: Review, remark: Remark) -> bool:
    """Say that a remark's moment was played; said once."""
    known = reply_to(desk, review, remark)
    if known is not None and known.watched:
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
    to = Origin(case=review.case, reviewer=review.reviewer, revision=review.revision, id=remark.id)
    return desk.edit(
        lambda mine: answer.set_reply(
            mine, to, remark.at_us, desk.new_id,
            watched=watched, understood=understood, text=text, asks=asks,
        ),
        label,
        merge_key=f"{label} {remark.id}" if text is not None else None,
        quiet=True,
    )  # fmt: skip
