"""What is measured of a picture, and of the one after it."""

from __future__ import annotations

import numpy as np
import pytest
from tests.eye_films import CENTRE, RADIUS_PX, drawn_eye

from aftercase.vision.scan import ROW, SURE, ellipse_in, looked_again, looked_at


def passed(pictures):
    """Look at pictures in order; returns their rows."""
    before, rows = None, []
    for number, picture in enumerate(pictures):
        before = looked_at(200_000 * number, picture, before)
        rows.append(before.row)
    return np.concatenate([np.zeros(0, ROW), *rows])


def test_a_row_says_when_and_how_large_and_the_first_one_nothing_of_a_change():
    [row] = passed([drawn_eye()])
    assert (row["at_us"], row["width_px"], row["height_px"]) == (0, 320, 180)
    assert np.isnan(row["change_mean"])
    assert np.isnan(row["motion_inside"])


def test_the_eye_is_found_where_it_was_drawn_on_each_picture():
    centres = [(CENTRE[0] + 3 * n, CENTRE[1] - 2 * n) for n in range(6)]
    rows = passed([drawn_eye(centre=at, number=n) for n, at in enumerate(centres)])
    assert (rows["limbus_confidence"] >= SURE).all()
    off = np.hypot(*(rows["limbus"][:, :2] - np.array(centres)).T)
    assert off.max() < 0.02 * RADIUS_PX
    assert rows["limbus"][:, 2:4].mean() == pytest.approx(RADIUS_PX, rel=0.03)
    assert (rows["n_without_eye"] == 0).all()


def test_an_eye_that_is_covered_is_found_again_where_it_comes_back():
    black = np.zeros_like(drawn_eye())
    away = (100.0, 80.0)
    rows = passed(
        [drawn_eye(), drawn_eye(number=1)]
        + [black] * 7
        + [drawn_eye(centre=away, number=n) for n in range(10)]
    )
    assert rows["n_without_eye"][2:9].tolist() == [1, 2, 3, 4, 5, 6, 7]
    assert np.isnan(rows["limbus"][2:9]).all()
    assert not rows["ring_seen"][2:9].any()
    assert np.hypot(*(rows["limbus"][-1, :2] - away)) < 0.03 * RADIUS_PX
    assert (rows["limbus_confidence"][-5:] >= SURE).all()


def test_a_pass_that_goes_on_from_a_row_comes_to_the_same_rows():
    pictures = [drawn_eye([90.0] * (n > 3), number=n) for n in range(8)]
    whole = passed(pictures)
    before = looked_again(pictures[3], whole[3:4])
    for number in range(4, 8):
        before = looked_at(200_000 * number, pictures[number], before)
        assert before.row.tobytes() == whole[number : number + 1].tobytes()


def test_looking_twice_gives_the_same_bytes():
    pictures = [drawn_eye(number=n) for n in range(4)]
    assert passed(pictures).tobytes() == passed(pictures).tobytes()


def test_a_part_of_another_size_begins_anew():
    small = np.ascontiguousarray(drawn_eye()[::2, ::2])
    rows = passed([drawn_eye(), small])
    assert np.isnan(rows["change_mean"][1])
    assert rows["limbus"][1, 2] == pytest.approx(RADIUS_PX / 2, rel=0.08)


def test_a_picture_that_stays_has_not_changed_and_one_that_moved_has():
    rows = passed([drawn_eye(), drawn_eye(), drawn_eye(centre=(CENTRE[0] + 6, CENTRE[1]))])
    assert rows["change_most"][1] == 0.0
    assert rows["change_most"][2] > 10.0


def test_an_ellipse_that_is_not_there_is_none():
    assert ellipse_in(np.full(5, np.nan)) is None
    ellipse = ellipse_in(np.array([1.0, 2.0, 4.0, 3.0, 10.0]))
    assert ellipse is not None
    assert (ellipse.x_px, ellipse.long_deg) == (1.0, 10.0)
