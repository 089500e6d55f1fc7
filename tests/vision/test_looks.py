from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from scipy import ndimage

from aftercase.vision.looks import GREY_WIDTH_PX, change_between, grey_of, look_of


def flat(red, green, blue, size=(90, 160)):
    return np.full((*size, 3), (red, green, blue), np.uint8)


@pytest.fixture(scope="module")
def detailed():
    """Noise that was softened as a lens softens it, in grey."""
    noise = ndimage.gaussian_filter(np.random.default_rng(4).normal(0, 1, (180, 320)), 0.6)
    grey = (120 + 45 * noise / noise.std()).clip(0, 255).astype(np.uint8)
    return np.repeat(grey[..., None], 3, axis=2)


def test_a_black_picture_has_no_light_and_no_sharpness():
    look = look_of(flat(0, 0, 0))
    assert (look.light, look.clipped) == (0.0, 0.0)
    assert math.isnan(look.sharpness)


def test_a_white_picture_is_clipped_and_a_bright_one_is_not():
    assert look_of(flat(255, 255, 255)).clipped == 1.0
    assert look_of(flat(255, 255, 240)).clipped == 0.0
    half = flat(128, 128, 128)
    half[:45] = 255
    assert look_of(half).clipped == 0.5


def test_light_is_the_mean_of_luma():
    # ITU-R BT.601: 0.299 R + 0.587 G + 0.114 B
    assert look_of(flat(200, 100, 50)).light == pytest.approx(124.2, abs=0.6)


@pytest.mark.parametrize(
    ("colour", "red_green", "blue_yellow"),
    # CIE L*a*b* of sRGB red, green, blue and grey under D65 (common practice)
    [((255, 0, 0), 80, 67), ((0, 255, 0), -86, 83), ((0, 0, 255), 79, -108), ((99, 99, 99), 0, 0)],
)
def test_tints_are_those_of_lab(colour, red_green, blue_yellow):
    look = look_of(flat(*colour))
    assert look.red_green == pytest.approx(red_green, abs=1.0)
    assert look.blue_yellow == pytest.approx(blue_yellow, abs=1.0)


def test_sharpness_falls_with_every_further_blur(detailed):
    found = [
        look_of(ndimage.gaussian_filter(detailed, (sigma, sigma, 0))).sharpness
        for sigma in (0, 0.5, 1.0, 1.5, 2.5)
    ]
    assert all(sharper > softer for sharper, softer in pairwise(found))
    assert found[-1] < 0.5 * found[0]


def test_sharpness_does_not_change_with_light(detailed):
    bright = look_of(detailed).sharpness
    assert look_of((detailed * 0.6).astype(np.uint8)).sharpness == pytest.approx(bright, rel=0.05)


def test_the_small_grey_picture_has_the_shape_of_the_large_one():
    assert grey_of(flat(9, 9, 9, (180, 320))).shape == (90, GREY_WIDTH_PX)
    assert grey_of(flat(9, 9, 9, (432, 768))).shape == (90, GREY_WIDTH_PX)
    assert grey_of(flat(9, 9, 9, (4, 320))).shape == (16, GREY_WIDTH_PX)


def test_a_picture_does_not_differ_from_itself(detailed):
    grey = grey_of(detailed)
    assert change_between(grey, grey) == (0.0, 0.0, 0.0)


def test_one_changed_block_is_told_in_the_block_and_hardly_in_the_mean():
    before = np.full((90, 160), 100.0, np.float32)
    now = before.copy()
    now[40:48, 80:88] += 32.0
    change = change_between(before, now)
    assert change.most == pytest.approx(32.0)
    assert change.mean == pytest.approx(32.0 * 64 / (90 * 160))
    assert change.greys == pytest.approx(64 / (90 * 160))


def test_two_plain_pictures_share_no_grey():
    dark, bright = (np.full((90, 160), level, np.float32) for level in (10.0, 200.0))
    assert change_between(dark, bright) == (190.0, 190.0, 1.0)


@pytest.mark.parametrize("picture", [np.zeros((9, 9), np.uint8), np.zeros((9, 9, 3))])
def test_what_is_no_picture_is_refused(picture):
    with pytest.raises(ValueError, match="not a picture"):
        look_of(picture)


def test_pictures_of_different_sizes_are_not_compared():
    with pytest.raises(ValueError, match="pictures of"):
        change_between(np.zeros((90, 160), np.float32), np.zeros((120, 160), np.float32))
