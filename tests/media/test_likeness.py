"""A texture that drifts stands for a film; its pictures are cut out of one large random field."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest

from aftercase.media.likeness import Greys, likeness, n_repeated, small_grey, stacked
from aftercase.media.picture import Pixels

NOTHING = stacked([])


def scene(seed: int, first: int, n: int, *, noise: float = 0.0) -> Greys:
    """Cut n pictures out of a field, each a pixel further on than the one before."""
    rng = np.random.default_rng(seed)
    field = np.kron(rng.uniform(20, 230, (8, 60)), np.ones((6, 12)))
    kernel = np.ones(9) / 9
    smooth = np.apply_along_axis(np.convolve, 1, field, kernel, "same")
    pictures = np.array([smooth[:18, k : k + 32] for k in range(first, first + n)])
    noisy = pictures + np.random.default_rng(seed + first).normal(0, noise, pictures.shape)
    return noisy.astype(np.float32)


def test_none_is_unclear_and_repeats_nothing() -> None:
    assert likeness(NOTHING, scene(1, 0, 5)) == likeness(scene(1, 0, 5), NOTHING) == "unclear"
    assert n_repeated(NOTHING, scene(1, 0, 5)) == n_repeated(scene(1, 0, 1), scene(1, 0, 1)) == 0


def test_a_film_goes_on_in_its_next_picture_and_in_no_other_film() -> None:
    tail = scene(1, 0, 60, noise=1)
    assert likeness(tail, scene(1, 60, 60, noise=1)) == "alike"
    assert likeness(tail, scene(2, 0, 60, noise=1)) == "unlike"


@pytest.mark.parametrize("level", [0, 128, 255])
def test_blank_pictures_tell_nothing(level: int) -> None:
    blank = np.full((10, 18, 32), level, np.float32)
    assert likeness(blank, blank) == "unclear"
    assert n_repeated(blank, blank) == 0


@pytest.mark.parametrize("count", [2, 7, 30, 59])
def test_repeated_pictures_are_counted_exactly_through_coding_noise(count: int) -> None:
    tail, head = scene(1, 0, 60, noise=0.5), scene(1, 60 - count, 60, noise=0.5)
    assert n_repeated(tail, head) == count


def test_a_film_that_goes_on_repeats_nothing() -> None:
    assert n_repeated(scene(1, 0, 60, noise=0.5), scene(1, 60, 60, noise=0.5)) == 0


def test_where_nothing_moves_a_repeat_cannot_be_told() -> None:
    still = np.repeat(scene(1, 0, 1), 60, axis=0)
    assert n_repeated(still, still) == 0
    assert likeness(still, still) == "alike"


def test_small_pictures_have_one_shape_and_the_picture_s_levels() -> None:
    white = Pixels(640, 480, 2000, bytes([255]) * 2000 * 480, Fraction(1))
    assert small_grey(white).shape == (18, 32)
    assert set(np.unique(small_grey(white))) == {255.0}
