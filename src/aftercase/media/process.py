"""The reader of recordings in a process of its own, watched: what stops it stops nothing else.

It works in step: the process makes an answer when one is taken, and waits. Pixels go through
memory that both processes see; all else is small and goes through a pipe.
"""

from __future__ import annotations

import multiprocessing
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import suppress
from dataclasses import replace
from itertools import count
from multiprocessing.shared_memory import SharedMemory
from typing import Final, Literal, cast

from aftercase.clock import text_of
from aftercase.errors import RecordingUnreadable
from aftercase.media.parts import PartFacts
from aftercase.media.reader import RecordingReader
from aftercase.media.serving import (
    TOO_MUCH_MEMORY,
    Answered,
    Ask,
    Drop,
    MakeReader,
    Order,
    Progressed,
    Raised,
    Ready,
    Report,
    Stop,
    picture_with,
    serve,
)
from aftercase.media.source import (
    Cancel,
    Cancelled,
    Failed,
    Opened,
    OpenRecording,
    PictureAt,
    PictureRequest,
    PicturesIn,
    Request,
    Response,
    Shown,
)

STALL_S: Final = 30.0
"""More than a whole film takes: some seconds for a long group of large pictures on a slow computer.
"""

_START_S: Final = 60.0
_CANCEL_S: Final = 1.5
_LOOK_S: Final = 0.1
_LEAVE_S: Final = 1.0
_ROOM_FROM_BYTES: Final = 1 << 17

Cause = Literal["stopped", "stalled", "memory"]

_WORDS: Final[dict[Cause, tuple[str, str]]] = {
    "stopped": (
        "The film{place} cannot be read: trying to stopped the reader.",
        "Go on elsewhere; if it stops here again, copy the film once more from the recorder.",
    ),
    "stalled": (
        "Reading the film{place} took too long and was given up.",
        "See that the drive or network share it is on is connected, then try again.",
    ),
    "memory": (
        "The film{place} asks for more memory than a whole film needs.",
        "Copy it once more from the recorder.",
    ),
}


class _Lost(Exception):
    """The process ended, or was ended because no answer came."""

    def __init__(self, cause: Cause) -> None:
        super().__init__(cause)
        self.cause: Cause = cause


def _ignore(done: int, total: int) -> None:
    """Take no notice of progress."""


class _Worker:
    """One process with a reader in it, from its start to its end.

    One thread asks; `tell` may be called by any.

    Attributes:
        is_ready: The process has started.
        has_recording: A recording is open in it.
    """

    def __init__(self, make_reader: MakeReader) -> None:
        context = multiprocessing.get_context("spawn")
        self._pipe, far_end = context.Pipe()
        self._process = context.Process(
            target=serve, args=(far_end, make_reader), name="reader", daemon=True
        )
        self._process.start()
        far_end.close()  # so that the pipe ends when the process does
        self._sending = threading.Lock()
        self._shared_memory: SharedMemory | None = None
        self.is_ready = False
        self.has_recording = False

    def tell(self, order: Order) -> None:
        """Send an order; to a process that is gone, nothing."""
        with self._sending, suppress(OSError):
            self._pipe.send(order)

    def ask(self, number: int, request: Request) -> None:
        """Ask for the next answer to a request."""
        self.tell(
            Ask(number, request, None if self._shared_memory is None else self._shared_memory.name)
        )

    def report(self, wait_s: float) -> Report | None:
        """Return what the process says next, None when it says nothing for that long.

        Raises:
            _Lost: The process has ended.
        """
        try:
            return cast("Report", self._pipe.recv()) if self._pipe.poll(wait_s) else None
        except (EOFError, OSError) as error:
            self._process.join(_LEAVE_S)
            grew = self._process.exitcode == TOO_MUCH_MEMORY
            raise _Lost("memory" if grew else "stopped") from error

    def whole(self, answered: Answered) -> Response:
        """Return an answer with its pixels, and make room for the next that large."""
        response = answered.response
        if not isinstance(response, Shown):
            return response
        if answered.shared_bytes:
            assert self._shared_memory is not None
            return picture_with(response, self._shared_memory, answered.shared_bytes)
        n_bytes = len(response.picture.pixels.rgb)
        if n_bytes >= _ROOM_FROM_BYTES:
            self._free_shared_memory()
            self._shared_memory = SharedMemory(create=True, size=n_bytes)
        return response

    def end(self, *, leave_s: float) -> None:
        """End the process and wait for that; it may leave by itself for a while first."""
        if leave_s:
            self.tell(Stop())
            self._process.join(leave_s)
        self._process.kill()
        self._process.join()
        self._process.close()
        self._pipe.close()
        self._free_shared_memory()

    def _free_shared_memory(self) -> None:
        if self._shared_memory is not None:
            self._shared_memory.close()
            self._shared_memory.unlink()
            self._shared_memory = None


