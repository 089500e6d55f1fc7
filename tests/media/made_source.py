"""A source made up for tests: each picture is one pixel that holds its frame's number."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from fractions import Fraction

import numpy as np

from aftercase.media.parts import PartFacts
from aftercase.media.picture import FrameTimes, Picture, Pixels
from aftercase.media.source import (
    Cancel,
    Cancelled,
    Failed,
    Finished,
    Opened,
    OpenRecording,
    PictureAt,
    PicturesIn,
    Prepare,
    Request,
    Response,
    Shown,
)

MISSING = "missing.mp4"
"""A file that is never there."""


def number_in(picture: Picture) -> int:
    return int.from_bytes(picture.pixels.rgb[:3])


class MadeSource:
    """Frames that start at given times; every `key`-th is a key.

    Attributes:
        asked: All requests, in order.
        at_hand: Frames that are quick to decode.
        copied: Frames that the scrub copy has.
        failing: Frames that cannot be read.
        breaking: Frames at which the reader has a fault of its own.
        n_decoded: Exact pictures made.
    """

    def __init__(
        self,
        progress: Callable[[int, int], None] = lambda done, total: None,
        *,
        starts: Sequence[int] = tuple(range(0, 10_000_000, 40_000)),
        end_us: int = 10_000_000,
        key: int = 50,
    ) -> None:
        self.starts = np.array(starts, dtype=np.int64)
        self.end_us = end_us
        self.key = key
        self.asked: list[Request] = []
        self.at_hand: set[int] = set()
        self.copied: set[int] = set()
        self.failing: set[int] = set()
        self.breaking: set[int] = set()
        self.n_decoded = 0
        self.is_closed = False
        self._progress = progress
        self._cancelled: set[int] = set()

    def answers(self, request: Request) -> Iterator[Response]:
        self.asked.append(request)
        if isinstance(request, Cancel):
            self._cancelled.add(request.request_id)
            return iter(())
        return self._answers(request)

    def close(self) -> None:
        self.is_closed = True

    def requests(self, kind: type) -> list[Request]:
        return [request for request in self.asked if isinstance(request, kind)]

    def _answers(self, request: Request) -> Iterator[Response]:
        for answer in self._made(request):
            if request.request_id in self._cancelled:
                yield Cancelled(request.request_id)
                return
            yield answer
            if isinstance(answer, Failed):
                return

    def _made(self, request: Request) -> Iterator[Response]:
        number = request.request_id
        if isinstance(request, OpenRecording):
            yield self._opened(request)
        elif isinstance(request, PictureAt):
            yield self._quick(request) or self._shown(number, self._row(request.us))
        elif isinstance(request, PicturesIn):
            rows = range(self._row(request.start_us), len(self.starts), request.every)
            shown = [row for row in rows if self.starts[row] < request.end_us]
            for row in shown:
                yield self._shown(number, row)
            yield Finished(number, len(shown))
        elif isinstance(request, Prepare):
            yield Finished(number, request.n_behind + request.n_ahead)

    def _opened(self, request: OpenRecording) -> Response:
        if MISSING in request.paths:
            return Failed(request.request_id, "recording-missing", "Not there.", "Look.", MISSING)
        for done in (50, 100):
            self._progress(done, 100)
        part = PartFacts(
            request.paths[0], 1, self.end_us, "", None, 0, 0, 1, 25, 0, self.end_us, 1920, 1080
        )
        return Opened(request.request_id, (part,), (), self.end_us, (self.starts.tobytes(),))

    def _row(self, us: int) -> int:
        return max(0, int(np.searchsorted(self.starts, us, side="right")) - 1)

    def _quick(self, request: PictureAt) -> Shown | None:
        row = self._row(request.us)
        if request.near_will_do and row in self.at_hand:
            return None
        if request.copy_will_do and row in self.copied:
            return self._picture(request.request_id, row, from_copy=True)
        key_row = row // self.key * self.key
        if request.near_will_do and key_row != row:
            return self._picture(request.request_id, key_row, nearby=True)
        return None

    def _shown(self, request_id: int, row: int) -> Response:
        if row in self.breaking:
            raise ValueError("made up for a test")
        if row in self.failing:
            words = ("recording-unreadable", "It cannot be read here.", "Go on elsewhere.", None)
            return Failed(request_id, *words)
        self.n_decoded += 1
        return self._picture(request_id, row)

    def _picture(self, request_id: int, row: int, **kind: bool) -> Shown:
        end_us = int(self.starts[row + 1]) if row + 1 < len(self.starts) else self.end_us
        pixels = Pixels(1, 1, 3, row.to_bytes(3), Fraction(1))
        return Shown(
            request_id, Picture(FrameTimes(0, int(self.starts[row]), end_us), pixels, **kind)
        )
