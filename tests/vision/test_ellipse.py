"""Rings through points that were made with a known answer; perimeters against SciPy."""

from __future__ import annotations

import math

import numpy as np
import pytest

from aftercase.vision.ellipse import (
    Ellipse,
    circle_through,
    direction_of,
    ellipse_through,
    ring_through,
    scatter_px,
    unit,
    widest_gap_deg,
)


def some_ellipse(seed):
    chance = np.random.default_rng(seed)
    longest = float(chance.uniform(50, 400))
    return Ellipse(
        float(chance.uniform(0, 1920)),
        float(chance.uniform(0, 1080)),
        longest,
        longest * float(chance.uniform(0.5, 0.98)),
        float(chance.uniform(0, 180)),
    )


def noisy(ellipse, n_points, noise_px, chance):
    points = ellipse.outline_px(n_points)
    return points + chance.normal(0, noise_px, points.shape)


@pytest.mark.parametrize("n_points", range(3))
def test_fewer_than_three_points_are_no_ring(n_points):
    points = Ellipse(5, 5, 3, 2).outline_px(8)[:n_points]
    assert ring_through(points) is None
    assert circle_through(points) is None
    assert ellipse_through(points) is None


@pytest.mark.parametrize("n_points", [3, 4, 5, 6, 30])
def test_points_on_a_line_or_on_one_another_are_no_ring(n_points):
    line = np.column_stack([np.arange(n_points) * 7.0, np.arange(n_points) * 3.0 + 5])
    assert ring_through(line) is None
    assert circle_through(line) is None
    assert ring_through(np.full((n_points, 2), 44.0)) is None


def test_three_points_make_the_one_circle_through_them():
    """(0,0), (6,0), (0,8): half of the longest side of a right triangle, by hand."""
    circle = circle_through(np.array([[0.0, 0], [6, 0], [0, 8]]))
    assert circle.centre_px == pytest.approx((3, 4))
    assert circle.long_px == circle.short_px == pytest.approx(5)
    assert circle.circularity == pytest.approx(1)
    assert circle.axis_ratio == 1


@pytest.mark.parametrize("seed", range(20))
def test_a_circle_is_found_from_a_third_of_it(seed):
    chance = np.random.default_rng(seed)
    made = Ellipse(900, 500, 220, 220)
    arc = np.asarray(made.centre_px) + 220 * unit(chance.uniform(0, 120, 12))
    found = circle_through(arc)
    assert found.centre_px == pytest.approx(made.centre_px, abs=1e-6)
    assert found.long_px == pytest.approx(220, abs=1e-6)


@pytest.mark.parametrize("n_points", [5, 6, 9, 40])
@pytest.mark.parametrize("seed", range(10))
def test_an_ellipse_is_found_again_from_exact_points(seed, n_points):
    made = some_ellipse(seed)
    found = ellipse_through(made.outline_px(n_points))
    assert found.centre_px == pytest.approx(made.centre_px, abs=1e-4)
    assert found.long_px == pytest.approx(made.long_px, rel=1e-6)
    assert found.short_px == pytest.approx(made.short_px, rel=1e-6)
    turned = (found.long_deg - made.long_deg + 90) % 180 - 90
    assert turned == pytest.approx(0, abs=1e-3)


def test_an_ellipse_is_found_again_from_noisy_points():
    """Ten points each a pixel off (SD): centres within 2 px, mean diameters within 1 %, of 200."""
    chance = np.random.default_rng(7)
    off_centre, off_size = [], []
    for seed in range(200):
        made = some_ellipse(seed)
        found = ellipse_through(noisy(made, 10, 1.0, chance))
        off_centre.append(math.dist(found.centre_px, made.centre_px))
        off_size.append(found.mean_diameter_px / made.mean_diameter_px - 1)
    assert np.percentile(off_centre, 95) < 2
    assert np.percentile(np.abs(off_size), 95) < 0.01
    assert abs(np.mean(off_size)) < 0.002


@pytest.mark.parametrize("seed", range(10))
def test_a_ring_by_opencv_is_the_same_ring(seed):
    """OpenCV's direct fit is another implementation of the same method."""
    cv2 = pytest.importorskip("cv2")
    points = noisy(some_ellipse(seed), 24, 1.0, np.random.default_rng(seed))
    (x, y), diameters, _ = cv2.fitEllipseDirect(points.astype(np.float32))
    found = ellipse_through(points)
    assert found.centre_px == pytest.approx((x, y), abs=0.2)
    assert 2 * found.short_px == pytest.approx(min(diameters), rel=2e-3)
    assert 2 * found.long_px == pytest.approx(max(diameters), rel=2e-3)


@pytest.mark.parametrize("ratio", [1.0, 0.999, 0.9, 0.5, 0.1, 0.01])
def test_the_perimeter_is_that_of_the_elliptic_integral(ratio):
    special = pytest.importorskip("scipy.special")
    ellipse = Ellipse(0, 0, 3.0, 3.0 * ratio)
    expected = 4 * 3.0 * special.ellipe(1 - ratio**2)
    assert ellipse.perimeter_px == pytest.approx(expected, rel=1e-12)


def test_widths_and_radii_follow_the_turn():
    lying = Ellipse(0, 0, 6, 5, long_deg=90)
    assert lying.width_px(90) == pytest.approx(12)
    assert lying.width_px(0) == pytest.approx(10)
    assert lying.width_px(180) == pytest.approx(10)
    # 1 / sqrt(.5/36 + .5/25) by hand
    assert lying.reach_px(45.0) == pytest.approx(5.43215, abs=1e-5)


def test_directions_run_clockwise_from_straight_up():
    assert unit(np.array([0.0, 90, 180, 270])).round(9).tolist() == [
        [0, -1],
        [1, 0],
        [0, 1],
        [-1, 0],
    ]
    assert direction_of(np.array([[0.0, -2], [2, 0], [0, 2], [-2, 0]])).tolist() == [
        0,
        90,
        180,
        270,
    ]


def test_scatter_is_that_of_the_points_with_what_was_fitted_taken_off():
    chance = np.random.default_rng(2)
    made = Ellipse(800, 500, 220, 210, 30)
    found = [
        scatter_px(points, ellipse_through(points))
        for points in (noisy(made, 12, 1.5, chance) for _ in range(300))
    ]
    assert np.sqrt(np.mean(np.square(found))) == pytest.approx(1.5, rel=0.05)
    assert scatter_px(made.outline_px(5), made) == 0
    assert scatter_px(made.outline_px(50), made) == pytest.approx(0, abs=1e-9)


def test_the_widest_stretch_without_a_point_is_told():
    made = Ellipse(0, 0, 3, 3)
    assert widest_gap_deg(made.outline_px(4), made) == pytest.approx(90)
    assert widest_gap_deg(made.outline_px(36)[:19], made) == pytest.approx(180)
    assert widest_gap_deg(made.outline_px(1), made) == pytest.approx(360)


@pytest.mark.parametrize("value", [np.nan, np.inf])
def test_points_that_are_no_numbers_are_no_ring(value):
    points = Ellipse(5, 5, 3, 2).outline_px(8)
    points[2, 1] = value
    assert ring_through(points) is None
    assert ring_through(points[:4]) is None
