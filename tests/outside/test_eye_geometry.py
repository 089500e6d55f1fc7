"""Measuring on the microscope picture against figures worked out beforehand elsewhere."""

from __future__ import annotations

import math

import numpy as np
import pytest

from aftercase.model.orientation import DEGREES_AN_HOUR
from aftercase.vision.ellipse import Ellipse, ellipse_through
from aftercase.vision.paths import outline_circularity
from aftercase.vision.scale import scale_of_length


@pytest.fixture
def geometry(check_values):
    return check_values["eye_geometry"]


def test_millimetres_a_pixel_and_back(geometry):
    ends = np.array([[0.0, 0.0], [geometry["wtw_px"], 0.0]])
    scale = scale_of_length(ends, geometry["wtw_mm"], 0.0)
    assert scale.mm_per_px == pytest.approx(geometry["mm_per_px"], rel=1e-6)
    in_px = geometry["capsulorhexis_mm"] / scale.mm_per_px
    assert in_px == pytest.approx(geometry["capsulorhexis_px"], abs=1e-4)
    ring = Ellipse(0, 0, in_px / 2, in_px / 2)
    area_mm2 = ring.area_px2 * scale.mm_per_px**2
    assert area_mm2 == pytest.approx(geometry["capsulorhexis_area_mm2"], abs=1e-6)


def test_circularity_of_circle_square_and_ellipse(geometry):
    square = np.array([[0.0, 0], [3, 0], [3, 3], [0, 3]])
    assert outline_circularity(square) == pytest.approx(geometry["circularity_square"], abs=1e-6)
    assert Ellipse(0, 0, 7, 7).circularity == pytest.approx(1.0)
    expected = geometry["ellipse_5.5x5.0"]
    ellipse = ellipse_through(Ellipse(30, 40, 2.75, 2.5, 25).outline_px(9))
    assert ellipse.perimeter_px == pytest.approx(expected["perimeter"], abs=1e-5)
    assert ellipse.area_px2 == pytest.approx(expected["area"], abs=1e-5)
    assert ellipse.circularity == pytest.approx(expected["circularity"], abs=1e-6)


def test_the_perimeter_of_an_ellipse_is_that_of_its_outline(geometry):
    """By numerical integration, as a second way."""
    ellipse = Ellipse(0, 0, 2.75, 2.5)
    outline = ellipse.outline_px(20_000)
    around = np.hypot(*np.diff(outline, axis=0, append=outline[:1]).T).sum()
    assert around == pytest.approx(geometry["ellipse_5.5x5.0"]["perimeter"], abs=1e-5)


def test_twelve_hours_are_a_turn(geometry):
    assert geometry["clock_hour_deg"] == DEGREES_AN_HOUR == math.degrees(2 * math.pi) / 12
