"""The painter of the screen: against the painter of files, and against pixels put by hand."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest
from PIL import Image
from PyQt6.QtGui import QImage, QPainter

from aftercase.gui.film.light import AS_RECORDED, Light
from aftercase.gui.film.mapping import Looked, laid
from aftercase.gui.film.painting import (
    image_of,
    paint_cross,
    paint_items,
    paint_picture,
    paint_places,
)
from aftercase.media.overlay import DRAWING_COLOURS, EDGE_COLOUR, Words, display_list
from aftercase.media.paint import paint
from aftercase.media.stills import upright
from aftercase.model.review import COLOURS, SHAPES, Drawing

GREY = (96, 96, 96)
TURNS = [(turn, mirror) for turn in (0, 90, 180, 270) for mirror in (False, True)]
WAY = tuple((0.2 + 0.004 * step, 0.5 + 0.3 * np.sin(step / 12)) for step in range(150))
POINTS = {
    "arrow": ((0.75, 0.7), (0.25, 0.125)),
    "ring": ((0.15, 0.0375), (0.35, 0.2125)),
    "line": ((0.1, 0.9), (0.95, 0.85)),
    "freehand": tuple((float(x), float(y)) for x, y in WAY),
}

# A line's edge that lies half a pixel elsewhere changes what its pixels show by half of what lies
# between the two sides of it: 115 of 230 levels between orange and black. The painter for files
# rounds a line's width to a quarter of a pixel; neither is the measure of the other.
HALF_A_PIXEL = 128
QUARTER_OF_A_PIXEL = 64


def painted(width_px, height_px, do):
    """Return what is painted on a grey ground, as R, G, B."""
    image = QImage(width_px, height_px, QImage.Format.Format_RGB32)
    image.fill(0xFF606060)
    painter = QPainter(image)
    do(painter)
    painter.end()
    return array_of(image)


def array_of(image):
    bits = image.constBits()
    rows = np.frombuffer(bits.asarray(image.sizeInBytes()), np.uint8)
    return rows.reshape(image.height(), image.width(), 4)[:, :, 2::-1].astype(np.int16)


def by_files(items, width_px, height_px):
    image = Image.new("RGB", (width_px, height_px), GREY)
    paint(image, items)
    return np.array(image).astype(np.int16)


def on_screen(items, width_px, height_px):
    return painted(width_px, height_px, lambda painter: paint_items(painter, items, 0, 0))


def drawing(shape, colour="orange"):
    return Drawing(shape=shape, colour=colour, at_us=0, points=POINTS[shape])


def box_of(where):
    rows, columns = np.nonzero(where)
    return columns.min(), rows.min(), columns.max(), rows.max()


def is_near(rgb, colour):
    return np.abs(rgb - colour).max(axis=2) < 40


def share_differing(one, other, by_levels):
    """Return how many of the pixels that the other has painted on differ by so much."""
    differ = np.abs(one - other).max(axis=2) > by_levels
    return float(differ.sum() / (other != GREY).any(axis=2).sum())


@pytest.mark.parametrize("display", TURNS, ids=str)
@pytest.mark.parametrize("shape", SHAPES)
def test_a_drawing_lies_on_the_screen_where_it_lies_in_the_still(
    qapp, picture, spotted, shape, display
):
    """Through both ways whole: the still that is printed, and the view at the still's size."""
    turn_deg, mirrored = display
    shown = picture(
        spotted(), pixel_aspect=Fraction(16, 15), turn_deg=turn_deg, mirrored=mirrored
    ).pixels
    still = np.array(upright(shown, drawings=[drawing(shape)])).astype(np.int16)
    height_px, width_px, _ = still.shape
    now = laid(shown, (width_px, height_px))
    # A still's lines are 1.75 times as wide, because a page shows it small.
    items = display_list(now.placing, drawings=[drawing(shape)], measure_px=1.75 * height_px)

    def do(painter):
        paint_picture(painter, image_of(shown, AS_RECORDED), now, sharp=False)
        paint_items(painter, items, now.left_px, now.top_px)

    screen = painted(width_px, height_px, do)
    boxes = [box_of(is_near(rgb, DRAWING_COLOURS["orange"])) for rgb in (screen, still)]
    assert boxes[0] == pytest.approx(boxes[1], abs=1)
    assert share_differing(screen, still, HALF_A_PIXEL) < 0.01


