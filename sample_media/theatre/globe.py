"""Sizes of the practice eye, and how it lies under the microscope at each frame."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from theatre.orientation import View, direction
from theatre.plan import Plan, Use
from theatre.settings import Settings
from theatre.tracks import Track, bump, eased, softened, wander

# Millimetres; the globe turns about its centre, so what lies further in front moves further.
LIMBUS_LONG_MM: Final = 5.85
LIMBUS_SHORT_MM: Final = 5.62
LIMBUS_DEPTH_MM: Final = 10.5
IRIS_DEPTH_MM: Final = 10.2
CAPSULE_DEPTH_MM: Final = 9.9
BACK_DEPTH_MM: Final = 7.5
REFLEX_DEPTH_MM: Final = 5.7
# What lies at the lens looks larger through the cornea (about 16 %).
LENS_MAGNIFICATION: Final = 1.16
FIELD_HEIGHT_MM: Final = 17.4


@dataclass(frozen=True)
class Pose:
    """The eye, the microscope and the light, one row per frame.

    Attributes:
        scope: Where the microscope's axis meets the patient, mm, shape (n, 2).
        centre: The globe's centre relative to the lids, mm, shape (n, 2).
        tilt: Sine of the globe's turn towards x and y, shape (n, 2).
        zoom: Magnification relative to the first frame.
        blur_px: Sigma of the defocus.
        black: Whether the frame is black.
        pupil_mm: Radius of the pupil as seen.
        light: Brightness of the picture, 1 as a rule.
    """

    scope: Track
    centre: Track
    tilt: Track
    zoom: Track
    blur_px: Track
    black: NDArray[np.bool_]
    pupil_mm: Track
    light: Track


@dataclass(frozen=True)
class Faults:
    """Where the scripted faults of the picture and the eye lie, in frames; None where not."""

    rolled: tuple[int, int] | None
    off_centre: tuple[int, int] | None
    zoom: tuple[int, int] | None
    defocus: tuple[int, int] | None
    black: tuple[int, int] | None
    zoom_to: float = 1.0
    defocus_px: float = 0.0


def limbus_radius(view: View, surgeon_angle_deg: float) -> float:
    """Return the limbus's distance from its centre at an angle, in mm."""
    long_axis = np.radians(surgeon_angle_deg - view.surgeon_angle(3.0))
    c, s = np.cos(long_axis) / LIMBUS_LONG_MM, np.sin(long_axis) / LIMBUS_SHORT_MM
    return float(1.0 / np.hypot(c, s))


def scripted_faults(settings: Settings, plan: Plan) -> Faults:
    """Return when the scripted faults happen."""
    chance = settings.chance("faults")
    frames = settings.frames
    groove = plan.step("nucleus-groove")
    cortex = plan.use("ia-probe")
    tear = plan.use("needle-capsule")
    before_tear = plan.rests[3]
    exchange = plan.rests[4]
    length = groove.end - groove.start
    rolled = (groove.start + round(0.42 * length), groove.start + round(0.74 * length))
    off = (
        plan.use("knife-main").end,
        before_tear.start + round(0.55 * (tear.start - before_tear.start)),
    )
    zoom_end = tear.start - frames(0.25 * settings.pace)
    zoom = (off[1], max(off[1] + 2, zoom_end))
    cortex_length = cortex.end - cortex.start
    defocus = (
        cortex.start + round(0.46 * cortex_length),
        cortex.start + round(0.76 * cortex_length),
    )
    middle = (exchange.start + exchange.end) // 2
    zoom_to = float(chance.choice([1.14, 1.18, 1.22]))
    defocus_px = float(np.round(chance.uniform(3.0, 4.2) * settings.height_px / 432, 2))
    on = settings.faults.__contains__
    return Faults(
        rolled if on("eye-rolled") else None,
        off if on("off-centre") else None,
        zoom if on("zoom-change") else None,
        defocus if on("defocus") else None,
        (middle - 2, middle + 3) if on("black-frames") else None,
        zoom_to if on("zoom-change") else 1.0,
        defocus_px,
    )


def posed(
    settings: Settings, view: View, plan: Plan, faults: Faults, tips: dict[Use, Track]
) -> Pose:
    """Return the eye's place at every frame: drift, push of the instruments, faults."""
    n, rate = settings.n_frames, float(settings.rate)
    chance = settings.chance("pose")
    tilt = wander(chance, n, rate, (5.0, 19.0), 0.022) + wander(chance, n, rate, (0.7, 1.6), 0.0016)
    tilt += chance.uniform(-0.02, 0.02, 2)
    centre = wander(chance, n, rate, (6.0, 23.0), 0.14) + wander(chance, n, rate, (0.8, 2.0), 0.012)
    scope = wander(chance, n, rate, (18.0, 60.0), 0.35) + chance.uniform(-0.5, 0.5, 2)
    for use, tip in tips.items():
        pushed_tilt, pushed_centre = _push(settings, use, tip)
        tilt += pushed_tilt
        centre += pushed_centre
    if faults.rolled:
        away = direction(chance.uniform(-25, 25))
        tilt += 0.155 * away * bump(n, *faults.rolled, 0.7 * rate)[:, None]
    if faults.off_centre:
        start, end = faults.off_centre
        off = 2.3 * direction(float(chance.choice([65.0, 295.0, 330.0, 30.0])))
        seconds = rate * min(1.0, settings.pace)
        keys = [(start, 0.0), (start + 1.6 * seconds, 1.0), (end, 1.0), (end + 1.2 * seconds, 0.0)]
        scope += off * eased(n, keys)[:, None]
    zoom = np.ones(n)
    if faults.zoom:
        zoom = eased(n, [(faults.zoom[0], 1.0), (faults.zoom[1], faults.zoom_to)])
    blur = np.zeros(n)
    if faults.defocus:
        blur = faults.defocus_px * bump(n, *faults.defocus, 0.8 * rate)
    black = np.zeros(n, dtype=bool)
    if faults.black:
        black[slice(*faults.black)] = True
    breathing = wander(chance, n, rate, (4.0, 15.0), 0.03)[:, 0]
    pupil = chance.uniform(3.85, 4.05) + breathing - 0.28 * np.linspace(0, 1, n)
    light = 1.0 + 0.02 * wander(chance, n, rate, (7.0, 30.0), 1.0)[:, 0]
    return Pose(scope, centre, tilt, zoom, blur, black, pupil, light)


def _push(settings: Settings, use: Use, tip: Track) -> tuple[Track, Track]:
    """Return how an instrument turns and shifts the globe while it is in use."""
    n, rate = settings.n_frames, float(settings.rate)
    tilt, centre = np.zeros((n, 2)), np.zeros((n, 2))
    touching = slice(use.start, use.end)
    inside = tip[use.start - use.view_start : use.end - use.view_start]
    inward = -inside[0] / np.linalg.norm(inside[0])
    strength = {"knife-main": 2.6, "knife-side": 1.8, "phaco-probe": 1.3}.get(use.name, 0.8)
    if use.wound is None:
        strength = 0.15
    moved = np.gradient(inside, axis=0) * rate if len(inside) > 1 else np.zeros_like(inside)
    along = moved @ inward
    tilt[touching] += 0.0040 * strength * np.clip(along, -6, 6)[:, None] * inward
    tilt[touching] += 0.0032 * min(strength, 1.0) * (inside - np.mean(inside, axis=0))
    centre[touching] += 0.030 * strength * np.clip(along, -6, 6)[:, None] * inward
    width = max(2, round(0.36 * rate * min(1.0, settings.pace)))
    return softened(tilt, width), softened(centre, width)
