"""Pointing at the shown frame to measure it: what it comes to so far, keeping it, changing it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any, Final, Literal

from aftercase.clock import text_of
from aftercase.edit.measuring import rulers_at
from aftercase.metrics.picture import PictureMeasure, picture_measure
from aftercase.metrics.picturecautions import APPROXIMATE
from aftercase.metrics.pictureshapes import measure_drawings, ruler_drawings
from aftercase.metrics.rulers import Ruler, ruler_of
from aftercase.model.base import NOT_SAID
from aftercase.model.measure import (
    ASSUMED,
    BEHIND_CORNEA,
    KNOWN_LENGTH,
    LIMBUS,
    Calibration,
    Measure,
    plane_of_ruler,
)
from aftercase.model.review import Drawing
from aftercase.session.desk import Desk
from aftercase.session.pointing import TOOLS, USUAL_RULER, Pointing, pointing_of
from aftercase.session.verbs.measuring import (
    USUAL_SIZES_MM,
    change_ruler_or_measure,
    keep_measure,
    keep_ruler,
    pointed_measure,
    pointed_ruler,
    worked_out,
)

Record = Calibration | Measure

NO_PLACES: Final = "It has not all its places yet: {what}"
NO_RULER_SIZE: Final = "Say its size in millimetres first: Tab leads to the field."
_OF_RULERS: Final = ("size_mm", "size_error_mm", "size_from")
_OF_MEASURES: Final = ("at_us", "times_us", "around", "around_what", "optic", "threshold_mm_s")
_OUTLINED: Final = ("ring", "area", "capsulorhexis")


@dataclass(frozen=True)
class Line:
    """One line of what is shown beside the picture.

    Attributes:
        text: What it says.
        value: A number with its error and unit; empty for a sentence.
        tone: ``number``, ``said``, or ``warn`` for what stands in the way of a number.
    """

    text: str
    value: str = ""
    tone: Literal["number", "said", "warn"] = "said"


@dataclass(frozen=True)
class ReadOut:
    """What was pointed at so far comes to.

    Attributes:
        lines: From top to bottom.
        drawings: On its frame.
    """

    lines: tuple[Line, ...]
    drawings: tuple[Drawing, ...] = ()


def begun(desk: Desk, word: str) -> Pointing:
    """Return a tool as it is taken: nothing pointed at, its usual size where it has one."""
    tool = TOOLS[word]
    if not tool.is_ruler:
        return Pointing(tool)
    if word == KNOWN_LENGTH:
        return Pointing(tool, size_from=NOT_SAID)
    if word == LIMBUS and desk.case.setting not in ("patient", NOT_SAID):
        return Pointing(tool, size_from="maker")
    return Pointing(tool, size_from=ASSUMED, size_mm=USUAL_SIZES_MM[word])


def with_size_from(desk: Desk, pointing: Pointing, word: str) -> Pointing:
    """Say where a ruler's size comes from; the one that was assumed so far is no longer taken."""
    if word == ASSUMED:
        return replace(pointing, size_from=word, size_mm=USUAL_SIZES_MM.get(pointing.tool.word))
    usual_mm = USUAL_SIZES_MM.get(pointing.tool.word)
    was_assumed = pointing.size_from == ASSUMED and pointing.size_mm == usual_mm
    is_own = was_assumed and pointing.tool.word == LIMBUS and not pointing.record_id
    return replace(pointing, size_from=word, size_mm=None if is_own else pointing.size_mm)


def rulers_for(desk: Desk, pointing: Pointing) -> tuple[Calibration, ...]:
    """Return the rulers a measure can take, the usual one first.

    That is the nearest one in the measure's own plane, else the nearest.
    """
    at_us = desk.at_us if pointing.at_us is None else pointing.at_us
    there = rulers_at(desk.review, at_us)
    is_behind = pointing.tool.word == "capsulorhexis" or pointing.plane == BEHIND_CORNEA
    plane = BEHIND_CORNEA if is_behind else pointing.plane
    return tuple(sorted(there, key=lambda one: plane_of_ruler(one) != plane))


