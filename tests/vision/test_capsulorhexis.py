"""Openings whose overlap on the optic can be written down."""

from __future__ import annotations

import math

import numpy as np
import pytest

from aftercase.vision.capsulorhexis import offset_px, overlap_on
from aftercase.vision.ellipse import Ellipse

OPTIC = Ellipse(500, 500, 300, 300)


def test_an_opening_in_the_middle_is_covered_evenly():
    overlap = overlap_on(Ellipse(500, 500, 250, 250), OPTIC)
    assert overlap.covered_share == 1
    assert (overlap.mean_px, overlap.least_px, overlap.most_px) == pytest.approx((50, 50, 50))


def test_an_opening_of_its_own_size_covers_nothing():
    overlap = overlap_on(OPTIC, OPTIC)
    assert overlap.covered_share == 0
    assert (overlap.least_px, overlap.most_px) == pytest.approx((0, 0), abs=1e-9)


def test_an_opening_that_holds_the_optic_leaves_it_bare():
    overlap = overlap_on(Ellipse(500, 500, 350, 330), OPTIC)
    assert overlap.covered_share == 0
    assert overlap.least_px == pytest.approx(-50)


@pytest.mark.parametrize("direction_deg", [0.0, 37.0, 90.0, 200.0])
def test_an_opening_off_centre_is_bare_on_one_side(direction_deg):
    """Two circles: overlap R - r -+ d; edges cross where cos = (R2 + d2 - r2) / 2Rd. By hand."""
    d, r, big = 70.0, 260.0, 300.0
    angle = math.radians(direction_deg)
    centre = 500 + d * math.sin(angle), 500 - d * math.cos(angle)
    overlap = overlap_on(Ellipse(*centre, r, r), OPTIC)
    assert overlap.least_px == pytest.approx(big - r - d, abs=0.02)
    assert overlap.most_px == pytest.approx(big - r + d, abs=0.02)
    bare = 2 * math.acos((big**2 + d**2 - r**2) / (2 * big * d))
    assert overlap.covered_share == pytest.approx(1 - bare / (2 * math.pi), abs=2 / 720)


def test_an_oval_opening_is_covered_most_across():
    overlap = overlap_on(Ellipse(500, 500, 280, 240, long_deg=30), OPTIC)
    assert (overlap.least_px, overlap.most_px) == pytest.approx((20, 60))


@pytest.mark.parametrize("seed", range(10))
def test_any_opening_is_covered_as_a_drawing_of_it_says(seed):
    """Against points along the opening's outline, by their distance from the optic's centre."""
    chance = np.random.default_rng(seed)
    centre = tuple(500 + chance.uniform(-60, 60, 2))
    opening = Ellipse(*centre, 270, float(chance.uniform(200, 270)), float(chance.uniform(0, 180)))
    away = np.hypot(*(opening.outline_px(20_000) - 500).T)
    overlap = overlap_on(opening, OPTIC)
    assert overlap.least_px == pytest.approx(300 - away.max(), abs=0.05)
    assert overlap.most_px == pytest.approx(300 - away.min(), abs=0.05)


def test_no_overlap_is_told_where_the_optic_s_centre_is_outside_the_opening():
    assert overlap_on(Ellipse(900, 500, 250, 250), OPTIC) is None


def test_an_offset_is_the_distance_of_two_centres():
    assert offset_px(Ellipse(3, 4, 2, 2), (0, 0)) == 5
