"""One thing done two ways: as the program does it, and straightforwardly."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True)
class Comparison:
    """What is measured.

    Attributes:
        name: What is done, as it stands in the table.
        size: How much of it, in words.
        ours: Does it as the program does.
        reference: Does it straightforwardly, in plain Python.
        same: Whether both answers are the same; a fast wrong answer is no result.
        promised_s: Seconds that ours may take at most.
    """

    name: str
    size: str
    ours: Callable[[], Any]
    reference: Callable[[], Any]
    same: Callable[[Any, Any], bool]
    promised_s: float


@dataclass(frozen=True)
class Result:
    """Seconds of both ways, and what is wrong with the answer, if anything."""

    comparison: Comparison
    ours_s: float
    reference_s: float
    fault: str = ""

    @property
    def ratio(self) -> float:
        """How many times as long the reference takes."""
        return self.reference_s / self.ours_s


def result_of(comparison: Comparison, *, n_runs: int = 3) -> Result:
    """Run both ways: ours several times, of which the fastest counts, the reference once."""
    ours_s, ours = min((_timed(comparison.ours) for _ in range(n_runs)), key=lambda run: run[0])
    reference_s, reference = _timed(comparison.reference)
    fault = ""
    if not comparison.same(ours, reference):
        fault = "the two answers differ"
    elif ours_s > comparison.promised_s:
        fault = f"slower than the promised {comparison.promised_s:g} s"
    return Result(comparison, ours_s, reference_s, fault)


def _timed(work: Callable[[], Any]) -> tuple[float, Any]:
    begun = time.perf_counter()
    answer = work()
    return time.perf_counter() - begun, answer
