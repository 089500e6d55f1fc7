"""The ring just outside the limbus, unrolled: what lies across it comes from outside the eye."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from aftercase.vision.ellipse import Ellipse, unit
from aftercase.vision.opencv import cv2

Ring = NDArray[np.uint8]
"""A ring's colours, shape (N_DIRECTIONS, N_BANDS, 3): CIE L*a*b* in the 8 bits OpenCV gives it."""

N_DIRECTIONS: Final = 120
"""Every 3 degrees clockwise from straight up."""

BANDS: Final = ((1.03, 1.09), (1.10, 1.17), (1.18, 1.27))
"""From where to where each band lies, in limbus radii: conjunctiva, inside most lids."""

N_BANDS: Final = len(BANDS)
_SAMPLES: Final = 3
"""Samples across a band; their mean is kept."""

_SHARES: Final = np.array(
    [np.linspace(start, stop, _SAMPLES) for start, stop in BANDS], dtype=np.float64
).ravel()
_DIRECTIONS: Final = np.arange(N_DIRECTIONS) * 360.0 / N_DIRECTIONS
_UNITS: Final = unit(_DIRECTIONS)


def ring_around(lab: NDArray[np.uint8], limbus: Ellipse) -> tuple[Ring, NDArray[np.bool_]]:
    """Return the colours just outside the limbus, and which of them are on the picture.

    Args:
        lab: A picture in 8-bit CIE L*a*b*, shape (height, width, 3).
        limbus: The limbus on it.

    Returns:
        The ring, and which of its places are on the picture, shape (N_DIRECTIONS, N_BANDS).
    """
    radii = limbus.reach_px(_DIRECTIONS)
    places = np.array([limbus.x_px, limbus.y_px]) + (
        _UNITS[:, None, :] * (radii[:, None] * _SHARES[None, :])[..., None]
    )
    x, y = places[..., 0].astype(np.float32), places[..., 1].astype(np.float32)
    sampled = cv2.remap(lab, x, y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    ring = sampled.reshape(N_DIRECTIONS, N_BANDS, _SAMPLES, 3).mean(axis=2).round()
    height, width = lab.shape[:2]
    on_picture = (x >= 0) & (y >= 0) & (x <= width - 1) & (y <= height - 1)
    return ring.astype(np.uint8), on_picture.reshape(N_DIRECTIONS, N_BANDS, _SAMPLES).all(axis=2)
