"""A nearly round outline fitted to a picture, spoke by spoke, however much of it is covered."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

import numpy as np

from aftercase.vision.ellipse import Ellipse
from aftercase.vision.polar import (
    Flags,
    Floats,
    ring_radii,
    spoke_lengths_px,
    spokes,
    steps,
    unrolled,
)

_GROWTH: Final = 1.02
_N_SPOKES: Final = 64
_ARMS: Final = spokes(_N_SPOKES)
_ANGLES: Final = np.arange(_N_SPOKES) * (2 * np.pi / _N_SPOKES)
_SHAPES: Final = np.stack(
    [np.ones(_N_SPOKES), *(part(k * _ANGLES) for k in (1, 2) for part in (np.cos, np.sin))], axis=1
)
"""Size, shift to the right, shift downwards, and the two stretches of an ellipse: (n, 5)."""
_STIFF: Final = np.diag([0.0001, 0.001, 0.001, 0.015, 0.015]) * _N_SPOKES
"""What is hardly seen stays round, and as large and where it was."""
_LOOSE: Final = 0.03
"""A place this share of the radius off the outline counts half."""
_BESIDE: Final = 0.12
"""Steps this share of the radius away from the outline are not its own."""
_LEAST_STEP: Final = 0.05
"""Steps are never thought to be smaller than this."""
_UNEVEN: Final = 0.05
"""Variance that a vote always has."""
_FEWEST: Final = 8
"""An outline is not fitted to fewer spokes."""
_SPOKE: Final = np.arange(_N_SPOKES)

Direction = Callable[[Floats], Floats]
"""Votes of the spokes that see the outline, (n, 3), to the unit step that is looked for: (3,)."""


@dataclass(frozen=True, slots=True)
class Search:
    """How an outline is looked for.

    Attributes:
        half: Rings outside and inside that are compared.
        least: Inner end, over the radius it starts from.
        most: Outer end, likewise.
        windows: How far from the outline so far a step may be, one fit each; over the radius.
        direction: The step that is looked for.
        rounds: How often the picture is unrolled anew about the last fit.
    """

    half: int
    least: float
    most: float
    windows: tuple[float, ...]
    direction: Direction
    rounds: int = 2


@dataclass(frozen=True, slots=True)
class Outline:
    """A fitted outline.

    Attributes:
        ellipse: The fit, in pixels of the field.
        strength: Mean step along the outline over all spokes, in visible steps: -1 to 1.
        evenness: Mean step over how much it varies from spoke to spoke.
        clarity: Mean step over the usual size of steps inside and outside the outline.
    """

    ellipse: Ellipse
    strength: float
    evenness: float
    clarity: float


def fitted(field: Floats, start: Ellipse, search: Search) -> Outline:
    """Fit an outline, starting from an ellipse, and again from where that led.

    Args:
        field: Colours of every pixel in visible steps: (height, width, 3).
        start: Where to begin.
        search: What to look for.
    """
    outline = _fitted_once(field, start, search)
    for _ in range(search.rounds - 1):
        outline = _fitted_once(field, outline.ellipse, search)
    return outline


def evenness(votes: Floats) -> Floats:
    """Return how far the mean vote is from none, in spreads of the votes.

    The distance is that of Mahalanobis: a colour in which the spokes agree counts more.

    Args:
        votes: -1 to 1: (..., n spokes, 3).

    Returns:
        (...); 0 for no step.
    """
    mean, weight = _weighed(votes)
    return np.asarray(np.sqrt(np.maximum((mean * weight).sum(axis=-1), 0)), np.float32)


def most_even(votes: Floats) -> Floats:
    """Return the unit step in which the spokes agree best (Fisher's discriminant): (3,)."""
    _, weight = _weighed(votes)
    return np.asarray(weight / max(float(np.linalg.norm(weight)), 1e-6), np.float32)


def _weighed(votes: Floats) -> tuple[Floats, Floats]:
    """Return the mean votes and the same over their covariance: (..., 3) each."""
    n = max(votes.shape[-2], 1)
    mean = votes.sum(axis=-2) / n
    squares = np.matmul(np.swapaxes(votes, -1, -2), votes) / n
    spread = squares - mean[..., :, None] * mean[..., None, :] + _UNEVEN * np.eye(3)
    weight = np.linalg.solve(spread, mean[..., None])[..., 0]
    return np.asarray(mean, np.float32), np.asarray(weight, np.float32)


@dataclass(frozen=True, slots=True)
class _Spokes:
    """Steps along the spokes around one centre, by ring; radii are shares of where it started.

    Attributes:
        votes: Steps up to one plainly seen, in each colour: (n, k, 3).
        along: The step that is looked for, 0 where it is not looked for: (n, k).
        edges: Where the steps are: (k,).
        lengths: How far each spoke stays in the picture: (n,).
    """

    votes: Floats
    along: Floats
    edges: Floats
    lengths: Floats

    def seen(self, radii: Floats) -> Flags:
        """Say on which spokes an outline is inside the picture."""
        return np.asarray(radii * _GROWTH <= self.lengths)

    def rings(self, radii: Floats) -> np.ndarray:
        """Return the ring nearest to an outline on each spoke."""
        return _rings(self.edges, radii)


def _fitted_once(field: Floats, start: Ellipse, search: Search) -> Outline:
    shape = _shape(start)
    radii = _SHAPES @ shape
    unseen = Outline(start, 0.0, 0.0, 0.0)
    around = _spokes(field, start, search, radii)
    if around is None:
        return unseen
    for window in search.windows:
        places, weights = _peaks(around.along, around.edges, radii, window)
        shape = _solved(places, weights, shape)
        radii = np.maximum(_SHAPES @ shape, search.least / 2)
    seen = around.seen(radii)
    if seen.sum() < _FEWEST:
        return unseen
    at = around.rings(radii)
    along = around.along[_SPOKE, at]
    return Outline(
        _ellipse(start, shape),
        float(np.where(seen, np.clip(along, -1, 1), 0).mean()),
        float(evenness(around.votes[_SPOKE, at][seen])),
        float(along[seen].mean() / _usual_step(around, radii, seen)),
    )


def _spokes(field: Floats, start: Ellipse, search: Search, radii: Floats) -> _Spokes | None:
    """Return the steps around an ellipse; none where it is hardly in the picture."""
    margin = _GROWTH**search.half
    rings = ring_radii(search.least / margin, search.most * margin, _GROWTH)
    centre = np.array([[start.x_px, start.y_px]], np.float32)
    polar = unrolled(field, centre, rings * np.float32(start.radius_px), _ARMS)
    found = steps(polar, search.half)[0]
    votes = np.minimum(np.maximum(found, -1), 1)
    edges = rings / np.sqrt(_GROWTH)
    lengths = spoke_lengths_px(field.shape, centre, _ARMS)[0] / start.radius_px
    seen = radii * _GROWTH <= lengths
    if seen.sum() < _FEWEST:
        return None
    along = found @ search.direction(votes[_SPOKE, _rings(edges, radii)][seen])
    usable = (edges >= search.least) & (edges <= search.most)
    usable = usable & (rings * margin <= lengths[:, None])
    return _Spokes(votes, np.where(usable, along, 0), edges, lengths)


def _rings(edges: Floats, radii: Floats) -> np.ndarray:
    """Return the ring nearest to each radius."""
    at = np.rint(np.log(radii / edges[0]) / np.log(_GROWTH)).astype(int)
    return np.asarray(np.clip(at, 0, len(edges) - 1))


def _usual_step(around: _Spokes, radii: Floats, seen: Flags) -> float:
    """Return the usual size of the steps well inside and outside an outline."""
    beside = np.abs(np.log(around.edges)[None, :] - np.log(radii)[:, None]) > _BESIDE
    rest = around.along[beside & seen[:, None] & (around.along != 0)]
    return max(float(np.sqrt(np.mean(rest**2))) if len(rest) else 0.0, _LEAST_STEP)


def _peaks(along: Floats, edges: Floats, radii: Floats, window: float) -> tuple[Floats, Floats]:
    """Return where each spoke's best step near the outline is, and its weight.

    The weight falls off towards the ends of the window. The place is between rings, at the top of
    the parabola through the best three.
    """
    off = (np.log(edges)[None, :] - np.log(radii)[:, None]) / window
    weighed = np.maximum(along, 0) * np.maximum(1 - off * off, 0)
    at = weighed.argmax(axis=1)
    before, after = np.maximum(at - 1, 0), np.minimum(at + 1, len(edges) - 1)
    low, top, high = (along[_SPOKE, one] for one in (before, at, after))
    bend = np.minimum(low - 2 * top + high, -1e-6)
    between = np.minimum(np.maximum(0.5 * (low - high) / bend, -0.5), 0.5)
    return edges[at] * _GROWTH**between, np.minimum(weighed[_SPOKE, at], 1)


def _solved(places: Floats, weights: Floats, shape: Floats) -> Floats:
    """Return the shape through the places, those far off it counting less and less.

    Source:
        Weights of the Cauchy kind, 1 / (1 + (r / c)^2), a few rounds: common practice.
    """
    still = _STIFF[0] * shape[0]
    now = np.asarray(weights)
    for _ in range(3):
        weighed = _SHAPES * now[:, None]
        shape = np.linalg.solve(_SHAPES.T @ weighed + _STIFF, weighed.T @ places + still)
        now = np.asarray(weights / (1 + ((places - _SHAPES @ shape) / _LOOSE) ** 2))
    return shape


def _shape(ellipse: Ellipse) -> Floats:
    """Return an ellipse as its size, shift and stretches over its mean radius."""
    stretch = (ellipse.long_px - ellipse.short_px) / (2 * ellipse.radius_px)
    angle = np.deg2rad(2 * (ellipse.long_deg - 90))
    return np.array([1, 0, 0, stretch * np.cos(angle), stretch * np.sin(angle)])


def _ellipse(start: Ellipse, shape: Floats) -> Ellipse:
    """Return the ellipse of a shape found around `start`, true to the first order of the shift."""
    size, right, down, *stretches = shape * start.radius_px
    stretch = min(float(np.hypot(*stretches)), 0.3 * float(size))
    angle = np.rad2deg(np.arctan2(stretches[1], stretches[0])) / 2 + 90
    return Ellipse(
        float(start.x_px + right),
        float(start.y_px + down),
        float(size + stretch),
        float(size - stretch),
        float(angle % 180),
    )
