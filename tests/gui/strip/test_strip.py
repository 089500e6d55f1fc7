from __future__ import annotations

import numpy as np
import pytest
from PyQt6.QtCore import Qt
from PyQt6.QtWidgets import QApplication

from aftercase.gui.strip.strip import Strip
from aftercase.gui.theme import DARK, LIGHT, wear
from aftercase.media.frameclock import ClockPart, FrameClock
from aftercase.model.review import InstrumentSpan


def test_a_strip_without_a_case_is_an_empty_band(qapp):
    strip = Strip(LIGHT)
    strip.show()
    qapp.processEvents()
    strip.show_moment(5)
    strip.select_next()
    assert strip.stretch_us == (0, 1)
    assert strip.accessibleDescription() == "no case"
    assert strip.height() < 60
    strip.close()


def test_a_case_is_shown_as_a_whole(strip):
    assert strip.stretch_us == (0, 100_000_000)


def test_a_stretch_outside_of_the_window_is_never_shown(strip, told):
    strip.show_window((20_000_000, 80_000_000))
    assert strip.stretch_us == (20_000_000, 80_000_000)
    strip.show_stretch(0, 30_000_000)
    assert strip.stretch_us == (20_000_000, 50_000_000)
    strip.zoom_by(100, 40_000_000)
    assert strip.stretch_us == (20_000_000, 80_000_000)
    assert told.of("stretch_changed")[-1] == [20_000_000, 80_000_000]
    strip.pan_by(50_000_000)
    assert strip.stretch_us == (20_000_000, 80_000_000)


def test_an_empty_stretch_is_not_shown(strip):
    strip.show_stretch(50_000_000, 50_000_000)
    assert strip.stretch_us == (0, 100_000_000)


def test_it_can_be_zoomed_to_single_frames_and_no_further(strip):
    for _ in range(60):
        strip.zoom_by(0.5, 50_000_000)
    start_us, end_us = strip.stretch_us
    assert end_us - start_us == 8 * 40_000
    assert start_us <= 50_000_000 < end_us


def test_zooming_about_a_moment_out_of_sight_shows_it(strip):
    strip.show_stretch(10_000_000, 20_000_000)
    strip.zoom_by(0.5, 70_000_000)
    start_us, end_us = strip.stretch_us
    assert start_us <= 70_000_000 < end_us


def test_a_span_is_shown_with_a_little_room_on_both_sides(strip):
    strip.show_span(40_000_000, 50_000_000)
    assert strip.stretch_us == (39_500_000, 50_500_000)
    strip.show_whole()
    assert strip.stretch_us == (0, 100_000_000)


def test_a_very_short_span_is_shown_among_its_neighbour_frames(strip):
    strip.show_span(50_000_000, 50_040_000)
    start_us, end_us = strip.stretch_us
    assert end_us - start_us == 8 * 40_000
    assert start_us < 50_000_000 < 50_040_000 < end_us


def test_the_strip_goes_after_the_film(strip, told):
    strip.show_stretch(0, 10_000_000)
    for us in range(9_800_000, 10_200_000, 40_000):
        strip.show_moment(us)
    assert strip.stretch_us == (9_000_000, 19_000_000)


def test_a_strip_that_was_moved_away_stays_while_the_film_plays_but_shows_a_jump(strip):
    strip.show_moment(5_000_000)
    strip.show_stretch(50_000_000, 60_000_000)
    strip.show_moment(5_040_000)
    assert strip.stretch_us == (50_000_000, 60_000_000)
    strip.show_moment(80_000_000)
    assert strip.stretch_us[0] <= 80_000_000 < strip.stretch_us[1]


def test_the_strip_stays_while_something_is_dragged(strip, hand, told):
    strip.show_stretch(0, 10_000_000)
    strip.show_moment(5_000_000)
    hand.press(hand.point("steps", 7))
    strip.show_moment(30_000_000)
    assert strip.stretch_us == (0, 10_000_000)


