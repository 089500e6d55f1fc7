"""The far side of `process`: a reader that is served through a pipe, and ends with its asker.

The messages here are private to the two files. An answer is made only when it is asked for.
"""

from __future__ import annotations

import multiprocessing
import os
import signal
import threading
import traceback
from collections import deque
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from multiprocessing.connection import wait
from multiprocessing.shared_memory import SharedMemory
from typing import TYPE_CHECKING, Final

from aftercase.media.source import Cancel, Opened, Request, Response, Shown, Source

if TYPE_CHECKING:
    from multiprocessing.connection import Connection

TOO_MUCH_MEMORY: Final = 77
"""Exit code of a process that grew beyond what any film needs."""

_LIMIT_BYTES: Final = 1 << 30
_FRAMES_HELD: Final = 40
_BYTES_PER_PIXEL: Final = 3
_LOOK_S: Final = 0.05

MakeReader = Callable[[Callable[[int, int], None]], Source]
"""Makes the reader, given whom to tell of progress."""


@dataclass(frozen=True, slots=True)
class Ask:
    """Send the next answer to a request; the first time begins it.

    Args:
        number: Of the request, never used twice.
        request: The request.
        room: Name of the shared memory for pixels; None where there is none yet.
    """

    number: int
    request: Request
    room: str | None


@dataclass(frozen=True, slots=True)
class Drop:
    """Nothing more is asked of a request."""

    number: int


@dataclass(frozen=True, slots=True)
class Stop:
    """Close the recording and end."""


@dataclass(frozen=True, slots=True)
class Answered:
    """An answer; `shared_bytes` of its pixels are in the shared memory instead."""

    number: int
    response: Response
    shared_bytes: int = 0


@dataclass(frozen=True, slots=True)
class Ready:
    """The process has started."""


@dataclass(frozen=True, slots=True)
class Progressed:
    """A sign of life: how far the work under way is."""

    done: int
    total: int


@dataclass(frozen=True, slots=True)
class Raised:
    """The reader has a fault of its own."""

    number: int
    trace: str


Order = Ask | Drop | Stop | Cancel
Report = Ready | Answered | Progressed | Raised


class Served:
    """A reader at work on what comes through a pipe."""

    def __init__(self, pipe: Connection, make_reader: MakeReader) -> None:
        self.limit_bytes = _LIMIT_BYTES
        self._pipe = pipe
        self._reader = make_reader(self._progressed)
        self._waiting: deque[Order] = deque()
        self._under_way: dict[int, Iterator[Response]] = {}
        self._room: SharedMemory | None = None

    def work(self) -> None:
        """Do what is asked until told to stop."""
        self._pipe.send(Ready())
        while True:
            order = self._waiting.popleft() if self._waiting else self._pipe.recv()
            if isinstance(order, Stop):
                self._reader.close()
                return
            self._do(order)

    def _do(self, order: Order) -> None:
        if isinstance(order, Ask):
            self._pipe.send(self._report(order))
        elif isinstance(order, Cancel):
            list(self._reader.answers(order))
        elif isinstance(order, Drop):
            self._under_way.pop(order.number, iter(()))

    def _progressed(self, done: int, total: int) -> None:
        """Give a sign of life, and hear of a cancelling at once; all else waits its turn."""
        self._pipe.send(Progressed(done, total))
        while self._pipe.poll():
            order = self._pipe.recv()
            if isinstance(order, Cancel):
                self._do(order)
            else:
                self._waiting.append(order)

    def _report(self, ask: Ask) -> Report:
        try:
            if ask.number not in self._under_way:
                self._under_way[ask.number] = self._reader.answers(ask.request)
            response = next(self._under_way[ask.number])
        except Exception:
            # Any fault of the reader's: it is raised anew where the request was made.
            return Raised(ask.number, traceback.format_exc())
        if isinstance(response, Opened):
            self.limit_bytes = _LIMIT_BYTES + _FRAMES_HELD * _frame_bytes(response)
        if isinstance(response, Shown):
            return self._shared(ask, response)
        return Answered(ask.number, response)

    def _shared(self, ask: Ask, shown: Shown) -> Answered:
        """Return a picture with its pixels in the shared memory, if they fit."""
        if ask.room is not None and (self._room is None or self._room.name != ask.room):
            self._room = SharedMemory(ask.room)
        pixels = shown.picture.pixels
        n_bytes = len(pixels.rgb)
        if self._room is None or self._room.size < n_bytes:
            return Answered(ask.number, shown)
        _bytes_of(self._room)[:n_bytes] = pixels.rgb
        return Answered(ask.number, _with_rgb(shown, b""), n_bytes)


def serve(pipe: Connection, make_reader: MakeReader) -> None:
    """Serve a reader through a pipe until told to stop, or the process that asked is gone."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the asker decides what an interrupt means
    served = Served(pipe, make_reader)
    end_with_asker(lambda: served.limit_bytes)
    try:
        served.work()
    except (EOFError, OSError):
        return  # the asker is gone


def end_with_asker(limit_bytes: Callable[[], int]) -> None:
    """End this process, even one stuck in foreign code, when its asker is gone or it grows."""
    asker = multiprocessing.parent_process()
    assert asker is not None

    def watch() -> None:
        while not wait([asker.sentinel], _LOOK_S):
            if _memory_bytes() > limit_bytes():
                os._exit(TOO_MUCH_MEMORY)
        os._exit(0)

    threading.Thread(target=watch, daemon=True).start()


def picture_with(shown: Shown, room: SharedMemory, n_bytes: int) -> Shown:
    """Return a picture with its pixels copied out of the shared memory."""
    return _with_rgb(shown, bytes(_bytes_of(room)[:n_bytes]))


def _with_rgb(shown: Shown, rgb: bytes) -> Shown:
    pixels = replace(shown.picture.pixels, rgb=rgb)
    return replace(shown, picture=replace(shown.picture, pixels=pixels))


def _bytes_of(room: SharedMemory) -> memoryview:
    assert room.buf is not None
    return room.buf


def _frame_bytes(opened: Opened) -> int:
    return max(_BYTES_PER_PIXEL * part.width_px * part.height_px for part in opened.parts)


def _memory_bytes() -> int:
    """Return the memory this process has in use; 0 where the system does not say it in a file."""
    try:
        with open("/proc/self/statm", "rb") as file:
            return int(file.read().split()[1]) * os.sysconf("SC_PAGE_SIZE")
    except OSError:
        return 0
