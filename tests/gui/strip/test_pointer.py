from __future__ import annotations

import pytest
from PyQt6.QtCore import QEvent, QPoint, QPointF, Qt
from PyQt6.QtGui import QContextMenuEvent, QKeyEvent
from PyQt6.QtWidgets import QApplication

SHIFT = Qt.KeyboardModifier.ShiftModifier
CONTROL = Qt.KeyboardModifier.ControlModifier
ALT = Qt.KeyboardModifier.AltModifier
MIDDLE = Qt.MouseButton.MiddleButton


def short(values):
    """Return ids without what fills them up."""
    if isinstance(values, str):
        return values.rstrip("0")
    return tuple(map(short, values)) if isinstance(values, list | tuple) else values


@pytest.fixture
def opened(strip):
    strip.open_up()
    return strip


def test_a_press_goes_there_at_once_and_the_release_says_it_is_over(strip, hand, told):
    hand.click(hand.point("steps", 5))
    assert told.said == [("moment_wanted", 5_000_000, True), ("moment_wanted", 5_000_000, False)]


def test_a_drag_takes_the_film_along_frame_by_frame(strip, hand, told):
    hand.drag(hand.point("steps", 5), hand.point("steps", 8.03), hand.point("steps", 9))
    moments = told.of("moment_wanted")
    assert [is_dragging for _, is_dragging in moments] == [True, True, True, False]
    assert [us % 40_000 for us, _ in moments] == [0] * 4
    assert moments[-1] == [9_000_000, False]


def test_a_click_on_a_step_selects_it_and_goes_there(strip, hand, told):
    hand.click(hand.point("steps", 30))
    assert short(told.of("selection_wanted")) == ((("nucleus",), False),)
    assert told.of("moment_wanted")[-1][1] is False


def test_a_click_on_a_sign_goes_to_its_very_moment(strip, hand, told):
    hand.click(hand.point("events", 50, by_px=4))
    assert short(told.of("selection_wanted")) == ((("slip",), False),)
    assert told.of("moment_wanted")[-1] == [50_000_000, False]


@pytest.mark.parametrize("modifier", [SHIFT, CONTROL])
def test_a_click_with_shift_or_control_adds_to_the_selection_and_goes_nowhere(
    strip, hand, told, modifier
):  # fmt: skip
    hand.click(hand.point("steps", 30), modifier)
    assert short(told.of("selection_wanted")) == ((("nucleus",), True),)
    assert told.of("moment_wanted") == []


def test_a_click_beside_all_marks_selects_nothing_any_more(strip, hand, told):
    strip.select([strip.content.of("steps")[0].marks[0].id])
    hand.click(hand.point("steps", 5))
    assert told.of("selection_wanted") == [[(), False]]


def test_a_press_beside_the_clock_is_nothing(strip, hand, told):
    hand.click(QPointF(10, 30))
    assert told.said == []


def test_in_the_closed_strip_only_a_selected_steps_edges_are_dragged(strip, hand, told, by_hand):
    hand.drag(hand.point("steps", 95), hand.point("steps", 97))
    assert told.of("edge_dragged") == []
    told.said.clear()
    strip.select([by_hand.id("seal")])
    hand.drag(hand.point("steps", 95), hand.point("steps", 97))
    assert [values[1:] for values in told.of("edge_dragged")] == [
        ["end", 97_000_000, False], ["end", 97_000_000, True]
    ]  # fmt: skip
    assert told.of("moment_wanted") == []


def test_a_drag_in_the_closed_strip_never_moves_a_selected_step(strip, hand, told, by_hand):
    strip.select([by_hand.id("nucleus")])
    hand.drag(hand.point("steps", 40), hand.point("steps", 50))
    assert told.of("record_moved") == []
    assert told.of("moment_wanted")[-1] == [50_000_000, False]


def test_an_edge_says_in_order_where_it_goes_and_that_it_is_over(opened, hand, told):
    ways = [hand.point("steps", second) for second in (96, 97, 98)]
    hand.drag(hand.point("steps", 95), *ways)
    said = [short(values) for values in told.said]
    assert said == [
        ("selection_wanted", ("seal",), False),
        ("edge_dragged", "seal", "end", 96_000_000, False),
        ("edge_dragged", "seal", "end", 97_000_000, False),
        ("edge_dragged", "seal", "end", 98_000_000, False),
        ("edge_dragged", "seal", "end", 98_000_000, True),
    ]