def ruler_taken(desk: Desk, pointing: Pointing) -> str | None:
    """Return the id of the ruler a measure takes; None for pixels."""
    if pointing.ruler != USUAL_RULER:
        return pointing.ruler
    there = rulers_for(desk, pointing)
    return there[0].id if there and pointing.tool.word != "angle" else None


def read_out(desk: Desk, pointing: Pointing) -> ReadOut:
    """Return what was pointed at comes to so far, in words and as drawings."""
    if pointing.at_us is None:
        return ReadOut((Line(pointing.tool.what),))
    if pointing.tool.is_ruler:
        return _ruler_read_out(desk, pointing)
    measure = _measure(desk, pointing)
    drawings = _drawings_so_far(desk, pointing, measure)
    if not pointing.is_whole:
        return ReadOut((_progress(pointing),), drawings)
    return ReadOut(tuple(lines_of(worked_out(desk, measure))), drawings)


def keep(desk: Desk, pointing: Pointing) -> str | None:
    """Keep what was pointed at and return its id; None where it cannot be kept, which is told."""
    if not pointing.is_whole or pointing.at_us is None:
        desk.tell(NO_PLACES.format(what=pointing.tool.what), "refused")
        return None
    if pointing.tool.is_ruler and pointing.size_mm is None:
        desk.tell(NO_RULER_SIZE, "refused")
        return None
    record = _record(desk, pointing)
    if isinstance(record, Calibration):
        done = keep_ruler(desk, record)
    else:
        done = keep_measure(desk, record)
    return record.id if done else None


def change(desk: Desk, before: Pointing, after: Pointing) -> bool:
    """Change a kept ruler or measure to what is pointed at or said now."""
    was, now = _fields(desk, before), _fields(desk, after)
    changed = {name: value for name, value in now.items() if was[name] != value}
    if changed.get("size_mm", 1) is None:
        return False  # an empty field while a number is typed
    return not changed or change_ruler_or_measure(desk, before.record_id, **changed)


def record_of(desk: Desk, record_id: str) -> Pointing | None:
    """Return a kept ruler or measure as it is changed; None where it is gone."""
    record = desk.record(record_id) if record_id else None
    return pointing_of(record) if isinstance(record, Calibration | Measure) else None


@dataclass(frozen=True)
class KeptLine:
    """What a kept ruler or measure is listed as.

    Attributes:
        id: Its id.
        at_us: Its frame; of a tip's path the first.
        times_us: All its frames.
        name: What it is, with its ruler and its note.
        value: Its first number with its error, or why there is none.
    """

    id: str
    at_us: int
    times_us: tuple[int, ...]
    name: str
    value: str


def kept_lines(desk: Desk) -> tuple[KeptLine, ...]:
    """Return everything that was measured in one's review, and its rulers, by time."""
    case, guide, review = desk.case, desk.guide, desk.review
    lines = [
        *(_kept_ruler(ruler_of(case, one)) for one in review.calibrations),
        *(_kept_measure(picture_measure(case, guide, review, one)) for one in review.measures),
    ]
    return tuple(sorted(lines, key=lambda line: (line.at_us, line.id)))


def lines_of(one: PictureMeasure) -> Iterator[Line]:
    """Yield a measure's numbers, its ruler, and what is to be said of them."""
    for number in one.numbers:
        text = f"{number.label} ({number.how})" if number.how else number.label
        yield Line(text, number.text, "number")
    if one.hours:
        yield Line(f"At {one.hours}.")
    if one.fault:
        yield Line(one.fault, tone="warn")
    if one.ruler is not None and one.measure.kind != "angle":
        yield Line(f"Ruler: {one.ruler.words}.")
    yield from (Line(said) for said in one.cautions)
    if any(number.unit.startswith("mm") for number in one.numbers):
        yield Line(APPROXIMATE)
    yield from (Line(said) for said in one.usual)


