"""The limbus around a place where it is likely to be."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

import numpy as np

from aftercase.vision.ellipse import Ellipse
from aftercase.vision.outline import Outline, Search, fitted
from aftercase.vision.polar import Floats


def lighter_or_redder(votes: Floats) -> Floats:
    """Return the unit step from the cornea to the white of the eye, or to its red vessels: (3,)."""
    mean = votes.mean(axis=0)
    step = np.array([max(mean[0], 0.05), 0.8 * max(mean[1], 0.0), 0.0])
    return np.asarray(step / np.linalg.norm(step), np.float32)


_FIT: Final = Search(4, 0.7, 1.35, (0.2, 0.1, 0.06), lighter_or_redder)


def limbus_near(field: Floats, start: Ellipse, *, rounds: int = 2) -> Outline:
    """Return the limbus near an ellipse.

    Args:
        field: `colours` of every pixel: (height, width, 3).
        start: In pixels of the field; up to a fifth of its radius away.
        rounds: How often it is fitted anew.
    """
    return fitted(field, start, replace(_FIT, rounds=rounds))
