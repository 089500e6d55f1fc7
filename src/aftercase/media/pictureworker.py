"""The thread that has a reader: the newest order wins, what it finds waits to be taken.

Orders come from one thread, and what is found is taken there. Pictures of a run wait in a queue
bounded by bytes, so that a film that is not looked at fills no memory.
"""

from __future__ import annotations

import threading
from collections import deque
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from itertools import count
from typing import Final, Literal

from aftercase.media.process import ReaderProcess
from aftercase.media.serving import MakeReader
from aftercase.media.source import (
    Cancel,
    Cancelled,
    OpenRecording,
    PictureAt,
    PicturesIn,
    Prepare,
    Request,
    Response,
    Shown,
)

QUEUE_BYTES: Final = 64 << 20
"""About a sixth of a second of full HD at 60 a second, seconds at the size of a window."""

REST_S: Final = 0.09
"""How long a hand that drags must rest before the exact picture is decoded."""

Quick = Literal["exact", "copy", "near"]


@dataclass(frozen=True, slots=True)
class Open:
    """Open a recording."""

    request: OpenRecording


@dataclass(frozen=True, slots=True)
class Show:
    """Show the picture of a moment.

    Attributes:
        us: The moment.
        max_side_px: Longer side to shrink to; None for full size.
        quick: What may be shown before the exact picture: ``exact`` (nothing), ``copy`` (the
            scrub copy's) or ``near`` (what comes soonest, see `source.PictureAt`).
        quick_alone: That will do: a film run through faster than it can be decoded.
        waits: The hand may still move: what takes long, only after it rests.
        n_behind: How many frames before it to decode ahead of need, once it is found.
        n_ahead: How many after it.
    """

    us: int
    max_side_px: int | None
    quick: Quick = "exact"
    quick_alone: bool = False
    waits: bool = False
    n_behind: int = 0
    n_ahead: int = 0


@dataclass(frozen=True, slots=True)
class Run:
    """Show the pictures of a stretch in order, one of `every`; first perhaps a quick one."""

    start_us: int
    end_us: int
    max_side_px: int | None
    every: int = 1
    quick_first: bool = False


Order = Open | Show | Run


@dataclass(frozen=True, slots=True)
class Broken:
    """A fault of the program's own, to be raised where it is taken."""

    error: Exception


@dataclass(frozen=True, slots=True)
class Found:
    """What came of an order.

    Attributes:
        number: Of the order.
        response: What the reader answered.
        is_last: Nothing more comes of this order.
    """

    number: int
    response: Response | Broken
    is_last: bool


