"""Looking at cases beside the window: a folder on a slow or unplugged drive holds nobody up."""

from __future__ import annotations

import threading
from collections.abc import Callable, Sequence
from contextlib import suppress
from typing import Any

from PyQt6.QtCore import QObject, pyqtSignal

Look = Callable[[], Any]


class Looking(QObject):
    """Does one look after the other on a thread, and tells each result on the window's.

    Args:
        told: Called with each result.
        over: Called when the last one was told.
    """

    _seen = pyqtSignal(int, object)
    _over = pyqtSignal(int)

    def __init__(self, told: Callable[[Any], object], over: Callable[[], object]) -> None:
        super().__init__()
        self._told, self._ended = told, over
        self._round = 0
        self._seen.connect(self._take)
        self._over.connect(self._end)

    def begin(self, looks: Sequence[Look]) -> None:
        """Do these looks; what earlier ones would still tell is left out."""
        self._round += 1
        threading.Thread(
            target=self._run, args=(self._round, tuple(looks)), name="start-page", daemon=True
        ).start()

    def stop(self) -> None:
        """Tell nothing more."""
        self._round += 1

    def _run(self, number: int, looks: tuple[Look, ...]) -> None:
        with suppress(RuntimeError):  # the window is gone
            for look in looks:
                if number != self._round:
                    return
                self._seen.emit(number, look())
            self._over.emit(number)

    def _take(self, number: int, result: Any) -> None:
        if number == self._round:
            self._told(result)

    def _end(self, number: int) -> None:
        if number == self._round:
            self._ended()
