"""What is measured on the picture: every number with its unit, its error and what to say of it.

Numbers are worked out from what was pointed at, never kept. docs/reference/measuring.md defines
each.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

import numpy as np

from aftercase.metrics.hours import Hours, hours_at, text_of_hours
from aftercase.metrics.picturecautions import NO_CENTRE, NO_SHAPE, cautions_of, unfit_ruler
from aftercase.metrics.pointed import Pixels, Places, centre_of, errors_of, pixels_of
from aftercase.metrics.quantities import MEASURE_NAMES, QUANTITIES, Number, Quantity
from aftercase.metrics.rulers import NO_SIZE, Ruler, ruler_of, square_points
from aftercase.model.case import Case, frame_shape, technique_at
from aftercase.model.guide import Guide
from aftercase.model.measure import (
    AT_CORNEA,
    BEHIND_CORNEA,
    LIMBUS,
    OPTIC,
    Measure,
    Points,
    plane_of_measure,
)
from aftercase.model.measure_rules import measure_problem
from aftercase.model.orientation import angle_between
from aftercase.model.picture import FrameShape
from aftercase.model.review import Review
from aftercase.vision.paths import n_movements, speeds_px_s
from aftercase.vision.scale import CORNEA_MAGNIFIES, CORNEA_MAGNIFIES_ERROR, Scale

THRESHOLD_MM_S: Final = 1.0
"""By how much a tip's speed must rise and fall in a movement, where nobody said (own choice)."""

SEEN: Final = "as seen"

_TAKEN_AGAINST: Final = ("angle", "capsulorhexis")

_USUAL: Final = MappingProxyType(
    {
        "angle": ("side-port-to-main-wound",),
        "capsulorhexis": ("capsule-opening", "optic-overlap"),
    }
)
"""Which usual ranges of the guide, if it has them, stand beside a kind of measure."""


@dataclass(frozen=True)
class PictureMeasure:
    """A measure with all that is known of it.

    Attributes:
        measure: The record.
        name: Its kind, in words.
        numbers: Its numbers; none where there is a fault.
        hours: For an angle, the clock hours of both wounds, and whose clock.
        ruler: Its ruler, if it has one.
        fault: Why there are no numbers; empty where there are.
        cautions: Sentences that belong to the numbers.
        usual: What is usual, for information only.
        threshold_mm_s: What movements were counted by; None where none were.
    """

    measure: Measure
    name: str
    numbers: tuple[Number, ...] = ()
    hours: str = ""
    ruler: Ruler | None = None
    fault: str = ""
    cautions: tuple[str, ...] = ()
    usual: tuple[str, ...] = ()
    threshold_mm_s: float | None = None


def picture_measures(case: Case, guide: Guide, review: Review) -> tuple[PictureMeasure, ...]:
    """Return everything that was measured in a review, by time."""
    return tuple(picture_measure(case, guide, review, one) for one in review.measures)


def picture_measure(case: Case, guide: Guide, review: Review, measure: Measure) -> PictureMeasure:
    """Return one measure with its numbers; it need not be in the review yet.

    Args:
        case: Its setting, eye, seat, turn and frame sizes count.
        guide: What is usual is taken from it.
        review: Whose rulers count.
        measure: What was pointed at.
    """
    name = MEASURE_NAMES.get(measure.kind, measure.kind)
    shape = frame_shape(case, measure.part)
    if problem := measure_problem(measure, review.calibrations):
        return PictureMeasure(measure, name, fault=f"It cannot be worked out: {problem[1]}.")
    if shape is None:
        return PictureMeasure(measure, name, fault=NO_SIZE)
    calibration = next((c for c in review.calibrations if c.id == measure.calibration), None)
    ruler = None if calibration is None else ruler_of(case, calibration)
    places = places_of(case, review, measure, shape)
    pixels = pixels_of(measure.kind, places)
    if not pixels:
        lacks_centre = measure.kind == "angle" and centre_of(places.around) is None
        fault = NO_CENTRE if lacks_centre else NO_SHAPE
        return PictureMeasure(measure, name, ruler=ruler, fault=fault)
    unfit = unfit_ruler(case, measure, ruler)
    scale = ruler.scale if ruler is not None and not unfit else None
    put_right = _put_right(case, measure, ruler)
    return PictureMeasure(
        measure,
        name,
        (
            *_numbers(measure, pixels, errors_of(measure.kind, places, pixels), scale, put_right),
            *_movements(measure, places, scale, put_right),
        ),
        _hours(case, measure, places),
        ruler,
        cautions=cautions_of(case, measure, ruler, pixels),
        usual=tuple(_usual(case, guide, measure)),
        threshold_mm_s=threshold_of(measure) if measure.kind == "tip-path" else None,
    )


def threshold_of(measure: Measure) -> float:
    """Return by how many mm/s a tip's speed must rise and fall in a movement."""
    return measure.threshold_mm_s or THRESHOLD_MM_S


