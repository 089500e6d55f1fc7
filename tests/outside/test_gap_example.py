"""The worked example of gaps: five instrument spans in 75 s.

Source: worked by hand; 3 s is the only threshold seen in print (the span extraction published with
Cataract-1K, Ghamsarian et al., Scientific Data 2024), 0, 0.5 and 1 s are common practice.
"""

from __future__ import annotations

import random

import numpy as np
import pytest

from aftercase.metrics.intervals import spans_of, union
from aftercase.metrics.measures import measured
from aftercase.metrics.subject import Settings, Subject
from aftercase.model.base import id_source
from aftercase.model.case import Case, GuideReference, Window
from aftercase.model.guide import Guide, Instrument, Step
from aftercase.model.review import InstrumentSpan, Review

SECOND_US = 1_000_000
RECORDING_S = 75
IN_USE_S = [(0, 12), (10, 25.5), (27, 40), (40.4, 52), (58.5, 70)]
MERGED_S = [(0, 25.5), (27, 40), (40.4, 52), (58.5, 70)]
WITH_EDGES_S = {0: 13.4, 0.5: 13.0, 1: 13.0, 3: 11.5}
WITHOUT_EDGES_S = {0: 8.4, 0.5: 8.0, 1: 8.0, 3: 6.5}


def us(spans_s):
    return [[round(moment * SECOND_US) for moment in span] for span in spans_s]


@pytest.fixture
def example() -> Subject:
    new_id = id_source(random.Random(1))
    guide = Guide(
        id="g",
        guide_version="1.0",
        name="G",
        steps=(Step(id="s", name="S", strip_label="S"),),
        instruments=(Instrument(id="probe", name="Probe", hand="main"),),
    )
    end_us = RECORDING_S * SECOND_US
    case = Case(
        id=new_id(),
        code="C",
        guide=GuideReference(id="g", guide_version="1.0"),
        stated_duration_us=end_us,
        trim=Window(start_us=0, end_us=end_us),
    )
    spans = tuple(
        InstrumentSpan(id=new_id(), instrument="probe", start_us=start_us, end_us=end_us)
        for start_us, end_us in us(IN_USE_S)
    )
    return Subject(case, guide, Review(id=new_id(), case=case.id, reviewer="T", instruments=spans))


def test_the_merged_spans():
    assert union(spans_of(us(IN_USE_S))).tolist() == us(MERGED_S)


@pytest.mark.parametrize("shortest_s", WITH_EDGES_S)
def test_the_totals_for_each_threshold(example, shortest_s):
    settings = Settings(shortest_gap_us=round(shortest_s * SECOND_US))
    frame = measured("gaps", example, settings).frame
    counting = frame[frame["counts_in_total"]]
    assert frame["length_us"].sum() == round(WITH_EDGES_S[shortest_s] * SECOND_US)
    assert counting["length_us"].sum() == round(WITHOUT_EDGES_S[shortest_s] * SECOND_US)


def test_the_example_kept_beside_the_checkout_is_the_same(check_values):
    kept = check_values["gaps"]
    assert kept["recording_s"] == RECORDING_S
    assert np.array_equal(kept["instrument_spans"], IN_USE_S)
    assert np.array_equal(kept["merged"], MERGED_S)
    for name, totals in (
        ("min_gap_total_with_tail", WITH_EDGES_S),
        ("min_gap_total_without_edges", WITHOUT_EDGES_S),
    ):
        assert {float(threshold): total for threshold, total in kept[name].items()} == totals
