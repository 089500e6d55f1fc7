"""Circles and ellipses through points: how large, how round, which way they lie.

Points are arrays of shape (n, 2) in square pixels, x to the right and y downwards. Directions are
degrees clockwise from straight up, as everywhere.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

POINTS_OF_CIRCLE: Final = 3
POINTS_OF_ELLIPSE: Final = 5

WIDEST_GAP_DEG: Final = 150.0
"""The widest stretch without a point that an ellipse is trusted over (own choice, as measured)."""

_FLATTEST: Final = 1e-3
"""A ring flatter than this is points on a line, not a ring."""

_LARGEST: Final = 100.0
"""A ring so many times larger than its points lie apart is a line with a trace of a bend."""

_STEPS: Final = 30
_STILL: Final = 1e-9
_OUTLINE_POINTS: Final = 180


@dataclass(frozen=True, slots=True)
class Ellipse:
    """An ellipse in pixels, counted from the middle of the top left pixel, y downwards.

    Attributes:
        x_px: Centre, to the right.
        y_px: Centre, downwards.
        long_px: Longer half axis.
        short_px: Shorter half axis.
        long_deg: Where the longer axis points, clockwise from straight up: 0 <= it < 180.
    """

    x_px: float
    y_px: float
    long_px: float
    short_px: float
    long_deg: float = 0.0

    @property
    def radius_px(self) -> float:
        """Return the mean of the half axes."""
        return (self.long_px + self.short_px) / 2

    def distance_px(self, x_px: float, y_px: float) -> float:
        """Return how far a point is from the centre."""
        return math.hypot(x_px - self.x_px, y_px - self.y_px)

    def enlarged(self, factor: float) -> Ellipse:
        """Return the ellipse as it lies on the same picture shown `factor` times as large.

        Example:
            >>> Ellipse(0, 1, 4, 2).enlarged(2)
            Ellipse(x_px=0.5, y_px=2.5, long_px=8, short_px=4, long_deg=0.0)
        """
        return replace(
            self,
            x_px=scaled_place(self.x_px, factor),
            y_px=scaled_place(self.y_px, factor),
            long_px=self.long_px * factor,
            short_px=self.short_px * factor,
        )

    def resized(self, factor: float) -> Ellipse:
        """Return the ellipse with axes `factor` times as long about the same centre."""
        return replace(self, long_px=self.long_px * factor, short_px=self.short_px * factor)

    @property
    def centre_px(self) -> tuple[float, float]:
        """Its centre (x, y)."""
        return self.x_px, self.y_px

    @property
    def is_circle(self) -> bool:
        """Whether it was made as a circle, or happens to be one."""
        return self.long_px == self.short_px

    @property
    def mean_diameter_px(self) -> float:
        """The mean of its longest and its shortest diameter."""
        return self.long_px + self.short_px

    @property
    def axis_ratio(self) -> float:
        """Shortest over longest diameter: 1 for a circle."""
        return self.short_px / self.long_px

    @property
    def area_px2(self) -> float:
        """The area it encloses."""
        return math.pi * self.long_px * self.short_px

    @property
    def perimeter_px(self) -> float:
        """The way round it.

        Source:
            Complete elliptic integral of the second kind by the arithmetic-geometric mean
            (Abramowitz and Stegun 17.6), exact to rounding. From memory.

        Example:
            >>> round(Ellipse(0, 0, 2.75, 2.5).perimeter_px, 5)
            16.50271
        """
        a, b = self.long_px, self.short_px
        total, weight = a * a, 0.5
        half_gap = math.sqrt(max(0.0, a * a - b * b))
        while half_gap > 1e-15 * a:
            total -= weight * half_gap * half_gap
            a, b, half_gap, weight = (a + b) / 2, math.sqrt(a * b), (a - b) / 2, 2 * weight
        return 2 * math.pi * total / a

    @property
    def circularity(self) -> float:
        """4 pi area over perimeter squared: 1 for a circle, and little less for most rings.

        Source:
            Isoperimetric quotient, common practice; a weak test of shape.
        """
        return 4 * math.pi * self.area_px2 / self.perimeter_px**2

    def reach_px(self, direction_deg: Any) -> Any:
        """Return the distance from the centre to the edge in a direction, or in each of several.

        Example:
            >>> float(Ellipse(0, 0, 6.0, 5.0, 90.0).reach_px(0.0))
            5.0
        """
        off = np.radians(np.asarray(direction_deg) - self.long_deg)
        return self.short_px / np.hypot(np.sin(off), self.short_px / self.long_px * np.cos(off))

    def width_px(self, direction_deg: float) -> float:
        """Return the diameter through the centre that lies in a direction."""
        return 2 * float(self.reach_px(direction_deg))

    def outline_px(self, n_points: int = _OUTLINE_POINTS) -> Floats:
        """Return points on its edge, the first one straight up from the centre, clockwise."""
        directions = np.arange(n_points) * 360.0 / n_points
        away: Floats = self.reach_px(directions)[:, None] * unit(directions)
        return np.asarray(away + np.asarray(self.centre_px))


def unit(direction_deg: Any) -> Floats:
    """Return directions as steps of length 1, (x, y) in the last axis.

    Example:
        >>> unit(90.0).round(9).tolist()
        [1.0, -0.0]
    """
    angle = np.radians(direction_deg)
    return np.stack([np.sin(angle), -np.cos(angle)], axis=-1)


def direction_of(step: Floats) -> Floats:
    """Return which way steps lead, 0 <= angle < 360, by the last axis (x, y)."""
    angles: Floats = np.degrees(np.arctan2(step[..., 0], -step[..., 1])) % 360.0 % 360.0
    return angles


def ring_through(points_px: Floats) -> Ellipse | None:
    """Return the ring through points: an ellipse through five and more, else a circle.

    Points that leave more than `WIDEST_GAP_DEG` of the ring empty make a circle too, however many
    they are: an ellipse through them may be anything.

    Returns:
        None for fewer than three points, and for points that lie on no ring.
    """
    if len(points_px) < POINTS_OF_ELLIPSE:
        return circle_through(points_px)
    rough = _rough_circle(points_px) if np.isfinite(points_px).all() else None
    if rough is None or widest_gap_deg(points_px, rough) > WIDEST_GAP_DEG:
        return circle_through(points_px)
    return ellipse_through(points_px)


def circle_through(points_px: Floats) -> Ellipse | None:
    """Return the circle with the least sum of squared distances to points.

    Returns:
        None for fewer than three points, and for points on a line.

    Source:
        Start: Kåsa 1976 (linear least squares); then Gauss-Newton on the true distances, since the
        start is too small where points lie on a short arc. From memory.
    """
    if len(points_px) < POINTS_OF_CIRCLE or not np.isfinite(points_px).all():
        return None
    rough = _rough_circle(points_px)
    if rough is None:
        return None
    x, y, radius = _nearest_circle(points_px, (*rough.centre_px, rough.long_px))
    if not math.isfinite(radius) or not 0 < radius < _LARGEST * rough.long_px:
        return None
    return Ellipse(x, y, radius, radius)


def _rough_circle(points_px: Floats) -> Ellipse | None:
    """Return a circle near points by linear least squares, None where they lie on a line."""
    points, middle, apart_px = _normalised(points_px)
    if not apart_px:
        return None
    rows = np.column_stack([2 * points, np.ones(len(points))])
    found, _, rank, _ = np.linalg.lstsq(rows, (points**2).sum(axis=1), rcond=1e-9)
    squared = found[2] + found[0] ** 2 + found[1] ** 2
    if rank < 3 or not 0 < squared < _LARGEST**2:
        return None
    centre = float(middle[0] + apart_px * found[0]), float(middle[1] + apart_px * found[1])
    radius_px = math.sqrt(squared) * apart_px
    return Ellipse(*centre, radius_px, radius_px)


def _nearest_circle(
    points: Floats, start: tuple[float, float, float]
) -> tuple[float, float, float]:
    """Return centre and radius of the circle with the least squared distances, from one near it."""
    x, y, radius = start
    for _ in range(_STEPS):
        away = points - (x, y)
        distance = np.hypot(*away.T)
        if not distance.all():
            break
        slopes = np.column_stack([-away / distance[:, None], -np.ones(len(points))])
        step = np.linalg.lstsq(slopes, radius - distance, rcond=None)[0]
        x, y, radius = x + step[0], y + step[1], radius + step[2]
        if np.abs(step).max() < _STILL * radius:
            break
    return float(x), float(y), float(radius)


def ellipse_through(points_px: Floats) -> Ellipse | None:
    """Return the ellipse that fits points best in the algebraic sense.

    Returns:
        None for fewer than five points, and for points that lie on no ellipse, such as a line.

    Source:
        Direct least squares fitting of ellipses: Fitzgibbon, Pilu and Fisher 1999, in the
        numerically stable form of Halíř and Flusser 1998. From memory. Noise makes it a trace too
        small; how much is told in docs/reference/measuring.md.
    """
    if len(points_px) < POINTS_OF_ELLIPSE or not np.isfinite(points_px).all():
        return None
    points, middle, apart_px = _normalised(points_px)
    if not apart_px:
        return None
    conic = _conic(points)
    if conic is None:
        return None
    ellipse = _ellipse_of(conic)
    if ellipse is None or ellipse.axis_ratio < _FLATTEST or ellipse.long_px > _LARGEST:
        return None
    centre = middle + apart_px * np.asarray(ellipse.centre_px)
    return Ellipse(
        float(centre[0]),
        float(centre[1]),
        ellipse.long_px * apart_px,
        ellipse.short_px * apart_px,
        ellipse.long_deg,
    )


def _normalised(points_px: Floats) -> tuple[Floats, Floats, float]:
    """Return points about their middle in units of how far they lie apart, and both of these."""
    middle = points_px.mean(axis=0)
    away = points_px - middle
    apart_px = float(np.sqrt((away**2).sum(axis=1).mean()))
    return (away / apart_px if apart_px else away), middle, apart_px


def _conic(points: Floats) -> Floats | None:
    """Return a .. f of the conic a xx + b xy + c yy + d x + e y + f = 0, an ellipse's."""
    x, y = points.T
    squares = np.column_stack([x * x, x * y, y * y])
    lines = np.column_stack([x, y, np.ones(len(points))])
    try:
        back = -np.linalg.solve(lines.T @ lines, lines.T @ squares)
        scatter = squares.T @ squares + squares.T @ lines @ back
        bound = np.stack([scatter[2] / 2, -scatter[1], scatter[0] / 2])
        _, vectors = np.linalg.eig(bound)
    except np.linalg.LinAlgError:
        return None
    vectors = np.real(vectors)
    bounded = 4 * vectors[0] * vectors[2] - vectors[1] ** 2
    if not (bounded > 0).any():
        return None
    shape = vectors[:, int(np.argmax(bounded))]
    return np.concatenate([shape, back @ shape])


