"""Medians along time that single wrong values do not move."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Columns = NDArray[np.float64]
"""One row for each picture, in order; NaN where there is nothing."""


def running_median(values: Columns, half: int) -> Columns:
    """Return the median of each column around each row, of as many rows before it as after it.

    Args:
        values: Shape (n, columns).
        half: Rows on either side; those beyond the ends are left out.

    Returns:
        The lower of the two middle ones where their number is even; NaN where all is NaN.

    Example:
        >>> running_median(np.array([[1.0], [9.0], [2.0], [3.0]]), 1)[:, 0].tolist()
        [1.0, 2.0, 3.0, 2.0]
    """
    if not len(values):
        return values.copy()
    padded = np.pad(values, ((half, half), (0, 0)), constant_values=np.nan)
    windows = np.lib.stride_tricks.sliding_window_view(padded, 2 * half + 1, axis=0)
    ordered = np.sort(windows, axis=-1)  # NaN goes last
    place = np.maximum(0, (np.isfinite(ordered).sum(axis=-1) - 1) // 2)
    return np.take_along_axis(ordered, place[..., None], axis=-1)[..., 0]
