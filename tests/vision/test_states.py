"""Steps and stretches in made-up columns, at five pictures a second."""

from __future__ import annotations

import numpy as np
import pytest

from aftercase.vision.states import cuts, runs, steps_for_good, unseen_states

RATE_HZ = 5.0
N = 300


def columns(n=N, **changed):
    """A minute of an ordinary recording, with values changed: name to (where, value) pairs."""
    chance = np.random.default_rng(8)
    made = {
        "light": 110 + chance.normal(0, 1, n),
        "most_change": 12 + chance.uniform(0, 5, n),
        "sharpness": 0.5 + chance.normal(0, 0.01, n),
        "clipped": np.full(n, 0.01),
    }
    for name, parts in changed.items():
        for where, value in parts:
            made[name][where] = value
    return made


def states_of(**changed):
    return [
        (one.kind, one.first, one.stop) for one in unseen_states(**columns(**changed), rate_hz=5.0)
    ]


def test_no_pictures_have_no_states():
    assert unseen_states(*(np.zeros(0),) * 4, rate_hz=RATE_HZ) == []
    assert cuts(*(np.zeros(0),) * 3, RATE_HZ) == []
    assert steps_for_good("zoom-changed", np.zeros(0), lambda level: 1.0, RATE_HZ) == []


def test_one_picture_has_no_states_and_no_changes():
    assert unseen_states(*(np.full(1, 100.0),) * 3, np.zeros(1), rate_hz=RATE_HZ) == []
    assert steps_for_good("zoom-changed", np.ones(1), lambda level: 1.0, RATE_HZ) == []


def test_an_ordinary_minute_has_none():
    assert states_of() == []


@pytest.mark.parametrize(
    ("changed", "kind"),
    [
        ({"light": 3.0}, "black"),
        ({"most_change": 0.2}, "frozen"),
        ({"sharpness": 0.3}, "blurred"),
        ({"clipped": 0.6}, "over-exposed"),
    ],
)
def test_two_seconds_of_each_are_found_from_their_first_picture_to_their_last(changed, kind):
    [(name, value)] = changed.items()
    assert states_of(**{name: [(slice(100, 110), value)]}) == [(kind, 100, 110)]


def test_one_black_picture_is_found_and_one_soft_one_is_not():
    assert states_of(light=[(100, 3.0)]) == [("black", 100, 101)]
    assert states_of(sharpness=[(100, 0.3)]) == []


def test_a_cover_over_the_lens_is_black_and_neither_frozen_nor_blurred():
    covered = slice(100, 150)
    found = states_of(
        light=[(covered, 1.0)], most_change=[(covered, 0.0)], sharpness=[(covered, np.nan)]
    )
    assert found == [("black", 100, 150)]


def test_a_stretch_that_is_clear_for_one_picture_is_one_stretch():
    assert states_of(sharpness=[(slice(100, 105), 0.3), (slice(106, 112), 0.3)]) == [
        ("blurred", 100, 112)
    ]


def test_a_recording_that_is_soft_all_through_is_not_blurred():
    assert states_of(sharpness=[(slice(None), 0.2)]) == []


def test_more_blur_is_told_with_more_confidence():
    def confidence(sharpness):
        [one] = unseen_states(**columns(sharpness=[(slice(100, 110), sharpness)]), rate_hz=5.0)
        return one.confidence

    assert 0.5 < confidence(0.38) < confidence(0.25) <= 1.0


def changes(parts):
    chance = np.random.default_rng(9)
    mean, greys = 4 + chance.uniform(0, 2, N), 0.06 + chance.uniform(0, 0.03, N)
    left = 3 + chance.uniform(0, 2, N)
    mean[0] = greys[0] = left[0] = np.nan
    for where, values in parts.items():
        mean[where], greys[where], left[where] = values
    return mean, greys, left


def test_a_jump_is_a_cut_between_the_picture_before_and_the_one_after():
    [cut] = cuts(*changes({120: (15.0, 0.2, 12.0)}), RATE_HZ)
    assert (cut.kind, cut.first, cut.stop) == ("cut", 119, 121)


def test_a_hand_that_goes_to_and_fro_is_no_cut():
    assert cuts(*changes({120: (15.0, 0.2, 12.0), 123: (14.0, 0.2, 11.0)}), RATE_HZ) == []


def test_a_still_picture_that_twitches_is_no_cut():
    mean, greys = np.full(N, 0.2), np.full(N, 0.01)
    mean[120], greys[120] = 2.0, 0.1
    assert cuts(mean, greys, mean, RATE_HZ) == []


def test_a_light_that_is_switched_is_no_cut():
    assert cuts(*changes({120: (28.0, 0.39, 4.0)}), RATE_HZ) == []


def test_what_is_beside_a_black_picture_is_no_cut():
    assert cuts(*changes({120: (np.nan, 0.9, 90.0), 121: (np.nan, 0.9, 90.0)}), RATE_HZ) == []


def zoomed(*parts):
    """A radius that has a value from a picture on, until the next one, with a little noise."""
    values = np.concatenate([np.full(n, float(value)) for n, value in parts])
    return values + np.random.default_rng(1).normal(0, 0.05, len(values))


def zooms(values):
    found = steps_for_good("zoom-changed", values, lambda radius: 0.04 * radius, RATE_HZ)
    return [(one.first, one.stop) for one in found]


def test_a_radius_that_stays_has_no_step():
    assert zooms(zoomed((N, 50.0))) == []


def test_a_step_is_told_between_the_last_before_and_the_first_after():
    assert zooms(zoomed((100, 50.0), (100, 55.0))) == [(99, 101)]


def test_a_slow_zoom_is_told_from_its_beginning_to_its_end():
    ramp = np.concatenate([np.full(100, 50.0), np.linspace(50, 60, 9)[1:-1], np.full(100, 60.0)])
    [(first, stop)] = zooms(ramp)
    assert abs(first - 99) <= 1  # the last one before it
    assert abs(stop - 108) <= 1  # the first one after it


def test_two_zooms_are_two():
    assert len(zooms(zoomed((60, 50.0), (60, 56.0), (60, 50.0)))) == 2


def test_a_single_wrong_radius_is_no_zoom():
    values = zoomed((N, 50.0))
    values[100], values[150] = 90.0, np.nan
    assert zooms(values) == []


def test_a_step_across_a_stretch_where_nothing_is_known_is_found():
    values = zoomed((100, 50.0), (100, 56.0))
    values[97:103] = np.nan
    assert len(zooms(values)) == 1


def test_where_nothing_is_known_nothing_changes():
    assert zooms(np.full(N, np.nan)) == []


def test_runs_of_nothing_and_of_all():
    assert runs(np.zeros(4, np.bool_)) == []
    assert runs(np.ones(4, np.bool_)) == [(0, 4)]
