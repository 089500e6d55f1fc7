"""Rulers on the picture and what is measured with them: added, changed, taken away.

Each edit is a pure function. `aftercase.edit.records.delete` takes either away; measures whose
ruler goes are left in pixels.
"""

from __future__ import annotations

from typing import Any, Final

from aftercase.edit.drawing import thinned, tidied
from aftercase.edit.records import add, change, found
from aftercase.errors import EditRefused
from aftercase.model.measure import MOST_MEASURE_POINTS, Calibration, Measure
from aftercase.model.measure_rules import calibration_problem, measure_problem
from aftercase.model.review import Review

_DRAWN_KINDS: Final = ("path", "area")
_PLACES: Final = ("points", "around", "optic")


def add_calibration(review: Review, calibration: Calibration) -> Review:
    """Add a ruler.

    Raises:
        ReviewClosed: The review is sealed or released.
        EditRefused: It has too few points, or its frame lies outside its span.
    """
    _refuse(calibration_problem(calibration))
    return add(review, "calibrations", calibration.changed(points=tidied(calibration.points)))


def change_calibration(review: Review, calibration_id: str, **fields: Any) -> Review:
    """Change some fields of a ruler; what was measured with it follows.

    Raises:
        ReviewClosed: The review is sealed or released.
        EditRefused: There is no such ruler, a field breaks its rule, or something measured with it
            would lie outside its span.
    """
    if not isinstance(found(review, calibration_id)[1], Calibration):
        raise EditRefused("Only a calibration can be changed so.")
    changed = change(review, calibration_id, **_tidy(fields))
    _refuse(calibration_problem(found(changed, calibration_id)[1]))
    for measure in changed.measures:
        if measure.calibration == calibration_id:
            _refuse(measure_problem(measure, changed.calibrations))
    return changed


def add_measure(review: Review, measure: Measure) -> Review:
    """Add a measure; a way drawn by hand with more points than are kept is thinned.

    Raises:
        ReviewClosed: The review is sealed or released.
        EditRefused: It has too few points, its ruler does not exist or does not hold for its frame.
    """
    points = measure.points
    if measure.kind in _DRAWN_KINDS and len(points) > MOST_MEASURE_POINTS:
        points = thinned(points)
    tidy = measure.changed(
        points=tidied(points), around=tidied(measure.around), optic=tidied(measure.optic)
    )
    _refuse(measure_problem(tidy, review.calibrations))
    return add(review, "measures", tidy)


def change_measure(review: Review, measure_id: str, **fields: Any) -> Review:
    """Change some fields of a measure, such as its ruler, its plane or a point that was moved.

    Raises:
        ReviewClosed: The review is sealed or released.
        EditRefused: There is no such measure, a field breaks its rule, or its ruler does not hold
            for its frame.
    """
    if not isinstance(found(review, measure_id)[1], Measure):
        raise EditRefused("Only a measure can be changed so.")
    changed = change(review, measure_id, **_tidy(fields))
    _refuse(measure_problem(found(changed, measure_id)[1], changed.calibrations))
    return changed


def rulers_at(review: Review, at_us: int) -> tuple[Calibration, ...]:
    """Return the rulers that hold at a moment, the one whose frame is nearest first."""
    there = [one for one in review.calibrations if one.start_us <= at_us < one.end_us]
    return tuple(sorted(there, key=lambda one: (abs(one.at_us - at_us), one.id)))


def _tidy(fields: dict[str, Any]) -> dict[str, Any]:
    return fields | {name: tidied(fields[name]) for name in _PLACES if name in fields}


def _refuse(problem: tuple[str, str] | None) -> None:
    if problem is not None:
        field, what = problem
        raise EditRefused(
            f"This cannot be measured so: {field.replace('_', ' ')}: {what}.",
            hint="Point again, or calibrate again on this stretch.",
        )
