"""Whatever a file of the right form says, it is measured or it is said why not."""

from __future__ import annotations

import math
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from aftercase.metrics.picture import picture_measures
from aftercase.metrics.pictureshapes import measure_drawings, ruler_drawings
from aftercase.metrics.rulers import ruler_of
from aftercase.model.case import Case, GuideReference, Part, SinceDegrees, SinceWord
from aftercase.model.guide import Guide, Step
from aftercase.model.measure import (
    BASES,
    MEASURE_KINDS,
    PLANES,
    SIZES_FROM,
    Calibration,
    Measure,
)
from aftercase.model.review import Review

ONE, TWO, THREE, FOUR = (f"id{number:024d}" for number in range(4))
GUIDE = Guide(
    id="g", guide_version="1.0", name="G", steps=(Step(id="a", name="A", strip_label="A"),)
)

shares = st.floats(0.0, 1.0) | st.sampled_from((0.0, 0.25, 0.5, 1.0))
points = st.lists(st.tuples(shares, shares), max_size=9).map(tuple)
moments = st.integers(0, 200)
sizes = st.floats(1e-3, 1e3)

calibrations = st.builds(
    Calibration,
    id=st.just(TWO),
    start_us=st.integers(0, 50),
    end_us=st.integers(50, 200),
    basis=st.sampled_from((*BASES, "of-later")),
    part=st.integers(0, 1),
    at_us=moments,
    points=points,
    size_mm=sizes,
    size_error_mm=st.none() | st.floats(0, 10),
    size_from=st.sampled_from(SIZES_FROM),
    plane=st.sampled_from(PLANES),
)
measures = st.builds(
    Measure,
    id=st.just(THREE),
    kind=st.sampled_from((*MEASURE_KINDS, "of-later")),
    part=st.integers(0, 2),
    at_us=moments,
    points=points,
    times_us=st.lists(moments, max_size=5).map(lambda us: tuple(sorted(us))),
    calibration=st.sampled_from((None, TWO, FOUR)),
    plane=st.sampled_from(PLANES),
    around=points,
    around_what=st.sampled_from(("limbus", "pupil")),
    optic=points,
    threshold_mm_s=st.none() | sizes,
)


def some(least: int, most: int = 9) -> st.SearchStrategy[tuple[tuple[float, float], ...]]:
    return st.lists(st.tuples(shares, shares), min_size=least, max_size=most).map(tuple)


FEWEST = {"length": 2, "path": 2, "ring": 3, "area": 3, "angle": 2, "capsulorhexis": 3}


@st.composite
def ruled_measures(draw: st.DrawFn) -> Measure:
    """A measure that breaks no rule of its own, which may still make no ring."""
    kind = draw(st.sampled_from(MEASURE_KINDS))
    times_us: tuple[int, ...] = ()
    if kind == "tip-path":
        given_us = draw(st.lists(st.integers(51, 90), min_size=2, max_size=6, unique=True))
        times_us = tuple(sorted(given_us))
    least = FEWEST.get(kind, len(times_us))
    most = 2 if kind in ("length", "angle") else len(times_us) or 9
    return Measure(
        id=THREE,
        kind=kind,
        at_us=times_us[0] if times_us else draw(st.integers(51, 90)),
        points=draw(some(least, most)),
        times_us=times_us,
        calibration=draw(st.sampled_from((None, TWO, TWO))),
        plane=draw(st.sampled_from(PLANES)),
        around=draw(some(1, 1) | some(3)),
        around_what=draw(st.sampled_from(("limbus", "pupil"))),
        optic=draw(st.just(()) | some(3)),
        threshold_mm_s=draw(st.none() | sizes),
    )


@st.composite
def ruled_calibrations(draw: st.DrawFn) -> Calibration:
    basis = draw(st.sampled_from(BASES))
    return draw(calibrations).changed(
        start_us=0,
        end_us=200,
        part=0,
        basis=basis,
        points=draw(some(2, 2) if basis == "known-length" else some(3)),
    )


def case(setting: str, eye: str, zoom: tuple[SinceWord, ...]) -> Case:
    def film(number: int, wide: int) -> Part:
        return Part(
            id=ONE, path="a.mp4", size_bytes=1, duration_us=100, quick_hash="", time_base=(1, 1),
            start_us=100 * number, end_us=100 * number + 100, width_px=wide, height_px=96,
            pixel_aspect=(16, 15), shown_turn_deg=90,
        )  # fmt: skip

    return Case(
        id=ONE,
        code="C1",
        guide=GuideReference(id="g", guide_version="1.0"),
        parts=(film(0, 128), film(1, 120)),
        setting=setting,
        eye=eye,
        seat=(SinceWord(from_us=0, value="temporal"),),
        turn_deg=(SinceDegrees(from_us=0, value=20.0),),
        zoom=zoom,
    )


@given(
    calibration=calibrations | ruled_calibrations(),
    measure=measures | ruled_measures(),
    setting=st.sampled_from(("patient", "practice-eye")),
    eye=st.sampled_from(("right", "not-said")),
    zoomed=st.booleans(),
)
@settings(max_examples=300, deadline=None)
def test_any_ruler_and_measure_come_to_numbers_or_to_a_sentence(
    calibration: Calibration, measure: Measure, setting: str, eye: str, zoomed: bool
) -> None:
    zoom = (SinceWord(from_us=60, value="x10"),) if zoomed else ()
    the_case = case(setting, eye, zoom)
    review = Review(
        id=ONE, case=ONE, reviewer="T1", calibrations=(calibration,), measures=(measure,)
    )
    ruler = ruler_of(the_case, calibration)
    assert bool(ruler.fault) == (ruler.scale is None)
    (found,) = picture_measures(the_case, GUIDE, review)
    assert bool(found.fault) == (not found.numbers)
    for number in found.numbers:
        assert math.isfinite(number.value)
        assert number.error is None or number.error > 0
        assert number.text
        in_mm = number.unit.startswith("mm")
        assert not in_mm or (ruler.scale is not None and number.error is not None)
    _stay_on_the_frame(measure_drawings(the_case, review, measure))
    _stay_on_the_frame(ruler_drawings(the_case, calibration))


def _stay_on_the_frame(drawings: Any) -> None:
    for drawing in drawings:
        assert len(drawing.points) > 1
        assert all(0 <= x <= 1 and 0 <= y <= 1 for x, y in drawing.points)
