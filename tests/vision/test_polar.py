"""Unrolling a picture and its steps, against pictures whose values are a formula."""

from __future__ import annotations

import colorsys
import subprocess
import sys

import numpy as np
import pytest

from aftercase.vision.polar import (
    colour_ratios,
    colours,
    ring_radii,
    shrunk,
    spoke_lengths_px,
    spokes,
    steps,
    unrolled,
)


def far_from(x_px: float, y_px: float, size=(160, 120)) -> np.ndarray:
    rows, columns = np.mgrid[: size[1], : size[0]]
    return np.hypot(columns - x_px, rows - y_px).astype(np.float32)


def three(values: np.ndarray) -> np.ndarray:
    return np.repeat(values[..., None], 3, axis=2).astype(np.float32)


def at(*points: tuple[float, float]) -> np.ndarray:
    return np.array(points, np.float32)


def test_rings_grow_by_the_factor_and_reach_the_end():
    radii = ring_radii(10, 20, 1.1)
    assert radii[0] == pytest.approx(10)
    assert radii[1:] / radii[:-1] == pytest.approx(1.1)
    assert radii[-2] < 20 <= radii[-1]


def test_spokes_go_round_clockwise_from_three_oclock():
    """On a picture y points down, so a quarter turn on is six o'clock."""
    assert spokes(4) == pytest.approx(at((1, 0), (0, 1), (-1, 0), (0, -1)), abs=1e-6)


def test_unrolling_distance_from_the_centre_gives_the_radii():
    radii = ring_radii(8, 40, 1.05)
    polar = unrolled(three(far_from(80, 60)), at((80, 60)), radii, spokes(16))
    assert polar.shape == (1, 16, len(radii), 3)
    assert polar == pytest.approx(np.broadcast_to(radii[None, None, :, None], polar.shape), abs=0.1)


def test_very_many_spokes_are_unrolled_like_a_few():
    field = three(far_from(80, 60))
    centres = np.repeat(at((80, 60), (70, 50)), 600, axis=0)
    many = unrolled(field, centres, np.array([10, 20], np.float32), spokes(32))
    few = unrolled(field, centres[[0, -1]], np.array([10, 20], np.float32), spokes(32))
    assert len(centres) * 32 > 32_768
    assert np.array_equal(many[[0, -1]], few)


def test_a_disc_has_one_step_and_it_is_at_its_edge():
    radii = ring_radii(10, 50, 1.04)
    disc = three(far_from(80, 60) > 25)
    found = steps(unrolled(disc, at((80, 60)), radii, spokes(32)), 3)[0, :, :, 0].mean(axis=0)
    edges = radii / np.sqrt(1.04)
    assert edges[found.argmax()] == pytest.approx(25, rel=0.03)
    assert found.max() == pytest.approx(1, abs=0.1)
    assert found[edges < 20] == pytest.approx(0, abs=0.02)


def test_a_slope_has_steps_but_none_above_its_own_slope():
    slope = np.arange(60, dtype=np.float32)[None, None, :, None].repeat(3, axis=3)
    assert steps(slope, 3)[0, 0, 12:-12] == pytest.approx(3)
    assert steps(slope, 3, less_ramp=True)[0, 0, 12:-12] == pytest.approx(0, abs=1e-4)


def test_spokes_end_where_the_picture_ends():
    lengths = spoke_lengths_px((101, 201, 3), at((50, 20)), spokes(4))
    assert lengths[0] == pytest.approx([150, 80, 50, 20])


def test_spokes_from_outside_the_picture_have_nothing_ahead():
    assert (spoke_lengths_px((101, 201, 3), at((-30, -30)), spokes(8)) <= 0).any()


def test_a_small_picture_is_left_as_it_is():
    picture = np.zeros((50, 60, 3), np.uint8)
    small, factor = shrunk(picture, 100)
    assert small is picture
    assert factor == 1


@pytest.mark.parametrize("size", [(1920, 1080), (768, 432), (320, 180), (720, 576), (181, 136)])
def test_a_shrunk_picture_keeps_its_places(size):
    """What the factor says of the width holds of the height, to a seventh of a pixel."""
    width, height = size
    small, factor = shrunk(np.zeros((height, width, 3), np.uint8), 90)
    assert small.shape[0] * small.shape[1] == pytest.approx(90 * 90, rel=0.15)
    assert small.shape[1] == pytest.approx(width * factor)
    assert small.shape[0] == pytest.approx(height * factor, abs=0.15)


def test_grey_has_no_colour_and_a_visible_step_of_lightness_is_one():
    """L* 53.59 is the lightness of grey 128, by CIE 1976; 8 of 100 is a visible step here."""
    grey = colours(np.full((1, 1, 3), 128, np.uint8))[0, 0]
    black = colours(np.zeros((1, 1, 3), np.uint8))[0, 0]
    assert grey[0] - black[0] == pytest.approx(53.59 / 8, abs=0.05)
    assert grey[1:] == pytest.approx(black[1:], abs=0.2)


@pytest.mark.parametrize("light", [0.4, 0.7, 1.0])
def test_ratios_of_a_colour_hardly_change_with_the_light(light):
    rgb = np.array(colorsys.hsv_to_rgb(0.08, 0.5, 0.9)) * 255
    bright = colour_ratios(np.rint(rgb)[None, None].astype(np.uint8))[0, 0]
    dim = colour_ratios(np.rint(rgb * light)[None, None].astype(np.uint8))[0, 0]
    assert dim[1:] == pytest.approx(bright[1:], abs=1.0)
    assert dim[0] <= bright[0]


def test_importing_opencv_changes_nothing_for_qt_and_later_programs():
    names = ("QT_QPA_PLATFORM_PLUGIN_PATH", "QT_QPA_FONTDIR", "LD_LIBRARY_PATH")
    code = (
        "import os, sys\n"
        "os.environ['QT_QPA_FONTDIR'] = 'kept'\n"
        f"before = [os.environ.get(name) for name in {names}]\n"
        "from aftercase.vision.opencv import cv2\n"
        f"sys.exit(before != [os.environ.get(name) for name in {names}])\n"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