def test_a_border_says_both_of_its_spans(opened, hand, told):
    hand.drag(hand.point("steps", 20), hand.point("steps", 22))
    assert short(told.of("border_dragged")) == (
        ("wound", "nucleus", 22_000_000, False),
        ("wound", "nucleus", 22_000_000, True),
    )
    assert told.of("edge_dragged") == []


def test_with_alt_a_border_is_the_edge_of_one_span_alone(opened, hand, told):
    hand.drag(hand.point("steps", 20), hand.point("steps", 22), modifiers=ALT)
    assert short(told.of("edge_dragged"))[-1] == ("wound", "end", 22_000_000, True)
    assert told.of("border_dragged") == []


def test_an_edge_near_a_neighbours_goes_to_it_unless_alt_is_held(opened, hand, told):
    near = hand.point("steps", 71, by_px=4)
    hand.drag(hand.point("steps", 95), near)
    assert told.of("edge_dragged")[-1][2] == 71_000_000
    hand.drag(hand.point("steps", 95), near, modifiers=ALT)
    beside_us = told.of("edge_dragged")[-1][2]
    assert beside_us > 71_000_000
    assert beside_us % 40_000 == 0


def test_a_click_on_an_edge_goes_to_its_frame_and_moves_nothing(opened, hand, told):
    hand.click(hand.point("steps", 95, by_px=2))
    assert told.of("edge_dragged") == []
    assert told.of("moment_wanted") == [[95_000_000, False]]


def test_an_edge_that_stays_on_its_frame_is_said_once(opened, hand, told):
    opened.show_stretch(94_880_000, 95_280_000)
    begin = hand.point("steps", 95)
    assert 40_000 / opened.us_per_px > 80
    hand.drag(begin, *[begin + QPointF(x, 0) for x in (12, 13, 14)])
    assert [values[2:] for values in told.of("edge_dragged")] == [
        [95_000_000, False], [95_000_000, True]
    ]  # fmt: skip


def test_a_selected_mark_is_moved_as_a_whole_and_keeps_its_length(opened, hand, told, by_hand):
    opened.select([by_hand.id("pause")])
    hand.drag(hand.point("pauses", 65), hand.point("pauses", 66), hand.point("pauses", 68))
    assert short(told.of("record_moved")) == (
        ("pause", 61_000_000, 71_000_000, False),
        ("pause", 63_000_000, 73_000_000, False),
        ("pause", 63_000_000, 73_000_000, True),
    )


def test_a_selected_moment_is_moved_from_frame_to_frame(opened, hand, told, by_hand):
    opened.select([by_hand.id("slip")])
    hand.drag(hand.point("events", 50), hand.point("events", 52))
    assert short(told.of("record_moved"))[-1] == ("slip", 52_000_000, 52_000_000, True)


def test_a_click_on_one_of_several_selected_selects_it_alone(opened, hand, told, by_hand):
    opened.select([by_hand.id("pause"), by_hand.id("seal")])
    hand.click(hand.point("pauses", 65))
    assert short(told.of("selection_wanted")) == ((("pause",), False),)
    assert told.of("record_moved") == []


def test_a_trembling_hand_moves_nothing(opened, hand, told, by_hand):
    opened.select([by_hand.id("pause")])
    begin = hand.point("pauses", 65)
    hand.drag(begin, begin + QPointF(2, 1))
    assert told.of("record_moved") == []


def test_a_rectangle_between_the_marks_selects_what_it_touches(opened, hand, told):
    hand.drag(hand.point("steps", 5), hand.point("instruments", 30))
    ids, adds = told.of("selection_wanted")[-1]
    assert {short(i) for i in ids} == {"wound", "nucleus", "groove", "probe", "unseen"}
    assert adds is False
    assert told.of("moment_wanted") == []
    assert opened.band is None


def test_a_rectangle_with_shift_begins_anywhere_and_adds(strip, hand, told):
    hand.drag(hand.point("steps", 15), hand.point("steps", 25), modifiers=SHIFT)
    ids, adds = told.of("selection_wanted")[-1]
    assert {short(i) for i in ids} == {"wound", "nucleus"}
    assert adds is True


def test_a_sealed_reviews_marks_stay_where_they_are(opened, hand, told, by_hand):
    opened.set_editable(False)
    opened.select([by_hand.id("seal")])
    for begin_s, end_s in ((95, 97), (80, 85)):
        hand.drag(hand.point("steps", begin_s), hand.point("steps", end_s))
    assert told.of("edge_dragged") == told.of("record_moved") == []


