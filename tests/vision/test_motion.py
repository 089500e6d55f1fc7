from __future__ import annotations

import numpy as np
import pytest
from scipy import ndimage

from aftercase.vision.motion import motion_between

SIZE = (90, 160)


@pytest.fixture(scope="module")
def texture():
    """Smooth noise, larger than a picture, that can be shifted without an edge coming in."""
    noise = np.random.default_rng(1).normal(0, 1, (150, 220))
    smooth = ndimage.gaussian_filter(noise, 1.5)
    return (110 + 40 * smooth / smooth.std()).clip(0, 255)


def cut_out(texture, right=0.0, down=0.0):
    """What is seen once the scene has moved right and down, by cubic splines (scipy)."""
    moved = ndimage.shift(texture, (down, right), order=3)
    return moved[30:120, 30:190].astype(np.float32)


def test_two_black_pictures_have_not_moved():
    black = np.zeros(SIZE, np.float32)
    found = motion_between(black, black, None)
    assert (found.shift_x_px, found.shift_y_px) == (0.0, 0.0)
    assert (found.inside, found.around) == (0.0, 0.0)


def test_a_picture_beside_itself_has_not_moved(texture):
    found = motion_between(cut_out(texture), cut_out(texture), None)
    assert np.hypot(found.shift_x_px, found.shift_y_px) < 0.01
    assert found.response > 0.95
    assert found.around < 0.01


@pytest.mark.parametrize("shift", [(1, 0), (0, -3), (7, 5), (0.5, 0.25), (-2.3, 1.7), (12, -9)])
def test_a_known_shift_is_found_to_a_fifth_of_a_pixel(texture, shift):
    found = motion_between(cut_out(texture), cut_out(texture, *shift), None)
    assert found.shift_x_px == pytest.approx(shift[0], abs=0.2)
    assert found.shift_y_px == pytest.approx(shift[1], abs=0.2)


def test_a_shift_of_all_leaves_little_motion_and_light_leaves_none(texture):
    still = motion_between(cut_out(texture), cut_out(texture, 4, 3), None)
    unshifted = np.abs(cut_out(texture) - cut_out(texture, 4, 3)).mean()
    assert still.around < 0.1 * unshifted
    dimmed = motion_between(cut_out(texture), 0.7 * cut_out(texture), None)
    assert dimmed.around < 0.5


def test_what_moves_inside_the_eye_is_told_apart_from_what_moves_around_it(texture):
    inside = np.zeros(SIZE, np.bool_)
    inside[20:70, 50:110] = True
    before, now = cut_out(texture), cut_out(texture)
    now[35:55, 70:90] += 60  # 400 of the eye's 3000 pixels
    found = motion_between(before, now, inside)
    assert found.inside == pytest.approx(60 * 400 / 3000, rel=0.15)
    assert found.around < 1.5
    before_outside = motion_between(before, now, ~inside & False)
    assert before_outside.inside == 0.0


def test_another_scene_counts_as_no_shift():
    chance = np.random.default_rng(2)
    one, other = (chance.uniform(0, 255, SIZE).astype(np.float32) for _ in range(2))
    found = motion_between(one, other, None)
    assert (found.shift_x_px, found.shift_y_px) == (0.0, 0.0)
    assert found.around > 50


def test_the_pictures_handed_in_stay_as_they_were(texture):
    before, now = cut_out(texture), cut_out(texture, 3, 2)
    kept = before.copy(), now.copy()
    motion_between(before, now, None)
    assert np.array_equal(before, kept[0])
    assert np.array_equal(now, kept[1])


@pytest.mark.parametrize("other", [(90, 161), (15, 160)])
def test_pictures_of_other_sizes_and_tiny_ones_are_refused(other):
    with pytest.raises(ValueError, match="pictures of"):
        motion_between(np.zeros(other, np.float32), np.zeros(other[::-1], np.float32), None)
