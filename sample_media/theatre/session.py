"""One whole session: what happens at every frame, before anything is drawn."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from theatre import globe
from theatre.globe import Faults, Pose, limbus_radius, posed, scripted_faults
from theatre.nucleus import LensWork, worked
from theatre.orientation import View, angle_of, polar
from theatre.plan import MAIN, SIDE, Plan, Use, planned
from theatre.settings import Settings
from theatre.tear import Tear, torn
from theatre.tips import Stage, moved, opened
from theatre.tracks import Track

Point = NDArray[np.float64]


@dataclass(frozen=True)
class Seen:
    """An instrument at one frame.

    Attributes:
        use: Which one.
        touching: Whether it touches or is in the eye; else it only comes or goes.
        tip: Its tip in the surgeon's layout of the eye, mm.
        along: Unit vector from the tip to the handle, in the surgeon's layout.
        jaws: How far its jaws are open, 0..1.
    """

    use: Use
    touching: bool
    tip: Point
    along: Point
    jaws: float


@dataclass(frozen=True)
class Session:
    """All tracks of one session."""

    settings: Settings
    view: View
    plan: Plan
    wounds: dict[str, Point]
    wound_deg: dict[str, float]
    faults: Faults
    tear: Tear
    lens: LensWork
    tips: dict[Use, Track]
    jaws: dict[Use, Track]
    pose: Pose

    @property
    def px_per_mm(self) -> float:
        """Pixels per millimetre of the unzoomed picture."""
        return self.settings.height_px / globe.FIELD_HEIGHT_MM

    def place(self, frame: int, depth_mm: float) -> NDArray[np.float64]:
        """Return the map from the surgeon's layout of the eye to the picture, 2 x 3.

        Args:
            frame: Which frame.
            depth_mm: How far in front of the globe's centre the plane lies.
        """
        pose, settings = self.pose, self.settings
        tilt = pose.tilt[frame]
        square = float(tilt @ tilt)
        flat = np.eye(2)
        if square > 1e-12:
            flat -= (1.0 - np.sqrt(1.0 - square)) * np.outer(tilt, tilt) / square
        scale = self.px_per_mm * pose.zoom[frame] * self.view.matrix
        middle = np.array([settings.width_px - 1, settings.height_px - 1]) / 2.0
        centre = pose.centre[frame] + tilt * depth_mm
        return np.column_stack([scale @ flat, middle + scale @ (centre - pose.scope[frame])])

    def world(self, frame: int) -> NDArray[np.float64]:
        """Return the map from the surgeon's layout of the lids to the picture, 2 x 3."""
        settings = self.settings
        scale = self.px_per_mm * self.pose.zoom[frame] * self.view.matrix
        middle = np.array([settings.width_px - 1, settings.height_px - 1]) / 2.0
        return np.column_stack([scale, middle - scale @ self.pose.scope[frame]])

    def seen(self, frame: int) -> list[Seen]:
        """Return the instruments in view at a frame."""
        found = []
        for use, tip in self.tips.items():
            if use.view_start <= frame < use.view_end:
                at = frame - use.view_start
                touching = use.start <= frame < use.end
                along = self._along(use, tip[at])
                found.append(Seen(use, touching, tip[at], along, float(self.jaws[use][at])))
        return found

    def _along(self, use: Use, tip: Point) -> Point:
        """Return the shaft's direction: through its wound, the pivot, once it is well inside."""
        if use.wound is None:
            lean = {"sponge": 20.0}.get(use.name, -12.0)
            return polar(angle_of(tip) + lean, 1.0)
        wound = self.wounds[use.wound]
        outward = wound / np.linalg.norm(wound)
        inside = wound - tip
        weight = np.clip(float(inside @ outward) / 1.6, 0.0, 1.0)
        length = np.linalg.norm(inside)
        pivot = inside / length if length > 1e-6 else outward
        mixed = weight * pivot + (1.0 - weight) * outward
        return mixed / np.linalg.norm(mixed)


def staged(settings: Settings) -> Session:
    """Return the session that the settings ask for."""
    view = View(settings.eye, settings.seat, settings.mirror, settings.turn_deg)
    chance = settings.chance("wounds")
    plan = planned(settings)
    # A right-handed surgeon: main wound a little right of the seat, side port to the left.
    main = 180.0 - chance.uniform(3.0, 17.0)
    angles = {MAIN: main, SIDE: main + chance.uniform(74.0, 90.0)}
    wounds = {key: polar(angle, limbus_radius(view, angle)) for key, angle in angles.items()}
    tear = torn(settings, view, plan, main)
    lens = worked(settings, plan, main)
    stage = Stage(plan, wounds, angles, tear, lens)
    tips = {use: moved(settings, stage, use) for use in plan.uses}
    jaws = {use: opened(stage, use) for use in plan.uses}
    faults = scripted_faults(settings, plan)
    pose = posed(settings, view, plan, faults, tips)
    return Session(settings, view, plan, wounds, angles, faults, tear, lens, tips, jaws, pose)
