"""The rules of rulers and of what is measured with them."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence
from itertools import pairwise
from types import MappingProxyType
from typing import Final

from aftercase.clock import text_of
from aftercase.model import measure as measure_model
from aftercase.model.case import Case, span_without_zoom_change, window_of
from aftercase.model.measure import LIMBUS, MOST_MEASURE_POINTS, Calibration, Measure
from aftercase.model.problem import Problem
from aftercase.model.review import REVIEW_VERSION, Review

_MOST: Final = MOST_MEASURE_POINTS
_MEASURE_POINTS: Final = MappingProxyType(
    {
        "length": (2, 2),
        "path": (2, _MOST),
        "ring": (3, _MOST),
        "area": (3, _MOST),
        "angle": (2, 2),
        "capsulorhexis": (3, _MOST),
        "tip-path": (2, _MOST),
    }
)
_RULER_POINTS: Final = MappingProxyType(
    {"optic": (2, _MOST), "limbus": (3, _MOST), "known-length": (2, 2)}
)
_ANY: Final = (1, _MOST)

HUMAN_SIZE: Final = (
    "an assumed size of the limbus is one of patients’ eyes, and this case is not said to be a "
    "patient’s"
)


def points_wanted(kind: str) -> tuple[int, int]:
    """Return how many points a measure's kind or a ruler's basis has: least and most.

    Example:
        >>> points_wanted("length"), points_wanted("limbus")
        ((2, 2), (3, 500))
    """
    return _MEASURE_POINTS.get(kind) or _RULER_POINTS.get(kind, _ANY)


def calibration_problem(calibration: Calibration) -> tuple[str, str] | None:
    """Return the field and what is wrong with a ruler by itself, None where nothing is."""
    if not calibration.start_us <= calibration.at_us < calibration.end_us:
        return "at_us", "its frame must lie in the span it holds for"
    least, most = _RULER_POINTS.get(calibration.basis, _ANY)
    return _count_problem("points", calibration.points, least, most)


def measure_problem(
    measure: Measure, calibrations: Iterable[Calibration]
) -> tuple[str, str] | None:
    """Return the field and what is wrong with a measure among its rulers, None where nothing is."""
    least, most = _MEASURE_POINTS.get(measure.kind, _ANY)
    return (
        _count_problem("points", measure.points, least, most)
        or _lone_points_problem(measure)
        or _times_problem(measure)
        or _ruler_problem(measure, calibrations)
    )


def uses_human_size(calibration: Calibration) -> bool:
    """Say whether a ruler is the limbus of people, in a size that nobody measured."""
    return calibration.basis == LIMBUS and calibration.size_from not in ("measured", "maker")


def picture_measure_problems(review: Review, case: Case) -> Iterator[Problem]:
    """Yield what is wrong with the rulers and measures of a review."""
    for number, calibration in enumerate(review.calibrations):
        place = f"calibrations/{number}"
        yield from _placed(place, calibration_problem(calibration))
        yield from _zoom_problems(place, calibration, case)
        yield from _part_problems(place, calibration.part, case)
        if uses_human_size(calibration) and case.setting != "patient":
            yield Problem(f"{place}/size_from", HUMAN_SIZE)
    for number, measure in enumerate(review.measures):
        place = f"measures/{number}"
        yield from _placed(place, measure_problem(measure, review.calibrations))
        yield from _part_problems(place, measure.part, case)
        yield from _outside_problems(place, measure, case)
    yield from _word_problems(review)


def _lone_points_problem(measure: Measure) -> tuple[str, str] | None:
    """Return what is wrong with the points of the ring around, and of the optic."""
    if len(measure.around) == 2:
        return "around", "it has 2 points; a centre has 1, a ring 3 and more"
    if measure.optic and len(measure.optic) < 3:
        return _count_problem("optic", measure.optic, 3, _MOST)
    for name in ("around", "optic"):
        if problem := _count_problem(name, getattr(measure, name), 0, _MOST):
            return problem
    return None


def _times_problem(measure: Measure) -> tuple[str, str] | None:
    times_us = measure.times_us
    if measure.kind != "tip-path":
        return ("times_us", "only a tip’s path has times of its own") if times_us else None
    if len(times_us) != len(measure.points):
        return "times_us", f"it has {len(times_us)} times for {len(measure.points)} points"
    if times_us[0] != measure.at_us:
        return "times_us", "its first time must be that of the measure"
    if any(later <= earlier for earlier, later in pairwise(times_us)):
        return "times_us", "each time must be later than the one before"
    return None


def _ruler_problem(measure: Measure, calibrations: Iterable[Calibration]) -> tuple[str, str] | None:
    if measure.calibration is None:
        return None
    ruler = next((one for one in calibrations if one.id == measure.calibration), None)
    if ruler is None:
        return "calibration", "no calibration has this id"
    for us in measure.times_us or (measure.at_us,):
        if not ruler.start_us <= us < ruler.end_us:
            span = f"{text_of(ruler.start_us)} to {text_of(ruler.end_us)}"
            return "calibration", f"{text_of(us)} lies outside what its ruler holds for, {span}"
    return None


def _count_problem(
    field: str, points: Sequence[object], least: int, most: int
) -> tuple[str, str] | None:
    if least <= len(points) <= most:
        return None
    wanted = f"{least}" if least == most else f"{least} to {most}"
    return field, f"it has {len(points)} points; wanted are {wanted}"


def _placed(place: str, problem: tuple[str, str] | None) -> Iterator[Problem]:
    if problem is not None:
        yield Problem(f"{place}/{problem[0]}", problem[1])


def _zoom_problems(place: str, calibration: Calibration, case: Case) -> Iterator[Problem]:
    steady = span_without_zoom_change(case, calibration.at_us)
    start_us = max(calibration.start_us, window_of(case).start_us)
    end_us = min(calibration.end_us, window_of(case).end_us)
    if start_us < steady.start_us or end_us > steady.end_us:
        span = f"{text_of(steady.start_us)} to {text_of(steady.end_us)}"
        yield Problem(place, f"the zoom changes within it; around its frame it is one from {span}")


def _part_problems(place: str, part: int, case: Case) -> Iterator[Problem]:
    if part >= max(1, len(case.parts)):
        yield Problem(f"{place}/part", "the recording has no such part")


def _outside_problems(place: str, measure: Measure, case: Case) -> Iterator[Problem]:
    window = window_of(case)
    if any(not window.start_us <= us <= window.end_us for us in measure.times_us):
        bounds = f"{text_of(window.start_us)} to {text_of(window.end_us)}"
        yield Problem(f"{place}/times_us", f"one lies outside the case, {bounds}")


_WORDS: Final[tuple[tuple[str, str, Collection[str]], ...]] = (
    ("calibrations", "basis", measure_model.BASES),
    ("calibrations", "size_from", measure_model.SIZES_FROM),
    ("calibrations", "plane", measure_model.PLANES),
    ("measures", "kind", measure_model.MEASURE_KINDS),
    ("measures", "plane", measure_model.PLANES),
    ("measures", "around_what", measure_model.CENTRES),
)


def _word_problems(review: Review) -> Iterator[Problem]:
    """Check the words the format itself lists; a newer minor version may list more."""
    if review.version != REVIEW_VERSION:
        return
    for name, field, known in _WORDS:
        for number, record in enumerate(getattr(review, name)):
            word = getattr(record, field)
            if word not in known:
                yield Problem(f"{name}/{number}/{field}", f"“{word}” is not a known word here")
