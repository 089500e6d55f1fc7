"""What a benchmark says that is more than one number: tables, and promises with what was found."""

from __future__ import annotations

import statistics
import time
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True)
class Table:
    """A table of what was measured.

    Attributes:
        title: What it is about.
        heads: Headings of the columns.
        rows: Cells, already as text.
        note: What has to be known to read it.
    """

    title: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    note: str = ""

    def markdown(self) -> str:
        """Return the table as a section of a page."""
        lines = [f"### {self.title}", ""]
        if self.note:
            lines += [self.note, ""]
        lines += [_line(self.heads), _line(["---"] * len(self.heads)), *map(_line, self.rows)]
        return "\n".join(lines) + "\n"


@dataclass(frozen=True)
class Promise:
    """What was promised of something, and what was measured."""

    what: str
    measured: float
    at_most: float
    unit: str

    @property
    def is_kept(self) -> bool:
        """Whether it was measured to be so."""
        return self.measured <= self.at_most

    def row(self) -> tuple[str, ...]:
        """Return it as a row of a table."""
        said = (f"{number:.3g}{self.unit}" for number in (self.measured, self.at_most))
        return (self.what, *said, "yes" if self.is_kept else "**no**")


def promise_table(promises: Iterable[Promise]) -> Table:
    """Return promises as a table."""
    rows = tuple(promise.row() for promise in promises)
    return Table("Promises", ("what", "measured", "at most", "kept"), rows)


def seconds(work: Callable[[], Any]) -> float:
    """Return how long something takes."""
    begun = time.perf_counter()
    work()
    return time.perf_counter() - begun


def best_of(n: int, work: Callable[[], Any]) -> float:
    """Return the shortest of several runs, which other work on the machine disturbed least."""
    return min(seconds(work) for _ in range(n))


def in_turns(n: int, *works: Callable[[], Any]) -> list[float]:
    """Return the shortest run of each work; they take turns, so that all meet the same machine."""
    rounds = [[seconds(work) for work in works] for _ in range(n)]
    return [min(times) for times in zip(*rounds, strict=True)]


def median_and_p95(times_s: Sequence[float]) -> str:
    """Return median and 95th percentile in milliseconds, as text."""
    return f"{ms(statistics.median(times_s))} / {ms(p95(times_s))}"


def p95(times_s: Sequence[float]) -> float:
    """Return the 95th percentile: the value that 95 of 100 do not exceed."""
    return sorted(times_s)[max(0, -(-95 * len(times_s) // 100) - 1)]


def ms(time_s: float) -> str:
    """Return a time in milliseconds as text."""
    time_ms = 1000 * time_s
    return f"{time_ms:.1f}" if time_ms < 10 else f"{time_ms:.0f}"


def _line(cells: Iterable[str]) -> str:
    return f"| {' | '.join(cells)} |"