def _ruler_read_out(desk: Desk, pointing: Pointing) -> ReadOut:
    drawings = ruler_drawings(desk.case, _ruler(desk, pointing)) if pointing.places else ()
    if not pointing.is_whole:
        return ReadOut((_progress(pointing),), drawings)
    if pointing.size_mm is None:
        return ReadOut((Line(NO_RULER_SIZE, tone="warn"),), drawings)
    ruler = ruler_of(desk.case, _ruler(desk, pointing))
    return ReadOut(tuple(_ruler_lines(ruler)), drawings)


def _ruler_lines(ruler: Ruler) -> Iterator[Line]:
    if ruler.scale is None:
        yield Line(ruler.fault, tone="warn")
        return
    px = 1 / ruler.scale.mm_per_px
    yield Line("One millimetre", f"{px:.2f} ± {px * ruler.scale.error:.2f} px", "number")
    yield Line(f"Ruler: {ruler.words}.")
    yield from (Line(said) for said in ruler.cautions)
    span = ruler.calibration
    yield Line(f"It holds from {text_of(span.start_us)} to {text_of(span.end_us)}: no zoom is said "
               "to change between.")  # fmt: skip
    yield Line(APPROXIMATE)


def _progress(pointing: Pointing) -> Line:
    return Line(f"{len(pointing.points)} of {pointing.least} places. {pointing.tool.what}")


def _drawings_so_far(desk: Desk, pointing: Pointing, measure: Measure) -> tuple[Drawing, ...]:
    """Return the drawings; an outline that is no ring yet is drawn from place to place."""
    drawings = measure_drawings(desk.case, desk.review, measure)
    if drawings or len(pointing.points) < 2 or pointing.tool.word not in _OUTLINED:
        return drawings
    way = measure.changed(kind="path", around=(), optic=())
    return measure_drawings(desk.case, desk.review, way)


def _record(desk: Desk, pointing: Pointing) -> Record:
    return _ruler(desk, pointing) if pointing.tool.is_ruler else _measure(desk, pointing)


def _ruler(desk: Desk, pointing: Pointing) -> Calibration:
    fields = _fields(desk, pointing)
    points = fields.pop("points")
    size_mm = fields.pop("size_mm") or 1.0  # a shape is drawn before its size is said
    return pointed_ruler(
        desk, pointing.tool.word, points, size_mm, at_us=pointing.at_us, **fields
    )  # fmt: skip


def _measure(desk: Desk, pointing: Pointing) -> Measure:
    fields = _fields(desk, pointing)
    del fields["at_us"]
    points = fields.pop("points")
    return pointed_measure(desk, pointing.tool.word, points, at_us=pointing.at_us, **fields)


def _fields(desk: Desk, pointing: Pointing) -> dict[str, Any]:
    """Return what is pointed at and said as fields of the record that is kept of it."""
    said = {"points": pointing.points, "plane": pointing.plane, "note": pointing.note}
    names = _OF_RULERS if pointing.tool.is_ruler else _OF_MEASURES
    fields = {**said, **{name: getattr(pointing, name) for name in names}}
    if not pointing.tool.is_ruler:
        fields["calibration"] = ruler_taken(desk, pointing)
    return fields


def _kept_ruler(ruler: Ruler) -> KeptLine:
    record = ruler.calibration
    px = "" if ruler.scale is None else f"1 mm: {1 / ruler.scale.mm_per_px:.1f} px"
    name = f"Ruler: {ruler.words}{_noted(record.note)}"
    return KeptLine(record.id, record.at_us, (record.at_us,), name, px or ruler.fault)


def _kept_measure(one: PictureMeasure) -> KeptLine:
    first = one.numbers[0] if one.numbers else None
    value = one.fault if first is None else first.text + (f" ({first.how})" if first.how else "")
    by = f", by {one.ruler.words}" if one.ruler is not None and one.measure.kind != "angle" else ""
    record = one.measure
    times_us = record.times_us or (record.at_us,)
    name = f"{one.name}{by}{_noted(record.note)}"
    return KeptLine(record.id, record.at_us, times_us, name, value)


def _noted(note: str) -> str:
    return f": {' '.join(note.split())}" if note.strip() else ""
