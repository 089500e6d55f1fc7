"""Progress and stopping for work that takes more than a second."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass


class WorkCancelled(Exception):
    """The asker no longer wants the answer; nothing is wrong."""


def _ignore(done: int, total: int) -> None:
    """Take no notice of progress."""


def _never() -> bool:
    return False


@dataclass(frozen=True)
class Watch:
    """Who is told how far a piece of work is, and who may stop it.

    Args:
        progress: Called with (done, total), same unit both; total 0 means unknown.
        cancelled: Asked at every step; true stops the work.

    Example:
        >>> Watch(lambda done, total: print(done, "of", total)).step(3, 10)
        3 of 10
    """

    progress: Callable[[int, int], None] = _ignore
    cancelled: Callable[[], bool] = _never

    def step(self, done: int, total: int) -> None:
        """Tell the progress, or stop.

        Raises:
            WorkCancelled: The asker wants the work stopped.
        """
        if self.cancelled():
            raise WorkCancelled
        self.progress(done, total)


UNWATCHED = Watch()


def within(watch: Watch, before: int, total: int) -> Watch:
    """Return a watch for one piece of a larger work.

    Args:
        watch: Who watches the whole.
        before: What was done before this piece.
        total: What there is in all.
    """
    return Watch(lambda done, _: watch.progress(before + done, total), watch.cancelled)
