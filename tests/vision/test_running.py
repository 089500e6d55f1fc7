from __future__ import annotations

import numpy as np
import pytest
from scipy.ndimage import median_filter

from aftercase.vision.running import running_median


def test_nothing_has_no_medians():
    assert running_median(np.zeros((0, 3)), 2).shape == (0, 3)


def test_one_value_is_its_own_median():
    assert running_median(np.array([[4.0]]), 5).tolist() == [[4.0]]


def test_a_single_wrong_value_does_not_show():
    values = np.arange(9.0)
    values[4] = 1000.0
    assert np.abs(running_median(values[:, None], 1)[:, 0] - np.arange(9)).max() <= 1.0


@pytest.mark.parametrize("half", [1, 2, 5])
def test_it_is_what_scipy_says_away_from_the_ends(half):
    values = np.random.default_rng(3).normal(size=60)
    ours = running_median(values[:, None], half)[:, 0]
    theirs = median_filter(values, 2 * half + 1)
    assert np.array_equal(ours[half:-half], theirs[half:-half])


def test_what_is_not_known_is_left_out_and_stays_unknown_where_nothing_is():
    values = np.array([np.nan, 1.0, np.nan, 3.0, np.nan, np.nan, np.nan, np.nan])
    found = running_median(values[:, None], 1)[:, 0]
    assert found[:5].tolist() == [1.0, 1.0, 1.0, 3.0, 3.0]
    assert np.isnan(found[5:]).all()
