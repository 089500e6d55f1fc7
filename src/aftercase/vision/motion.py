"""How much moves between two pictures, once what moves the whole picture is taken out."""

from __future__ import annotations

from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from aftercase.vision.opencv import cv2

Grey = NDArray[np.float32]
"""A picture in grey, shape (height, width), 0 to 255."""

Mask = NDArray[np.bool_]
"""Which of its pixels are meant; of the same shape."""

_BORDER: Final = 0.04
"""Share of the height along the edges that is left out: what a shift brings in is not motion."""

_LEAST_RESPONSE: Final = 0.08
"""A weaker agreement of two pictures is no shift (own choice): a cut, a black picture, noise."""


class Motion(NamedTuple):
    """What changed from one picture to the next.

    Attributes:
        shift_x_px: How far the whole picture moved to the right; 0 where it cannot be told.
        shift_y_px: The same downwards.
        response: How well the two agree once shifted, 0 to about 1.
        inside: Mean difference left inside the eye, in grey levels, once both are equally
            bright; 0 where there is no inside.
        around: The same everywhere else.
    """

    shift_x_px: float
    shift_y_px: float
    response: float
    inside: float
    around: float


def motion_between(before: Grey, now: Grey, inside: Mask | None) -> Motion:
    """Return what moved between two pictures of one size.

    Args:
        before: The earlier picture.
        now: The later one.
        inside: Where the eye is on the later one; None where it was not found.

    Raises:
        ValueError: They differ in size, or are smaller than 16 x 16.

    Source:
        The shift is by phase correlation (Kuglin and Hines 1975, as in OpenCV). From memory.
    """
    if before.shape != now.shape or min(now.shape) < 16:
        raise ValueError(f"pictures of {before.shape} and {now.shape}")
    height, width = now.shape
    window = cv2.createHanningWindow((width, height), cv2.CV_32F)
    # With a window given, the library writes into the pictures where it need not enlarge them.
    (shift_x, shift_y), response = cv2.phaseCorrelate(before * window, now * window)
    if response < _LEAST_RESPONSE or abs(shift_x) > width / 4 or abs(shift_y) > height / 4:
        shift_x = shift_y = 0.0
    moved = cv2.warpAffine(
        before,
        np.array([[1, 0, shift_x], [0, 1, shift_y]], dtype=np.float32),
        (width, height),
        flags=cv2.INTER_LINEAR,
        borderMode=cv2.BORDER_REPLICATE,
    )
    brighter = float(np.median(now)) / max(1.0, float(np.median(moved)))
    left = np.abs(now - moved * brighter)
    inner = np.zeros(now.shape, dtype=np.bool_)
    edge = max(1, round(_BORDER * height))
    inner[edge:-edge, edge:-edge] = True
    eye = inner if inside is None else inner & inside
    rest = np.zeros_like(inner) if inside is None else inner & ~inside
    if inside is None:
        eye, rest = rest, eye
    return Motion(shift_x, shift_y, response, _mean(left, eye), _mean(left, rest))


def _mean(values: Grey, where: Mask) -> float:
    return float(values[where].mean()) if where.any() else 0.0
