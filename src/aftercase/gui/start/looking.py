"""Looking at cases beside the window: a folder on a slow or unplugged drive holds nobody up."""

from __future__ import annotations

import queue
import threading
from collections.abc import Callable, Sequence
from typing import Any, Final

from PyQt6.QtCore import QObject, QTimer

Look = Callable[[], Any]

_ASK_MS: Final = 20
_OVER: Final = object()


class Looking(QObject):
    """Does one look after the other on a thread, and tells each result on the window's.

    The thread knows nothing of Qt: it may outlive the window by as long as a drive does not answer.

    Args:
        parent: What looks; when it is gone, nothing is told any more.
        told: Called with each result.
        over: Called when the last one was told.
    """

    def __init__(
        self, parent: QObject, told: Callable[[Any], object], over: Callable[[], object]
    ) -> None:
        super().__init__(parent)
        self._told, self._ended = told, over
        self._stopped = threading.Event()
        self._results: queue.SimpleQueue[Any] = queue.SimpleQueue()
        self._timer = QTimer(self)
        self._timer.setInterval(_ASK_MS)
        self._timer.timeout.connect(self._tell)

    def begin(self, looks: Sequence[Look]) -> None:
        """Do these looks; what earlier ones would still tell is left out."""
        self.stop()
        self._stopped, self._results = threading.Event(), queue.SimpleQueue()
        threading.Thread(
            target=_run,
            args=(tuple(looks), self._results, self._stopped),
            name="start-page",
            daemon=True,
        ).start()
        self._timer.start()

    def stop(self) -> None:
        """Tell nothing more."""
        self._stopped.set()
        self._timer.stop()

    def _tell(self) -> None:
        results = self._results
        while results is self._results and not results.empty():
            result = results.get()
            if result is _OVER:
                self._timer.stop()
                self._ended()
            else:
                self._told(result)


def _run(looks: Sequence[Look], results: queue.SimpleQueue[Any], stopped: threading.Event) -> None:
    for look in looks:
        if stopped.is_set():
            return
        results.put(look())
    results.put(_OVER)
