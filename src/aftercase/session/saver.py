"""Saving in the background: the newest version wins, and the window never waits for a disk."""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import dataclass
from typing import Final, Generic, TypeVar

from aftercase.errors import AftercaseError

Document = TypeVar("Document")


@dataclass(frozen=True)
class SaveState:
    """What is known about the last version handed in.

    Attributes:
        word: ``saved``, ``saving`` or ``not-saved``.
        fault: Why it was not saved; what was handed in is still held and can be tried again.
    """

    word: str
    fault: AftercaseError | None = None


NOT_SAVED: Final = "not-saved"
SAVED = SaveState("saved")
SAVING = SaveState("saving")


class Saver(Generic[Document]):
    """Writes versions one after the other on a thread of its own; versions in between are skipped.

    Args:
        write: Writes one version; its AftercaseError becomes ``not-saved``.
        told: Called with each new state, on the saving thread.
    """

    def __init__(
        self,
        write: Callable[[Document], None],
        *,
        told: Callable[[SaveState], None] = lambda state: None,
    ) -> None:
        self._write = write
        self._told = told
        self._waiting: list[Document] = []
        self._changed = threading.Condition()
        self._state = SAVED
        self._ending = False
        self._thread = threading.Thread(target=self._run, name="saver", daemon=True)
        self._thread.start()

    @property
    def state(self) -> SaveState:
        """What is known about the last version handed in."""
        with self._changed:
            return self._state

    def save(self, document: Document) -> None:
        """Hand in a version; returns at once."""
        with self._changed:
            self._waiting = [document]
            self._state = SAVING
            self._changed.notify_all()
        self._told(SAVING)

    def wait(self, timeout_s: float | None = None) -> SaveState:
        """Wait until nothing is being written, and return the state then."""
        with self._changed:
            self._changed.wait_for(lambda: self._state is not SAVING, timeout_s)
            return self._state

    def close(self, timeout_s: float | None = None) -> SaveState:
        """Write what is still waiting, end the thread, and return the last state."""
        with self._changed:
            self._ending = True
            self._changed.notify_all()
        self._thread.join(timeout_s)
        return self.state

    def _run(self) -> None:
        while (document := self._next()) is not None:
            state = SaveState(NOT_SAVED)  # stays if our own fault ends this thread
            try:
                state = self._written(document[0])
            finally:
                self._settle(state)

    def _settle(self, state: SaveState) -> None:
        with self._changed:
            if self._waiting and state == SAVED:
                return  # a newer version is on its way; its state is told then
            self._state = state
            self._changed.notify_all()
        self._told(state)

    def _next(self) -> list[Document] | None:
        with self._changed:
            self._changed.wait_for(lambda: self._waiting or self._ending)
            taken, self._waiting = self._waiting, []
            return taken or None

    def _written(self, document: Document) -> SaveState:
        try:
            self._write(document)
        except AftercaseError as fault:
            return SaveState(NOT_SAVED, fault)
        return SAVED
