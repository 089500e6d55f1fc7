"""The light's reflection on the cornea: the brightest small white spot within the limbus."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from aftercase.vision.ellipse import Ellipse
from aftercase.vision.opencv import cv2
from aftercase.vision.polar import Floats, Picture

_RADIUS_PX: Final = 40.0
"""The picture is shrunk until the limbus is not larger."""
_WITHIN: Final = 0.6
"""The spot lies within this share of the limbus radius."""
_SPOT: Final = 0.04
_AROUND: Final = 0.13
"""Sizes of the spot and of what it is brighter than, over the limbus radius."""
_USUAL: Final = 0.3
"""How far from the middle of the limbus the spot usually is, over its radius."""
_CLEAR_LEVELS: Final = 40.0
"""How much brighter a clear spot is."""


@dataclass(frozen=True, slots=True)
class Spot:
    """A point on the picture.

    Attributes:
        x_px: To the right, from the middle of the first pixel.
        y_px: Downwards.
        confidence: 0 to 1.
    """

    x_px: float
    y_px: float
    confidence: float


def reflex_within(picture: Picture, limbus: Ellipse) -> Spot | None:
    """Return the light's reflection on the cornea; none where nothing is brighter.

    Args:
        picture: (height, width, 3).
        limbus: In pixels of the picture.
    """
    reach = int(np.ceil(limbus.radius_px * (_WITHIN + 2 * _AROUND)))
    left, top = (max(0, round(at) - reach) for at in (limbus.x_px, limbus.y_px))
    part = picture[top : round(limbus.y_px) + reach + 1, left : round(limbus.x_px) + reach + 1]
    if not part.size:
        return None
    factor = min(1.0, _RADIUS_PX / limbus.radius_px)
    size = (max(1, round(part.shape[1] * factor)), max(1, round(part.shape[0] * factor)))
    small = np.asarray(cv2.resize(part, size, interpolation=cv2.INTER_AREA), np.float32)
    white = np.minimum(np.minimum(small[..., 0], small[..., 1]), small[..., 2])
    found = _brightest(
        white,
        (limbus.x_px - left + 0.5) * factor - 0.5,
        (limbus.y_px - top + 0.5) * factor - 0.5,
        limbus.radius_px * factor,
    )
    if found is None:
        return None
    x, y, brighter, level = found
    return Spot(
        left + (x + 0.5) / factor - 0.5,
        top + (y + 0.5) / factor - 0.5,
        min(1.0, brighter / _CLEAR_LEVELS) * level / 255,
    )


def _brightest(
    white: Floats, x_px: float, y_px: float, radius_px: float
) -> tuple[float, float, float, float] | None:
    """Return x, y of the best spot, how much brighter than about it it is, and its level."""
    spot = cv2.GaussianBlur(white, (0, 0), _SPOT * radius_px)
    around = cv2.GaussianBlur(white, (0, 0), _AROUND * radius_px)
    rows, columns = np.ogrid[: white.shape[0], : white.shape[1]]
    far = np.hypot(columns - x_px, rows - y_px) / radius_px
    brighter = spot - around
    likely = np.where(far < _WITHIN, brighter * np.exp(-0.5 * (far / _USUAL) ** 2), 0)
    row, column = np.unravel_index(likely.argmax(), likely.shape)
    if likely[row, column] <= 0:
        return None
    near = np.hypot(columns - column, rows - row) < 2 * _SPOT * radius_px
    above = np.maximum(white - (white[row, column] + around[row, column]) / 2, 0) * near
    weight = float(above.sum())
    if weight <= 0:
        return None
    return (
        float((above * columns).sum() / weight),
        float((above * rows).sum() / weight),
        float(brighter[row, column]),
        float(white[row, column]),
    )
