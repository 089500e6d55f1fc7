"""The hand that draws, and the tables of its tools."""

from __future__ import annotations

import pytest

from aftercase.gui.film.drawing import (
    CROSS_DEEDS,
    DRAWING_COLOURS,
    DRAWING_TOOLS,
    DrawingHand,
)
from aftercase.gui.film.keys import colour_of_key, deed_of_key, tool_of_key
from aftercase.media.picture import FrameTimes
from aftercase.model.review import COLOURS, SHAPES

FRAME = FrameTimes(1, 80_000, 120_000)
NEXT = FrameTimes(1, 120_000, 160_000)


def hand(tool="arrow", colour="orange"):
    one = DrawingHand()
    one.see(FRAME)
    one.take(tool, colour)
    return one


def test_there_is_a_tool_for_every_shape_and_a_pen_for_every_colour():
    assert tuple(tool.word for tool in DRAWING_TOOLS) == SHAPES
    assert tuple(colour.word for colour in DRAWING_COLOURS) == COLOURS


def test_no_key_means_two_things_while_drawing():
    keys = [
        *(tool.key for tool in DRAWING_TOOLS),
        *(colour.key for colour in DRAWING_COLOURS),
        *(key for deed in CROSS_DEEDS for key in deed.keys),
    ]
    assert len(set(keys)) == len(keys)


def test_keys_are_found_by_the_numbers_the_window_system_gives_them():
    # Qt's documented key codes: letters and digits are their ASCII codes, Escape is 0x01000000.
    assert (tool_of_key(ord("R")), colour_of_key(ord("3")), deed_of_key(0x01000000)) == (
        "ring",
        "white",
        "leave",
    )
    assert (tool_of_key(ord("Z")), colour_of_key(ord("9")), deed_of_key(ord("A"))) == (None,) * 3


def test_nothing_begun_is_no_drawing():
    one = hand()
    assert one.drawings((0.5, 0.5)) == ()
    assert one.finish() is None


@pytest.mark.parametrize("tool", ["arrow", "ring", "line"])
def test_a_drag_keeps_its_first_and_its_last_place(tool):
    one = hand(tool)
    one.press((0.1, 0.2))
    for place in ((0.2, 0.2), (0.3, 0.4), (0.5, 0.6)):
        one.move(place)
    drawing = one.finish()
    assert (drawing.shape, drawing.colour, drawing.part, drawing.at_us) == (
        tool,
        "orange",
        1,
        80_000,
    )
    assert drawing.points == ((0.1, 0.2), (0.5, 0.6))
    assert not one.is_drawing


def test_a_freehand_drag_keeps_the_way_of_the_hand_without_its_tremble():
    one = hand("freehand")
    one.press((0.1, 0.2))
    for place in ((0.1005, 0.2), (0.2, 0.2), (0.2, 0.3)):
        one.move(place)
    assert one.finish().points == ((0.1, 0.2), (0.2, 0.2), (0.2, 0.3))


def test_a_click_draws_nothing():
    one = hand("ring")
    one.press((0.1, 0.2))
    one.move((0.1005, 0.2005))
    assert one.finish() is None


def test_two_points_set_by_keys_are_a_drawing():
    one = hand("line")
    assert one.set_point((0.1, 0.2)) is None
    assert one.drawings((0.3, 0.3))[0].points == ((0.1, 0.2), (0.3, 0.3))
    assert one.set_point((0.4, 0.2)).points == ((0.1, 0.2), (0.4, 0.2))


def test_a_freehand_way_by_keys_ends_where_a_point_is_set_twice():
    one = hand("freehand")
    for place in ((0.1, 0.1), (0.2, 0.1), (0.3, 0.2)):
        assert one.set_point(place) is None
    points = one.set_point((0.3, 0.2)).points
    assert points[:3] == ((0.1, 0.1), (0.2, 0.1), (0.3, 0.2))
    assert not one.is_drawing


def test_the_last_point_can_be_taken_back():
    one = hand("line")
    one.set_point((0.1, 0.2))
    one.take_point_back()
    assert one.set_point((0.5, 0.5)) is None
    assert one.set_point((0.6, 0.5)).points == ((0.5, 0.5), (0.6, 0.5))


def test_what_was_begun_on_one_frame_is_not_ended_on_another():
    one = hand("line")
    one.set_point((0.1, 0.2))
    one.see(NEXT)
    assert not one.is_drawing
    one.press((0.1, 0.1))
    one.move((0.9, 0.9))
    assert one.finish().at_us == 120_000


def test_the_same_frame_decoded_at_another_size_is_the_same():
    one = hand("line")
    one.set_point((0.1, 0.2))
    one.see(FrameTimes(1, 80_000, 120_000))
    assert one.is_drawing


def test_another_tool_begins_anew():
    one = hand("line")
    one.set_point((0.1, 0.2))
    one.take("ring", "sky")
    assert not one.is_drawing


def test_without_a_tool_or_a_frame_nothing_is_drawn():
    one = DrawingHand()
    one.take("line", "sky")
    one.press((0, 0))
    one.move((1, 1))
    assert one.finish() is None
    other = hand(None)
    other.press((0, 0))
    other.move((1, 1))
    assert other.finish() is None
