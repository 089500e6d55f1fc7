"""The plain numbers of one picture: light, sharpness, and how it differs from the one before."""

from __future__ import annotations

from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from aftercase.vision.motion import Grey
from aftercase.vision.opencv import cv2

Picture = NDArray[np.uint8]
"""Red, green and blue, shape (height, width, 3)."""

GREY_WIDTH_PX: Final = 160
"""Pictures are compared with each other at this width."""

_FULL: Final = 250
"""From here on a pixel is as bright as it can be told (of 255; allows for coding)."""

_FINE, _MIDDLE = 0.8, 2.4
"""Detail lost by these two blurs, in pixels, is compared: defocus takes the finer away first."""

_FLAT: Final = 0.35
"""Detail of so many grey levels is noise (own choice): a flat picture is neither sharp nor not."""


_BINS: Final = 32
_GREYS_A_BIN: Final = 256 // _BINS


class Look(NamedTuple):
    """What one picture is like.

    Attributes:
        light: Mean brightness, 0 to 255.
        clipped: Share of its pixels that are as bright as can be.
        sharpness: Fine detail over coarser detail, 0 to about 1; NaN on a flat picture.
        red_green: Mean of a* (green below 0, red above).
        blue_yellow: Mean of b* (blue below 0, yellow above).
    """

    light: float
    clipped: float
    sharpness: float
    red_green: float
    blue_yellow: float


class Change(NamedTuple):
    """What differs from the picture looked at before.

    Attributes:
        most: Mean difference in grey levels in the block of 8 x 8 that differs most.
        mean: Mean difference in grey levels.
        greys: How far apart the two pictures' shares of greys are, 0 (alike) to 1.
    """

    most: float
    mean: float
    greys: float


def look_of(picture: Picture) -> Look:
    """Return what a picture is like.

    Raises:
        ValueError: It is not of red, green and blue in 8 bits.
    """
    if picture.ndim != 3 or picture.shape[2] != 3 or picture.dtype != np.uint8:
        raise ValueError(f"not a picture: {picture.shape}, {picture.dtype}")
    grey = cv2.cvtColor(picture, cv2.COLOR_RGB2GRAY)
    darkest = cv2.min(cv2.min(picture[..., 0], picture[..., 1]), picture[..., 2])
    clipped = float((darkest >= _FULL).mean())
    _, *tints = cv2.mean(cv2.cvtColor(picture, cv2.COLOR_RGB2LAB))
    red_green, blue_yellow = (tint - 128.0 for tint in tints[:2])
    sharpness = _sharpness(grey.astype(np.float32))
    return Look(cv2.mean(grey)[0], clipped, sharpness, red_green, blue_yellow)


def grey_of(picture: Picture) -> Grey:
    """Return a picture in grey at the width pictures are compared at."""
    height, width = picture.shape[:2]
    size = (GREY_WIDTH_PX, max(16, round(height * GREY_WIDTH_PX / width)))
    grey = cv2.cvtColor(picture, cv2.COLOR_RGB2GRAY)
    return cv2.resize(grey, size, interpolation=cv2.INTER_AREA).astype(np.float32)


def change_between(before: Grey, now: Grey) -> Change:
    """Return what differs between two pictures as `grey_of` gives them.

    Raises:
        ValueError: They differ in size.
    """
    if before.shape != now.shape:
        raise ValueError(f"pictures of {before.shape} and {now.shape}")
    apart = np.abs(now - before)
    most = float(cv2.blur(apart, (8, 8)).max())
    greys = np.abs(_shares_of_greys(now) - _shares_of_greys(before)).sum() / 2
    return Change(most, float(apart.mean()), float(greys))


def _shares_of_greys(grey: Grey) -> NDArray[np.float64]:
    counts = np.bincount((grey.ravel() / _GREYS_A_BIN).astype(np.int64), minlength=_BINS)
    return counts / grey.size


def _sharpness(grey: Grey) -> float:
    softer = cv2.GaussianBlur(grey, (0, 0), _FINE)
    fine, coarse = grey - softer, softer - cv2.GaussianBlur(grey, (0, 0), _MIDDLE)
    spread = float(coarse.std())
    return float(fine.std()) / spread if spread > _FLAT else float("nan")
