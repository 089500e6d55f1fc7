"""The tear of the front capsule: where it starts, how far each grip carries it, its shape."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from theatre.globe import LENS_MAGNIFICATION
from theatre.orientation import View, direction
from theatre.plan import Plan
from theatre.settings import Settings
from theatre.tracks import Track, eased

_NEEDLE_ARC_DEG: Final = 45.0
_GRIP_ARCS_DEG: Final = (75.0, 60.0, 60.0, 60.0, 60.0)
_OUTWARD_DEG: Final = 208.0
_OUTWARD_WIDTH_DEG: Final = 17.0
_OVERLAP_DEG: Final = 6.0
_FLAP_ARC_DEG: Final = 34.0


@dataclass(frozen=True)
class Tear:
    """One tear; arcs are degrees travelled since its start, always growing.

    Attributes:
        start_deg: Angle of the start in the surgeon's layout.
        turns: +1 clockwise as the surgeon sees it, -1 anticlockwise.
        radius_mm: Mean radius of the opening itself, not as seen through the cornea.
        centre_mm: Centre of the opening relative to the pupil, as seen.
        ripple: Size and phase of the opening's unevenness.
        outward_mm: How far the tear once ran outwards, 0 if it did not.
        grips: (frame the flap was gripped, arc at that moment), the first is the needle's.
        arc: Arc at each frame.
    """

    start_deg: float
    turns: int
    radius_mm: float
    centre_mm: NDArray[np.float64]
    ripple: tuple[float, float]
    outward_mm: float
    grips: tuple[tuple[int, float], ...]
    arc: Track

    def angle(self, arc_deg: float) -> float:
        """Return the angle of a place on the tear in the surgeon's layout."""
        return (self.start_deg + self.turns * arc_deg) % 360.0

    def radius(self, arc_deg: NDArray[np.float64]) -> NDArray[np.float64]:
        """Return the opening's radius at arcs, in mm, not as seen."""
        arc = np.asarray(arc_deg, dtype=float)
        size, phase = self.ripple
        uneven = size * np.sin(2 * np.radians(arc) + phase)
        uneven = uneven + 0.5 * size * np.sin(3 * np.radians(arc) - phase)
        away = self.outward_mm * np.exp(-(((arc - _OUTWARD_DEG) / _OUTWARD_WIDTH_DEG) ** 2))
        return self.radius_mm + uneven + away

    def points(self, arc_deg: NDArray[np.float64]) -> NDArray[np.float64]:
        """Return places of the tear's edge in the surgeon's layout, mm as seen, (n, 2)."""
        arc = np.atleast_1d(np.asarray(arc_deg, dtype=float))
        angle = np.radians(self.start_deg + self.turns * arc)
        radius = LENS_MAGNIFICATION * self.radius(arc)
        rays = np.stack([np.sin(angle), -np.cos(angle)], axis=1)
        return self.centre_mm + radius[:, None] * rays

    def frame_at(self, arc_deg: float) -> int:
        """Return the first frame at which the tear has come this far."""
        return int(np.argmax(self.arc >= arc_deg))

    @property
    def outward_frame(self) -> int:
        return self.frame_at(_OUTWARD_DEG - 10.0)

    @property
    def rescue_frame(self) -> int:
        return self.frame_at(_OUTWARD_DEG + 4.0)