class ReaderProcess:
    """Answer the messages of `source` from a process of its own.

    A film that stops the process, or lets it take too long or too much memory, is answered with
    `Failed`. The next request starts another process and opens the recording again there. One
    thread takes answers and closes; `Cancel` may come from any thread.

    Args:
        progress: As of `reader.RecordingReader`.
        stall_s: Seconds without an answer or progress after which the process is ended.
        make_reader: Makes the reader, in the process; found there by its module and name.
    """

    def __init__(
        self,
        progress: Callable[[int, int], None] = _ignore,
        *,
        stall_s: float = STALL_S,
        make_reader: MakeReader = RecordingReader,
    ) -> None:
        self._progress = progress
        self._stall_s = stall_s
        self._make_reader = make_reader
        self._worker: _Worker | None = None
        self._numbers = count()
        self._recording: OpenRecording | None = None
        self._parts: tuple[PartFacts, ...] = ()
        self._under_way: set[int] = set()
        self._cancelled: set[int] = set()

    def start(self) -> None:
        """Start the process now, so that the first request need not wait for that."""
        self._started()

    def answers(self, request: Request) -> Iterator[Response]:
        """Yield the answers to a request; see `source.Source`."""
        if isinstance(request, Cancel):
            self._cancel(request)
            return iter(())
        self._under_way.add(request.request_id)
        return self._answers(request)

    def close(self) -> None:
        """Close the recording and end the process."""
        self._recording, self._parts = None, ()
        self._end(leave_s=_LEAVE_S)

    def _cancel(self, cancel: Cancel) -> None:
        if cancel.request_id in self._under_way:
            self._cancelled.add(cancel.request_id)
            worker = self._worker
            if worker is not None:
                worker.tell(cancel)

    def _answers(self, request: OpenRecording | PictureRequest) -> Iterator[Response]:
        try:
            if request.request_id in self._cancelled:
                yield Cancelled(request.request_id)
            elif isinstance(request, OpenRecording):
                yield self._open(request)
            else:
                yield from self._pictures(request)
        finally:
            self._under_way.discard(request.request_id)
            self._cancelled.discard(request.request_id)

    def _open(self, request: OpenRecording) -> Response:
        self._recording, self._parts = None, ()
        response = self._opened(request, request.request_id)
        if isinstance(response, Opened):
            self._recording, self._parts = request, response.parts
        return response

    def _opened(self, request: OpenRecording, request_id: int) -> Response:
        """Return what comes of opening a recording, in answer to any request."""
        worker, number = self._started(), next(self._numbers)
        try:
            response = self._answer(worker, number, replace(request, request_id=request_id))
        except _Lost as lost:
            path = request.paths[0] if len(request.paths) == 1 else None
            return self._ended(request_id, lost.cause, "", path)
        worker.tell(Drop(number))
        worker.has_recording = isinstance(response, Opened)
        return response

    def _pictures(self, request: PictureRequest) -> Iterator[Response]:
        if self._recording is None:
            raise ValueError("a recording must be opened before pictures are asked for")
        if not self._started().has_recording:
            response = self._opened(self._recording, request.request_id)
            if not isinstance(response, Opened):
                yield response
                return
        worker, number = self._started(), next(self._numbers)
        at_us = request.start_us if isinstance(request, PicturesIn) else request.us
        is_last = False
        try:
            while not is_last:
                response = self._answer(worker, number, request)
                is_last = not isinstance(response, Shown) or isinstance(request, PictureAt)
                if isinstance(response, Shown):
                    at_us = response.picture.times.end_us
                yield response
        except _Lost as lost:
            place = f" at {text_of(at_us)}"
            yield self._ended(request.request_id, lost.cause, place, self._path_at(at_us))
        finally:
            worker.tell(Drop(number))

    def _answer(self, worker: _Worker, number: int, request: Request) -> Response:
        """Return the next answer to a request.

        Raises:
            _Lost: The worker is gone, from now on at the latest.
        """
        if worker is not self._worker:
            raise _Lost("stopped")
        try:
            return self._awaited(worker, number, request)
        except _Lost:
            self._end()
            raise

    def _awaited(self, worker: _Worker, number: int, request: Request) -> Response:
        if request.request_id in self._cancelled:
            return Cancelled(request.request_id)
        worker.ask(number, request)
        is_cancelled = False
        give_up_s = time.monotonic() + (self._stall_s if worker.is_ready else _START_S)
        while time.monotonic() < give_up_s:
            report = worker.report(_LOOK_S)
            if isinstance(report, Answered) and report.number == number:
                return worker.whole(report)
            if isinstance(report, Raised) and report.number == number:
                raise RuntimeError(f"fault in the reader's process:\n{report.trace}")
            if isinstance(report, Ready | Progressed):
                worker.is_ready = True
                give_up_s = time.monotonic() + self._stall_s
            if isinstance(report, Progressed):
                self._progress(report.done, report.total)
            if request.request_id in self._cancelled and not is_cancelled:
                is_cancelled = True
                give_up_s = min(give_up_s, time.monotonic() + _CANCEL_S)
        raise _Lost("stalled")

    def _ended(self, request_id: int, cause: Cause, place: str, path: str | None) -> Response:
        """Return the answer to a request in which the process was lost."""
        if request_id in self._cancelled:
            return Cancelled(request_id)
        message, hint = _WORDS[cause]
        error = RecordingUnreadable(message.format(place=place), hint=hint, path=path)
        return Failed(request_id, error.slug, error.message, error.hint, error.path)

    def _path_at(self, us: int) -> str | None:
        paths = [part.path for part in self._parts if part.start_us <= us < part.end_us]
        return paths[0] if paths else None

    def _started(self) -> _Worker:
        if self._worker is None:
            self._worker = _Worker(self._make_reader)
        return self._worker

    def _end(self, *, leave_s: float = 0.0) -> None:
        worker, self._worker = self._worker, None
        if worker is not None:
            worker.end(leave_s=leave_s)
