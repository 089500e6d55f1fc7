"""What was measured on the picture: in a person's review, or at places a script hands in."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

from aftercase.metrics.picture import PictureMeasure, picture_measures
from aftercase.metrics.picturecautions import APPROXIMATE
from aftercase.metrics.rulers import Ruler, ruler_of
from aftercase.model.guide import Guide, Step
from aftercase.session.opened import chosen_review, open_case
from aftercase.session.places import Places
from aftercase.session.tasks.pointsfile import read_points


@dataclass(frozen=True)
class Measured:
    """Everything that was measured.

    Attributes:
        rulers: All rulers, by time.
        measures: All measures, by time.
        in_a_case: Whether they stand in a review, so that they have times.
        caution: The sentence that stands under all of it.
    """

    rulers: tuple[Ruler, ...]
    measures: tuple[PictureMeasure, ...]
    in_a_case: bool
    caution: str = APPROXIMATE


def measured_in_case(case_folder: Path, at: Places, *, reviewer: str | None = None) -> Measured:
    """Work out what was measured in a person's review of a case.

    Raises:
        NameUnknown: There is no review, none of that person, or several people's.
        DocumentMissing, DocumentBroken, DocumentTooNew: The case cannot be read.
    """
    opened = open_case(case_folder, at)
    review = chosen_review(opened, reviewer).record
    rulers = tuple(ruler_of(opened.case, one) for one in review.calibrations)
    return Measured(rulers, picture_measures(opened.case, opened.guide, review), True)


def measured_in_file(path: Path) -> Measured:
    """Work out what a file of points says.

    Raises:
        DocumentMissing: There is no such file.
        TableBroken: It cannot be read, or what it says breaks a rule; each place is named.
    """
    case, review = read_points(path)
    step = Step(id="points", name="Points", strip_label="Points")
    guide = Guide(id="points", guide_version="1.0", name="Points", steps=(step,))
    rulers = tuple(ruler_of(case, one) for one in review.calibrations)
    return Measured(rulers, picture_measures(case, guide, review), False)


def plain(measured: Measured) -> dict[str, Any]:
    """Return everything that was measured for JSON: blanks as null, times in microseconds."""
    return {
        "caution": measured.caution,
        "rulers": [_plain_ruler(ruler, measured.in_a_case) for ruler in measured.rulers],
        "measures": [_plain_measure(one, measured.in_a_case) for one in measured.measures],
    }


def _plain_ruler(ruler: Ruler, in_a_case: bool) -> dict[str, Any]:
    record, scale = ruler.calibration, ruler.scale
    named = {"id": record.id, "at_us": record.at_us} if in_a_case else {}
    return {
        **named,
        "note": record.note,
        "basis": record.basis,
        "size_mm": record.size_mm,
        "size_from": record.size_from,
        "plane": ruler.plane,
        "mm_per_px": None if scale is None else scale.mm_per_px,
        "error_share": None if scale is None else scale.error,
        "fault": ruler.fault or None,
        "cautions": list(ruler.cautions),
    }


def _plain_measure(one: PictureMeasure, in_a_case: bool) -> dict[str, Any]:
    record = one.measure
    times = {"at_us": record.at_us, "part": record.part} if in_a_case else {}
    named = {"id": record.id, "calibration": record.calibration} if in_a_case else {}
    return {
        **named,
        **times,
        "note": record.note,
        "kind": record.kind,
        "ruler": None if one.ruler is None else one.ruler.words,
        "numbers": [
            {
                "name": number.name,
                "value": number.value,
                "unit": number.unit,
                "error": number.error,
                "how": number.how or None,
            }
            for number in one.numbers
        ],
        "hours": one.hours or None,
        "threshold_mm_s": one.threshold_mm_s,
        "fault": one.fault or None,
        "cautions": list(one.cautions),
        "usual": list(one.usual),
    }
