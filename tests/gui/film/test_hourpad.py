"""The hour pad by its pointer, its keys and what it says."""

from __future__ import annotations

import math

import numpy as np
import pytest
from PyQt6.QtGui import QColor

from aftercase.gui.film.hourpad import HourPad
from aftercase.gui.film.padclock import PadClock
from aftercase.gui.theme import DARK, LIGHT, wear
from aftercase.model.orientation import View
from aftercase.model.review import StatedHour

RIGHT_TEMPORAL = PadClock(View(9.0))


@pytest.fixture
def pad(qapp):
    """Make a pad that is shown; all are put away at the end."""
    made = []

    def make(clock=RIGHT_TEMPORAL, eye="right", theme=LIGHT):
        wear(qapp, theme, 100)
        one = HourPad(theme, clock, eye)
        one.resize(one.sizeHint())
        one.show()
        qapp.processEvents()
        made.append(one)
        return one

    yield make
    for one in made:
        one.close()
        one.deleteLater()
    qapp.processEvents()


def towards(pad, angle_deg, px=55):
    """Return the point so far from the middle of the pad in a direction, clockwise from up."""
    turn = math.radians(angle_deg)
    return pad.width() / 2 + px * math.sin(turn), pad.height() / 2 - px * math.cos(turn)


@pytest.mark.parametrize(
    ("clock", "angle_deg", "hour"),
    [
        (RIGHT_TEMPORAL, 270, 12),  # a right eye from its temple: the forehead at the left
        (RIGHT_TEMPORAL, 135, 7.5),
        (PadClock(View(3.0)), 270, 6),
        (PadClock(View(12.0)), 90, 9),
        (PadClock(View(9.0, mirrored=True)), 270, 6),
        (PadClock(View(9.0, turn_deg=20)), 290, 12),
    ],
)
def test_a_click_says_the_eye_s_hour_that_lies_there(pad, pointer, told, clock, angle_deg, hour):
    one = pad(clock)
    hours = told(one.hour_chosen)
    pointer(one, towards(one, angle_deg))
    assert hours == [(StatedHour(hour=float(hour), clock="eye"),)]


def test_where_eye_or_seat_is_not_known_hours_are_the_picture_s_and_it_says_so(pad, pointer, told):
    one = pad(PadClock(), "not-said")
    hours = told(one.hour_chosen)
    pointer(one, towards(one, 90))
    assert hours == [(StatedHour(hour=3.0, clock="picture"),)]
    assert "12 at the top of the screen" in one.clock_words()
    assert "not said" in one.accessibleName()


def test_a_drag_says_a_stretch_the_shorter_way_as_hours_run(pad, pointer, told):
    """From the left (12) over the top (3): 12 to 3. Back again: the same stretch."""
    one = pad()
    stretches, hours = told(one.stretch_chosen), told(one.hour_chosen)
    way = [towards(one, angle_deg) for angle_deg in (270, 300, 330, 0)]
    pointer(one, *way)
    pointer(one, *reversed(way))
    ends = (StatedHour(hour=12.0, clock="eye"), StatedHour(hour=3.0, clock="eye"))
    assert stretches == [ends, ends]
    assert hours == []


def test_the_middle_where_all_hours_meet_says_none(pad, pointer, told):
    one = pad()
    hours = told(one.hour_chosen)
    pointer(one, towards(one, 0, px=5))
    assert hours == []


def test_keys_say_an_hour_and_return_keeps_it(pad, keys, told):
    one = pad()
    hours, words = told(one.hour_chosen), told(one.entry_changed)
    keys(one, "7", ".")
    assert hours == []
    keys(one, "Return")
    assert hours == [(StatedHour(hour=7.5, clock="eye"),)]
    assert words[-1] == ("7:30 (inferior, picture 4:30)",)
    assert one.accessibleDescription() == words[-1][0]


def test_keys_say_a_stretch(pad, keys, told):
    one = pad()
    stretches = told(one.stretch_chosen)
    keys(one, "3", "T", "Return", "5", "Return")
    assert stretches == [(StatedHour(hour=3.0, clock="eye"), StatedHour(hour=5.0, clock="eye"))]


def test_backspace_takes_back_and_what_is_not_whole_is_not_kept(pad, keys, told):
    one = pad()
    hours = told(one.hour_chosen)
    keys(one, "Return", "3", "T", "Backspace", "Backspace", "Return")
    assert hours == []
    assert one.entry_words() == "no hour yet"
    assert not one.is_whole


def colours(widget):
    image = widget.grab().toImage()
    return image, widget.devicePixelRatioF()


@pytest.mark.parametrize("theme", [LIGHT, DARK], ids=lambda theme: theme.name)
@pytest.mark.parametrize(("hour", "angle_deg"), [(12, 270), (9, 180), (3, 0), (6, 90)])
def test_the_disc_of_an_entered_hour_is_seen_where_the_hour_lies(pad, keys, theme, hour, angle_deg):
    one = pad(theme=theme)
    keys(one, {12: "=", 9: "9", 3: "3", 6: "6"}[hour])
    image, _ = colours(one)
    accent = QColor(theme.accent)
    at = np.array(
        [
            (x, y)
            for x in range(image.width())
            for y in range(image.height())
            if image.pixelColor(x, y) == accent
        ]
    )
    x, y = at.mean(axis=0)
    seen_deg = math.degrees(math.atan2(x - one.width() / 2, one.height() / 2 - y)) % 360
    assert min(abs(seen_deg - angle_deg), 360 - abs(seen_deg - angle_deg)) < 4


def test_the_pad_grows_with_the_letters(pad, qapp):
    small = pad().sizeHint()
    wear(qapp, LIGHT, 200)
    large = HourPad(LIGHT, RIGHT_TEMPORAL, "right").sizeHint()
    wear(qapp, LIGHT, 100)
    assert large.width() > 1.8 * small.width()
    assert large.height() > 1.8 * small.height()


def test_the_pad_in_the_column_beside_the_film_is_whole_at_every_size_of_letters(
    opened, press, until
):
    press(opened, "E", "A")
    for percent in (100, 150, 200):
        opened.change_settings(text_size_percent=percent)
        opened.ask("place")
        [one] = [pad for pad in opened.findChildren(HourPad) if pad.isVisible()]
        least = one.minimumSizeHint()
        until(lambda one=one, least=least: one.height() >= least.height())
        assert one.visibleRegion().boundingRect() == one.rect()
        assert one.width() >= least.width()


@pytest.mark.parametrize("turn_deg", [0, 20, 45, 110, 200, 300])
@pytest.mark.parametrize("share", [1.0, 0.7, 0.5])
def test_no_word_round_the_face_is_cut(pad, qapp, turn_deg, share):
    """Nothing but the pad's own ground is painted on its outermost pixels, however narrow."""
    one = pad(PadClock(View(9.0, turn_deg=turn_deg)))
    width = round(one.sizeHint().width() * share)
    one.resize(width, one.heightForWidth(width))
    qapp.processEvents()
    image, _ = colours(one)
    ground = image.pixelColor(0, 0)
    rim = [(x, y) for x in range(image.width()) for y in (0, image.height() - 1)]
    rim += [(x, y) for x in (0, image.width() - 1) for y in range(image.height())]
    assert all(image.pixelColor(x, y) == ground for x, y in rim)
