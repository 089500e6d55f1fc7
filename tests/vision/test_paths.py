"""Ways and outlines against OpenCV, movements against SciPy, all else by hand."""

from __future__ import annotations

import math

import numpy as np
import pytest

from aftercase.vision.paths import (
    area_px2,
    crosses_itself,
    n_movements,
    outline_circularity,
    path_length_px,
    perimeter_px,
    speeds_px_s,
)

SQUARE = np.array([[10.0, 10], [13, 10], [13, 13], [10, 13]])


def star(seed, n_points=17):
    """Return an outline that does not cross itself: random radii in even directions."""
    chance = np.random.default_rng(seed)
    angles = np.arange(n_points) * 2 * np.pi / n_points
    radii = chance.uniform(20, 200, n_points)
    return np.column_stack([500 + radii * np.cos(angles), 400 + radii * np.sin(angles)])


def test_one_point_is_a_way_of_no_length_and_encloses_nothing():
    one = SQUARE[:1]
    assert path_length_px(one) == perimeter_px(one) == area_px2(one) == 0
    assert math.isnan(outline_circularity(one))
    assert len(speeds_px_s(one, np.array([0.0]))) == 0


def test_a_square_s_circularity_is_a_quarter_of_pi():
    """.7854: 4 pi s2 / 16 s2 = pi/4, by hand."""
    assert path_length_px(SQUARE) == 9
    assert perimeter_px(SQUARE) == 12
    assert area_px2(SQUARE) == 9
    assert outline_circularity(SQUARE) == pytest.approx(0.785398, abs=1e-6)


@pytest.mark.parametrize("seed", range(20))
def test_random_outlines_have_the_area_and_length_that_opencv_finds(seed):
    cv2 = pytest.importorskip("cv2")
    outline = star(seed)
    told = outline.astype(np.float32).reshape(-1, 1, 2)
    assert area_px2(outline) == pytest.approx(cv2.contourArea(told), rel=1e-5)
    assert perimeter_px(outline) == pytest.approx(cv2.arcLength(told, True), rel=1e-5)
    assert path_length_px(outline) == pytest.approx(cv2.arcLength(told, False), rel=1e-5)


def test_an_area_does_not_depend_on_the_way_round_or_on_where_it_begins():
    outline = star(3)
    assert area_px2(outline[::-1]) == pytest.approx(area_px2(outline))
    assert area_px2(np.roll(outline, 5, axis=0)) == pytest.approx(area_px2(outline))


def test_an_outline_that_crosses_itself_is_told():
    assert not crosses_itself(SQUARE)
    assert crosses_itself(SQUARE[[0, 2, 1, 3]])
    assert not any(crosses_itself(star(seed)) for seed in range(20))
    assert not crosses_itself(SQUARE[:1])


def test_speeds_are_by_the_true_times_between_clicks():
    points = np.array([[0.0, 0], [3, 4], [3, 4], [3, 14]])
    times_us = np.array([0.0, 500_000, 1_000_000, 3_000_000])
    assert speeds_px_s(points, times_us).tolist() == [10, 0, 5]


@pytest.mark.parametrize(
    ("speeds", "threshold", "count"),
    [
        ([], 1, 0),
        ([0, 0, 0], 1, 0),
        ([5], 1, 1),
        ([5], 5, 0),
        ([5, 5, 5], 1, 1),
        ([1, 5, 1, 5, 1], 3, 2),
        ([1, 5, 3, 5, 1], 3, 1),
        ([1, 5, 3, 5, 1], 1, 2),
        ([9, 8, 7, 6, 5, 4], 1, 1),
    ],
)
def test_a_movement_rises_and_falls_by_more_than_the_threshold(speeds, threshold, count):
    """By hand."""
    assert n_movements(np.array(speeds, float), threshold) == count


@pytest.mark.parametrize("seed", range(30))
def test_movements_are_the_peaks_whose_prominence_is_above_the_threshold(seed):
    """The same said another way, and counted by SciPy on the speeds with rest at both ends."""
    signal = pytest.importorskip("scipy.signal")
    chance = np.random.default_rng(seed)
    speeds = chance.uniform(0, 10, chance.integers(1, 60))
    threshold = float(chance.uniform(0.1, 9))
    peaks, _ = signal.find_peaks([0, *speeds, 0], prominence=threshold)
    assert n_movements(speeds, threshold) == len(peaks)
