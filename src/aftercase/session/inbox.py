"""What trainees answered or asked, for whoever wrote the remarks; what was read is remembered."""

from __future__ import annotations

import hashlib
import time
from collections.abc import Callable, Iterable, Iterator
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from aftercase import storage
from aftercase.errors import ReadFailed
from aftercase.media.watch import UNWATCHED, Watch
from aftercase.model.review import Remark, Reply
from aftercase.session.cases import WITHIN_S, Skipped, look_through, released_of
from aftercase.session.jsonfiles import bytes_of, object_in
from aftercase.session.opened import OpenedCase
from aftercase.session.places import Places
from aftercase.session.positions import Spot

_MOST_READ: Final = 10_000
_NOT_CLEAR: Final = "not-yet"


@dataclass(frozen=True)
class Unread:
    """A reply that its reader has not seen yet.

    Attributes:
        folder: The case folder.
        case_code: The case's code.
        trainee: Who replies.
        reply: What they say.
        remark: The remark they say it to; None where it is gone.
    """

    folder: Path
    case_code: str
    trainee: str
    reply: Reply
    remark: Remark | None

    @property
    def spot(self) -> Spot:
        """Where the case is opened to see what it is about."""
        return Spot(self.reply.to.id, self.reply.at_us)


@dataclass(frozen=True)
class Inbox:
    """What was found.

    Attributes:
        unread: Replies that were not read yet, questions first, then by case and time.
        skipped: Case folders that were passed over, each with why.
    """

    unread: tuple[Unread, ...]
    skipped: tuple[Skipped, ...]


def unread_replies(
    reader: str,
    folders: Iterable[Path],
    at: Places,
    *,
    watch: Watch = UNWATCHED,
    within_s: float = WITHIN_S,
    now: Callable[[], float] = time.monotonic,
) -> Inbox:
    """Return what trainees said to somebody's remarks and that person has not read yet.

    Only what a trainee released is looked at. A reply says something if it has words, or if the
    remark is said to be not understood yet; one that was changed after it was read is unread.

    Args:
        reader: Code of who wrote the remarks.
        folders: Case folders to look into.
        at: The program's folders.
        watch: Told of folders looked at; may stop the work.
        within_s: Seconds after which no further folder is opened.
        now: The time, in seconds.

    Raises:
        WorkCancelled: As asked by `watch`.
    """
    known = _read_before(at)
    found: list[Unread] = []

    def seen(opened: OpenedCase) -> None:
        found.extend(one for one in _replies_in(opened, reader) if _mark(one) not in known)

    skipped = look_through(folders, at, seen, watch=watch, within_s=within_s, now=now)
    unread = sorted(found, key=lambda one: not one.reply.asks)
    return Inbox(tuple(unread), skipped)


def mark_read(replies: Iterable[Unread], at: Places) -> None:
    """Remember that replies were read.

    Raises:
        WriteFailed: It cannot be remembered.
    """
    new = [_mark(one) for one in replies]

    def with_new(found: bytes | None) -> bytes:
        every = list(dict.fromkeys([*_marks_in(found), *new]))
        return bytes_of({"read": every[-_MOST_READ:]})

    storage.write_locked(_file(at), with_new)


def _replies_in(opened: OpenedCase, reader: str) -> Iterator[Unread]:
    remarks = {
        remark.id: remark
        for stored in opened.reviews
        if stored.record.reviewer == reader
        for remark in stored.record.remarks
    }
    for stored in released_of(opened):
        review = stored.record
        if review.role != "trainee" or review.reviewer == reader:
            continue
        for reply in sorted(review.replies, key=lambda one: one.at_us):
            says_something = reply.text.strip() or reply.understood == _NOT_CLEAR
            if reply.to.reviewer == reader and says_something:
                yield Unread(
                    opened.folder.path,
                    opened.case.code,
                    review.reviewer,
                    reply,
                    remarks.get(reply.to.id),
                )


def _mark(unread: Unread) -> str:
    """Return what a reply is remembered by: the reply, and what it says now."""
    reply = unread.reply
    said = f"{reply.id} {reply.understood} {reply.asks} {reply.text}"
    return hashlib.sha256(said.encode("utf-8", errors="surrogatepass")).hexdigest()[:32]


def _read_before(at: Places) -> set[str]:
    with suppress(ReadFailed):
        return set(_marks_in(storage.read_bytes(_file(at))))
    return set()


def _marks_in(content: bytes | None) -> list[str]:
    marks = object_in(content).get("read")
    return [mark for mark in marks if isinstance(mark, str)] if isinstance(marks, list) else []


def _file(at: Places) -> Path:
    return at.state / "replies-read.json"
