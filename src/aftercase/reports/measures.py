"""What was measured on the picture, as it is shown: one item a measure, and one row a number."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import Final

from aftercase.clock import text_of
from aftercase.metrics.picture import PictureMeasure, picture_measures
from aftercase.metrics.picturecautions import APPROXIMATE
from aftercase.metrics.subject import Subject
from aftercase.metrics.tables import shown_window
from aftercase.reports.content import Fact, MeasureItem, Stills
from aftercase.reports.sheet import Column, Sheet, Value

_SIGNIFICANT: Final = 6
"""Digits that are written: finer than anything on a picture, and the same on every computer."""

MEASURE_COLUMNS: Final = (
    Column("id", "Id"),
    Column("at", "When", "moment"),
    Column("measure", "Measure"),
    Column("note", "Note"),
    Column("number", "Number"),
    Column("value", "Value", "number"),
    Column("error", "Error at 95 %", "number"),
    Column("unit", "Unit"),
    Column("how", "How"),
    Column("threshold_mm_s", "Threshold, mm/s", "number"),
    Column("hours", "Clock hours"),
    Column("ruler", "Ruler"),
    Column("ruler_error", "Ruler’s error at 95 %", "share"),
    Column("cautions", "Cautions"),
)


def shown_measures(subject: Subject) -> tuple[PictureMeasure, ...]:
    """Return what was measured in what is shown of the case, by time."""
    window = shown_window(subject.case)
    measures = picture_measures(subject.case, subject.guide, subject.review)
    return tuple(
        sorted(
            (one for one in measures if window.start_us <= one.measure.at_us < window.end_us),
            key=lambda one: one.measure.at_us,
        )
    )


def measure_items(measures: Iterable[PictureMeasure], stills: Stills) -> tuple[MeasureItem, ...]:
    """Return measures as they are shown, in the order they come in.

    Args:
        measures: The measures.
        stills: Their pictures, by the measure's id; a measure without one goes without.
    """
    return tuple(_item(one, stills) for one in measures)


def measure_sheet(measures: Iterable[PictureMeasure]) -> Sheet:
    """Return every number of measures as a row; a measure without numbers has one that says why."""
    rows: list[tuple[Value, ...]] = []
    for one in measures:
        scale = None if one.ruler is None else one.ruler.scale
        approximate = (APPROXIMATE,) if scale is not None and one.numbers else ()
        measure = one.measure
        named = (measure.id, measure.at_us, measure.kind, measure.note)
        beside = (
            one.threshold_mm_s,
            one.hours or None,
            None if one.ruler is None else one.ruler.words,
            None if scale is None else _written(scale.error),
            " ".join(said for said in (one.fault, *one.cautions, *approximate) if said),
        )
        for number in one.numbers:
            error = None if number.error is None else _written(number.error)
            value = _written(number.value)
            rows.append(
                (*named, number.name, value, error, number.unit, number.how or None, *beside)
            )
        if not one.numbers:
            rows.append((*named, None, None, None, None, None, *beside))
    return Sheet("measures", "Measured on the picture", MEASURE_COLUMNS, tuple(rows))


def _item(one: PictureMeasure, stills: Stills) -> MeasureItem:
    measure = one.measure
    named = f"Picture at {text_of(measure.at_us)}, measured on it: {one.name.lower()}"
    ruler = None if one.ruler is None else f"Ruler: {one.ruler.words}."
    return MeasureItem(
        id=measure.id,
        at_us=measure.at_us,
        name=one.name,
        note=measure.note,
        numbers=tuple(
            Fact(number.label, f"{number.text} ({number.how})" if number.how else number.text)
            for number in one.numbers
        ),
        hours=f"At {one.hours}." if one.hours else "",
        said=tuple(said for said in (one.fault, ruler, *one.cautions, *one.usual) if said),
        stills=tuple(
            replace(still, alt=still.alt or named) for still in stills.get(measure.id, ())
        ),
    )


def _written(number: float) -> float:
    return float(f"{number:.{_SIGNIFICANT}g}")
