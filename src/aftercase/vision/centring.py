"""How the eye lies under the microscope through a recording: centred, rolled, still.

Distances are over the limbus radius, so that they need no ruler. They are information, never part
of a score or of a comparison of people.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from aftercase.vision.running import running_median
from aftercase.vision.scale import ASSUMED_ERROR_MM, WHITE_TO_WHITE_MM
from aftercase.vision.scan import SURE, Rows

Offsets = NDArray[np.float64]
"""Shape (n, 2): to the right and downwards, over the limbus radius; NaN where not known."""

TOLERANCE: Final = 0.5
"""Share of the limbus radius within which an eye counts as centred, unless set otherwise."""

SMOOTHED_S: Final = 1.0
"""Positions are the middle of so much of the recording: single wrong ones do not count."""


ASSUMED_ERROR: Final = ASSUMED_ERROR_MM / WHITE_TO_WHITE_MM
"""How far one eye may be from the mean white-to-white at 95 %, as a share of it."""


@dataclass(frozen=True)
class Spread:
    """What a distance was like through a recording.

    Attributes:
        n: Pictures it was known on.
        lower: Lower quartile, over the limbus radius; NaN where it was never known.
        median: Median.
        upper: Upper quartile.
        path: Length of the way, over the limbus radius.
        within: Share of the time within the tolerance.
    """

    n: int
    lower: float
    median: float
    upper: float
    path: float
    within: float


def eye_offsets(rows: Rows) -> Offsets:
    """Return how far the limbus' centre was from the recorder's own resting place.

    Many cameras are not centred on what the surgeon sees: where the eye lay in the middle of all
    pictures counts as the place it should lie at.

    Args:
        rows: Of a scan.
    """
    centre = (np.stack([rows["width_px"], rows["height_px"]], axis=1) - 1) / 2
    offsets = _smoothed((rows["limbus"][:, :2] - centre) / _radius(rows)[:, None], rows)
    return offsets - _middle(offsets)


def reflex_offsets(rows: Rows, first_wound_us: int | None) -> Offsets:
    """Return how far the reflex was from the limbus' centre, less what is this eye's own.

    Args:
        rows: Of a scan.
        first_wound_us: When the first instrument went in; what was before that is the eye's own
            offset. None, or too little seen before it, takes the whole recording.
    """
    seen = rows["reflex_confidence"] >= SURE
    reflex = np.where(seen[:, None], rows["reflex"], np.nan)
    offsets = _smoothed((reflex - rows["limbus"][:, :2]) / _radius(rows)[:, None], rows)
    own = offsets[rows["at_us"] < first_wound_us] if first_wound_us is not None else offsets
    return offsets - _middle(own if np.isfinite(own).any() else offsets)


def spread_of(offsets: Offsets, tolerance: float = TOLERANCE) -> Spread:
    """Return what distances were like; NaN for all of them where none is known."""
    known = offsets[np.isfinite(offsets).all(axis=1)]
    if not len(known):
        return Spread(0, *(float("nan"),) * 5)
    distance = np.hypot(known[:, 0], known[:, 1])
    lower, median, upper = (float(np.quantile(distance, share)) for share in (0.25, 0.5, 0.75))
    steps = np.diff(known, axis=0)
    path = float(np.hypot(steps[:, 0], steps[:, 1]).sum())
    return Spread(len(known), lower, median, upper, path, float((distance <= tolerance).mean()))


def mm_a_radius(rows: Rows) -> float:
    """Return how many millimetres a limbus radius is, for a patient's eye of the usual size.

    Never for a practice or an animal eye, which have another. The longest diameter counts as the
    white-to-white; the radius that offsets are told in is the mean of all, and a little less.

    Returns:
        NaN where no limbus was found. `ASSUMED_ERROR` of it may be wrong.
    """
    sure = rows["limbus_confidence"] >= SURE
    if not sure.any():
        return float("nan")
    long_px, short_px = rows["limbus"][sure, 2], rows["limbus"][sure, 3]
    return WHITE_TO_WHITE_MM / 2 * float(np.median((long_px + short_px) / 2 / long_px))


def _radius(rows: Rows) -> NDArray[np.float64]:
    radius: NDArray[np.float64] = rows["limbus"][:, 2:4].mean(axis=1)
    return np.where(rows["limbus_confidence"] >= SURE, radius, np.nan)


def _middle(offsets: Offsets) -> NDArray[np.float64]:
    known = offsets[np.isfinite(offsets).all(axis=1)]
    return np.median(known, axis=0) if len(known) else np.zeros(2)


def _smoothed(offsets: Offsets, rows: Rows) -> Offsets:
    """Return the median around each place; still NaN where it was not known."""
    if len(rows) < 3:
        return offsets
    apart_s = float(np.median(np.diff(rows["at_us"]))) / 1e6
    half = max(1, round(SMOOTHED_S / apart_s / 2))
    middle = running_median(offsets, half)
    return np.where(np.isfinite(offsets), middle, np.nan)
