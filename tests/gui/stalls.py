"""The longest time that a window did not answer, and what it did meanwhile."""

from __future__ import annotations

import sys
import threading
import time
import traceback
from pathlib import Path

from PyQt6.QtCore import QTimer

STALL_S = 0.2
"""A window that answers within this is felt to answer at once."""

_BEAT_MS = 5
_LOOK_S = 0.02


class StallWatch:
    """Watches the event loop of the thread it is begun on, until it is ended.

    Use as a context manager. A timer says each time the event loop comes round; a thread looks what
    is done where it does not. Where Linux tells how long the thread was ready but had no processor,
    because other programs had them, that time is not counted; waiting for a disk or a lock is.

    Attributes:
        longest_s: The longest time between two rounds.
        doing: What was done in the middle of it, as a trace; empty where it was short.
    """

    def __init__(self) -> None:
        self.longest_s, self.doing = 0.0, ""
        self._thread_id = threading.get_ident()
        self._timer = QTimer()
        self._timer.timeout.connect(self._beat)
        self._seen = (0.0, "")
        self._ended = threading.Event()
        self._schedule = Path(f"/proc/self/task/{threading.get_native_id()}/schedstat")
        self._beat_s, self._unserved_s = time.monotonic(), 0.0

    def __enter__(self) -> StallWatch:
        self._beat_s, self._unserved_s = time.monotonic(), self._waited_s()
        self._timer.start(_BEAT_MS)
        self._looker = threading.Thread(target=self._look, name="stall-watch", daemon=True)
        self._looker.start()
        return self

    def __exit__(self, *_: object) -> None:
        self._beat()
        self._timer.stop()
        self._ended.set()
        self._looker.join()

    def _beat(self) -> None:
        now_s, unserved_s = time.monotonic(), self._waited_s()
        gap_s = now_s - self._beat_s - (unserved_s - self._unserved_s)
        if gap_s > self.longest_s:
            self.longest_s = gap_s
            began_s, trace = self._seen
            self.doing = trace if began_s == self._beat_s else ""
        self._beat_s, self._unserved_s = now_s, unserved_s

    def _waited_s(self) -> float:
        """Return how long the watched thread waited for a processor, in all."""
        try:
            return int(self._schedule.read_text(encoding="ascii").split()[1]) / 1e9
        except OSError:
            return 0.0

    def _look(self) -> None:
        while not self._ended.wait(_LOOK_S):
            beat_s = self._beat_s
            if time.monotonic() - beat_s > STALL_S / 2 and self._seen[0] != beat_s:
                frame = sys._current_frames()[self._thread_id]
                self._seen = (beat_s, "".join(traceback.format_stack(frame)))
