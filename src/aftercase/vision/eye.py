"""The eye on one picture: limbus, pupil and the light's reflection on the cornea."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import cv2
import numpy as np

from aftercase.vision.ellipse import Ellipse
from aftercase.vision.limbus import limbus_near
from aftercase.vision.outline import Outline
from aftercase.vision.polar import Picture, colour_ratios, colours, shrunk
from aftercase.vision.pupil import pupil_within
from aftercase.vision.reflex import Spot, reflex_within
from aftercase.vision.search import likely_places

_SIZE_PX: Final = 156.0
"""Side of the square whose area the picture is shrunk to."""
_QUICK_SIZE_PX: Final = 100.0
_SMOOTH_PX: Final = 0.8
_LEAST_PX: Final = 16
_N_PLACES: Final = 4
_SOFT_EDGE: Final = 1.03
"""The rough search sees the soft limbus this much too large."""
_NO_EYE: Final = 0.02
"""Below this confidence there is no eye."""


@dataclass(frozen=True, slots=True)
class Eye:
    """An eye on a picture; all places in pixels of that picture.

    Attributes:
        limbus: Its outline.
        confidence: 0 to 1 that there is an eye and the limbus is right; from 0.5 on likely.
        pupil: Its outline.
        pupil_confidence: 0 to 1, never more than `confidence`.
        reflex: The light's reflection on the cornea; none where nothing is brighter.
    """

    limbus: Ellipse
    confidence: float
    pupil: Ellipse
    pupil_confidence: float
    reflex: Spot | None


def found_eye(picture: Picture, *, near: Eye | None = None) -> Eye | None:
    """Return the eye on a picture; none where nothing looks like one.

    Args:
        picture: Red, green and blue, 0 to 255: (height, width, 3).
        near: The eye on a picture a moment ago; only its surroundings are searched, in a tenth of
            the time. Half a limbus radius further on the eye is not found.

    Raises:
        ValueError: This is not such a picture.
    """
    if picture.ndim != 3 or picture.shape[2] != 3 or picture.dtype != np.uint8:
        raise ValueError(f"not (height, width, 3) of uint8: {picture.shape} of {picture.dtype}")
    if min(picture.shape[:2]) < _LEAST_PX:
        return None
    small, factor = shrunk(picture, _QUICK_SIZE_PX if near else _SIZE_PX)
    if near is None:
        small = np.asarray(cv2.GaussianBlur(small, (0, 0), _SMOOTH_PX), np.uint8)
    best = _best_limbus(picture if near is None else small, small, factor, near)
    if best is None:
        return None
    votes, limbus = best
    pupil = pupil_within(colour_ratios(small), limbus.ellipse, quickly=near is not None)
    confidence = _limbus_confidence(votes, limbus, pupil)
    if confidence < _NO_EYE:
        return None
    whole = limbus.ellipse.enlarged(1 / factor)
    return Eye(
        whole,
        confidence,
        pupil.ellipse.enlarged(1 / factor),
        confidence * _rising(pupil.evenness, 1.3, 0.12),
        reflex_within(picture, whole),
    )


def _best_limbus(
    picture: Picture, small: Picture, factor: float, near: Eye | None
) -> tuple[float, Outline] | None:
    """Return the likeliest limbus, in pixels of the small picture, with its votes."""
    field = colours(small)
    if near:
        places = likely_places(small, 1, near=near.limbus.enlarged(factor))
        starts = [(place.votes, place.circle) for place in places]
    else:
        places = likely_places(picture, _N_PLACES)
        starts = [(place.votes, place.circle.enlarged(factor)) for place in places]
    fits = [
        (votes, limbus_near(field, start.resized(1 / _SOFT_EDGE), rounds=1 if near else 2))
        for votes, start in starts
    ]
    return max(fits, key=lambda fit: _evidence(*fit), default=None)


def _evidence(votes: float, limbus: Outline) -> float:
    return limbus.strength + votes / 4


def _limbus_confidence(votes: float, limbus: Outline, pupil: Outline) -> float:
    """Return 0 to 1: more where spokes agree on the limbus and a pupil stands out in it."""
    clear = 0.1 * np.log(max(pupil.clarity, 0.5))
    return _rising(_evidence(votes, limbus) + clear, 1.12, 0.05)


def _rising(value: float, half: float, width: float) -> float:
    """Return 0 to 1, one half at `half` (the logistic curve)."""
    return float(1 / (1 + np.exp(-(value - half) / width)))
