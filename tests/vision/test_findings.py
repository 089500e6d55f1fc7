"""What follows from a scan of drawn pictures, and from rows that were made up."""

from __future__ import annotations

import numpy as np
import pytest
from tests.eye_films import CENTRE, drawn_eye

from aftercase.vision.findings import eye_share, findings, followed_limbus
from aftercase.vision.scan import ROW, looked_at

STEP_US = 200_000
RATE_HZ = 5.0
ENTRIES = {(10, 40): 170.0, (25, 40): 250.0, (60, 90): 170.0}
"""First picture and the one after the last, to where the bar crosses."""
N = 100


def bars_on(number):
    return [at for (first, stop), at in ENTRIES.items() if first <= number < stop]


def rows_of(pictures):
    before, rows = None, []
    for number, picture in enumerate(pictures):
        before = looked_at(STEP_US * number, picture, before)
        rows.append(before.row)
    return np.concatenate(rows)


@pytest.fixture(scope="module")
def rows():
    """A scan of twenty seconds of a drawn eye that drifts, with three bars."""
    drift = [(CENTRE[0] + 6 * np.sin(n / 9), CENTRE[1] + 3 * np.cos(n / 7)) for n in range(N)]
    return rows_of(drawn_eye(bars_on(n), centre=drift[n], number=n) for n in range(N))


def states_of(found):
    """What is told of the pictures; that a bar is suddenly there is a jump, as it is drawn."""
    return [one.kind for one in found.states if one.kind != "cut"]


def told(spans):
    return [(one.start_us // STEP_US, one.end_us // STEP_US) for one in spans]


def test_no_pictures_and_one_picture_without_an_eye_suggest_nothing():
    assert not findings(np.zeros(0, ROW), 0).has_eye
    assert not findings(rows_of([np.full((180, 320, 3), 90, np.uint8)]), 0).has_eye


def test_one_picture_with_an_eye_has_an_eye_and_nothing_else():
    found = findings(rows_of([drawn_eye()]), 0)
    assert found.has_eye
    assert found.states == found.instruments == found.gaps == found.boundaries == ()


def test_bars_become_instruments_and_what_is_between_them_a_gap(rows):
    found = findings(rows, N * STEP_US)
    assert found.has_eye
    assert told(found.instruments) == list(ENTRIES)
    assert told(found.gaps) == [(40, 60)]
    assert states_of(found) == []
    for one, direction in zip(found.instruments, ENTRIES.values(), strict=True):
        assert one.direction_deg == pytest.approx(direction, abs=3.0)
        assert one.confidence > 0.5
    [boundary] = found.boundaries
    assert boundary.at_us == 60 * STEP_US


def test_before_the_first_and_after_the_last_instrument_there_is_no_gap(rows):
    assert all(
        first >= 10 and stop <= 90 for first, stop in told(findings(rows, 0 + N * STEP_US).gaps)
    )


def test_a_single_wrong_limbus_changes_nothing(rows):
    wrong = rows.copy()
    wrong["limbus"][50, :2] += 30.0
    wrong["limbus"][70, 2:4] *= 1.4
    limbus = followed_limbus(wrong, RATE_HZ)
    assert np.flatnonzero(np.isnan(limbus[:, 0])).tolist() == [50, 70]
    found = findings(wrong, N * STEP_US)
    assert told(found.instruments) == list(ENTRIES)
    assert states_of(found) == []


def test_an_instrument_across_a_black_stretch_stays_one_and_the_gap_is_still_one(rows):
    black = rows.copy()
    for first, stop in ((28, 33), (45, 48)):
        black["light"][first:stop] = 1.0
        black["ring_seen"][first:stop] = False
        black["limbus_confidence"][first:stop] = np.nan
        black["limbus"][first:stop] = np.nan
    found = findings(black, N * STEP_US)
    assert told(found.instruments) == list(ENTRIES)
    assert told(found.gaps) == [(40, 60)]
    assert states_of(found) == ["black", "black"]


def test_a_gap_that_was_hardly_seen_is_not_claimed(rows):
    lost = rows.copy()
    lost["ring_seen"][42:58] = False
    assert findings(lost, N * STEP_US).gaps == ()


def test_a_recording_that_hardly_shows_an_eye_suggests_nothing(rows):
    lost = rows.copy()
    lost["limbus_confidence"][: 85 * N // 100] = 0.2
    assert eye_share(lost) == pytest.approx(0.15)
    found = findings(lost, N * STEP_US)
    assert (found.has_eye, found.instruments, found.gaps) == (False, (), ())


def test_working_it_out_twice_gives_the_same(rows):
    assert findings(rows, N * STEP_US) == findings(rows.copy(), N * STEP_US)
