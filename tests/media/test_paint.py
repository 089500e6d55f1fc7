"""The painter for files: what it paints, measured in pixels."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest
from PIL import Image

from aftercase.media.overlay import DRAWING_COLOURS, Block, Line, Words
from aftercase.media.paint import paint
from aftercase.media.picture import Pixels
from aftercase.media.stills import upright
from aftercase.model.review import COLOURS, SHAPES, Drawing

GREY = (96, 96, 96)
RED = (255, 0, 0)


def grey(width_px: int = 100, height_px: int = 60) -> Image.Image:
    return Image.new("RGB", (width_px, height_px), GREY)


def array_of(image: Image.Image) -> np.ndarray:
    return np.array(image).astype(int)


def changed(image: Image.Image) -> np.ndarray:
    return (array_of(image) != GREY).any(axis=2)


def middle(where: np.ndarray) -> tuple[float, float]:
    """The middle of the box round some pixels, as x and y."""
    rows, columns = np.nonzero(where)
    return (columns.min() + columns.max() + 1) / 2, (rows.min() + rows.max() + 1) / 2


def close_to(image: Image.Image, colour: tuple[int, int, int]) -> np.ndarray:
    return np.abs(array_of(image) - colour).max(axis=2) < 40


def test_an_empty_list_changes_nothing():
    image = grey()
    paint(image, ())
    assert not changed(image).any()


def test_a_level_line_covers_its_width_and_its_round_ends():
    """From (20, 30) to (80, 30), 10 wide: rows 25 to 35, columns 20 to 80 and 5 at each end."""
    image = grey()
    paint(image, [Line(((20.0, 30.0), (80.0, 30.0)), RED, 10.0)])
    full = (array_of(image) == RED).all(axis=2)
    assert full[26:34, 20:80].all()
    rows, columns = np.nonzero(changed(image))
    assert (rows.min(), rows.max()) == pytest.approx((25, 34), abs=1)
    assert (columns.min(), columns.max()) == pytest.approx((15, 84), abs=1)
    covered = (array_of(image)[:, :, 0] - 96).sum() / (255 - 96)
    assert covered == pytest.approx(60 * 10 + np.pi * 25, rel=0.03)


def test_a_slanting_line_has_soft_edges_and_lies_where_it_was_asked():
    image = grey()
    paint(image, [Line(((10.0, 10.0), (90.0, 50.0)), RED, 4.0)])
    weights = array_of(image)[:, :, 0] - 96
    rows, columns = np.nonzero(weights)
    assert len(np.unique(weights)) > 5
    assert np.average(columns + 0.5, weights=weights[rows, columns]) == pytest.approx(50, abs=0.3)
    assert np.average(rows + 0.5, weights=weights[rows, columns]) == pytest.approx(30, abs=0.3)


def test_a_line_beyond_the_image_is_cut_off():
    image = grey()
    paint(image, [Line(((-50.0, -50.0), (500.0, 400.0)), RED, 6.0)])
    assert changed(image).any()
    outside = grey()
    paint(outside, [Line(((-50.0, -50.0), (-20.0, -10.0)), RED, 6.0)])
    assert not changed(outside).any()


def test_a_block_covers_its_pixels_and_no_others():
    image = grey()
    paint(image, [Block(10, 20, 30, 25, RED)])
    expected = np.zeros((60, 100), bool)
    expected[20:25, 10:30] = True
    assert (changed(image) == expected).all()


def test_a_later_item_lies_over_an_earlier_one():
    image = grey()
    paint(image, [Line(((0.0, 30.0), (99.0, 30.0)), RED, 8.0), Block(0, 0, 100, 60, (0, 0, 0))])
    assert not array_of(image).any()


def test_words_stand_on_a_plate_round_their_centre():
    image = grey(300, 100)
    paint(image, [Words("Hold still", (150.0, 50.0), 20.0, 5.0, (255, 255, 255), (0, 0, 0))])
    x, y = middle(changed(image))
    assert (x, y) == (pytest.approx(150, abs=1), pytest.approx(50, abs=1))
    rows, _ = np.nonzero(changed(image))
    assert rows.max() - rows.min() == pytest.approx(20 + 2 * 5, abs=1)
    letters = array_of(image).min(axis=2) > 200
    assert letters.any()
    across, down = middle(letters)
    assert abs(across - 150) < 3
    assert abs(down - 50) < 6


# A green spot at (0.25, 0.125) of a decoded frame of 360 x 288 with pixels 16:15, which is
# 384 x 288 in square pixels; worked out on paper: (96, 36), mirrored (288, 36), a quarter
# counter-clockwise takes (x, y) to (y, width - x).
SPOT_BY_HAND = {
    (0, False): (96, 36),
    (90, False): (36, 288),
    (180, False): (288, 252),
    (270, False): (252, 96),
    (0, True): (288, 36),
    (90, True): (36, 96),
    (180, True): (96, 252),
    (270, True): (252, 288),
}


def spotted(turn_deg: int, mirrored: bool) -> Pixels:
    """A grey frame whose spot covers 6 x 6 decoded pixels round column 90, row 36."""
    frame = np.full((288, 360, 3), 96, np.uint8)
    frame[33:39, 87:93] = (0, 200, 0)
    return Pixels(360, 288, 1080, frame.tobytes(), Fraction(16, 15), turn_deg, mirrored)


@pytest.mark.parametrize(("display", "place"), SPOT_BY_HAND.items(), ids=str)
def test_a_ring_drawn_round_a_spot_lies_round_it_however_the_picture_is_shown(display, place):
    ring = Drawing(shape="ring", colour="orange", at_us=0, points=((0.15, 0.0375), (0.35, 0.2125)))
    image = upright(spotted(*display), drawings=[ring])
    assert middle(close_to(image, (0, 200, 0))) == pytest.approx(place, abs=1)
    orange = close_to(image, DRAWING_COLOURS["orange"])
    assert middle(orange) == pytest.approx(place, abs=1)
    rows, columns = np.nonzero(orange)
    # 0.2 of 384 is 76.8 wide, 0.175 of 288 is 50.4 high, besides the line; a quarter swaps them.
    size = (76.8, 50.4) if display[0] in (0, 180) else (50.4, 76.8)
    line_px = 0.008 * 1.75 * image.height
    across, down = columns.max() - columns.min() + 1, rows.max() - rows.min() + 1
    assert (across, down) == pytest.approx([side + line_px for side in size], abs=1.5)


@pytest.mark.parametrize("display", SPOT_BY_HAND, ids=str)
def test_an_arrow_s_tip_lies_on_the_spot_it_points_at(display):
    arrow = Drawing(shape="arrow", colour="white", at_us=0, points=((0.75, 0.75), (0.25, 0.125)))
    image = upright(spotted(*display), drawings=[arrow])
    white = close_to(image, DRAWING_COLOURS["white"])
    x, y = SPOT_BY_HAND[display]
    assert white[y - 1 : y + 1, x - 1 : x + 1].all()
    # The middle of the frame is on the shaft: (0.75, 0.75) to (0.25, 0.125) is at 0.5 in x
    # where it is at 0.4375 in y.
    rows, columns = np.nonzero(white)
    assert np.hypot(columns - x, rows - y).min() < 2
    assert np.hypot(columns - x, rows - y).max() > 0.5 * 288


@pytest.mark.parametrize("display", SPOT_BY_HAND, ids=str)
@pytest.mark.parametrize("shape", SHAPES)
def test_nothing_is_seen_through_a_mask_not_even_a_drawing(shape, display):
    line = Drawing(shape=shape, colour="white", at_us=0, points=((0.2, 0.1), (0.3, 0.15)))
    image = upright(spotted(*display), hidden=[(0.1, 0.05, 0.4, 0.25)], drawings=[line])
    assert not close_to(image, (0, 200, 0)).any()
    black = (array_of(image) == 0).all(axis=2)
    rows, columns = np.nonzero(black)
    assert black[rows.min() : rows.max() + 1, columns.min() : columns.max() + 1].all()
    assert black.sum() >= 0.3 * 384 * 0.2 * 288
    assert array_of(image).max() < 96 + 24  # making pixels square rings a little, no more


@pytest.mark.parametrize("word", COLOURS)
def test_every_colour_is_painted_as_it_is_named(word):
    line = Drawing(shape="line", colour=word, at_us=0, points=((0.5, 0.5), (0.9, 0.5)))
    image = upright(spotted(0, False), drawings=[line])
    assert (array_of(image) == DRAWING_COLOURS[word]).all(axis=2).sum() > 100


def test_the_pixels_that_were_handed_in_stay_as_they_are():
    pixels = spotted(0, False)
    before = bytes(pixels.rgb)
    line = Drawing(shape="line", colour="sky", at_us=0, points=((0.0, 0.0), (1.0, 1.0)))
    upright(pixels, hidden=[(0.0, 0.0, 0.5, 0.5)], drawings=[line])
    assert pixels.rgb == before
