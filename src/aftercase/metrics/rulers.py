"""The rulers of a review: how large a pixel is, how far off that may be, and what to say of it."""

from __future__ import annotations

from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

import numpy as np

from aftercase.model.case import Case, frame_shape, view_at
from aftercase.model.measure import (
    ASSUMED,
    KNOWN_LENGTH,
    LIMBUS,
    OPTIC,
    Calibration,
    Points,
    plane_of_ruler,
)
from aftercase.model.measure_rules import uses_human_size
from aftercase.model.picture import FrameShape, shown_px
from aftercase.vision.angles import line_of_three_and_nine_deg
from aftercase.vision.ellipse import Floats
from aftercase.vision.scale import (
    ASSUMED_ERROR_MM,
    DEVICE_ERROR_MM,
    OPTIC_ERROR_MM,
    Scale,
    scale_of_length,
    scale_of_limbus,
    scale_of_optic,
)

NO_SIZE: Final = "The size of the film’s frames is not known, so nothing on them can be measured."
NO_RULER_SHAPE: Final = "The places pointed at as a ruler are no ring and no length: point again."
NOT_A_PATIENT: Final = (
    "An assumed size of the limbus is one of patients’ eyes, and this case is not said to be a "
    "patient’s: give this eye’s own size, measured or the maker’s, or say what the case is."
)
ASSUMED_OPTIC: Final = "The optic’s diameter is assumed: take it from the lens that was used."
ERROR_NOT_SAID: Final = "Nobody said how well the ruler’s own size is known: only pointing counts."
PLANE_NOT_SAID: Final = (
    "Nobody said whether the ruler lay at the cornea or behind it, which makes about 16 % of "
    "difference between what is measured at one and the other."
)
HOW_SHOWN: Final = (
    "How the film is shown was not kept when this case was made: clock hours and the 3-9 line are "
    "wrong if its file says to turn or mirror it. “aftercase parts” with an order looks."
)

BASIS_NAMES: Final = MappingProxyType(
    {OPTIC: "optic", LIMBUS: "limbus", KNOWN_LENGTH: "known length"}
)


@dataclass(frozen=True)
class Ruler:
    """A calibration and what it comes to.

    Attributes:
        calibration: The record.
        scale: How large a pixel is; None where it cannot be worked out.
        fault: Why not; empty where it can.
        plane: Where it lies: ``at-cornea``, ``behind-cornea`` or ``not-said``.
        words: What it is, in a few words, with its error.
        cautions: Sentences that belong to it.
    """

    calibration: Calibration
    scale: Scale | None
    fault: str
    plane: str
    words: str
    cautions: tuple[str, ...] = ()


def ruler_of(case: Case, calibration: Calibration) -> Ruler:
    """Return a calibration with the scale it comes to, in square pixels of its part's frames."""
    name = BASIS_NAMES.get(calibration.basis, calibration.basis)
    named = f"{name}, {calibration.size_mm:g} mm {_said_from(calibration)}".rstrip()
    plane = plane_of_ruler(calibration)
    shape = frame_shape(case, calibration.part)
    if shape is None:
        return Ruler(calibration, None, NO_SIZE, plane, named)
    if uses_human_size(calibration) and case.setting != "patient":
        return Ruler(calibration, None, NOT_A_PATIENT, plane, named)
    size_error_mm = size_error_of(calibration)
    scale = _scale(case, calibration, square_points(calibration.points, shape), size_error_mm or 0)
    if scale is None:
        return Ruler(calibration, None, NO_RULER_SHAPE, plane, named)
    words = f"{named}, ±{100 * scale.error:.1f} %"
    cautions = _cautions(case, calibration, scale, size_error_mm)
    return Ruler(calibration, scale, "", plane, words, cautions)


def size_error_of(calibration: Calibration) -> float | None:
    """Return how far off a ruler's own size may be at 95 %, in millimetres; None where unknown.

    What somebody said wins. Else for the limbus how much people's differ, or two devices; for an
    optic what a maker may be off.
    """
    if calibration.size_error_mm is not None:
        return calibration.size_error_mm
    if uses_human_size(calibration):
        return ASSUMED_ERROR_MM
    known = {(LIMBUS, "measured"): DEVICE_ERROR_MM}
    if calibration.basis == OPTIC:
        return OPTIC_ERROR_MM
    return known.get((calibration.basis, calibration.size_from))


def shown_as_decoded(case: Case, part: int) -> bool:
    """Claim that it was not kept how a part is shown, so that it is taken as decoded."""
    return case.parts[part].shown_turn_deg is None


def square_points(points: Points, shape: FrameShape) -> Floats:
    """Return places in shares of a decoded frame as an array (n, 2) on the picture as shown.

    In square pixels.
    """
    shown = [shown_px(x, y, shape) for x, y in points]
    return np.array(shown, dtype=np.float64).reshape(-1, 2)


def _scale(
    case: Case, calibration: Calibration, points_px: Floats, size_error_mm: float
) -> Scale | None:
    size_mm = calibration.size_mm
    if calibration.basis == LIMBUS:
        line_deg = line_of_three_and_nine_deg(view_at(case, calibration.at_us))
        return scale_of_limbus(points_px, line_deg, size_mm, size_error_mm)
    if calibration.basis == OPTIC:
        return scale_of_optic(points_px, size_mm, size_error_mm)
    if len(points_px) != 2:
        return None
    return scale_of_length(points_px, size_mm, size_error_mm)


def _said_from(calibration: Calibration) -> str:
    said = {ASSUMED: "assumed", "measured": "measured", "maker": "by its maker"}
    if uses_human_size(calibration):
        return said[ASSUMED]
    return said.get(calibration.size_from, "")


def _cautions(
    case: Case, calibration: Calibration, scale: Scale, size_error_mm: float | None
) -> tuple[str, ...]:
    unsure = calibration.basis == LIMBUS and shown_as_decoded(case, calibration.part)
    assumed_optic = calibration.basis == OPTIC and calibration.size_from not in (
        "measured",
        "maker",
    )
    return (
        *scale.notes,
        *((ASSUMED_OPTIC,) if assumed_optic else ()),
        *((ERROR_NOT_SAID,) if size_error_mm is None else ()),
        *((HOW_SHOWN,) if unsure else ()),
    )