def test_escape_puts_a_dragged_edge_back(opened, hand, told):
    hand.press(hand.point("steps", 95))
    hand.move(hand.point("steps", 97))
    escape = QKeyEvent(QEvent.Type.ShortcutOverride, Qt.Key.Key_Escape, Qt.KeyboardModifier(0))
    QApplication.sendEvent(opened, escape)
    assert escape.isAccepted()
    assert told.of("edge_dragged")[-1][2:] == [95_000_000, True]
    told.said.clear()
    hand.move(hand.point("steps", 98))
    hand.release(hand.point("steps", 98))
    assert told.said == []


def test_escape_is_left_to_others_while_nothing_is_dragged(opened):
    escape = QKeyEvent(QEvent.Type.ShortcutOverride, Qt.Key.Key_Escape, Qt.KeyboardModifier(0))
    escape.ignore()
    QApplication.sendEvent(opened, escape)
    assert not escape.isAccepted()


def test_a_drag_over_the_end_shows_more_of_the_clock(opened, hand, told):
    opened.show_stretch(60_000_000, 80_000_000)
    begin, beside = hand.point("steps", 70), hand.point("steps", 80, by_px=60)
    hand.drag(begin, beside, beside)
    assert opened.stretch_us[1] > 80_000_000
    assert opened.stretch_us[1] - opened.stretch_us[0] == 20_000_000


def test_a_span_pressed_twice_is_looped(strip, hand, told):
    hand.twice(hand.point("steps", 30))
    assert told.of("loop_wanted") == [[20_000_000, 60_000_000]]
    hand.twice(hand.point("events", 50))
    assert len(told.of("loop_wanted")) == 1


def test_the_middle_button_pulls_the_clock_along(strip, hand, told):
    strip.show_stretch(40_000_000, 60_000_000)
    begin = hand.point("steps", 50)
    hand.drag(begin, hand.point("steps", 45), button=MIDDLE)
    assert strip.stretch_us == pytest.approx((45_000_000, 65_000_000), abs=20_000)


def test_the_wheel_zooms_around_the_pointer(strip, hand):
    at = hand.point("steps", 25)
    hand.wheel(at, 1)
    start_us, end_us = strip.stretch_us
    assert end_us - start_us == 80_000_000
    assert abs(strip.us_at(at) - 25_000_000) <= strip.us_per_px
    hand.wheel(at, -1)
    assert strip.stretch_us == (0, 100_000_000)


def test_the_wheel_with_shift_pans(strip, hand):
    strip.show_stretch(40_000_000, 60_000_000)
    hand.wheel(hand.point("steps", 50), -1, SHIFT)
    assert strip.stretch_us == (42_000_000, 62_000_000)


def test_the_menu_is_asked_for_what_lies_under_the_pointer(strip, hand, told):
    at = hand.point("steps", 30).toPoint()
    for place in (at, hand.point("steps", 5).toPoint()):
        event = QContextMenuEvent(QContextMenuEvent.Reason.Mouse, place, QPoint(7, 8))
        QApplication.sendEvent(strip, event)
    assert short(told.of("menu_wanted")) == (("nucleus", QPoint(7, 8)), ("", QPoint(7, 8)))
    assert short(told.of("selection_wanted")) == ((("nucleus",), False),)


def test_the_menu_key_asks_for_what_is_selected(strip, told, by_hand):
    strip.select([by_hand.id("seal")])
    event = QContextMenuEvent(QContextMenuEvent.Reason.Keyboard, QPoint(1, 1), QPoint(7, 8))
    QApplication.sendEvent(strip, event)
    assert short(told.of("menu_wanted")) == (("seal", QPoint(7, 8)),)


def test_the_pointer_shows_where_an_edge_can_be_taken(opened, hand):
    hand.move(hand.point("steps", 95, by_px=3), button=Qt.MouseButton.NoButton)
    assert opened.cursor().shape() == Qt.CursorShape.SplitHCursor
    hand.move(hand.point("steps", 85), button=Qt.MouseButton.NoButton)
    assert opened.cursor().shape() == Qt.CursorShape.ArrowCursor


def test_what_lies_under_the_pointer_is_told_in_words(strip, hand):
    assert strip.words_under(hand.point("steps", 15)) == (
        "Making the wound, 0:00:10.000 to 0:00:20.000"
    )
    assert strip.words_under(hand.point("events", 50)) == "slip: An slip, 0:00:50.000"
    assert strip.words_under(hand.point("steps", 65)) == ""


def test_a_name_that_has_no_room_is_told_in_full(opened, hand):
    y_px = hand.point("instruments", 10).y()
    assert opened.words_under(QPointF(20, y_px)) == "Probe"