@pytest.mark.parametrize("size", [(960, 540), (1280, 720), (333, 777)], ids=str)
@pytest.mark.parametrize("colour", COLOURS)
def test_all_shapes_in_all_colours_are_painted_alike_at_any_size(qapp, size, colour):
    now = laid(_blank(*size), size)
    items = display_list(now.placing, drawings=[drawing(shape, colour) for shape in SHAPES])
    screen, still = on_screen(items, *size), by_files(items, *size)
    assert share_differing(screen, still, HALF_A_PIXEL) < 0.001
    assert share_differing(screen, still, QUARTER_OF_A_PIXEL) < 0.06
    for each in (DRAWING_COLOURS[colour], EDGE_COLOUR):
        assert is_near(screen, each).sum() == pytest.approx(is_near(still, each).sum(), rel=0.1)


def test_masks_black_the_same_pixels_on_the_screen_as_in_the_file(qapp):
    """Edges that lie within pixels: every pixel that is touched is black, and no other."""
    now = laid(_blank(301, 199), (301, 199))
    boxes = [(0.101, 0.203, 0.4, 0.35), (0.9, 0.9, 1.0, 1.0)]
    items = display_list(now.placing, hidden=boxes)
    screen, still = on_screen(items, 301, 199), by_files(items, 301, 199)
    assert (screen == still).all()
    assert set(np.unique(screen)) == {0, 96}


def test_words_stand_on_the_same_plate_in_letters_of_the_same_size(qapp):
    """Each painter has its own font; place, plate and height of the letters are the same."""
    item = Words("Hold still", (200.0, 60.0), 24.0, 6.0, (255, 255, 255), (0, 0, 0))
    screen, still = on_screen([item], 400, 120), by_files([item], 400, 120)
    for rgb in (screen, still):
        left, top, right, bottom = box_of((rgb != GREY).any(axis=2))
        assert (left + right + 1) / 2 == pytest.approx(200, abs=1)
        assert (top, bottom + 1) == pytest.approx((60 - 18, 60 + 18), abs=1)
    letters = [box_of(rgb.min(axis=2) > 160) for rgb in (screen, still)]
    heights = [bottom - top for _, top, _, bottom in letters]
    widths = [right - left for left, _, right, _ in letters]
    assert heights[0] == pytest.approx(heights[1], rel=0.25)
    assert widths[0] == pytest.approx(widths[1], rel=0.25)


def test_a_picture_decoded_for_the_screen_is_painted_byte_for_byte(qapp, picture):
    frame = np.random.default_rng(3).integers(0, 256, (54, 96, 3))
    shown = picture(frame).pixels
    now = laid(shown, (96, 54))
    image = image_of(shown, AS_RECORDED)
    for sharp in (False, True):
        screen = painted(
            96, 54, lambda painter, sharp=sharp: paint_picture(painter, image, now, sharp=sharp)
        )
        assert (screen == frame).all()


def test_rows_with_padding_are_read_by_their_stride(qapp):
    from aftercase.media.picture import Pixels

    rgb = bytes([1, 2, 3, 4, 5, 6, 99, 99, 7, 8, 9, 10, 11, 12, 99, 99])
    screen = array_of(image_of(Pixels(2, 2, 8, rgb), AS_RECORDED))
    assert screen.tolist() == [[[1, 2, 3], [4, 5, 6]], [[7, 8, 9], [10, 11, 12]]]


