"""Sources made up for tests: they hang, die and fail as asked; reached by name from a process."""

from __future__ import annotations

import os
import signal
import time
from collections.abc import Callable, Iterator
from fractions import Fraction

from aftercase.media.parts import PartFacts
from aftercase.media.picture import FrameTimes, Picture, Pixels
from aftercase.media.source import (
    Cancel,
    Cancelled,
    Opened,
    OpenRecording,
    PictureAt,
    Request,
    Response,
    Shown,
)

END_US = 1_000_000
HANG_US, DIE_US, FAIL_US = 100, 200, 300
"""Moments at which the odd thing happens."""

SLOW, ENDLESS, HANGING = "slow", "endless", "hanging"
"""Files whose opening takes 2 s, never ends but tells progress, and never ends."""


class OddSource:
    """Answer a picture of one pixel, unless asked for one of the odd moments."""

    def __init__(self, progress: Callable[[int, int], None]) -> None:
        self._progress = progress
        self._is_cancelled = False

    def answers(self, request: Request) -> Iterator[Response]:
        if isinstance(request, Cancel):
            self._is_cancelled = True
        elif isinstance(request, OpenRecording):
            yield self._open(request)
        elif isinstance(request, PictureAt):
            yield self._picture(request)
        else:
            for us in range(request.start_us, request.end_us):
                yield self._picture(PictureAt(request.request_id, us))

    def close(self) -> None:
        pass

    def _open(self, request: OpenRecording) -> Response:
        name = os.path.basename(request.paths[0])
        steps = {SLOW: 20, ENDLESS: 10**9}.get(name, 0)
        for step in range(steps):
            time.sleep(0.1)
            self._progress(step, steps)
            if self._is_cancelled:
                self._is_cancelled = False
                return Cancelled(request.request_id)
        if name == HANGING:
            time.sleep(10**6)
        part = PartFacts(
            request.paths[0], 1, END_US, "", None, 0, 0, 1, 25, 0, END_US, 1, 1, Fraction(1)
        )
        return Opened(request.request_id, (part,), (), END_US)

    def _picture(self, request: PictureAt) -> Response:
        if request.us == HANG_US:
            time.sleep(10**6)
        if request.us == DIE_US:
            os.kill(os.getpid(), signal.SIGKILL)
        if request.us == FAIL_US:
            raise ValueError("made up for a test")
        times = FrameTimes(0, request.us, request.us + 1)
        return Shown(request.request_id, Picture(times, Pixels(1, 1, 3, b"\1\2\3")))
