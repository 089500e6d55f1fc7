"""Outlines fitted to drawn rings, and how evenly spokes agree, against other libraries."""

from __future__ import annotations

import numpy as np
import pytest

from aftercase.vision.ellipse import Ellipse, scaled_place
from aftercase.vision.limbus import lighter_or_redder, limbus_near
from aftercase.vision.opencv import cv2
from aftercase.vision.outline import evenness, most_even
from aftercase.vision.polar import colours
from aftercase.vision.pupil import pupil_within
from aftercase.vision.reflex import reflex_within


def plain_disc(centre=(80.0, 60.0), radius_px=30.0) -> np.ndarray:
    rows, columns = np.mgrid[:120, :160]
    far = np.hypot(columns - centre[0], rows - centre[1])
    inside = np.clip(radius_px - far + 0.5, 0, 1)[..., None]
    return np.rint(inside * 60 + (1 - inside) * 200).repeat(3, axis=2).astype(np.uint8)


# Evenness.


def test_spokes_without_a_step_are_not_even():
    assert evenness(np.zeros((12, 3), np.float32)) == 0


def test_spokes_that_all_agree_are_as_even_as_the_least_variance_allows():
    """By hand: a step of 1 in one colour over the root of 0.05, the least variance."""
    votes = np.zeros((12, 3), np.float32)
    votes[:, 1] = 1
    assert evenness(votes) == pytest.approx(1 / np.sqrt(0.05), rel=1e-4)
    assert most_even(votes) == pytest.approx([0, 1, 0], abs=1e-5)


def test_spokes_that_contradict_each_other_are_not_even():
    votes = np.tile([[1.0, -1.0, 0.5], [-1.0, 1.0, -0.5]], (8, 1)).astype(np.float32)
    assert evenness(votes) == pytest.approx(0, abs=1e-3)


def test_evenness_is_mahalanobis_distance_of_no_step():
    distance = pytest.importorskip("scipy.spatial.distance").mahalanobis
    votes = np.random.default_rng(3).uniform(-1, 1, (64, 3)) * 0.4 + [0.3, -0.1, 0.2]
    spread = np.cov(votes.T, bias=True) + 0.05 * np.eye(3)
    expected = distance(np.zeros(3), votes.mean(axis=0), np.linalg.inv(spread))
    assert evenness(votes.astype(np.float32)) == pytest.approx(expected, rel=1e-3)


def test_a_colour_in_which_spokes_agree_counts_more_than_a_larger_step_in_which_they_do_not():
    rng = np.random.default_rng(5)
    votes = np.stack([0.3 + rng.normal(0, 0.6, 64), np.full(64, 0.2), np.zeros(64)], axis=1)
    assert abs(most_even(votes)[1]) > abs(most_even(votes)[0])


def test_the_limbus_is_looked_for_lighter_or_redder_never_darker():
    assert lighter_or_redder(np.tile([[0.9, 0.0, 0.4]], (8, 1)))[0] == pytest.approx(1)
    darker = lighter_or_redder(np.tile([[-0.9, -0.3, 0.4]], (8, 1)))
    assert darker == pytest.approx([1, 0, 0])
    assert lighter_or_redder(np.tile([[-0.2, 0.9, 0.0]], (8, 1)))[1] > 0.9


# Limbus and pupil from a start that is off.


@pytest.mark.parametrize("shift", [(0, 0), (4, 0), (-3, 4)])
@pytest.mark.parametrize("size", [0.88, 1.0, 1.12])
def test_a_disc_is_found_from_a_start_beside_it(shift, size):
    start = Ellipse(80 + shift[0], 60 + shift[1], 30 * size, 30 * size)
    found = limbus_near(colours(plain_disc()), start)
    assert found.ellipse.distance_px(80, 60) < 0.3
    assert found.ellipse.radius_px == pytest.approx(30, rel=0.02)
    assert found.strength > 0.95


