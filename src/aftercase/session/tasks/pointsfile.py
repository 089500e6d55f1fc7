"""Places that a script hands in to be measured: a small file, JSON or CSV.

docs/reference/measuring.md explains both forms, with a whole file of each.
"""

from __future__ import annotations

import math
import random
from collections.abc import Iterable
from fractions import Fraction
from pathlib import Path
from typing import Annotated, Any, Final, Literal

import pydantic
from pydantic import BaseModel, ConfigDict, Field

from aftercase import storage
from aftercase.clock import SECOND_US, seconds_to_us
from aftercase.document.codec import parsed
from aftercase.document.spantable import TableRow, read_table, require_columns
from aftercase.errors import AftercaseError, DocumentMissing, TableBroken
from aftercase.model.base import NOT_SAID, Word, id_source
from aftercase.model.case import Case, GuideReference, Part, SinceDegrees, SinceFlag, SinceWord
from aftercase.model.measure import BASES, Calibration, Measure, Size
from aftercase.model.measure_rules import picture_measure_problems
from aftercase.model.problem import Problem, problems_of
from aftercase.model.review import Review
from aftercase.model.rules import case_problems

HINT: Final = "Mend the named place; docs/reference/measuring.md shows a whole file."

_MOST_PX: Final = 100_000
_MOST_SHOWN: Final = 5
_NO_RULER: Final = "none"
_COLUMNS: Final = ("what", "name", "x_px", "y_px")
_SETS: Final = ("points", "around", "optic")
_NUMBERS: Final = ("size_mm", "size_error_mm", "threshold_mm_s")
_WORDS: Final = ("size_from", "plane", "around_what", "ruler")

Px = Annotated[float, Field(strict=True, ge=0, le=_MOST_PX, allow_inf_nan=False)]
PointsPx = tuple[tuple[Px, Px], ...]
Degrees = Annotated[float, Field(strict=True, allow_inf_nan=False)]
Seconds = Annotated[float, Field(strict=True, ge=0, le=1e9, allow_inf_nan=False)]


class _Given(BaseModel):
    """What a file may hold; a name that is not known is a slip of the pen."""

    model_config = ConfigDict(frozen=True, extra="forbid")


class GivenRuler(_Given):
    """A ruler, as `Calibration`, with its points in pixels of the film."""

    name: str = ""
    basis: Word
    points: PointsPx
    size_mm: Size
    size_error_mm: Annotated[float, Field(strict=True, ge=0)] | None = None
    size_from: Word = NOT_SAID
    plane: Word = NOT_SAID


class GivenMeasure(_Given):
    """A measure, as `Measure`, with its points in pixels of the film.

    Attributes:
        name: What it is called.
        ruler: Name of its ruler; the only one where left out; ``none`` for pixels.
        times_s: For a tip's path, when each point was, in seconds.
    """

    name: str = ""
    kind: Word
    points: PointsPx
    times_s: tuple[Seconds, ...] = ()
    ruler: str | None = None
    plane: Word = NOT_SAID
    around: PointsPx = ()
    around_what: Word = "limbus"
    optic: PointsPx = ()
    threshold_mm_s: Size | None = None


class PointsFile(_Given):
    """Everything a file of points says, all of one picture but for tips' paths."""

    setting: str = NOT_SAID
    eye: Literal["not-said", "right", "left"] = NOT_SAID
    seat: str = NOT_SAID
    turn_deg: Degrees | None = None
    mirrored: Annotated[bool, Field(strict=True)] = False
    pixel_aspect: Annotated[float, Field(strict=True, gt=0.1, lt=10)] = 1.0
    rulers: tuple[GivenRuler, ...] = ()
    measures: tuple[GivenMeasure, ...]


def read_points(path: Path) -> tuple[Case, Review]:
    """Read a file of points as the case and the review they would stand in.

    Raises:
        DocumentMissing: There is no such file.
        TableBroken: It cannot be read, or what it says breaks a rule; each place is named.
    """
    content = storage.read_bytes(path)
    if content is None:
        raise DocumentMissing("There is no such file.", hint="Look at its name.", path=path)
    if path.suffix.lower() == ".json":
        try:
            data = parsed(content, path)
        except AftercaseError as error:
            raise TableBroken(error.message, hint=HINT, path=path) from error
    else:
        data = _from_rows(read_table(content, path), path)
    try:
        given = PointsFile.model_validate(data)
    except pydantic.ValidationError as error:
        raise _broken(problems_of(error), path) from error
    case, review = _case_of(given), _review_of(given, path)
    if problems := [*case_problems(case), *picture_measure_problems(review, case)]:
        raise _broken(problems, path)
    return case, review


def _broken(problems: list[Problem], path: Path) -> TableBroken:
    shown = "".join(
        f"\n  - {_in_file(problem.place)}: {problem.what}" for problem in problems[:_MOST_SHOWN]
    )
    more = f"\n  - and {len(problems) - _MOST_SHOWN} more" if len(problems) > _MOST_SHOWN else ""
    return TableBroken(f"These points cannot be measured:{shown}{more}", hint=HINT, path=path)


def _in_file(place: str) -> str:
    """Return a place of the review as it is called in the file."""
    return place.replace("calibrations/", "rulers/").replace("/calibration", "/ruler")


