"""Measure how well films are looked through, and write the tables of docs/reference/scan.md.

``python tests/scan_table FOLDER`` takes rendered sessions from a folder, and renders those that are
not there yet: seeds 4 to 8 whole, and ten short ones for eye, seat, mirror and turn. It makes films
with faults that the renderer lacks, looks through all of them as the program does, and compares
with what is true. ``--seeds 1 2 3`` measures the seeds that the scan was tuned on, and only prints.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from pathlib import Path

import cv2
from films import broken_film, hours_films, session_film
from frames import frame_rows
from page import Row, markdown, written
from scores import Judged, hours_row, judged, rows_of, street_row

TUNED_ON = (1, 2, 3)
REPORTED_ON = (4, 5, 6, 7, 8)


def main(words: Sequence[str]) -> int:
    """Measure, print, and write the page where the seeds are those to report on."""
    asked = arguments().parse_args(words)
    cv2.setNumThreads(1)
    asked.folder.mkdir(parents=True, exist_ok=True)
    seeds = tuple(asked.seeds)
    sessions = [_judged(asked.folder, seed) for seed in seeds]
    rows: list[Row] = [*rows_of(sessions), *frame_rows(), street_row()]
    if not asked.no_hours:
        rows.append(hours_row(hours_films(asked.folder)))
    print(markdown(rows, sessions))
    if seeds == REPORTED_ON and not asked.no_hours:
        print("written:", written(rows, sessions))
    return 0


def arguments() -> argparse.ArgumentParser:
    """Return what the command takes."""
    parser = argparse.ArgumentParser(prog="python tests/scan_table", description=__doc__)
    parser.add_argument("folder", type=Path, help="where rendered films are, and go")
    parser.add_argument("--seeds", type=int, nargs="+", default=REPORTED_ON)
    parser.add_argument("--no-hours", action="store_true", help="leave the short films out")
    return parser


def _judged(folder: Path, seed: int) -> Judged:
    whole = session_film(folder, seed)
    one = judged(whole, broken_film(whole))
    print(one.line(), flush=True)
    return one


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