def places_of(case: Case, review: Review, measure: Measure, shape: FrameShape) -> Places:
    """Return all places of a measure, in square pixels of its frame.

    What an angle or a capsulorhexis is taken against, and was not pointed at for it, comes from a
    ruler on the very same frame, and the limbus's centre from the header.
    """
    around: Points = ()
    optic: Points = ()
    if measure.kind in _TAKEN_AGAINST:
        lent = {
            one.basis: one.points
            for one in review.calibrations
            if (one.part, one.at_us) == (measure.part, measure.at_us)
        }
        around = measure.around
        if not around and measure.around_what == LIMBUS:
            around = lent.get(LIMBUS) or _centre_of_header(case, measure)
        optic = measure.optic or lent.get(OPTIC, ())
    return Places(
        square_points(measure.points, shape),
        square_points(around, shape),
        square_points(optic if len(optic) > 2 else (), shape),
        measure.times_us,
    )


def _centre_of_header(case: Case, measure: Measure) -> Points:
    known = [
        point
        for point in case.limbus_centre
        if point.at_us <= measure.at_us and point.part == measure.part
    ]
    if not known:
        return ()
    latest = max(known, key=lambda point: point.at_us)
    return ((latest.x, latest.y),)


def _put_right(case: Case, measure: Measure, ruler: Ruler | None) -> float | None:
    """Return what a length as seen is to be multiplied by; None where nothing is to be put right.

    Nothing is where both lie in one plane, where a plane is not said, and in eyes that are no
    patient's.
    """
    if ruler is None or case.setting != "patient":
        return None
    planes = plane_of_measure(measure), ruler.plane
    return {
        (BEHIND_CORNEA, AT_CORNEA): 1 / CORNEA_MAGNIFIES,
        (AT_CORNEA, BEHIND_CORNEA): CORNEA_MAGNIFIES,
    }.get(planes)


def _numbers(
    measure: Measure, pixels: Pixels, errors_px: Pixels, scale: Scale | None, factor: float | None
) -> Iterator[Number]:
    for name, value_px in pixels.items():
        quantity = QUANTITIES[name]
        power = quantity.power
        label = _label(quantity, measure)
        if not power:
            error = _any(errors_px[name])
            yield Number(name, label, value_px, quantity.unit, error, "", quantity.digits)
        elif scale is None:
            unit = _unit("px", quantity)
            error = _any(errors_px[name])
            yield Number(name, label, value_px, unit, error, "", max(0, quantity.digits - 1))
        else:
            unit = _unit("mm", quantity)
            ways = [("" if factor is None else SEEN, 1.0, 0.0)]
            if factor is not None:
                ways.append((_how(factor, power), factor, CORNEA_MAGNIFIES_ERROR))
            for how, times, more_off in ways:
                by = (scale.mm_per_px * times) ** power
                value = value_px * by
                relative = power * math.hypot(scale.error, more_off)
                error = math.hypot(relative * value, errors_px[name] * by)
                yield Number(name, label, value, unit, error, how, quantity.digits)


def _movements(
    measure: Measure, places: Places, scale: Scale | None, factor: float | None
) -> Iterator[Number]:
    if measure.kind != "tip-path" or scale is None:
        return
    times_us = np.array(places.times_us, dtype=np.float64)
    speeds_mm_s = speeds_px_s(places.points, times_us) * scale.mm_per_px * (factor or 1.0)
    count = n_movements(speeds_mm_s, threshold_of(measure))
    quantity = QUANTITIES["movements"]
    yield Number("movements", _label(quantity, measure), count, "", None, "", quantity.digits)


def _hours(case: Case, measure: Measure, places: Places) -> str:
    centre = centre_of(places.around)
    if measure.kind != "angle" or centre is None:
        return ""
    hours = [
        hours_at(case, angle_between(centre[0], (float(x), float(y))), measure.at_us)
        for x, y in places.points
    ]
    return " and ".join(text_of_hours(one, Hours()) or "" for one in hours)


def _usual(case: Case, guide: Guide, measure: Measure) -> Iterator[str]:
    technique = technique_at(case, measure.at_us)
    ranges = {one.id: one for one in guide.usual_ranges}
    for name in _USUAL.get(measure.kind, ()):
        usual = ranges.get(name)
        if usual is not None and (not usual.techniques or technique in usual.techniques):
            source = usual.source.replace("-", " ")
            yield f"Usual, for information only: {usual.measure}: {usual.usual} ({source})."


def _label(quantity: Quantity, measure: Measure) -> str:
    around = "pupil" if measure.around_what == "pupil" else "limbus"
    return quantity.label.format(around=around, threshold=f"{threshold_of(measure):g}")


def _unit(length: str, quantity: Quantity) -> str:
    return f"{length}{'²' if quantity.power == 2 else ''}{quantity.unit}"


def _how(factor: float, power: int) -> str:
    verb = "divided" if factor < 1 else "multiplied"
    return f"{verb} by {CORNEA_MAGNIFIES}{'²' if power == 2 else ''}"


def _any(error: float) -> float | None:
    return error or None