def test_moments_beyond_half_an_hour_are_told_in_full(qapp, hand, by_hand):
    strip = Strip(LIGHT)
    strip.resize(1000, 60)
    end_us = 3 * 3600 * 1_000_000
    strip.show_case(FrameClock.without_film(end_us), by_hand.guide, (0, end_us))
    strip.show_review(by_hand.review)
    heard = []
    strip.moment_wanted.connect(lambda us, is_dragging: heard.append(us))
    strip.stretch_changed.connect(lambda start, end: heard.append(start))
    hand._strip = strip
    hand.click(hand.point("steps", 10_000))
    strip.show_stretch(9_000 * 1_000_000, 10_000 * 1_000_000)
    # 2^31 microseconds are 35.8 minutes.
    assert heard[0] > 2**32
    assert heard[-1] == 9_000_000_000


def test_what_is_at_the_playhead_is_said_to_who_cannot_see_it(strip):
    strip.show_moment(15_000_000)
    assert strip.accessibleDescription() == (
        "Making the wound; Knife (hand: second); well done: Held well"
    )
    strip.show_moment(15_040_000)
    assert strip.accessibleDescription() == "Making the wound; Knife (hand: second)"
    strip.show_moment(99_000_000)
    assert strip.accessibleDescription() == "nothing marked here"


def test_what_is_at_the_playhead_is_said_anew_when_it_is_marked(strip, by_hand):
    strip.show_moment(99_000_000)
    more = InstrumentSpan(**by_hand.span("new", 98, 100, instrument="probe", hand="main"))
    strip.show_review(by_hand.review.changed(instruments=(*by_hand.review.instruments, more)))
    assert strip.accessibleDescription() == "Probe (hand: main)"


def test_it_has_a_name_and_is_reached_by_tab_but_a_click_leaves_the_focus_where_it_is(strip):
    assert strip.accessibleName()
    assert strip.focusPolicy() == Qt.FocusPolicy.TabFocus


def test_marks_are_walked_one_by_one_and_the_film_goes_there(strip, told, by_hand):
    strip.show_moment(21_000_000)
    strip.select_next("steps")
    assert told.of("selection_wanted")[-1] == [(by_hand.id("groove"),), False]
    assert told.of("moment_wanted")[-1] == [25_000_000, False]
    strip.select([by_hand.id("groove")])
    strip.select_previous("steps")
    assert told.of("selection_wanted")[-1] == [(by_hand.id("nucleus"),), False]
    strip.select([by_hand.id("seal")])
    strip.select_next("steps")
    assert told.of("selection_wanted")[-1] == [(by_hand.id("seal"),), False]


def test_walking_back_without_a_selection_begins_before_the_playhead(strip, told, by_hand):
    strip.show_moment(21_000_000)
    strip.select_previous("steps")
    assert told.of("selection_wanted")[-1] == [(by_hand.id("nucleus"),), False]
    strip.select_next("goals")
    assert len(told.of("selection_wanted")) == 1


def test_opening_and_closing_keeps_the_stretch(strip, qapp):
    strip.show_stretch(40_000_000, 60_000_000)
    low = strip.height()
    strip.open_up()
    qapp.processEvents()
    assert strip.height() > 2 * low
    strip.open_up()
    assert (strip.height(), strip.stretch_us) == (low, (40_000_000, 60_000_000))


def test_the_opened_strip_leaves_most_of_the_window_to_the_film_and_scrolls(strip, qapp, by_hand):
    many = [
        InstrumentSpan(**by_hand.span(f"i{n:02d}", n, n + 1, instrument=f"tool-{n}", hand="main"))
        for n in range(40)
    ]
    strip.show_review(by_hand.review.changed(instruments=tuple(many)))
    strip.open_up()
    qapp.processEvents()
    assert strip.height() <= 0.45 * strip.window().height()
    assert strip.top_px == 0
    strip.select([many[-1].id])
    assert strip.top_px > 0
    last = [d.place for d in strip.laid.drawn if d.place.row.lane == "instruments"][-1]
    assert last.top_px + last.height_px <= strip.top_px + strip.height()


