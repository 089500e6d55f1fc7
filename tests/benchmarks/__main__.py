"""Run the benchmarks, print what they measure, and write docs/performance.md.

``python tests/benchmarks`` runs all and writes the page. ``--only WORD`` runs those whose file's
name holds WORD, and ``--quick`` measures media on films of a minute; both only print, unless
``--renew`` puts what was measured in its place on the page. A benchmark
is a file ``bench_*.py`` here with a function ``comparisons()`` that gives a list of `Comparison`,
or ``sections(quick=...)`` that gives tables with promises.
"""

from __future__ import annotations

import argparse
import datetime
import importlib
import os
import platform
import re
import sys
from collections.abc import Sequence
from pathlib import Path

import av
import numpy as np
import pandas as pd
from comparison import Result, result_of
from reporting import Promise, Table, promise_table

HERE = Path(__file__).parent
PAGE = HERE.parents[1] / "docs" / "performance.md"


def main(words: Sequence[str]) -> int:
    """Run the benchmarks that are asked for; exit code 1 where one is wrong or breaks a promise."""
    asked = arguments().parse_args(words)
    results: list[Result] = []
    tables: list[Table] = []
    promises: list[Promise] = []
    for file in sorted(HERE.glob("bench_*.py")):
        if asked.only not in file.stem:
            continue
        benchmark = importlib.import_module(file.stem)
        if hasattr(benchmark, "comparisons"):
            for comparison in benchmark.comparisons():
                results.append(result_of(comparison))
                print(line_of(results[-1]), flush=True)
        else:
            for table, found in benchmark.sections(quick=asked.quick):
                tables.append(table)
                promises += found
                print("\n" + table.markdown(), flush=True)
    print(promise_table(promises).markdown())
    if asked.renew and not asked.quick:
        PAGE.write_text(
            renewed(PAGE.read_text(encoding="utf-8"), tables, promises), encoding="utf-8"
        )
        print(f"renewed: {PAGE}")
    elif not asked.only and not asked.quick:
        PAGE.write_text(page_of(results, tables, promises), encoding="utf-8")
        print(f"written: {PAGE}")
    is_good = all(promise.is_kept for promise in promises) and not any(r.fault for r in results)
    return 0 if is_good and (results or tables) else 1


def arguments() -> argparse.ArgumentParser:
    """Return what the command takes."""
    parser = argparse.ArgumentParser(prog="python tests/benchmarks")
    parser.add_argument("--only", metavar="WORD", default="", help="benchmarks of this name only")
    parser.add_argument(
        "--renew", action="store_true", help="put tables in their place on the page"
    )
    parser.add_argument("--quick", action="store_true", help="measure media on short films")
    return parser


def line_of(result: Result) -> str:
    """Return a result as a line for the screen."""
    one = result.comparison
    line = (
        f"{one.name}, {one.size}: {result.ours_s:.3f} s, "
        f"straightforward {result.reference_s:.3f} s, ratio {result.ratio:.1f}"
    )
    return f"{line} -- WRONG: {result.fault}" if result.fault else line


def page_of(results: Sequence[Result], tables: Sequence[Table], promises: Sequence[Promise]) -> str:
    """Return docs/performance.md."""
    rows = "\n".join(
        f"| {result.comparison.name} | {result.comparison.size} | {result.ours_s:.3f} "
        f"| {result.reference_s:.3f} | {result.ratio:.1f} | {result.comparison.promised_s:g} |"
        for result in results
    )
    media = "\n".join(table.markdown() for table in [*tables, promise_table(promises)])
    return f"""# Performance

Written by `python tests/benchmarks`; not edited by hand.

Measured on {datetime.date.today():%-d %B %Y}: {machine()}.

## Tables and spans

Each row does one thing two ways: as the program does it, and straightforwardly in plain Python.
Both answers are checked to be the same. Ours is the fastest of three runs, the straightforward way
is run once; the ratio is how many times as long the latter takes. Ours may take at most the
promised time, or the run fails.

| what | how much | ours, s | straightforward, s | ratio | promised, s |
|---|---|---|---|---|---|
{rows}

## Recordings

All ways were measured in one run, taking turns. The machine did other work as well, so that times
are longer than they need be; what compares them is their ratio.

{media}"""


def renewed(page: str, tables: Sequence[Table], promises: Sequence[Promise]) -> str:
    """Return docs/performance.md with some of its tables and promises measured anew.

    Raises:
        LookupError: The page does not have one of them.
    """
    for table in tables:
        page = _put_in(
            page, rf"^### {re.escape(table.title)}\n.*?(?=^### |\Z)", table.markdown() + "\n"
        )
    for promise in promises:
        line = "| " + " | ".join(promise.row()) + " |\n"
        page = _put_in(page, rf"^\| {re.escape(promise.what)} \|.*?\n", line)
    return page.rstrip() + "\n"


def _put_in(page: str, pattern: str, text: str) -> str:
    changed, n_found = re.subn(pattern, lambda _: text, page, flags=re.MULTILINE | re.DOTALL)
    if n_found != 1:
        raise LookupError(f"found {n_found} times on the page: {pattern}")
    return changed


def machine() -> str:
    """Return the machine and the versions that matter."""
    return (
        f"{processor()}, {os.cpu_count()} cores, {platform.system()}; "
        f"Python {platform.python_version()}, numpy {np.__version__}, pandas {pd.__version__}, "
        f"PyAV {av.__version__}, load {os.getloadavg()[0]:.1f}"
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