def _case_of(given: PointsFile) -> Case:
    wide, high = _frame_px(given)
    end_us = 1 + max([SECOND_US, *(_us(time) for one in given.measures for time in one.times_s)])
    aspect = Fraction(given.pixel_aspect).limit_denominator(10_000)
    new_id = id_source(random.Random(0))
    part = Part(
        id=new_id(),
        path="points",
        size_bytes=0,
        duration_us=end_us,
        quick_hash="",
        time_base=(1, SECOND_US),
        start_us=0,
        end_us=end_us,
        width_px=wide,
        height_px=high,
        pixel_aspect=aspect.as_integer_ratio(),
        shown_turn_deg=0,
    )
    turn = given.turn_deg
    return Case(
        id=new_id(),
        code="points",
        guide=GuideReference(id="points", guide_version="1.0"),
        parts=(part,),
        setting=given.setting,
        eye=given.eye,
        seat=(SinceWord(from_us=0, value=given.seat),),
        turn_deg=() if turn is None else (SinceDegrees(from_us=0, value=turn),),
        mirrored=(SinceFlag(from_us=0, value=given.mirrored),),
    )


def _review_of(given: PointsFile, path: Path) -> Review:
    frame_px, new_id = _frame_px(given), id_source(random.Random(1))
    end_us = _case_of(given).parts[0].end_us
    rulers = tuple(
        Calibration(
            id=new_id(),
            start_us=0,
            end_us=end_us,
            at_us=0,
            points=_shares(one.points, frame_px),
            note=one.name,
            **one.model_dump(exclude={"name", "points"}),
        )
        for one in given.rulers
    )
    measures = tuple(
        _measure(one, _ruler_id(one, rulers, path), new_id(), frame_px) for one in given.measures
    )
    return Review(
        id=new_id(), case=_case_of(given).id, reviewer="points", calibrations=rulers,
        measures=measures,
    )  # fmt: skip


def _measure(
    one: GivenMeasure, ruler: str | None, measure_id: str, frame_px: tuple[int, int]
) -> Measure:
    times_us = tuple(_us(time) for time in one.times_s)
    return Measure(
        id=measure_id,
        kind=one.kind,
        at_us=times_us[0] if times_us else 0,
        points=_shares(one.points, frame_px),
        times_us=times_us,
        calibration=ruler,
        plane=one.plane,
        around=_shares(one.around, frame_px),
        around_what=one.around_what,
        optic=_shares(one.optic, frame_px),
        threshold_mm_s=one.threshold_mm_s,
        note=one.name,
    )


def _ruler_id(one: GivenMeasure, rulers: tuple[Calibration, ...], path: Path) -> str | None:
    if one.ruler == _NO_RULER or (one.ruler is None and not rulers):
        return None
    named = [ruler for ruler in rulers if one.ruler in (None, ruler.note)]
    if len(named) != 1:
        names = ", ".join(f"“{ruler.note}”" for ruler in rulers) or "none"
        asked = f"“{one.ruler}”" if one.ruler is not None else "its ruler"
        raise TableBroken(
            f"The measure “{one.name or one.kind}” does not name one ruler by {asked}.",
            hint=f"Rulers of this file: {names}. Write “{_NO_RULER}” for pixels.",
            path=path,
        )
    return named[0].id


def _frame_px(given: PointsFile) -> tuple[int, int]:
    """Return a frame that all points lie in; its size plays no part in any number."""
    every = [
        point
        for one in (*given.rulers, *given.measures)
        for name in _SETS
        for point in getattr(one, name, ())
    ]
    wide = math.ceil(max([1.0, *(x for x, _ in every)]))
    high = math.ceil(max([1.0, *(y for _, y in every)]))
    return wide, high


def _shares(points: PointsPx, frame_px: tuple[int, int]) -> tuple[tuple[float, float], ...]:
    return tuple((x / frame_px[0], y / frame_px[1]) for x, y in points)


def _us(seconds: float) -> int:
    return seconds_to_us(Fraction(repr(seconds)))


def _from_rows(rows: list[TableRow], path: Path) -> dict[str, Any]:
    """Return the same data as a JSON file would hold, out of one row a point."""
    if not rows:
        raise TableBroken("This table has no points.", hint=HINT, path=path)
    require_columns(rows, _COLUMNS, path)
    groups: dict[tuple[str, str], list[TableRow]] = {}
    for row in rows:
        groups.setdefault((row.fields["what"], row.fields["name"]), []).append(row)
    data: dict[str, Any] = {"rulers": [], "measures": []}
    for (what, name), members in groups.items():
        is_ruler = what in BASES
        fields = _gathered(members, path) | {"name": name, "basis" if is_ruler else "kind": what}
        data["rulers" if is_ruler else "measures"].append(fields)
    return data


def _gathered(rows: Iterable[TableRow], path: Path) -> dict[str, Any]:
    fields: dict[str, Any] = {"points": []}
    for row in rows:
        place = row.fields.get("set") or "points"
        if place not in _SETS:
            raise _cell(row, f"“{place}” is none of {', '.join(_SETS)}", path)
        point = _number(row, "x_px", path), _number(row, "y_px", path)
        fields.setdefault(place, []).append(point)
        if row.fields.get("time_s"):
            fields.setdefault("times_s", []).append(_number(row, "time_s", path))
        for name in (*_NUMBERS, *_WORDS):
            if not (text := row.fields.get(name)):
                continue
            value = _number(row, name, path) if name in _NUMBERS else text
            if fields.setdefault(name, value) != value:
                raise _cell(row, f"{name} says “{text}”, and a row before says otherwise", path)
    return fields


def _number(row: TableRow, name: str, path: Path) -> float:
    try:
        return float(row.fields[name].replace(",", "."))
    except ValueError:
        raise _cell(row, f"{name} “{row.fields[name]}” is no number", path) from None


def _cell(row: TableRow, what: str, path: Path) -> TableBroken:
    return TableBroken(f"Line {row.line} of this table: {what}.", hint=HINT, path=path)
