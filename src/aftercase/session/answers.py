"""What readers answered to one's own remarks, in words."""

from __future__ import annotations

from collections import defaultdict

from aftercase.model.review import Reply, Review
from aftercase.session.cases import released_of
from aftercase.session.opened import OpenedCase

_UNDERSTOOD = {"understood": "understood", "not-yet": "not yet clear"}


def answers_to(opened: OpenedCase, own: Review) -> dict[str, tuple[str, ...]]:
    """Return what others' released reviews reply to a review's remarks, by the remark's id.

    Args:
        opened: The case.
        own: The review whose remarks they reply to, in any of its revisions.

    Returns:
        Each answer in words, with the code of who gave it; remarks without one are left out.
    """
    found: dict[str, list[str]] = defaultdict(list)
    for stored in released_of(opened):
        reader = stored.record
        for reply in reader.replies:
            if reply.to.reviewer == own.reviewer and (said := _in_words(reply)):
                found[reply.to.id].append(f"{reader.reviewer} {said}")
    return {remark_id: tuple(words) for remark_id, words in found.items()}


def _in_words(reply: Reply) -> str:
    understood = _UNDERSTOOD.get(reply.understood, "watched" if reply.watched else "")
    text = reply.text.strip()
    if not text:
        return understood and f"says: {understood}"
    verb = "asks" if reply.asks else "says"
    return f"{verb}: {text}" + (f" ({understood})" if understood else "")
