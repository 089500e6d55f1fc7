"""The thread that has a reader: the newest order wins, what it finds waits to be taken.

Orders come from one thread, and what is found is taken there. Pictures of a run wait in a queue
bounded by bytes, so that a film that is not looked at fills no memory.
"""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import count
from typing import Final

from aftercase.media.source import (
    Cancel,
    Failed,
    Opened,
    OpenRecording,
    PictureAt,
    PicturesIn,
    Response,
    Shown,
    Source,
)

QUEUE_BYTES: Final = 64 << 20
"""About a third of a second of full HD, seconds at the size of a window."""

REST_S: Final = 0.09
"""How long a hand that drags must rest before the exact picture is decoded."""


@dataclass(frozen=True)
class Open:
    """Open a recording."""

    request: OpenRecording


@dataclass(frozen=True)
class Show:
    """Show the picture of a moment.

    Attributes:
        us: The moment.
        max_side_px: Longer side to shrink to; None for full size.
        quick: What may be shown before: ``exact`` (nothing), ``copy`` (the scrub copy's) or
            ``near`` (that, else the nearest key picture).
        quick_alone: That will do: a film run through faster than it can be decoded.
        waits: The hand may still move: the exact picture only after it rests.
    """

    us: int
    max_side_px: int | None
    quick: str = "exact"
    quick_alone: bool = False
    waits: bool = False


@dataclass(frozen=True)
class Run:
    """Show the pictures of a stretch in order, one of `every`."""

    start_us: int
    end_us: int
    max_side_px: int | None
    every: int = 1


Order = Open | Show | Run


@dataclass(frozen=True)
class Found:
    """What came of an order.

    Attributes:
        number: Of the order.
        response: What the reader answered.
        is_last: Nothing more comes of this order.
    """

    number: int
    response: Response
    is_last: bool


class PictureWorker:
    """Carries out one order after the other; a newer order ends the one before.

    Args:
        source: The reader; used by this worker alone, and closed by it.
        threaded: Whether it works on a thread of its own; else `work` does it, for tests.
    """

    def __init__(self, source: Source, *, threaded: bool = True) -> None:
        self._source = source
        self._changed = threading.Condition()
        self._order: tuple[int, Order] | None = None
        self._newest = 0
        self._found: list[Found] = []
        self._queued_bytes = 0
        self._ending = False
        self._opening_id: int | None = None
        self._ids = count(1)
        self._told: Callable[[], None] = lambda: None
        self._thread = threading.Thread(target=self._run, name="pictures", daemon=True)
        if threaded:
            self._thread.start()

    def on_found(self, told: Callable[[], None]) -> None:
        """Have something called on the worker's thread whenever there is something to take."""
        self._told = told

    def order(self, order: Order) -> int:
        """Give an order instead of the one before, and return its number."""
        with self._changed:
            self._newest += 1
            self._order = (self._newest, order)
            self._found = [one for one in self._found if isinstance(one.response, Opened)]
            self._queued_bytes = 0
            self._changed.notify_all()
            opening = self._opening_id
        if opening is not None:
            self._source.answers(Cancel(opening))
        return self._newest

    def stand(self) -> int:
        """Want nothing more of the order under way; return a number of its own."""
        with self._changed:
            self._newest += 1
            self._order = None
            self._found.clear()
            self._queued_bytes = 0
            self._changed.notify_all()
        return self._newest

    def peek(self) -> Found | None:
        """Return what is to be taken next, None where there is nothing."""
        with self._changed:
            return self._found[0] if self._found else None

    def take(self) -> Found | None:
        """Take what was found first, None where there is nothing."""
        with self._changed:
            if not self._found:
                return None
            found = self._found.pop(0)
            self._queued_bytes -= _bytes_of(found)
            self._changed.notify_all()
            return found

    def work(self) -> None:
        """Carry out what is ordered, on this thread, as far as there is room."""
        while (taken := self._taken(wait=False)) is not None:
            self._carry_out(*taken)

    def close(self, leave_s: float = 2.0) -> None:
        """End the thread and close the reader."""
        with self._changed:
            self._ending = True
            self._newest += 1
            self._order = None
            self._changed.notify_all()
            opening = self._opening_id
        if opening is not None:
            self._source.answers(Cancel(opening))
        if self._thread.ident is not None:
            self._thread.join(leave_s)
        else:
            self._source.close()

    def _run(self) -> None:
        while (taken := self._taken(wait=True)) is not None:
            self._carry_out(*taken)
        self._source.close()

    def _taken(self, *, wait: bool) -> tuple[int, Order] | None:
        """Return the next order; None when there is none and nothing is waited for."""
        with self._changed:
            if wait:
                self._changed.wait_for(lambda: self._order or self._ending)
            order, self._order = self._order, None
            return order

    def _carry_out(self, number: int, order: Order) -> None:
        if isinstance(order, Open):
            self._open(number, order)
            return
        for response, is_last in self._pictures(number, order):
            if not self._put(Found(number, response, is_last)):
                break

    def _open(self, number: int, order: Open) -> None:
        request = OpenRecording(
            next(self._ids), order.request.paths, order.request.stored, order.request.cache
        )
        with self._changed:
            self._opening_id = request.request_id
        try:
            for response in self._source.answers(request):
                self._put(Found(number, response, True))
        finally:
            with self._changed:
                self._opening_id = None

    def _pictures(self, number: int, order: Show | Run) -> Iterator[tuple[Response, bool]]:
        if isinstance(order, Run):
            wanted = PicturesIn(
                next(self._ids), order.start_us, order.end_us, order.max_side_px, every=order.every
            )
            for response in self._source.answers(wanted):
                yield response, not isinstance(response, Shown)
            return
        if order.quick != "exact":
            quick = self._one(
                PictureAt(
                    next(self._ids), order.us, order.max_side_px,
                    copy_will_do=True, near_will_do=order.quick == "near",
                )
            )  # fmt: skip
            done = order.quick_alone or not _is_quick(quick)
            yield quick, done
            if done or not self._still_wanted(number, REST_S if order.waits else 0.0):
                return
        yield self._one(PictureAt(next(self._ids), order.us, order.max_side_px)), True

    def _one(self, request: PictureAt) -> Response:
        *_, last = self._source.answers(request)
        return last

    def _still_wanted(self, number: int, rest_s: float) -> bool:
        """Claim that no newer order came, also while a hand rests."""
        with self._changed:
            return not self._changed.wait_for(lambda: self._newest != number, rest_s)

    def _put(self, found: Found) -> bool:
        """Lay something ready when there is room, and claim that its order is still wanted."""
        with self._changed:
            self._changed.wait_for(
                lambda: self._newest != found.number or self._queued_bytes < QUEUE_BYTES
            )
            if self._newest != found.number:
                return False
            self._found.append(found)
            self._queued_bytes += _bytes_of(found)
        self._told()
        return True


def _bytes_of(found: Found) -> int:
    response = found.response
    return len(response.picture.pixels.rgb) if isinstance(response, Shown) else 0


def _is_quick(response: Response) -> bool:
    """Claim that a picture is not the exact one yet."""
    if isinstance(response, Failed):
        return True
    return isinstance(response, Shown) and (response.picture.from_copy or response.picture.nearby)
