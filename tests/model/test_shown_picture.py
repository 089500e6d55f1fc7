"""Where a place of a decoded frame is on the picture as shown, against numpy's own turning.

`numpy.rot90` turns counter-clockwise, `numpy.fliplr` changes left and right.
"""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from aftercase.model.case import Case, GuideReference, Part, frame_shape
from aftercase.model.picture import (
    FrameShape,
    PicturePoint,
    decoded_share,
    shown_share,
    shown_size,
    square_pixels,
)

DISPLAYS = [(turn_deg, mirrored) for turn_deg in (0, 90, 180, 270) for mirrored in (False, True)]
WIDTH, HEIGHT = 7, 4


def as_looked_at(frame, turn_deg, mirrored):
    return np.rot90(np.fliplr(frame) if mirrored else frame, turn_deg // 90)


def one_pixel(row, column):
    frame = np.zeros((HEIGHT, WIDTH), bool)
    frame[row, column] = True
    return frame


def middle_of(frame):
    """Return the middle of what is true, x and y in pixels."""
    rows, columns = np.nonzero(frame)
    return (columns.min() + columns.max() + 1) / 2, (rows.min() + rows.max() + 1) / 2


@pytest.mark.parametrize(("turn_deg", "mirrored"), DISPLAYS)
def test_every_pixel_goes_where_turning_the_picture_takes_it(turn_deg, mirrored):
    for row, column in np.ndindex(HEIGHT, WIDTH):
        looked_at = as_looked_at(one_pixel(row, column), turn_deg, mirrored)
        high, wide = looked_at.shape
        right, down = shown_share(
            (column + 0.5) / WIDTH, (row + 0.5) / HEIGHT, turn_deg, mirrored=mirrored
        )
        assert (right * wide, down * high) == pytest.approx(middle_of(looked_at))


@given(st.floats(0, 1), st.floats(0, 1), st.sampled_from(DISPLAYS))
def test_the_way_back_leads_to_the_place_it_came_from(x, y, display):
    turn_deg, mirrored = display
    seen = shown_share(x, y, turn_deg, mirrored=mirrored)
    assert decoded_share(*seen, turn_deg, mirrored=mirrored) == pytest.approx((x, y))


@pytest.mark.parametrize(("turn_deg", "mirrored"), DISPLAYS)
def test_pixels_are_made_square_before_they_are_turned(turn_deg, mirrored):
    shape = FrameShape(
        width_px=WIDTH, height_px=HEIGHT, pixel_aspect=2.0,
        shown_turn_deg=turn_deg, shown_mirrored=mirrored,
    )  # fmt: skip
    for row, column in np.ndindex(HEIGHT, WIDTH):
        squared = np.repeat(one_pixel(row, column), 2, axis=1)
        looked_at = as_looked_at(squared, turn_deg, mirrored)
        point = PicturePoint(x=(column + 0.5) / WIDTH, y=(row + 0.5) / HEIGHT, at_us=0)
        assert square_pixels(point, shape) == pytest.approx(middle_of(looked_at))
        assert shown_size(shape) == looked_at.shape[::-1]


def case_of(**fields):
    """Return a case of one part."""
    part = Part(
        id="a" * 26, path="a.mp4", size_bytes=1, duration_us=1, quick_hash="", time_base=(1, 25),
        start_us=0, end_us=1, **fields,
    )  # fmt: skip
    guide = GuideReference(id="g", guide_version="1.0")
    return Case(id="c" * 26, code="C1", guide=guide, parts=(part,))


def test_a_part_that_is_not_there_or_has_no_size_has_no_shape():
    case = case_of(shown_turn_deg=90)
    assert [frame_shape(case, part) for part in (-1, 0, 1)] == [None, None, None]


def test_a_part_of_which_nothing_is_said_is_shown_as_it_is_decoded():
    case = case_of(width_px=8, height_px=6)
    assert frame_shape(case, 0) == FrameShape(width_px=8, height_px=6)


def test_a_part_gives_its_frames_size_aspect_turn_and_mirror():
    shown = {"shown_turn_deg": 270, "shown_mirrored": True}
    case = case_of(width_px=720, height_px=576, pixel_aspect=(16, 15), **shown)
    wanted = FrameShape(width_px=720, height_px=576, pixel_aspect=16 / 15, **shown)
    assert frame_shape(case, 0) == wanted
