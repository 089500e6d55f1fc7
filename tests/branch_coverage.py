"""Prints the branch coverage of each package below `session`; fails under the floor.

Branches only: a figure that mixes lines in looks better than what was tried.
"""

from __future__ import annotations

import json
import subprocess
import sys
import tempfile
from collections import Counter
from pathlib import Path, PurePath

FLOOR_PERCENT = 95.0
ABOVE = ("session", "cli", "gui", "__main__.py")
"""Folders and files of the package that are not held to the floor."""


def measured() -> dict[str, dict[str, int]]:
    with tempfile.TemporaryDirectory() as folder:
        report = Path(folder, "coverage.json")
        command = [sys.executable, "-m", "coverage", "json", "-q", "--fail-under=0", "-o", report]
        subprocess.run(command, check=True)
        files = json.loads(report.read_bytes())["files"]
    return {name: file["summary"] for name, file in files.items()}


def package_of(name: str) -> str:
    parts = PurePath(name).parts
    return parts[len(parts) - parts[::-1].index("aftercase")]


def main() -> int:
    taken: Counter[str] = Counter()
    known: Counter[str] = Counter()
    for name, summary in measured().items():
        package = package_of(name)
        taken[package] += summary["covered_branches"]
        known[package] += summary["num_branches"]
    for package in sorted(known):
        note = "  (not held to the floor)" if package in ABOVE else ""
        print(f"{package:16} {taken[package]:5} of {known[package]:5} branches{note}")
    held = [package for package in known if package not in ABOVE]
    percent = 100 * sum(taken[p] for p in held) / sum(known[p] for p in held)
    print(f"below session: {percent:.1f} % of branches, at least {FLOOR_PERCENT:.0f} % wanted")
    return int(percent < FLOOR_PERCENT)


if __name__ == "__main__":
    sys.exit(main())
