"""Run every benchmark, print how both ways compare, and write docs/performance.md.

``python tests/benchmarks`` runs all; ``python tests/benchmarks WORD`` only those whose name holds
WORD, and writes nothing. A new benchmark is a file ``bench_*.py`` here with a function
``comparisons()`` that gives a list of `Comparison`.
"""

from __future__ import annotations

import datetime
import importlib
import os
import platform
import sys
from collections.abc import Iterator, Sequence
from pathlib import Path

import numpy as np
import pandas as pd
from comparison import Comparison, Result, result_of

HERE = Path(__file__).parent
PAGE = HERE.parents[1] / "docs" / "performance.md"


def main(words: Sequence[str]) -> int:
    """Run the benchmarks that are asked for; exit code 1 where one is wrong or too slow."""
    results = []
    for comparison in comparisons():
        if words and not any(word in comparison.name for word in words):
            continue
        results.append(result_of(comparison))
        print(line_of(results[-1]), flush=True)
    if not words:
        PAGE.write_text(page_of(results), encoding="utf-8")
        print(f"written: {PAGE}")
    return 1 if any(result.fault for result in results) or not results else 0


def comparisons() -> Iterator[Comparison]:
    """Yield the comparisons of every benchmark file, by file name."""
    for file in sorted(HERE.glob("bench_*.py")):
        yield from importlib.import_module(file.stem).comparisons()


def line_of(result: Result) -> str:
    """Return a result as a line for the screen."""
    one = result.comparison
    line = (
        f"{one.name}, {one.size}: {result.ours_s:.3f} s, "
        f"straightforward {result.reference_s:.3f} s, ratio {result.ratio:.1f}"
    )
    return f"{line} -- WRONG: {result.fault}" if result.fault else line


def page_of(results: Sequence[Result]) -> str:
    """Return docs/performance.md."""
    rows = "\n".join(
        f"| {result.comparison.name} | {result.comparison.size} | {result.ours_s:.3f} "
        f"| {result.reference_s:.3f} | {result.ratio:.1f} | {result.comparison.promised_s:g} |"
        for result in results
    )
    return f"""# Performance

Written by `python tests/benchmarks`; not edited by hand. Each row does one thing two ways: as the
program does it, and straightforwardly in plain Python. Both answers are checked to be the same.
Ours is the fastest of three runs, the straightforward way is run once; the ratio is how many times
as long the latter takes. Ours may take at most the promised time, or the run fails.

Measured on {datetime.date.today():%-d %B %Y}: {machine()}.

| what | how much | ours, s | straightforward, s | ratio | promised, s |
|---|---|---|---|---|---|
{rows}
"""


def machine() -> str:
    """Return the machine and the versions that matter."""
    return (
        f"{processor()}, {os.cpu_count()} cores, {platform.system()}; "
        f"Python {platform.python_version()}, numpy {np.__version__}, pandas {pd.__version__}"
    )


def processor() -> str:
    """Return the processor's name as the system gives it."""
    listed = Path("/proc/cpuinfo")
    if listed.is_file():
        for line in listed.read_text(encoding="utf-8").splitlines():
            if line.startswith("model name"):
                return line.split(":", 1)[1].strip()
    return platform.processor() or platform.machine()


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