class PictureWorker:
    """Carries out one order after the other; a newer order ends the one before.

    Args:
        make_source: Makes the reader, given whom to tell of progress. It is used by this worker
            alone, and closed by it.
        threaded: Whether it works on a thread of its own; else `work` does it, for tests.
        queue_bytes: No more is found while pictures of so many bytes wait to be taken.
    """

    def __init__(
        self,
        make_source: MakeReader = ReaderProcess,
        *,
        threaded: bool = True,
        queue_bytes: int = QUEUE_BYTES,
    ) -> None:
        self._source = make_source(self._progressed)
        self._queue_bytes = queue_bytes
        self._changed = threading.Condition()
        self._order: tuple[int, Order] | None = None
        self._newest = 0
        self._asked: int | None = None
        self._found: deque[Found] = deque()
        self._queued_bytes = 0
        self._ending = False
        self._ids = count(1)
        self._told: Callable[[], None] = lambda: None
        self._opening = _Share(1)
        self._carried: tuple[int, Iterator[Found]] | None = None
        self._threaded = threaded
        self._thread = threading.Thread(target=self._run, name="pictures", daemon=True)

    @property
    def opening_share(self) -> float:
        """How much of the recording has been opened, 0 to 1."""
        return self._opening.share

    def on_found(self, told: Callable[[], None]) -> None:
        """Have something called on the worker's thread whenever there is something to take."""
        self._told = told

    def order(self, order: Order) -> int:
        """Give an order instead of the one before, and return its number."""
        number = self._replace((self._newest + 1, order))
        if self._threaded and self._thread.ident is None:
            self._thread.start()
        return number

    def stand(self) -> int:
        """Want nothing more of the order under way; return a number of its own."""
        return self._replace(None)

    def peek(self) -> Found | None:
        """Return what is to be taken next, None where there is nothing."""
        with self._changed:
            return self._found[0] if self._found else None

    def take(self) -> Found | None:
        """Take what was found first, None where there is nothing."""
        with self._changed:
            if not self._found:
                return None
            found = self._found.popleft()
            self._queued_bytes -= _bytes_of(found)
            self._changed.notify_all()
            return found

    def work(self) -> bool:
        """Find one thing on this thread, and claim that there is more to do, and room for it."""
        if self._has_work():
            self._go_on()
        return self._has_work()

    def close(self, leave_s: float = 2.0) -> None:
        """End the thread and close the reader; a thread that is stuck is left after a while."""
        self._ending = True
        self._replace(None)
        if self._thread.ident is not None:
            self._thread.join(leave_s)
        else:
            self._source.close()

    def _replace(self, order: tuple[int, Order] | None) -> int:
        with self._changed:
            self._newest += 1
            self._order = order
            self._found.clear()
            self._queued_bytes = 0
            asked = self._asked
            self._changed.notify_all()
        if asked is not None:
            self._source.answers(Cancel(asked))
        return self._newest

    # On the worker's thread ---------------------------------------------------------------

    def _run(self) -> None:
        while not self._ending:
            with self._changed:
                self._changed.wait_for(lambda: self._ending or self._has_work())
            self._go_on()
        self._source.close()

    def _has_work(self) -> bool:
        with self._changed:
            has_room = self._queued_bytes < self._queue_bytes
            return self._order is not None or (self._carried is not None and has_room)

    def _go_on(self) -> None:
        """Find the next thing of the newest order."""
        with self._changed:
            if self._order is not None:
                number, order = self._order
                self._order, self._carried = None, (number, self._carry_out(number, order))
        if self._carried is None:
            return
        number, all_found = self._carried
        try:
            found = next(all_found, None)
        except Exception as error:  # any fault of the reader's: raised anew where it is taken
            found = Found(number, Broken(error), True)
        if found is None:
            self._carried = None
        else:
            self._put(found)

    def _put(self, found: Found) -> None:
        with self._changed:
            if self._newest != found.number:
                return
            self._found.append(found)
            self._queued_bytes += _bytes_of(found)
        self._told()

    def _carry_out(self, number: int, order: Order) -> Iterator[Found]:
        if isinstance(order, Open):
            self._opening = _Share(len(order.request.paths))
            for response in self._answers(number, replace(order.request, request_id=self._id())):
                yield Found(number, response, True)
        elif isinstance(order, Run):
            yield from self._running(number, order)
        else:
            yield from self._showing(number, order)
            if (order.n_behind or order.n_ahead) and (not order.waits or self._rests(number)):
                ahead = Prepare(
                    self._id(), order.us, order.n_behind, order.n_ahead, order.max_side_px
                )
                for _ in self._answers(number, ahead):
                    pass  # what it cannot do is told when a hand steps there

    def _running(self, number: int, order: Run) -> Iterator[Found]:
        if order.quick_first:
            quick = self._quick(number, order.start_us, order.max_side_px, "near")
            if quick is not None and _is_quick(quick):
                yield Found(number, quick, False)
        wanted = PicturesIn(
            self._id(), order.start_us, order.end_us, order.max_side_px, every=order.every
        )
        for response in self._answers(number, wanted):
            yield Found(number, response, not isinstance(response, Shown))

    def _showing(self, number: int, order: Show) -> Iterator[Found]:
        if order.quick != "exact":
            quick = self._quick(number, order.us, order.max_side_px, order.quick)
            if quick is None:
                return
            done = order.quick_alone or not _is_quick(quick)
            yield Found(number, quick, done)
            if done or (order.waits and not self._rests(number)):
                return
        for response in self._answers(number, PictureAt(self._id(), order.us, order.max_side_px)):
            yield Found(number, response, True)

    def _quick(
        self, number: int, us: int, max_side_px: int | None, quick: Quick
    ) -> Response | None:
        """Return a picture that comes soon; None where the order is no longer wanted."""
        request = PictureAt(
            self._id(), us, max_side_px, copy_will_do=True, near_will_do=quick == "near"
        )
        return next(self._answers(number, request), None)

    def _answers(self, number: int, request: Request) -> Iterator[Response]:
        """Yield what the reader answers for as long as the order is wanted."""
        with self._changed:
            if self._newest != number:
                return
            answers = self._source.answers(request)
            self._asked = request.request_id
        try:
            for response in answers:
                if not isinstance(response, Cancelled):
                    yield response
        finally:
            with self._changed:
                self._asked = None

    def _rests(self, number: int) -> bool:
        """Claim that no newer order came while a hand rests."""
        with self._changed:
            wait_s = REST_S if self._threaded else 0.0
            return not self._changed.wait_for(lambda: self._newest != number, wait_s)

    def _id(self) -> int:
        return next(self._ids)

    def _progressed(self, done: int, total: int) -> None:
        if total and self._opening.tell(done, total):
            self._told()


class _Share:
    """How much of several parts was read, each of which tells its own progress from 0."""

    def __init__(self, n_parts: int) -> None:
        self.share = 0.0
        self._n_parts = n_parts
        self._n_before = 0
        self._last = 0

    def tell(self, done: int, total: int) -> bool:
        """Take note of one part's progress, and claim that a hundredth more was read."""
        self._n_before += done < self._last
        self._last = done
        share = min(1.0, (self._n_before + done / total) / self._n_parts)
        if int(100 * share) <= int(100 * self.share):
            return False
        self.share = share
        return True


def _bytes_of(found: Found) -> int:
    response = found.response
    return len(response.picture.pixels.rgb) if isinstance(response, Shown) else 0


def _is_quick(response: Response) -> bool:
    """Claim that an exact picture is still to come."""
    return isinstance(response, Shown) and response.picture.is_stopgap
