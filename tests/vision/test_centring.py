from __future__ import annotations

import math

import numpy as np
import pytest

from aftercase.vision.centring import (
    ASSUMED_ERROR,
    WHITE_TO_WHITE_MM,
    eye_offsets,
    mm_a_radius,
    reflex_offsets,
    spread_of,
)
from aftercase.vision.scan import ROW


def rows_with(centres, radius=50.0, reflexes=None):
    """Rows five a second of eyes at some places; an eye that is None was not found."""
    rows = np.zeros(len(centres), ROW)
    rows["at_us"] = np.arange(len(centres)) * 200_000
    rows["width_px"], rows["height_px"] = 320, 180
    for number, centre in enumerate(centres):
        rows["limbus"][number] = (*(centre or (np.nan, np.nan)), radius, radius, 0.0)
        rows["limbus_confidence"][number] = 0.9 if centre else np.nan
        rows["reflex"][number] = np.nan if reflexes is None else reflexes[number]
    rows["reflex_confidence"] = 0.0 if reflexes is None else 0.9
    return rows


def test_nothing_has_no_spread():
    spread = spread_of(eye_offsets(rows_with([])))
    assert spread.n == 0
    assert math.isnan(spread.median)


def test_an_eye_that_was_never_found_has_no_spread():
    assert spread_of(eye_offsets(rows_with([None] * 20))).n == 0


def test_an_eye_that_lies_still_is_at_its_resting_place_wherever_that_is():
    spread = spread_of(eye_offsets(rows_with([(40.0, 150.0)] * 30)))
    assert (spread.n, spread.median, spread.upper, spread.path, spread.within) == (30, 0, 0, 0, 1)


def test_an_eye_pushed_half_a_radius_aside_for_a_tenth_of_the_time():
    centres = [(160.0, 90.0)] * 90 + [(190.0, 90.0)] * 10  # 30 of 50 pixels: 0.6 of the radius
    offsets = eye_offsets(rows_with(centres))
    spread = spread_of(offsets)
    assert (spread.median, spread.upper) == (0.0, 0.0)
    assert spread.path == pytest.approx(0.6)
    assert spread.within == pytest.approx(0.9)
    assert offsets[-1] == pytest.approx([0.6, 0.0])


def test_a_single_wrong_place_does_not_count():
    centres = [(160.0, 90.0)] * 40
    centres[20] = (10.0, 10.0)
    assert spread_of(eye_offsets(rows_with(centres))).path == 0.0


def test_offsets_do_not_depend_on_the_zoom():
    centres = [(160.0 + 5 * (n > 50), 90.0) for n in range(100)]
    small = eye_offsets(rows_with(centres, radius=25.0))
    large = eye_offsets(rows_with([(160 + 2 * (x - 160), y) for x, y in centres]))
    assert small == pytest.approx(large)


def test_the_reflex_is_measured_from_where_it_was_before_the_first_wound():
    reflexes = [(164.0, 90.0)] * 30 + [(174.0, 90.0)] * 30  # 4 and 14 pixels beside the centre
    rows = rows_with([(160.0, 90.0)] * 60, reflexes=reflexes)
    offsets = reflex_offsets(rows, first_wound_us=20 * 200_000)
    assert offsets[0] == pytest.approx([0.0, 0.0])
    assert offsets[-1] == pytest.approx([10 / 50, 0.0])
    whole = reflex_offsets(rows, None)
    assert whole[0] == pytest.approx([-5 / 50, 0.0])  # the middle of all is half way


def test_a_reflex_that_was_never_seen_has_no_spread():
    assert spread_of(reflex_offsets(rows_with([(160.0, 90.0)] * 20), None)).n == 0


def test_a_radius_in_millimetres_is_half_the_white_to_white_of_a_round_limbus():
    assert mm_a_radius(rows_with([(160.0, 90.0)] * 5)) == pytest.approx(11.71 / 2)
    oval = rows_with([(160.0, 90.0)] * 5)
    oval["limbus"][:, 3] = 45.0
    assert mm_a_radius(oval) == pytest.approx(11.71 / 2 * 47.5 / 50)
    assert math.isnan(mm_a_radius(rows_with([None])))


def test_the_assumed_size_and_its_error_are_those_that_were_published():
    # Rüfer 2005, Cornea 24:259: 11.71 (SD 0.42) mm, 390 people
    assert WHITE_TO_WHITE_MM == 11.71
    assert pytest.approx(1.96 * 0.42 / 11.71, abs=0.001) == ASSUMED_ERROR
