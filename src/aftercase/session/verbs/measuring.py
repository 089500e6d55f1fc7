"""Measuring on the shown frame: rulers, measures, and what they come to while being pointed at."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

from aftercase.edit.measuring import (
    add_calibration,
    add_measure,
    change_calibration,
    change_measure,
    rulers_at,
)
from aftercase.edit.records import delete
from aftercase.metrics.picture import PictureMeasure, picture_measure
from aftercase.metrics.quantities import MEASURE_NAMES
from aftercase.metrics.rulers import NOT_A_PATIENT, Ruler, ruler_of
from aftercase.model.case import span_without_zoom_change
from aftercase.model.measure import ASSUMED, LIMBUS, OPTIC, Calibration, Measure
from aftercase.model.measure_rules import uses_human_size
from aftercase.session.desk import Desk
from aftercase.vision.scale import OPTIC_MM, WHITE_TO_WHITE_MM

Place = tuple[float, float]
"""In shares of the decoded frame, as drawings have them."""

USUAL_SIZES_MM: Final = {LIMBUS: WHITE_TO_WHITE_MM, OPTIC: OPTIC_MM}
"""What to offer as a ruler's size; the limbus's only for patients."""


def ruler_here(desk: Desk, at_us: int | None = None) -> Ruler | None:
    """Return the ruler that a measure on the shown frame, or on another, takes; None for none."""
    there = rulers_at(desk.review, desk.at_us if at_us is None else at_us)
    return ruler_of(desk.case, there[0]) if there else None


def pointed_ruler(
    desk: Desk,
    basis: str,
    points: Sequence[Place],
    size_mm: float,
    *,
    size_from: str = ASSUMED,
    at_us: int | None = None,
    **said: Any,
) -> Calibration:
    """Return a ruler as it stands while being pointed at, for the stretch without a zoom change.

    Args:
        desk: The desk.
        basis: One of `aftercase.model.measure.BASES`.
        points: Where was pointed.
        size_mm: Its size.
        size_from: Where the size comes from.
        at_us: Start of its frame; that of the shown one where None.
        said: Further fields of a `Calibration`, such as ``plane`` or ``size_error_mm``.
    """
    at_us = desk.at_us if at_us is None else at_us
    steady = span_without_zoom_change(desk.case, at_us)
    return Calibration(
        id=desk.new_id(),
        start_us=steady.start_us,
        end_us=steady.end_us,
        basis=basis,
        part=desk.frames.frame_at(at_us).part,
        at_us=at_us,
        points=tuple(points),
        size_mm=size_mm,
        size_from=size_from,
        **said,
    )


def keep_ruler(desk: Desk, calibration: Calibration) -> bool:
    """Keep a ruler and select it; a patient's size is refused for other eyes."""
    if uses_human_size(calibration) and desk.case.setting != "patient":
        desk.tell(NOT_A_PATIENT, "refused")
        return False
    done = desk.edit(lambda review: add_calibration(review, calibration), "calibrate")
    if done:
        desk.select(calibration.id)
    return done


def pointed_measure(
    desk: Desk, kind: str, points: Sequence[Place], *, at_us: int | None = None, **said: Any
) -> Measure:
    """Return a measure as it stands while being pointed at, with the ruler that holds there.

    Args:
        desk: The desk.
        kind: One of `aftercase.model.measure.MEASURE_KINDS`.
        points: Where was pointed.
        at_us: Start of its frame; that of the shown one where None, and a tip's path has its times.
        said: Further fields of a `Measure`, such as ``plane``, ``around`` or ``times_us``.
    """
    times_us = tuple(said.get("times_us", ()))
    at_us = times_us[0] if times_us else desk.at_us if at_us is None else at_us
    there = rulers_at(desk.review, at_us)
    given = {"calibration": there[0].id if there else None, **said}
    part = desk.frames.frame_at(at_us).part
    return Measure(
        id=desk.new_id(), kind=kind, part=part, at_us=at_us, points=tuple(points), **given
    )


def worked_out(desk: Desk, measure: Measure) -> PictureMeasure:
    """Return what a measure comes to, kept or not: its numbers, cautions, or why there are none."""
    return picture_measure(desk.case, desk.guide, desk.review, measure)


def keep_measure(desk: Desk, measure: Measure) -> bool:
    """Keep a measure and select it."""
    name = MEASURE_NAMES.get(measure.kind, measure.kind).lower()
    done = desk.edit(lambda review: add_measure(review, measure), f"measure, {name}")
    if done:
        desk.select(measure.id)
    return done


def change_ruler_or_measure(desk: Desk, record_id: str, **fields: Any) -> bool:
    """Change fields of a ruler or a measure; several changes of one in a row are undone as one."""
    is_ruler = isinstance(desk.record(record_id), Calibration)
    change = change_calibration if is_ruler else change_measure
    return desk.edit(
        lambda review: change(review, record_id, **fields),
        "change a ruler" if is_ruler else "change a measure",
        merge_key=f"measuring {record_id} {' '.join(sorted(fields))}",
        quiet=True,
    )


def take_away(desk: Desk, record_id: str) -> bool:
    """Take a ruler or a measure away; what was measured with a ruler is left in pixels."""
    is_ruler = isinstance(desk.record(record_id), Calibration)
    label = "take a ruler away" if is_ruler else "take a measure away"
    return desk.edit(lambda review: delete(review, record_id), label)
