"""What is true of a rendered session, in the units the comparison needs."""

from __future__ import annotations

import csv
import gzip
import json
import statistics
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from aftercase.model.orientation import View, surgeon_hour

Column = NDArray[np.float64]


@dataclass(frozen=True)
class TrueEntry:
    """An instrument in the eye: when, through which wound, and at which hour it crosses."""

    start_us: int
    end_us: int
    wound: str
    hour: float


@dataclass(frozen=True)
class Truth:
    """A rendered session as it is.

    Attributes:
        told: What the renderer wrote of the session.
        columns: What it wrote of every frame, by name; NaN where it wrote nothing.
        entries: Instruments that cross the limbus, and those that hold the eye beside it.
    """

    told: dict[str, Any]
    columns: dict[str, Column]
    entries: tuple[TrueEntry, ...]

    @property
    def view(self) -> View:
        """Return how the eye lies in the picture."""
        seat = surgeon_hour(self.told["eye"], self.told["seat"])
        if seat is None:
            raise ValueError(f"no hour for {self.told['eye']}, {self.told['seat']}")
        return View(seat, self.told["turn_deg"], self.told["mirror"])

    @property
    def gaps(self) -> list[tuple[int, int]]:
        """Return all gaps, however short."""
        return [(one["start_us"], one["end_us"]) for one in self.told["gaps"]]

    def spans(self, kind: str) -> list[tuple[int, int]]:
        """Return the stretches of one fault of the picture."""
        return [(one["start_us"], one["end_us"]) for one in self.told["pictures"].get(kind, [])]


def truth_of(base: Path) -> Truth:
    """Return what is true of a session's film."""
    told = json.loads(Path(f"{base}.truth.json").read_text(encoding="utf-8"))
    with gzip.open(f"{base}.frames.csv.gz", "rt", encoding="utf-8") as table:
        rows = list(csv.DictReader(table))
    numbers = [
        name for name in rows[0] if name not in ("instruments", "tips_px", "coming_or_going")
    ]
    columns = {
        name: np.array([float(row[name] or "nan") for row in rows], dtype=np.float64)
        for name in numbers
    }
    return Truth(told, columns, tuple(_entries(told, rows)))


def _entries(told: dict[str, Any], rows: list[dict[str, str]]) -> list[TrueEntry]:
    found = []
    for one in told["instruments"]:
        if not one["counts"]:  # a sponge touches the eye's outside
            continue
        wound = one["wound"] or "outside"
        hours = [
            float(word.split(":")[3])
            for row in rows
            if one["start_us"] <= int(row["start_us"]) < one["end_us"]
            for word in row["instruments"].split()
            if word.split(":")[0] == one["instrument"] and word.split(":")[2] == wound
        ]
        first = hours[0]
        off = [(hour - first + 6.0) % 12.0 - 6.0 for hour in hours]
        hour = (first + statistics.median(off)) % 12.0
        found.append(TrueEntry(one["start_us"], one["end_us"], wound, hour))
    return found