@pytest.mark.parametrize("percent", [100, 150, 200])
def test_everything_grows_with_the_text(strip, qapp, percent):
    before = strip.height()
    wear(qapp, LIGHT, percent)
    qapp.processEvents()
    assert strip.height() == pytest.approx(before * percent / 100, rel=0.12)
    wear(qapp, LIGHT, 100)


def test_a_frame_of_the_film_repaints_once_and_only_where_it_moved(strip, qapp):
    strip.show_stretch(0, 10_000_000)
    strip.show_moment(5_000_000)
    qapp.processEvents()
    before = strip.n_paints
    strip.show_moment(5_040_000)
    qapp.processEvents()
    assert strip.n_paints == before + 1


def test_the_playhead_is_repainted_once_a_pixel_however_many_frames_that_are(strip, qapp):
    strip.show_moment(5_000_000)
    qapp.processEvents()
    before = strip.n_paints
    frames_us = range(5_040_000, 15_000_000, 40_000)
    for us in frames_us:
        strip.show_moment(us)
        qapp.processEvents()
    n_pixels = 10_000_000 / strip.us_per_px
    assert n_pixels < 0.6 * len(frames_us)
    # Once more as the wound begins: it is marked as running then.
    assert strip.n_paints - before <= n_pixels + 2


@pytest.mark.parametrize(
    "change",
    [
        lambda strip, by_hand: strip.select([by_hand.id("seal")]),
        lambda strip, by_hand: strip.show_review(by_hand.review_of()),
        lambda strip, by_hand: strip.show_gaps([(1_000_000, 9_000_000)]),
        lambda strip, by_hand: strip.show_activity([0, 1, 5, 2]),
        lambda strip, by_hand: strip.show_moment(30_000_000),
        lambda strip, by_hand: strip.show_stretch(10_000_000, 50_000_000),
        lambda strip, by_hand: strip.wear(DARK),
        lambda strip, by_hand: strip.stop(),
    ],
    ids=["select", "review", "gaps", "activity", "running", "stretch", "theme", "stop"],
)
def test_whatever_changes_is_seen(strip, by_hand, change):
    before = strip.grab().toImage()
    assert strip.grab().toImage() == before
    change(strip, by_hand)
    after = strip.grab().toImage()
    assert after != before


def test_a_step_that_begins_to_run_is_marked_though_the_playhead_moves_by_a_frame(strip):
    strip.show_moment(69_960_000)
    x = round(strip.laid.scale.x_of(85_000_000))
    place = next(d.place for d in strip.laid.drawn if d.place.row.lane == "steps")
    before = strip.grab().toImage().pixelColor(x, place.top_px + 1)
    strip.show_moment(70_000_000)
    after = strip.grab().toImage().pixelColor(x, place.top_px + 1)
    assert before != after
    assert after.name().upper() == LIGHT.text


def test_a_case_that_is_put_away_leaves_nothing(strip, qapp):
    strip.show_gaps([(1, 5)])
    strip.stop()
    qapp.processEvents()
    assert strip.content is None
    assert strip.accessibleDescription() == "no case"


def test_uneven_frames_are_stepped_on_not_counted(strip, by_hand):
    starts = np.array([0, 100_000, 110_000, 900_000, 950_000], dtype=np.int64)
    frames = FrameClock([ClockPart(starts, 0, 1_000_000)])
    strip.show_case(frames, by_hand.guide, (0, 1_000_000))
    strip.show_review(by_hand.review_of())
    assert [strip.frame_start(us) for us in (-5, 105_000, 899_999, 2_000_000)] == [
        0, 100_000, 110_000, 950_000
    ]  # fmt: skip


def test_a_font_that_changes_alone_is_taken(strip, qapp):
    font = strip.font()
    font.setPointSizeF(font.pointSizeF() * 2)
    before = strip.height()
    strip.setFont(font)
    assert strip.height() > 1.7 * before
    assert QApplication.instance() is qapp