def test_nothing_to_fit_leaves_the_outline_about_where_it_was():
    start = Ellipse(80.0, 60.0, 30.0, 30.0)
    found = limbus_near(colours(np.full((120, 160, 3), 90, np.uint8)), start)
    assert found.ellipse.distance_px(80, 60) < 1
    assert found.strength == pytest.approx(0, abs=0.01)


def test_an_outline_outside_the_picture_is_left_with_no_strength():
    start = Ellipse(-300.0, 60.0, 30.0, 30.0)
    found = limbus_near(colours(plain_disc()), start)
    assert found.ellipse.distance_px(-300, 60) == 0
    assert found.strength == 0


def test_a_disc_without_a_pupil_has_no_even_pupil():
    """Inside a plain disc nothing agrees."""
    found = pupil_within(colours(plain_disc()), Ellipse(80.0, 60.0, 30.0, 30.0))
    assert found.evenness < 0.5 or found.ellipse.radius_px > 0.92 * 30


# The light's reflection.


def spotted(*spots: tuple[float, float, float, int]) -> np.ndarray:
    """Draw spots (x, y, radius, level) on a plain dark picture."""
    rows, columns = np.mgrid[:120, :160]
    picture = np.full((120, 160), 60.0)
    for x, y, radius, level in spots:
        cover = np.clip(radius + 0.5 - np.hypot(columns - x, rows - y), 0, 1)
        picture = picture * (1 - cover) + level * cover
    return np.rint(picture)[..., None].repeat(3, axis=2).astype(np.uint8)


LIMBUS = Ellipse(80.0, 60.0, 40.0, 39.0)


def test_a_plain_cornea_shows_no_reflection():
    assert reflex_within(spotted(), LIMBUS) is None


def test_a_reflection_is_found_to_a_fraction_of_a_pixel():
    spot = reflex_within(spotted((86.3, 55.6, 2.5, 255)), LIMBUS)
    assert np.hypot(spot.x_px - 86.3, spot.y_px - 55.6) < 0.5
    assert spot.confidence > 0.9


def test_of_two_reflections_the_larger_is_taken():
    spot = reflex_within(spotted((84, 58, 2.5, 255), (90, 61, 1.2, 235)), LIMBUS)
    assert np.hypot(spot.x_px - 84, spot.y_px - 58) < 1


def test_a_glint_outside_the_cornea_is_none():
    spot = reflex_within(spotted((130, 60, 3, 255)), LIMBUS)
    assert spot is None or spot.confidence < 0.1


def test_a_faint_spot_is_found_but_doubted():
    assert reflex_within(spotted((84, 58, 2.5, 80)), LIMBUS).confidence < 0.3


def test_a_coloured_spot_is_less_than_a_white_one():
    picture = spotted((84, 58, 2.5, 200))
    picture[..., 2] = 60
    assert reflex_within(picture, LIMBUS) is None


def test_a_limbus_off_the_picture_shows_no_reflection():
    assert reflex_within(spotted(), Ellipse(-300.0, 60.0, 40.0, 40.0)) is None


# Ellipses.


def test_a_picture_twice_as_large_has_its_pixel_middles_where_opencv_puts_them():
    """A pixel drawn twice as large covers two; its middle lies between them."""
    picture = np.zeros((1, 9), np.float32)
    picture[0, 3] = 1
    large = cv2.resize(picture, None, fx=2, fy=2, interpolation=cv2.INTER_NEAREST)
    middle = float((large[0] * np.arange(18)).sum() / large[0].sum())
    assert scaled_place(3, 2) == middle == 6.5


def test_enlarging_and_shrinking_again_gives_the_same_ellipse():
    ellipse = Ellipse(10.0, 20.0, 8.0, 6.0, 30.0)
    back = ellipse.enlarged(3).enlarged(1 / 3)
    assert back.x_px == pytest.approx(10)
    assert back.y_px == pytest.approx(20)
    assert (back.long_px, back.short_px, back.long_deg) == pytest.approx((8, 6, 30))
