"""Where a picture lies, against places worked out on paper and for every way it can lie."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from aftercase.gui.film.mapping import MOST_ZOOM, WHOLE, Looked, laid, moved, zoomed
from aftercase.media.picture import Pixels

PAL = Pixels(720, 576, 2160, b"", Fraction(16, 15))

shares = st.floats(0, 1)
sizes = st.integers(16, 4096)
rooms = st.tuples(st.integers(64, 4000), st.integers(64, 3000))
looks = st.builds(Looked, st.floats(1, MOST_ZOOM), shares, shares)
pictures = st.builds(
    Pixels,
    sizes,
    sizes,
    st.just(0),
    st.just(b""),
    st.sampled_from([Fraction(1), Fraction(16, 15), Fraction(4, 3), Fraction(8, 9)]),
    st.sampled_from([0, 90, 180, 270]),
    st.booleans(),
)


def test_a_small_picture_is_enlarged_to_fit_and_stands_in_the_middle():
    """720 x 576 at 16:15 is 768 x 576; in 1000 x 1152 it fits at 1000 / 768: 1000 x 750."""
    now = laid(PAL, (1000, 1152))
    assert (now.left_px, now.top_px, now.width_px, now.height_px) == (0, 201, 1000, 750)


def test_a_picture_turned_by_a_quarter_fits_with_its_sides_changed():
    """576 x 768 in 1000 x 384 fits at a half: 288 x 384, and 356 are left on either side."""
    now = laid(Pixels(720, 576, 2160, b"", Fraction(16, 15), 90), (1000, 384))
    assert (now.left_px, now.top_px, now.width_px, now.height_px) == (356, 0, 288, 384)


@pytest.mark.parametrize("width_px", [958, 959, 960, 961, 962])
def test_a_picture_decoded_for_the_room_is_shown_pixel_for_pixel(width_px):
    now = laid(Pixels(960, 540, 2880, b""), (width_px, 700))
    assert (now.width_px, now.height_px) == (960, 540)


def test_twice_as_large_about_the_middle_shows_the_middle_half():
    now = laid(PAL, (768, 576), Looked(2.0))
    assert (now.left_px, now.top_px, now.width_px, now.height_px) == (-384, -288, 1536, 1152)


def test_a_place_asked_for_beyond_the_edge_shows_no_bare_rim():
    now = laid(PAL, (768, 576), Looked(2.0, 0.0, 1.0))
    assert (now.left_px, now.top_px) == (0, 576 - 1152)


# A turn counter-clockwise by a quarter takes (x, y) of a picture w wide to (y, w - x).
@pytest.mark.parametrize(
    ("turn_deg", "mirrored", "place"),
    [
        (0, False, (192, 72)),
        (90, False, (72, 576)),
        (180, False, (576, 504)),
        (270, False, (504, 192)),
        (0, True, (576, 72)),
        (90, True, (72, 192)),
        (180, True, (192, 504)),
        (270, True, (504, 576)),
    ],
)
def test_a_place_is_shown_where_it_was_worked_out_on_paper(turn_deg, mirrored, place):
    frame = Pixels(720, 576, 2160, b"", Fraction(16, 15), turn_deg, mirrored)
    now = laid(frame, (576, 768) if turn_deg in (90, 270) else (768, 576))
    assert now.point_of((0.25, 0.125)) == pytest.approx(place)


# Which way a key goes on the screen, whatever the file says: seen from the frame, worked out on
# paper from the same turns: right on the screen of a frame turned by 90 is further down in it.
@pytest.mark.parametrize(
    ("turn_deg", "mirrored", "right_is", "down_is"),
    [
        (0, False, (0.1, 0), (0, 0.1)),
        (90, False, (0, 0.1), (-0.1, 0)),
        (180, False, (-0.1, 0), (0, -0.1)),
        (270, False, (0, -0.1), (0.1, 0)),
        (0, True, (-0.1, 0), (0, 0.1)),
        (90, True, (0, 0.1), (0.1, 0)),
    ],
)
def test_a_step_goes_the_way_it_is_seen(turn_deg, mirrored, right_is, down_is):
    now = laid(Pixels(400, 400, 1200, b"", Fraction(1), turn_deg, mirrored), (400, 400))
    for step, is_then in (((0.1, 0), right_is), ((0, 0.1), down_is)):
        x, y = now.stepped((0.5, 0.5), *step)
        assert (x - 0.5, y - 0.5) == pytest.approx(is_then)


def test_a_step_ends_at_the_edge_of_the_picture():
    assert laid(PAL, (768, 576)).stepped((0.98, 0.5), 0.04, 0) == (1.0, 0.5)


@given(pictures, rooms, looks, shares, shares)
def test_a_shown_place_leads_back_to_itself_within_half_a_pixel(pixels, room, looked, x, y):
    now = laid(pixels, room, looked)
    there = now.point_of((x, y))
    again = now.point_of(now.share_at(*there))
    assert again == pytest.approx(there, abs=0.5)


@given(pictures, rooms, looks, shares, shares)
def test_a_point_of_the_picture_leads_back_to_itself_within_half_a_pixel(
    pixels, room, looked, x, y
):
    now = laid(pixels, room, looked)
    at_px = (x * room[0], y * room[1])
    assume(now.shows_at(*at_px))
    assert now.point_of(now.share_at(*at_px)) == pytest.approx(at_px, abs=0.5)


@given(pictures, rooms, looks)
def test_a_picture_fills_its_room_or_stands_in_the_middle_of_it(pixels, room, looked):
    now = laid(pixels, room, looked)
    for near_px, length_px, room_px in (
        (now.left_px, now.width_px, room[0]),
        (now.top_px, now.height_px, room[1]),
    ):
        far_px = room_px - near_px - length_px
        if length_px >= room_px:
            assert near_px <= 0
            assert far_px <= 0
        else:
            assert abs(near_px - far_px) <= 1


@given(pictures, rooms, looks, st.floats(0.2, 5), shares, shares)
def test_what_lies_under_the_pointer_stays_there_unless_a_rim_would_show(
    pixels, room, looked, factor, x, y
):
    before = laid(pixels, room, looked)
    at_px = (x * room[0], y * room[1])
    assume(before.shows_at(*at_px))
    new = zoomed(pixels, room, looked, factor, at_px)
    assert 1 <= new.zoom <= MOST_ZOOM
    after = laid(pixels, room, new)
    moved_px = [b - a for a, b in zip(at_px, after.point_of(before.share_at(*at_px)), strict=True)]
    lies = (
        (after.left_px, after.width_px, room[0], moved_px[0]),
        (after.top_px, after.height_px, room[1], moved_px[1]),
    )
    for near_px, length_px, room_px, off_px in lies:
        at_an_end = near_px >= 0 or near_px + length_px <= room_px
        assert abs(off_px) <= 1.5 or at_an_end


def test_enlarging_ends_at_eight_and_at_the_whole_picture():
    look = WHOLE
    for _ in range(40):
        look = zoomed(PAL, (768, 576), look, 1.25, (100, 100))
    assert look.zoom == 8
    for _ in range(40):
        look = zoomed(PAL, (768, 576), look, 0.8, (700, 500))
    assert look == WHOLE


def test_a_drag_moves_the_picture_with_the_hand_and_back():
    look = Looked(4.0)
    there = moved(PAL, (768, 576), look, (100, -60))
    before, after = (laid(PAL, (768, 576), one) for one in (look, there))
    assert (after.left_px - before.left_px, after.top_px - before.top_px) == (100, -60)
    assert moved(PAL, (768, 576), there, (-100, 60)).x == pytest.approx(0.5)


def test_a_drag_beyond_the_edge_leaves_nothing_to_be_dragged_back_first():
    far = moved(PAL, (768, 576), Looked(2.0), (100_000, 0))
    back = moved(PAL, (768, 576), far, (-10, 0))
    assert laid(PAL, (768, 576), far).left_px == 0
    assert laid(PAL, (768, 576), back).left_px == -10


def test_a_picture_seen_whole_cannot_be_dragged():
    assert moved(PAL, (768, 576), WHOLE, (50, 50)) == WHOLE