def torn(settings: Settings, view: View, plan: Plan, main_deg: float) -> Tear:
    """Return the session's tear."""
    chance = settings.chance("tear")
    needle, forceps = plan.use("needle-capsule"), plan.use("forceps-capsule")
    # Whole half hours, so that the hours of the grips are exact.
    start = 15.0 * round((main_deg + 180.0 + chance.uniform(-40, 40)) / 15.0) % 360.0
    turns = int(chance.choice([1, -1])) if settings.seed != 1 else -1
    arcs = list(chance.permutation(_GRIP_ARCS_DEG))
    needle_length = needle.end - needle.start
    keys = [
        (needle.start + 0.5 * needle_length, 0.0),
        (needle.start + 0.88 * needle_length, _NEEDLE_ARC_DEG),
    ]
    grips = [(round(needle.start + 0.45 * needle_length), 0.0)]
    begin = forceps.start + 0.05 * (forceps.end - forceps.start)
    each = 0.9 * (forceps.end - forceps.start) / len(arcs)
    arc = _NEEDLE_ARC_DEG
    outward = 0.5 if "tear-outward" in settings.faults else 0.0
    for k, step in enumerate(arcs):
        grip = begin + (k + 0.32) * each
        grips.append((round(grip), arc))
        keys.append((grip, arc))
        if outward and arc < _OUTWARD_DEG + 2.0 < arc + step:
            # The surgeon stops when the tear runs out, then pulls it back in.
            keys += [(grip + 0.22 * each, _OUTWARD_DEG), (grip + 0.42 * each, _OUTWARD_DEG)]
        arc += step + (_OVERLAP_DEG if k == len(arcs) - 1 else 0.0)
        keys.append((begin + (k + 0.97) * each, arc))
    return Tear(
        start_deg=start,
        turns=turns,
        radius_mm=float(np.round(chance.uniform(2.52, 2.7), 3)),
        centre_mm=np.round(chance.normal(0, 0.08, 2), 3),
        ripple=(float(np.round(chance.uniform(0.02, 0.06), 3)), float(chance.uniform(0, 6.28))),
        outward_mm=outward,
        grips=tuple(grips),
        arc=eased(settings.n_frames, keys),
    )


def flap_tip(tear: Tear, arc_deg: float) -> NDArray[np.float64]:
    """Return where the gripped corner of the flap lies, mm as seen.

    The leaf is folded over: its corner is as far from the tearing point as the stretch of edge it
    came from, and lies inwards and a little ahead.
    """
    here, inward, ahead = _at_tear(tear, arc_deg)
    stretch = min(arc_deg, _FLAP_ARC_DEG)
    reach = 2 * LENS_MAGNIFICATION * tear.radius_mm * np.sin(np.radians(stretch) / 2)
    return here + reach * (0.87 * inward + 0.5 * ahead)


def leaf(tear: Tear, arc_deg: float, corner: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return the outline of the folded leaf, from the tearing point round to the fold's end.

    Args:
        tear: The tear.
        arc_deg: How far it has come.
        corner: Where the leaf's corner is held or lies, mm as seen.

    Returns:
        Points (n, 2): the former edge, turned over, then the fold.
    """
    here, inward, _ = _at_tear(tear, arc_deg)
    stretch = min(arc_deg, _FLAP_ARC_DEG)
    edge = tear.points(np.linspace(arc_deg, arc_deg - stretch, 12))
    # Turn the stretch of edge over, so that its far end comes to lie at the corner.
    from_angle = np.arctan2(*(edge[-1] - here)[::-1])
    to_angle = np.arctan2(*(corner - here)[::-1])
    fold = (from_angle + to_angle) / 2
    axis = np.array([np.cos(fold), np.sin(fold)])
    if axis @ inward < 0:
        axis = -axis
    away = edge - here
    turned = here + 2 * (away @ axis)[:, None] * axis - away
    turned += np.linspace(0, 1, 12)[:, None] * (corner - turned[-1])
    end = here + axis * np.linalg.norm(corner - here) * 1.25
    bulge = np.linspace(corner, end, 7)[1:]
    return np.vstack([turned, bulge])


def _at_tear(
    tear: Tear, arc_deg: float
) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
    """Return the tearing point, and unit vectors inwards and ahead from it."""
    here = tear.points(np.array([arc_deg]))[0]
    outward = direction(tear.angle(arc_deg))
    return here, -outward, tear.turns * np.array([-outward[1], outward[0]])
