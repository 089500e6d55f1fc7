"""What is to be said beside a number that was taken off the picture."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Final

from aftercase.metrics.quantities import QUANTITIES
from aftercase.metrics.rulers import HOW_SHOWN, PLANE_NOT_SAID, Ruler, shown_as_decoded
from aftercase.model.base import NOT_SAID
from aftercase.model.case import Case, frame_shape, span_without_zoom_change
from aftercase.model.measure import AT_CORNEA, BEHIND_CORNEA, Measure, plane_of_measure

APPROXIMATE: Final = (
    "Numbers taken off the picture are approximate (an assumed corneal diameter is off by about "
    "7 % at 95 %). What stands after ± holds 95 of 100. For teaching and for improving quality "
    "only, never for a decision about a patient."
)
LOOKS_LARGER: Final = (
    "What lies behind the cornea looks about 16 % too large against a ruler at the cornea. It is "
    "printed as seen and put right by 1.16, which adds about 5 % to the error."
)
LOOKS_OTHERWISE: Final = (
    "What lies behind the cornea looks larger than it is; by how much in such an eye is not known, "
    "so it is printed as seen."
)
MEASURE_PLANE_NOT_SAID: Final = (
    "Nobody said whether this lies at the cornea or behind it; against a ruler in the other place "
    "that makes about 16 % of difference."
)
NO_RULER: Final = "No ruler: in pixels of the film."
NO_SHAPE: Final = "The places pointed at make no such thing: point again."
NO_CENTRE: Final = (
    "No centre is known to take the angle about: point at the limbus, or at its centre."
)
OTHER_FRAMES: Final = "The ruler belongs to frames of another size."
CLICKED: Final = (
    "Duration is not quality. A path clicked through frames is shorter than the way the tip went, "
    "and a movement between two clicks is not seen."
)
ZOOMED: Final = (
    "The zoom was changed between the ruler’s frame and this one: in pixels of the film. Calibrate "
    "again on this stretch."
)


def unfit_ruler(case: Case, measure: Measure, ruler: Ruler | None) -> str:
    """Return why a measure cannot be told in millimetres; empty where it can."""
    if ruler is None:
        return NO_RULER
    if ruler.scale is None:
        return ruler.fault
    if frame_shape(case, ruler.calibration.part) != frame_shape(case, measure.part):
        return OTHER_FRAMES
    steady = span_without_zoom_change(case, ruler.calibration.at_us)
    times_us = measure.times_us or (measure.at_us,)
    if not all(steady.start_us <= us <= steady.end_us for us in times_us):
        return ZOOMED
    return ""


def cautions_of(
    case: Case, measure: Measure, ruler: Ruler | None, names: Iterable[str]
) -> tuple[str, ...]:
    """Return what is to be said beside a measure's numbers, of which `names` are known."""
    if measure.kind == "angle":
        return (HOW_SHOWN,) if shown_as_decoded(case, measure.part) else ()
    if not any(QUANTITIES[name].power for name in names):
        return ()
    of_kind = (CLICKED,) if measure.kind == "tip-path" else ()
    if unfit := unfit_ruler(case, measure, ruler):
        return (unfit, *of_kind)
    assert ruler is not None, "a measure without a ruler is told in pixels"
    return (*ruler.cautions, *_plane_cautions(case, measure, ruler), *of_kind)


def _plane_cautions(case: Case, measure: Measure, ruler: Ruler) -> Iterator[str]:
    plane = plane_of_measure(measure)
    if ruler.plane == NOT_SAID:
        yield PLANE_NOT_SAID
    if plane == NOT_SAID:
        yield MEASURE_PLANE_NOT_SAID
    if {plane, ruler.plane} == {AT_CORNEA, BEHIND_CORNEA}:
        yield LOOKS_LARGER if case.setting == "patient" else LOOKS_OTHERWISE