@pytest.mark.parametrize("display", TURNS, ids=str)
@pytest.mark.parametrize("zoom", [2, 3, 4, 8])
def test_an_enlarged_pixel_is_a_square_of_its_own_colour(qapp, picture, zoom, display):
    """Against numpy: mirror left and right, turn counter-clockwise, repeat each pixel."""
    turn_deg, mirrored = display
    frame = np.random.default_rng(5).integers(0, 256, (24, 40, 3))
    shown = picture(frame, turn_deg=turn_deg, mirrored=mirrored).pixels
    upright_frame = np.rot90(frame[:, ::-1] if mirrored else frame, turn_deg // 90)
    expected = upright_frame.repeat(zoom, axis=0).repeat(zoom, axis=1)
    height_px, width_px, _ = upright_frame.shape
    now = laid(shown, (width_px, height_px), Looked(zoom, 0.0, 0.0))
    image = image_of(shown, AS_RECORDED)
    screen = painted(
        width_px, height_px, lambda painter: paint_picture(painter, image, now, sharp=True)
    )
    assert (screen == expected[:height_px, :width_px]).all()


def test_a_small_picture_seen_whole_is_enlarged_without_squares(qapp, picture):
    frame = np.zeros((2, 2, 3))
    frame[:, 1] = 255
    shown = picture(frame).pixels
    now = laid(shown, (64, 64))
    image = image_of(shown, AS_RECORDED)
    row = painted(64, 64, lambda painter: paint_picture(painter, image, now, sharp=False))[32, :, 0]
    assert (np.diff(row) >= 0).all()
    assert len(np.unique(row)) > 16


def test_a_large_picture_made_small_keeps_its_mean_and_shows_no_pattern(qapp, picture):
    """Black and white columns in turn, made five times smaller, are grey: none is left out."""
    frame = np.zeros((300, 600, 3))
    frame[:, ::2] = 255
    shown = picture(frame).pixels
    now = laid(shown, (120, 60))
    image = image_of(shown, AS_RECORDED)
    screen = painted(120, 60, lambda painter: paint_picture(painter, image, now, sharp=False))
    assert screen.mean() == pytest.approx(127.5, abs=3)
    assert screen[5:-5, 5:-5].std() < 12


def test_another_light_is_shown_but_not_kept(qapp, picture):
    shown = picture(np.full((4, 4, 3), 40)).pixels
    assert (array_of(image_of(shown, Light(brightness=0.2))) == 91).all()  # 40 + 51
    assert set(shown.rgb) == {40}


def test_the_cross_is_seen_on_any_ground_and_leaves_its_middle_free(qapp):
    now = laid(_blank(200, 100), (200, 100))
    screen = painted(200, 100, lambda painter: paint_cross(painter, now, (0.25, 0.5), 100))
    changed = (screen != GREY).any(axis=2)
    left, top, right, bottom = box_of(changed)
    assert ((left + right + 1) / 2, (top + bottom + 1) / 2) == pytest.approx((50, 50), abs=1)
    assert not changed[49:51, 49:51].any()
    assert is_near(screen, (255, 255, 255)).any()
    assert is_near(screen, (0, 0, 0)).any()


def test_a_set_place_is_ringed_and_left_free_and_the_chosen_one_s_ring_is_wider(qapp):
    now = laid(_blank(200, 100), (200, 100))
    places = ((0.25, 0.5), (0.75, 0.5))
    screen = painted(200, 100, lambda painter: paint_places(painter, now, places, 1, 100))
    changed = (screen != GREY).any(axis=2)
    assert not changed[49:51, 49:51].any()
    assert not changed[49:51, 149:151].any()
    left, _, right, _ = box_of(changed[:, :100])
    chosen_left, _, chosen_right, _ = box_of(changed[:, 100:])
    assert (left + right + 1) / 2 == pytest.approx(50, abs=1)
    assert chosen_right - chosen_left > right - left
    assert is_near(screen, (255, 255, 255)).any()
    assert is_near(screen, (0, 0, 0)).any()


def _blank(width_px, height_px):
    from aftercase.media.picture import Pixels

    return Pixels(width_px, height_px, 3 * width_px, b"")
