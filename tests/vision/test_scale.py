"""Rulers on drawn rings whose size is known."""

from __future__ import annotations

import math

import numpy as np
import pytest

from aftercase.vision.ellipse import Ellipse
from aftercase.vision.scale import (
    ASSUMED_ERROR_MM,
    WHITE_TO_WHITE_MM,
    pointing_at,
    scale_of_length,
    scale_of_limbus,
    scale_of_optic,
)

LIMBUS = Ellipse(960, 540, 220, 205, long_deg=90)
"""440 px wide from left to right, 410 px tall."""


def test_a_length_of_11_8_mm_over_440_px():
    """0.026818 mm a pixel, so 5.25 mm are 195.76 px: by hand."""
    scale = scale_of_length(np.array([[20.0, 30], [460, 30]]), 11.8, 0.0)
    assert scale.mm_per_px == pytest.approx(0.0268182, abs=1e-7)
    assert 5.25 / scale.mm_per_px == pytest.approx(195.7627, abs=1e-4)
    # two ends, 2 px each: 2 sqrt 2 of 440, by hand
    assert scale.error == pytest.approx(2 * math.sqrt(2) / 440, rel=1e-3)


def test_two_points_on_one_another_are_no_ruler():
    same = np.array([[5.0, 5], [5, 5]])
    assert scale_of_length(same, 11.8, 0.0) is None
    assert scale_of_optic(same) is None
    assert scale_of_limbus(np.array([[0.0, 0], [1, 1], [2, 2]]), 90.0) is None


@pytest.mark.parametrize("n_points", [3, 4, 5, 12])
def test_an_optic_of_6_mm_by_its_edge(n_points):
    scale = scale_of_optic(Ellipse(700, 400, 150, 150).outline_px(n_points))
    assert scale.mm_per_px == pytest.approx(6 / 300)
    assert scale.size_error == pytest.approx(0.1 / 6)


def test_an_optic_by_two_ends_of_a_diameter():
    scale = scale_of_optic(np.array([[550.0, 400], [850, 400]]))
    assert scale.mm_per_px == pytest.approx(6 / 300)


def test_an_optic_tilted_by_seven_degrees_is_off_by_less_than_half_a_per_cent():
    tilted = Ellipse(700, 400, 150, 150 * math.cos(math.radians(7)), 20).outline_px(9)
    assert scale_of_optic(tilted).mm_per_px == pytest.approx(6 / 300, rel=0.005)


def test_the_limbus_is_measured_along_the_eye_s_own_line():
    points = LIMBUS.outline_px(12)
    scale = scale_of_limbus(points, 90.0)
    assert scale.mm_per_px == pytest.approx(WHITE_TO_WHITE_MM / 440)
    # 1.96 * 0.42 / 11.71, by hand: 7.03 %
    assert scale.size_error == pytest.approx(0.0703, abs=1e-4)
    assert scale.notes == ()


def test_a_limbus_that_lies_on_its_side_is_measured_up_and_down():
    upright = Ellipse(960, 540, 220, 205, long_deg=0).outline_px(12)
    assert scale_of_limbus(upright, 0.0).mm_per_px == pytest.approx(WHITE_TO_WHITE_MM / 440)


def test_a_limbus_taller_than_wide_asks_whether_the_seat_is_right():
    scale = scale_of_limbus(LIMBUS.outline_px(12), 0.0)
    assert scale.mm_per_px == pytest.approx(WHITE_TO_WHITE_MM / 410)
    assert "seat" in scale.notes[0]


def test_an_eye_of_unknown_turn_takes_the_longest_diameter_and_a_larger_error():
    """7.03 % and 7.2 % (10.44 against 11.25 mm) together: 10.06 %, by hand."""
    scale = scale_of_limbus(LIMBUS.outline_px(12), None)
    assert scale.mm_per_px == pytest.approx(WHITE_TO_WHITE_MM / 440)
    assert scale.size_error == pytest.approx(0.1006, abs=2e-4)
    assert "not said" in scale.notes[0]


@pytest.mark.parametrize(
    "points",
    [LIMBUS.outline_px(3), LIMBUS.outline_px(4), LIMBUS.outline_px(36)[:15]],
    ids=["three", "four", "less-than-half"],
)
def test_a_limbus_pointed_at_in_few_places_is_a_circle_with_a_larger_error(points):
    scale = scale_of_limbus(points, 90.0)
    assert scale.size_error > 0.0785
    assert "circle" in scale.notes[0]
    assert abs(scale.mm_per_px * 440 / WHITE_TO_WHITE_MM - 1) < scale.error


def test_the_patient_s_own_value_has_its_own_error():
    own = scale_of_limbus(LIMBUS.outline_px(12), 90.0, 12.1, 0.33)
    assert own.mm_per_px == pytest.approx(12.1 / 440)
    assert own.size_error == pytest.approx(0.33 / 12.1)
    assert pytest.approx(0.8232) == ASSUMED_ERROR_MM


def test_points_that_scatter_about_their_ring_are_off_by_as_much():
    chance = np.random.default_rng(5)
    rough = LIMBUS.outline_px(24) + chance.normal(0, 5, (24, 2))
    assert pointing_at(LIMBUS.outline_px(24)) == 2.0
    assert pointing_at(rough) == pytest.approx(1.96 * 5, rel=0.35)
    assert scale_of_limbus(rough, 90.0).pointing_error > 2 * (
        scale_of_limbus(LIMBUS.outline_px(24), 90.0).pointing_error
    )
