"""The error a number is printed with holds what it should: 95 of 100 repeated pointings."""

from __future__ import annotations

import math

import numpy as np
import pytest

from aftercase.vision.ellipse import Ellipse, ring_through
from aftercase.vision.paths import area_px2, path_length_px
from aftercase.vision.pointing import POINTING_PX, pointing_errors

ENDS = np.array([[100.0, 100], [300, 100]])


def test_a_length_is_off_by_both_of_its_ends():
    """2 px at each end, independently: 2 sqrt 2 px, by hand."""
    off = pointing_errors(lambda p: np.array([path_length_px(p)]), ENDS)
    assert off == pytest.approx([2 * math.sqrt(2)], rel=1e-4)


def test_a_number_that_does_not_depend_on_the_points_is_not_off():
    assert pointing_errors(lambda p: np.array([len(p)]), ENDS).tolist() == [0]


def test_no_error_of_pointing_is_no_error():
    assert pointing_errors(lambda p: np.array([path_length_px(p)]), ENDS, 0.0).tolist() == [0]


def test_a_distance_of_nothing_is_off_all_the_same():
    """Two points on one another, 2 px each along x and y: 2 sqrt 2 to 4, by hand."""
    same = np.array([[5.0, 5], [5, 5]])
    off = pointing_errors(lambda p: np.array([path_length_px(p)]), same)
    assert 2 * math.sqrt(2) <= off[0] <= 4.001


def test_each_point_may_have_an_error_of_its_own():
    """3 and 4 px together: 5, by hand."""
    off = pointing_errors(lambda p: np.array([path_length_px(p)]), ENDS, np.array([3.0, 4.0]))
    assert off == pytest.approx([5], rel=1e-4)


def ring_numbers(points):
    ring = ring_through(points)
    return np.array([ring.mean_diameter_px, ring.area_px2, ring.axis_ratio])


NUMBERS = {
    "length": (lambda p: np.array([path_length_px(p[:2])]), ENDS),
    "outline": (lambda p: np.array([area_px2(p)]), Ellipse(500, 500, 200, 150).outline_px(9)),
    "ring": (ring_numbers, Ellipse(500, 500, 220, 200, 40).outline_px(8)),
    "circle": (lambda p: ring_numbers(p)[:2], Ellipse(500, 500, 99, 99).outline_px(3)),
    "half-ring": (ring_numbers, Ellipse(500, 500, 220, 200, 40).outline_px(16)[:11]),
}


@pytest.mark.parametrize("name", NUMBERS)
def test_ninety_five_of_a_hundred_pointings_lie_within_the_error(name):
    numbers, true_points = NUMBERS[name]
    chance = np.random.default_rng(11)
    true, within = numbers(true_points), []
    for _ in range(300):
        points = true_points + chance.normal(0, POINTING_PX / 1.96, true_points.shape)
        within.append(np.abs(numbers(points) - true) <= pointing_errors(numbers, points))
    # 300 draws of a share of .95 have a standard error of .0126: 3 of them are .038, by hand
    assert np.mean(within, axis=0) == pytest.approx(0.95, abs=0.038)
