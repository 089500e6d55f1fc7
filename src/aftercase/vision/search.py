"""Where on a picture an eye may be: every centre and size is tried on a small copy.

The limbus is a step to lighter or redder outwards on most spokes, the pupil's edge a step of any
colour inside it. Both are soft, and instruments, lids and light cover parts of them; so each spoke
has one vote, however strong its step.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from aftercase.vision.ellipse import Ellipse
from aftercase.vision.polar import (
    Floats,
    Picture,
    colours,
    ring_radii,
    shrunk,
    spoke_lengths_px,
    spokes,
    steps,
    unrolled,
)

_SIZE_PX: Final = 78.0
"""Side of the square whose area the small copy has."""
_GROWTH: Final = 1.04
_HALF: Final = 3
_ARMS: Final = spokes(32)
_FEW_ARMS: Final = spokes(16)
"""Enough where the eye is known to be near."""
_LIMBUS: Final = (0.13, 0.55)
"""Least and most radius of the limbus over the side of the square of the picture's area."""
_PUPIL: Final = (0.42, 0.88)
"""Least and most radius of the pupil over that of the limbus."""
_MIDDLE: Final = 0.2
"""Centres are looked for this share of the picture away from its borders."""
_RESIZED: Final = 1.2
"""How much larger or smaller an eye near where it was may have become."""
_APART: Final = 0.3
"""Places whose centres or sizes are this share of the radius apart are different places."""


@dataclass(frozen=True, slots=True)
class Place:
    """A circle that may be a limbus.

    Attributes:
        circle: Where.
        votes: How much the spokes speak for it and for a pupil in it: above 0, about 2 if clear.
    """

    circle: Ellipse
    votes: float


def likely_places(picture: Picture, n: int, *, near: Ellipse | None = None) -> list[Place]:
    """Return the n circles most like a limbus with a pupil, the likeliest first.

    Args:
        picture: (height, width, 3).
        n: How many; fewer come back where there are fewer.
        near: Only look about here: half a radius away, a fifth smaller or larger.
    """
    if near is None:
        small, factor = shrunk(picture, _SIZE_PX)
        centres, least, most = _all_centres_px(small), *(_SIZE_PX * end for end in _LIMBUS)
    else:
        small, factor = picture, 1.0
        centres = _centres_near_px(near)
        least, most = near.radius_px / _RESIZED, near.radius_px * _RESIZED
    radii = ring_radii(least * _PUPIL[0], most, _GROWTH)
    votes = _votes(colours(small), centres, radii, _ARMS if near is None else _FEW_ARMS)
    score = _limbus_and_pupil(votes, radii, least)
    found: list[Place] = []
    for _ in range(n):
        i, k = np.unravel_index(score.argmax(), score.shape)
        if score[i, k] <= 0:
            break
        size = float(radii[k] / np.sqrt(_GROWTH))
        circle = Ellipse(float(centres[i, 0]), float(centres[i, 1]), size, size)
        found.append(Place(circle.enlarged(1 / factor), float(score[i, k])))
        far = np.hypot(*(centres - centres[i]).T) / size
        alike = (far[:, None] < _APART) & (np.abs(np.log(radii / radii[k])) < _APART)
        score[alike] = 0
    return found


def _all_centres_px(small: Picture) -> Floats:
    """Return every second pixel of the picture's middle: (m, 2)."""
    height, width = small.shape[:2]
    xs = np.arange(width * _MIDDLE, width * (1 - _MIDDLE), 2)
    ys = np.arange(height * _MIDDLE, height * (1 - _MIDDLE), 2)
    return np.stack(np.meshgrid(xs, ys), axis=-1).reshape(-1, 2).astype(np.float32)


def _centres_near_px(circle: Ellipse) -> Floats:
    """Return a few places about the centre of a circle: (m, 2)."""
    off = np.linspace(-0.3, 0.3, 5) * circle.radius_px
    grid = np.stack(np.meshgrid(off, off), axis=-1).reshape(-1, 2)
    return np.asarray(grid + np.array([circle.x_px, circle.y_px]), np.float32)


def _votes(field: Floats, centres: Floats, radii: Floats, arms: Floats) -> Floats:
    """Return the mean vote of all spokes for a step at each radius: (m, k, 3), -1 to 1.

    A spoke that has left the picture does not vote.
    """
    margin = _GROWTH ** (3 * _HALF)
    wide = ring_radii(radii[0] / margin, radii[-1] * margin, _GROWTH)
    edges = steps(unrolled(field, centres, wide, arms), _HALF, less_ramp=True)
    edges = np.clip(edges[:, :, 3 * _HALF : 3 * _HALF + len(radii)], -1, 1)
    length = spoke_lengths_px(field.shape, centres, arms)
    inside = radii * _GROWTH ** (_HALF - 1) <= length[:, :, None]
    total = np.einsum("mnkc,mnk->mkc", edges, inside.astype(np.float32))
    return np.asarray(total / len(arms), np.float32)


def _limbus_and_pupil(votes: Floats, radii: Floats, least_px: float) -> Floats:
    """Return the votes for a limbus on each ring and the best pupil within it: (m, k)."""
    lighter, redder = votes[..., 0], votes[..., 1]
    limbus = np.maximum(lighter, 0) + 0.8 * np.maximum(redder, 0) * (lighter > -0.35)
    ordered = np.sort(np.abs(votes), axis=2)
    pupil = ordered[..., 2] + 0.3 * ordered[..., 1]
    ratio = radii[None, :] / radii[:, None]
    fits = (ratio > _PUPIL[0]) & (ratio < _PUPIL[1]) & (radii[:, None] >= least_px)
    both = np.where(fits & (limbus[:, :, None] > 0.05), limbus[:, :, None] + pupil[:, None, :], 0)
    return np.asarray(both.max(axis=2))
