"""A program that types for ever: each text is told once it was handed in; run by a test."""

from __future__ import annotations

import sys
import time

from aftercase.session.places import places
from aftercase.session.recovery import Recovery

CASE = "c" * 26


def main() -> None:
    recovery = Recovery(places(), CASE, "T01")
    for number in range(1_000_000):
        recovery.keep("line", f"turn the probe {number}", at_us=number, kind="work-on")
        print(number, time.monotonic(), flush=True)
        time.sleep(0.01)


if __name__ == "__main__":
    sys.exit(main())
