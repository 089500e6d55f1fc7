"""The eye on one picture: limbus, pupil and the light's reflection on the cornea."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from aftercase.vision.ellipse import Ellipse
from aftercase.vision.limbus import limbus_near
from aftercase.vision.opencv import cv2
from aftercase.vision.outline import Outline
from aftercase.vision.polar import Picture, colour_ratios, colours, shrunk
from aftercase.vision.pupil import pupil_within
from aftercase.vision.reflex import Spot, reflex_within
from aftercase.vision.search import likely_places

_SIZE_PX: Final = 156.0
_QUICK_SIZE_PX: Final = 100.0
"""Side of the square whose area the picture is shrunk to, with care and quickly."""
_SMOOTH_PX: Final = 0.8
_LEAST_PX: Final = 16
_N_PLACES: Final = 4
_SOFT_EDGE: Final = 0.97
"""The rough search sees the soft limbus a little too large."""
_PUPIL_MOST: Final = 0.92
"""A pupil larger than this share of the limbus is the limbus once more."""
_OUTER: Final = 0.25
"""So much less evidence is enough for the outer of two circles: a pupil has an edge too."""
_SAME: Final = 0.15
"""Centres this share of the radius apart are the same."""
_LIKELY: Final = (1.25, 0.06)
"""Evidence at which an eye is as likely as not, and how fast that changes.

Streets and cartoons stayed below 1.15, plain eyes lie about 1.8.
"""
_EVEN: Final = (1.3, 0.12)
"""The same for the evenness of a pupil's edge; edges that were no pupil's stayed below 1.2."""
_NO_EYE: Final = 0.01
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


def found_eye(picture: Picture, *, near: Ellipse | None = None) -> Eye | None:
    """Return the eye on a picture; none where nothing looks like one.

    Args:
        picture: Red, green and blue, 0 to 255: (height, width, 3).
        near: The limbus a moment ago; only its surroundings are searched, in a tenth of the time.
            Half a limbus radius further on the eye is not found.

    Raises:
        ValueError: This is not such a picture.
    """
    if picture.ndim != 3 or picture.shape[2] != 3 or picture.dtype != np.uint8:
        raise ValueError(f"not (height, width, 3) of uint8: {picture.shape} of {picture.dtype}")
    if min(picture.shape[:2]) < _LEAST_PX:
        return None
    fits, factor = _fits(picture) if near is None else _fits_near(picture, near)
    limbi = [fit for fit in fits if not any(fit.may_be_pupil_of(other) for other in fits)]
    best = max(limbi, key=lambda fit: fit.evidence, default=None)
    if best is None:
        return None
    confidence = _rising(best.evidence, *_LIKELY)
    if confidence < _NO_EYE:
        return None
    limbus = best.limbus.ellipse.enlarged(1 / factor)
    return Eye(
        limbus,
        confidence,
        best.pupil.ellipse.enlarged(1 / factor),
        confidence * _rising(best.pupil.evenness, *_EVEN),
        reflex_within(picture, limbus),
    )


@dataclass(frozen=True, slots=True)
class _Fit:
    """A limbus and a pupil fitted at one place, and the votes for that place."""

    votes: float
    limbus: Outline
    pupil: Outline

    @property
    def evidence(self) -> float:
        """Return how much speaks for an eye: about 1.6 where limbus and pupil are plain."""
        ratio = self.pupil.ellipse.radius_px / self.limbus.ellipse.radius_px
        clear, even = (self.pupil.clarity, self.pupil.evenness) if ratio < _PUPIL_MOST else (0, 0)
        pupil = np.log(np.clip(clear, 0.4, 4)) + np.log(np.clip(even, 0.3, 3))
        return float(self.limbus.strength + self.votes / 4 + pupil / 6)

    def may_be_pupil_of(self, other: _Fit) -> bool:
        """Say whether this lies as a pupil in another limbus for which nearly as much speaks."""
        inner, outer = self.limbus.ellipse, other.limbus.ellipse
        off = inner.distance_px(outer.x_px, outer.y_px) / outer.radius_px
        ratio = inner.radius_px / outer.radius_px
        inside = off < _SAME and ratio < _PUPIL_MOST - off
        return inside and other.evidence > self.evidence - _OUTER


def _fits(picture: Picture) -> tuple[list[_Fit], float]:
    """Return what was fitted at the likely places, in a picture that is so many times as large."""
    small, factor = shrunk(picture, _SIZE_PX)
    small = np.asarray(cv2.GaussianBlur(small, (0, 0), _SMOOTH_PX), np.uint8)
    field, ratios = colours(small), colour_ratios(small)
    fits = []
    for place in likely_places(picture, _N_PLACES):
        limbus = limbus_near(field, place.circle.enlarged(factor).resized(_SOFT_EDGE))
        fits.append(_Fit(place.votes, limbus, pupil_within(ratios, limbus.ellipse)))
    return fits, factor


def _fits_near(picture: Picture, near: Ellipse) -> tuple[list[_Fit], float]:
    """Return the same near a limbus, with less care: one fit or none."""
    small, factor = shrunk(picture, _QUICK_SIZE_PX)
    field, ratios = colours(small), colour_ratios(small)
    fits = []
    for place in likely_places(small, 1, near=near.enlarged(factor)):
        limbus = limbus_near(field, place.circle.resized(_SOFT_EDGE), rounds=1)
        fits.append(_Fit(place.votes, limbus, pupil_within(ratios, limbus.ellipse, quickly=True)))
    return fits, factor


def _rising(value: float, half: float, width: float) -> float:
    """Return 0 to 1, one half at `half` (the logistic curve)."""
    return float(1 / (1 + np.exp(-(value - half) / width)))