def _ellipse_of(conic: Floats) -> Ellipse | None:
    a, b, c, d, e, f = conic
    form = np.array([[a, b / 2], [b / 2, c]])
    if abs(np.linalg.det(form)) < 1e-15:
        return None
    centre = np.linalg.solve(form, [-d / 2, -e / 2])
    level = -(f + d * centre[0] / 2 + e * centre[1] / 2)
    values, vectors = np.linalg.eigh(form / level if level else form)
    if not level or values.min() <= 0:
        return None
    long_deg = float(direction_of(vectors[:, 0]) % 180.0 % 180.0)
    longest, shortest = 1 / np.sqrt(values)
    return Ellipse(float(centre[0]), float(centre[1]), float(longest), float(shortest), long_deg)


def scatter_px(points_px: Floats, ring: Ellipse) -> float:
    """Return how far points lie off their ring, as a standard deviation along its radii.

    What the ring was fitted with is taken off the count of points: nought where nothing is left.
    """
    n_left = len(points_px) - (POINTS_OF_CIRCLE if ring.is_circle else POINTS_OF_ELLIPSE)
    if n_left <= 0:
        return 0.0
    away = points_px - np.asarray(ring.centre_px)
    off = np.hypot(*away.T) - ring.reach_px(direction_of(away))
    return float(np.sqrt((off**2).sum() / n_left))


def widest_gap_deg(points_px: Floats, ring: Ellipse) -> float:
    """Return the widest angle about a ring's centre in which no point lies, 360 for one point."""
    directions = np.sort(direction_of(points_px - np.asarray(ring.centre_px)))
    return float(np.diff(directions, append=directions[0] + 360.0).max())


def scaled_place(at_px: float, factor: float) -> float:
    """Return where a place lies along an edge of the picture `factor` times as long.

    Pixels are counted from the middle of the first one, which itself grows.
    """
    return (at_px + 0.5) * factor - 0.5
