"""What a person answers to another's remarks, and the moments they ask others to look at."""

from __future__ import annotations

from aftercase.edit.records import add, change, refuse_closed
from aftercase.errors import EditRefused
from aftercase.model.base import NewId
from aftercase.model.review import Flag, Origin, Reply, Review


def reply_to(review: Review, reviewer: str, remark_id: str) -> Reply | None:
    """Return what a review replies to a remark, whatever its revision; None for nothing yet."""
    for reply in review.replies:
        if (reply.to.reviewer, reply.to.id) == (reviewer, remark_id):
            return reply
    return None


def set_reply(
    review: Review,
    to: Origin,
    at_us: int,
    new_id: NewId,
    *,
    watched: bool | None = None,
    understood: str | None = None,
    text: str | None = None,
    asks: bool | None = None,
) -> Review:
    """Reply to another person's remark, or say more in the reply there is; None leaves a field.

    There is one reply to a remark. Without words it asks nothing.

    Args:
        review: The review of who replies.
        to: The remark.
        at_us: When the remark is.
        new_id: Source of ids.
        watched: Whether its moment was played.
        understood: ``understood``, ``not-yet`` or ``not-said``.
        text: An answer or a question.
        asks: Whether it is a question.

    Raises:
        ReviewClosed: The review is sealed or released.
        EditRefused: It is one's own remark, or one of another case.
    """
    refuse_closed(review)
    if to.reviewer == review.reviewer:
        raise EditRefused("A review does not answer its own remarks.")
    if to.case != review.case:
        raise EditRefused("This remark belongs to another case.")
    given = {"watched": watched, "understood": understood, "text": text, "asks": asks}
    said = {name: value for name, value in given.items() if value is not None}
    earlier = reply_to(review, to.reviewer, to.id)
    words = said.get("text", earlier.text if earlier is not None else "")
    if not str(words).strip():
        said["asks"] = False
    if earlier is not None:
        return change(review, earlier.id, to=to, at_us=at_us, **said)
    return add(review, "replies", Reply(id=new_id(), to=to, at_us=at_us).changed(**said))


def add_flag(review: Review, at_us: int, new_id: NewId, note: str = "") -> Review:
    """Ask whoever reviews next to look at a frame; one that is flagged already gets the note too.

    Raises:
        ReviewClosed: The review is sealed or released.
    """
    for flag in review.flags:
        if flag.at_us == at_us:
            notes = [said for said in dict.fromkeys((flag.note, note)) if said]
            return change(review, flag.id, note="\n".join(notes))
    return add(review, "flags", Flag(id=new_id(), at_us=at_us, note=note))
