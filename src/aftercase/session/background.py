"""A task in a process of its own: with progress, stopped when asked, gone when its asker is."""

from __future__ import annotations

import os
import signal
import threading
import time
import traceback
from collections.abc import Callable, MutableSequence
from contextlib import suppress
from dataclasses import dataclass
from multiprocessing import get_context, parent_process
from multiprocessing.connection import Connection, wait
from typing import Any, Final, Generic, TypeVar

from aftercase.errors import AftercaseError, WorkStopped
from aftercase.media.watch import Watch, WorkCancelled

Result = TypeVar("Result")

LEAVE_S: Final = 2.0
"""How long a cancelled task may take to stop by itself; then its process is ended."""

_NICER: Final = 10


@dataclass(frozen=True)
class Outcome(Generic[Result]):
    """How a task ended: with a result, a fault of the world, or because it was cancelled.

    Attributes:
        result: What it came to; None unless it came to its end.
        fault: Why it could not be done.
        is_cancelled: It was stopped because the asker no longer wanted it.
    """

    result: Result | None = None
    fault: AftercaseError | None = None
    is_cancelled: bool = False


@dataclass(frozen=True)
class _Broke:
    """A fault of the program's own, as its trace."""

    trace: str


class TaskProcess(Generic[Result]):
    """Run a task beside the asker, who goes on; for use by one thread.

    The process is nice to others, and ends with its asker however that ends. What a task writes is
    whole or not there, so it may be ended at any moment.

    Args:
        function: The task; it takes ``watch=`` and is found in the process by its module and name.
            What it is given, and what it comes to, must be plain enough to be sent.
        args: What it is called with.
        leave_s: Seconds a cancelled task may take to stop by itself.
    """

    def __init__(
        self, function: Callable[..., Result], *args: Any, leave_s: float = LEAVE_S
    ) -> None:
        context = get_context("spawn")
        self._far = context.RawArray("q", 2)
        self._pipe, far_end = context.Pipe()
        self._process = context.Process(
            target=_serve, args=(far_end, self._far, function, args), name="task", daemon=True
        )
        self._leave_s = leave_s
        self._end_at_s: float | None = None
        self._outcome: Outcome[Result] | None = None
        try:
            self._process.start()
        finally:
            far_end.close()  # so that the pipe ends when the process does

    @property
    def pid(self) -> int | None:
        """The process's number."""
        return self._process.pid

    @property
    def progress(self) -> tuple[int, int]:
        """What is done, and what there is in all; both 0 before anything is known."""
        done, total = self._far
        return done, total

    def poll(self, wait_s: float = 0.0) -> Outcome[Result] | None:
        """Return how the task ended, None while it goes on; never waits unless told to.

        Args:
            wait_s: Seconds to wait for its end at most.

        Raises:
            RuntimeError: A fault of the program's own in the task, with its trace; once.
        """
        if self._outcome is None and self._has_ended(wait_s):
            self._outcome = Outcome(is_cancelled=True)  # stays if our own fault is raised
            self._outcome = self._heard()
        return self._outcome

    def cancel(self) -> None:
        """Ask the task to stop, and return at once; `poll` tells when it has."""
        if self._end_at_s is None and self._outcome is None:
            self._end_at_s = time.monotonic() + self._leave_s
            with suppress(OSError):  # it has ended already
                self._pipe.send_bytes(b"")

    def close(self, leave_s: float = 0.0) -> None:
        """End the process if it has not ended, and wait until it is gone.

        Args:
            leave_s: Seconds it may take to stop by itself first.
        """
        self.cancel()
        self._process.join(leave_s)
        self._process.kill()
        self._process.join()
        self._process.close()
        self._pipe.close()

    def _has_ended(self, wait_s: float) -> bool:
        if self._pipe.poll(wait_s):
            return True
        if self._end_at_s is not None and time.monotonic() > self._end_at_s:
            self._process.kill()
        return False

    def _heard(self) -> Outcome[Result]:
        """Return what the process said last.

        Raises:
            RuntimeError: A fault of the program's own in the task.
        """
        try:
            said = self._pipe.recv()
        except (EOFError, OSError):
            if self._end_at_s is not None:
                return Outcome(is_cancelled=True)
            return Outcome(fault=_stopped())
        if isinstance(said, _Broke):
            raise RuntimeError(f"fault in a task's process:\n{said.trace}")
        assert isinstance(said, Outcome)
        return said


def _stopped() -> WorkStopped:
    return WorkStopped(
        "The work stopped before its end: its process is gone.",
        hint="Do it again. If it stops again, close other programs first: there may be too little "
        "memory.",
    )


def _serve(
    pipe: Connection,
    far: MutableSequence[int],
    function: Callable[..., Any],
    args: tuple[Any, ...],
) -> None:
    """Run a task and say how it ended."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the asker decides what an interrupt means
    threading.Thread(target=_end_with_asker, daemon=True).start()
    if hasattr(os, "nice"):
        os.nice(_NICER)  # whoever looks at the film goes first

    def progress(done: int, total: int) -> None:
        far[:] = [done, total]

    def is_unwanted() -> bool:
        """Claim that something came: nothing is sent but the wish to stop."""
        try:
            return pipe.poll()
        except OSError:  # so some systems say that the asker is gone
            return True

    watch = Watch(progress, is_unwanted)
    with suppress(OSError):  # the asker is gone
        try:
            pipe.send(_outcome(function, args, watch))
        except Exception:
            # Any fault of ours, also a result that cannot be sent, is raised anew by the asker.
            pipe.send(_Broke(traceback.format_exc()))


def _outcome(function: Callable[..., Any], args: tuple[Any, ...], watch: Watch) -> Outcome[Any]:
    try:
        return Outcome(result=function(*args, watch=watch))
    except WorkCancelled:
        return Outcome(is_cancelled=True)
    except AftercaseError as fault:
        return Outcome(fault=fault)


def _end_with_asker() -> None:
    """End this process, even one stuck in foreign code, when its asker is gone."""
    asker = parent_process()
    assert asker is not None
    wait([asker.sentinel])
    os._exit(0)
