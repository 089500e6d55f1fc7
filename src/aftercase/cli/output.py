"""What a command prints: results to standard output, progress to standard error."""

from __future__ import annotations

import json
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any, Final

import click

if TYPE_CHECKING:
    from rich.progress import Progress

SHOWN_AFTER_S: Final = 1.0

Step = Callable[[int, int], None]
"""Called with what is done and what there is in all; 0 in all means unknown."""

as_json = click.option("--json", "as_json", is_flag=True, help="Print the result as JSON.")


def say_json(data: Any) -> None:
    """Print a result for a script."""
    click.echo(json.dumps(data, ensure_ascii=False, indent=2, sort_keys=True))


@contextmanager
def progress_of(what: str) -> Iterator[Step]:
    """Show progress of work that takes more than a second, if a person is watching.

    Args:
        what: The work, in a few words.
    """
    bar = _Bar(what)
    try:
        yield bar.step
    finally:
        bar.close()


class _Bar:
    """A bar that appears late and only on a terminal."""

    def __init__(self, what: str) -> None:
        self._what = what
        self._begun_at = time.monotonic()
        self._progress: Progress | None = None

    def step(self, done: int, total: int) -> None:
        if self._progress is None and self._is_due():
            self._open()
        if self._progress is not None:
            self._progress.update(self._progress.task_ids[0], completed=done, total=total or None)

    def close(self) -> None:
        if self._progress is not None:
            self._progress.stop()

    def _is_due(self) -> bool:
        return sys.stderr.isatty() and time.monotonic() - self._begun_at > SHOWN_AFTER_S

    def _open(self) -> None:
        # late: only work of more than a second needs it
        from rich.console import Console
        from rich.progress import Progress

        self._progress = Progress(console=Console(stderr=True), transient=True)
        self._progress.add_task(self._what)
        self._progress.start()
