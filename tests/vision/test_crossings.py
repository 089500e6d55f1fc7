"""Bars across a drawn ring, at known angles."""

from __future__ import annotations

import numpy as np
import pytest
from tests.eye_films import CENTRE, RADIUS_PX, drawn_eye

from aftercase.vision.crossings import crossed, standing_out, things
from aftercase.vision.ellipse import Ellipse
from aftercase.vision.opencv import cv2
from aftercase.vision.rings import N_BANDS, N_DIRECTIONS, ring_around

LIMBUS = Ellipse(*CENTRE, RADIUS_PX, RADIUS_PX)
RATE_HZ = 5.0


def ring_of(picture, limbus=LIMBUS):
    return ring_around(cv2.cvtColor(picture, cv2.COLOR_RGB2LAB), limbus)


def found_on(pictures):
    rings = [ring_of(one) for one in pictures]
    out = standing_out(
        np.stack([ring for ring, _ in rings]), np.stack([on for _, on in rings]), RATE_HZ
    )
    return [things(one) for one in out]


def with_bars(*bars_of_each):
    """Pictures with bars, and before them as many without any."""
    plain = [drawn_eye(number=n) for n in range(len(bars_of_each))]
    return plain + [drawn_eye(bars, number=n) for n, bars in enumerate(bars_of_each)]


def apart(one, other):
    return abs((one - other + 180) % 360 - 180)


def test_no_pictures_have_nothing_across():
    rings = np.zeros((0, N_DIRECTIONS, N_BANDS, 3), np.uint8)
    out = standing_out(rings, np.zeros(rings.shape[:3], np.bool_), RATE_HZ)
    assert out.shape == (0, N_DIRECTIONS, N_BANDS)
    assert crossed(out).shape == (0, N_DIRECTIONS)


def test_a_ring_is_read_clockwise_from_straight_up():
    lab = np.zeros((180, 320, 3), np.uint8)
    for number, (x, y) in enumerate([(162, 20), (240, 93), (162, 165), (100, 93)]):
        lab[max(0, y - 30) : y + 30, max(0, x - 30) : x + 30, 0] = 50 * (number + 1)
    ring, seen = ring_around(lab, LIMBUS)
    assert ring[[0, 30, 60, 90], 0, 0].tolist() == [50, 100, 150, 200]
    assert seen.all()


def test_what_is_beyond_the_picture_was_not_seen():
    _, seen = ring_of(drawn_eye(), Ellipse(162.0, 10.0, RADIUS_PX, RADIUS_PX))
    assert not seen[0].any()
    assert seen[60].all()


def test_a_plain_eye_has_nothing_across_however_it_is_lit():
    pictures = [drawn_eye(number=n, light=0.7 + 0.03 * n) for n in range(10)]
    assert found_on(pictures) == [()] * 10


@pytest.mark.parametrize(
    ("stands_out", "n_found"),
    [
        ((40.0, 40.0, 40.0), 1),
        ((40.0, 40.0, 0.0), 1),
        ((0.0, 40.0, 40.0), 0),  # a lid's holder that reaches near the limbus, not across it
        ((np.nan, 40.0, 40.0), 1),  # the innermost place is off the picture: nobody knows
        ((40.0, 0.0, 0.0), 0),
    ],
)
def test_what_does_not_reach_the_limbus_is_no_thing_across(stands_out, n_found):
    out = np.zeros((N_DIRECTIONS, N_BANDS), np.float32)
    out[40:46] = stands_out
    assert len(things(out)) == n_found


def test_a_thing_across_is_as_wide_as_its_widest_band():
    out = np.zeros((N_DIRECTIONS, N_BANDS), np.float32)
    out[40:50, 1:] = 40.0
    out[44, 0] = 40.0
    [thing] = things(out)
    assert (thing.direction_deg, thing.width_deg) == (44.5 * 3, 30.0)


@pytest.mark.parametrize("direction", [0.0, 45.0, 90.0, 171.0, 200.0, 300.0, 358.0])
def test_a_bar_is_found_where_it_was_drawn(direction):
    *before, after = found_on(with_bars([direction]))
    assert before == [()]
    [thing] = after
    assert apart(thing.direction_deg, direction) <= 3.0
    # ten pixels wide at about 1.15 radii: by hand, 2 atan(5 / 55) = 10 degrees
    assert 5.0 <= thing.width_deg <= 16.0
    assert thing.contrast > 30


@pytest.mark.parametrize("directions", [(170.0, 248.0), (350.0, 20.0), (10.0, 100.0, 190.0)])
def test_several_bars_are_as_many_things(directions):
    there = found_on(with_bars(directions))[-1]
    assert len(there) == len(directions)
    for direction in directions:
        assert min(apart(thing.direction_deg, direction) for thing in there) <= 3.0


def test_what_is_always_there_is_the_eye_and_not_an_instrument():
    assert found_on([drawn_eye([80.0], number=n) for n in range(10)]) == [()] * 10


def test_a_direction_that_was_not_seen_has_nothing_across():
    rings = [ring_of(one) for one in with_bars([90.0])]
    seen = np.stack([on for _, on in rings])
    seen[:, 20:40] = False
    out = standing_out(np.stack([ring for ring, _ in rings]), seen, RATE_HZ)
    assert things(out[-1]) == ()
    assert np.isnan(out[:, 20:40]).all()
    assert np.isfinite(out[:, :20]).all()


def test_a_ring_that_stands_out_all_round_is_one_thing():
    [thing] = things(np.full((N_DIRECTIONS, N_BANDS), 40.0, np.float32))
    assert thing.width_deg == 360.0
    assert thing.contrast == 40.0


def test_one_band_alone_is_nothing_and_one_direction_alone_is_nothing():
    out = np.zeros((N_DIRECTIONS, N_BANDS), np.float32)
    out[10:20, 0] = 50.0
    out[60, :] = 50.0
    assert things(out) == ()


def test_a_hole_of_two_directions_does_not_make_two_things():
    out = np.zeros((N_DIRECTIONS, N_BANDS), np.float32)
    out[[117, 118, 119, 2, 3, 4]] = 30.0  # across the place where the ring begins
    [thing] = things(out)
    assert apart(thing.direction_deg, 1.5) <= 1.5
    assert thing.width_deg == 24.0
