"""The film view by its pixels, its pointer and its keys."""

from __future__ import annotations

import os
import subprocess
import sys
from fractions import Fraction

import numpy as np
import pytest
from PyQt6.QtCore import QEvent, QPoint, QPointF, Qt
from PyQt6.QtGui import QWheelEvent
from PyQt6.QtWidgets import QApplication

from aftercase.gui.film.light import Light
from aftercase.gui.film.mapping import WHOLE, Looked
from aftercase.gui.theme import DARK, LIGHT
from aftercase.model.case import Mask
from aftercase.model.review import Drawing

PAL = Fraction(16, 15)
MIDDLE_BUTTON = Qt.MouseButton.MiddleButton
GREEN = (0, 200, 0)
ORANGE = (230, 159, 0)
TURNS = [(turn, mirror) for turn in (0, 90, 180, 270) for mirror in (False, True)]

# Where (0.25, 0.125) of a frame of 768 x 576 square pixels is seen: turned counter-clockwise by a
# quarter, (x, y) of a picture w wide goes to (y, w - x). Shares of the upright picture.
SEEN_AT = {
    (0, False): (0.25, 0.125),
    (90, False): (0.125, 0.75),
    (180, False): (0.75, 0.875),
    (270, False): (0.875, 0.25),
    (0, True): (0.75, 0.125),
    (90, True): (0.125, 0.25),
    (180, True): (0.25, 0.875),
    (270, True): (0.875, 0.75),
}


def near(rgb, colour):
    return np.abs(rgb - colour).max(axis=2) < 40


def middle(where):
    rows, columns = np.nonzero(where)
    return (columns.min() + columns.max() + 1) / 2, (rows.min() + rows.max() + 1) / 2


def turn_wheel(film, notches, x, y):
    at = QPointF(x, y)
    event = QWheelEvent(
        at, at, QPoint(), QPoint(0, round(120 * notches)), Qt.MouseButton.NoButton,
        Qt.KeyboardModifier.NoModifier, Qt.ScrollPhase.NoScrollPhase, False,
    )  # fmt: skip
    QApplication.sendEvent(film, event)


@pytest.fixture
def shown(film, picture, spotted):
    """The spotted frame, 768 x 576 in square pixels, in a view of the same size."""
    film.show_picture(picture(spotted(), pixel_aspect=PAL, part=1, start_us=80_000, end_us=120_000))
    return film


# What is shown ----------------------------------------------------------------------------


def test_without_a_picture_the_view_is_dark_and_says_what_to_do(film, seen):
    rgb = seen(film)
    assert rgb.mean() < 40
    assert near(rgb, (0xE8, 0xEA, 0xED)).any()


@pytest.mark.parametrize(("display", "place"), SEEN_AT.items(), ids=str)
def test_a_place_of_the_frame_is_seen_where_it_was_worked_out(
    film, picture, spotted, seen, display, place
):
    turn_deg, mirrored = display
    film.show_picture(picture(spotted(), pixel_aspect=PAL, turn_deg=turn_deg, mirrored=mirrored))
    width, height = (768, 576) if turn_deg in (0, 180) else (432, 576)
    left = (768 - width) / 2
    wanted = left + place[0] * width, place[1] * height
    assert middle(near(seen(film), GREEN)) == pytest.approx(wanted, abs=1.5)


def test_the_surround_is_dark_in_the_light_theme_too(film, picture, seen):
    film.wear(LIGHT)
    film.show_picture(picture(np.full((10, 10, 3), 200)))
    rgb = seen(film)
    assert rgb[:, :90].max() < 40
    assert rgb[288, 384].min() > 190


def test_a_picture_decoded_for_the_view_is_shown_byte_for_byte(film, picture, seen):
    frame = np.random.default_rng(1).integers(0, 256, (432, 768, 3))
    film.show_picture(picture(frame))
    assert (seen(film)[72:504] == frame).all()


def test_the_decoder_is_told_the_size_in_the_screen_s_pixels(film, told):
    sizes = told(film.size_changed)
    film.resize(700, 400)
    assert sizes[-1] == (700, 400)


def test_another_light_changes_what_is_shown_and_the_next_picture_too(film, picture, seen):
    film.show_picture(picture(np.full((10, 10, 3), 40)))
    film.set_light(Light(brightness=0.2))
    assert (seen(film)[288, 384] == 91).all()  # 0.2 of 255 more
    film.show_picture(picture(np.full((10, 10, 3), 60)))
    assert (seen(film)[288, 384] == 111).all()
    film.set_light(Light())
    assert (seen(film)[288, 384] == 60).all()


def plate(rgb):
    """Return the corner where plates stand."""
    return rgb[8:40, 8:300]


def test_the_very_frame_has_no_plate_and_a_near_one_has(film, picture, seen):
    bright = np.full((576, 768, 3), 220)
    film.show_picture(picture(bright))
    assert (plate(seen(film)) == 220).all()
    film.show_picture(picture(bright, nearby=True), is_exact=False)
    assert near(plate(seen(film)), (47, 47, 47)).sum() > 500  # 220 under a plate of 200 / 255


def test_a_frame_that_comes_at_once_never_shows_a_plate(film, picture, seen, until):
    bright = picture(np.full((576, 768, 3), 220))
    film.show_picture(bright, is_exact=False)
    assert (plate(seen(film)) == 220).all()
    until(lambda: not (plate(seen(film)) == 220).all(), 2)
    film.show_picture(picture(np.full((576, 768, 3), 220)), is_exact=True)
    assert (plate(seen(film)) == 220).all()


def test_where_film_is_missing_words_stand_instead_of_the_last_picture(film, picture, seen):
    bright = picture(np.full((576, 768, 3), 220))
    film.show_picture(bright)
    film.show_picture(bright, is_exact=False, instead="The second part is not there.")
    assert not near(seen(film), (220, 220, 220)).mean() > 0.05
    film.show_picture(bright)
    assert (seen(film)[100:] == 220).all()


def mask(**fields):
    box = {"left": 0.5, "top": 0.5, "right": 1.0, "bottom": 1.0}
    return Mask(id="a" * 26, **{"start_us": 100_000, "end_us": 200_000, **box, **fields})


def test_a_mask_is_black_on_every_pixel_it_touches_at_any_zoom(film, picture, seen):
    frame = np.full((432, 768, 3), 220)
    film.show_picture(picture(frame, start_us=100_000, end_us=140_000))
    film.show_over((), (mask(left=0.501, right=0.6, top=0.2, bottom=0.3),))
    dark = (seen(film)[72:504] == 0).all(axis=2)
    rows, columns = np.nonzero(dark)
    # 0.501 and 0.6 of 768 are 384.8 and 460.8; 0.2 and 0.3 of 432 are 86.4 and 129.6
    assert (columns.min(), columns.max() + 1, rows.min(), rows.max() + 1) == (384, 461, 86, 130)
    assert dark.sum() == 77 * 44
    film.look(Looked(2.0, 0.5, 0.25))
    dark = (seen(film) == 0).all(axis=2)
    rows, columns = np.nonzero(dark)
    # twice as large about the middle, 384 px to the left; and from the top, which is the edge
    assert (columns.min(), columns.max() + 1) == (769 - 384, 922 - 384)
    assert (rows.min(), rows.max() + 1) == (172, 260)


def test_masks_are_those_of_the_picture_that_is_seen_not_of_the_moment_asked_for(
    film, picture, seen
):
    """A picture from before a jump stays until the next comes: its own masks go on hiding."""
    frame = np.full((576, 768, 3), 220)
    film.show_over((), (mask(),))
    film.show_picture(picture(frame, start_us=100_000, end_us=140_000), is_exact=False)
    assert (seen(film)[300:560, 400:760] == 0).all()
    film.show_picture(picture(frame, start_us=200_000, end_us=240_000))
    assert (seen(film)[300:560, 400:760] == 220).all()
    film.show_picture(picture(frame, start_us=60_000, end_us=100_001), is_exact=False)
    assert (seen(film)[300:560, 400:760] == 0).all()


# Looking into it --------------------------------------------------------------------------


def test_the_wheel_enlarges_about_the_pointer(shown, seen):
    """The spot lies at (192, 72); enlarged about it, it stays there."""
    turn_wheel(shown, 3, 192, 72)
    assert shown.zoom == pytest.approx(1.25**3)
    assert middle(near(seen(shown), GREEN)) == pytest.approx((192, 72), abs=2)


def test_full_pictures_are_wanted_while_it_is_enlarged(shown, told):
    wants = told(shown.full_size_wanted)
    turn_wheel(shown, 1, 100, 100)
    turn_wheel(shown, 1, 100, 100)
    turn_wheel(shown, -5, 100, 100)
    assert wants == [(True,), (False,)]
    assert shown.zoom == 1


def test_a_drag_moves_an_enlarged_picture_with_the_hand(shown, seen, pointer):
    shown.look(Looked(2.0, 0.25, 0.125))
    before = middle(near(seen(shown), GREEN))
    pointer(shown, (400, 300), (300, 250))
    assert middle(near(seen(shown), GREEN)) == pytest.approx(
        (before[0] - 100, before[1] - 50), abs=1
    )


def test_a_double_click_shows_the_picture_whole_again(shown, qtbot):
    shown.zoom_by(4)
    qtbot.mouseDClick(shown, Qt.MouseButton.LeftButton, pos=QPoint(300, 200))
    assert shown.looked == WHOLE


def test_the_keys_way_of_looking_moves_by_shares_of_what_is_seen(shown):
    shown.zoom_by(4)
    shown.pan_by(0.5, 0)
    assert (shown.looked.x, shown.looked.y) == pytest.approx((0.625, 0.5), abs=0.001)
    shown.zoom_by(0.01)
    assert shown.looked == WHOLE


def test_another_film_is_shown_whole(shown, picture, told):
    shown.zoom_by(4)
    wants = told(shown.full_size_wanted)
    shown.show_picture(None)
    assert shown.looked == WHOLE
    assert wants == [(False,)]


def test_without_a_picture_nothing_is_enlarged(film):
    film.zoom_by(2)
    film.pan_by(1, 1)
    assert film.looked == WHOLE


# Pointing ---------------------------------------------------------------------------------


@pytest.mark.parametrize("zoom", [1.0, 3.0])
@pytest.mark.parametrize(("display", "place"), SEEN_AT.items(), ids=str)
def test_a_click_on_what_is_seen_points_at_its_place_in_the_frame(
    film, picture, spotted, pointer, told, seen, display, place, zoom
):
    turn_deg, mirrored = display
    film.show_picture(
        picture(
            spotted(), pixel_aspect=PAL, turn_deg=turn_deg, mirrored=mirrored, part=1,
            start_us=80_000, end_us=120_000,
        )
    )  # fmt: skip
    width, height = (768, 576) if turn_deg in (0, 180) else (432, 576)
    at = (768 - width) / 2 + place[0] * width, place[1] * height
    film.zoom_by(zoom, QPointF(*at))
    at = middle(near(seen(film), GREEN))  # near a rim it does not stay where it was
    points = told(film.pointed)
    film.ask_for_point(True, "12 o'clock")
    pointer(film, at)
    [(point,)] = points
    assert (point.part, point.at_us) == (1, 80_000)
    assert (point.x, point.y) == pytest.approx((0.25, 0.125), abs=0.003)


def test_a_point_is_taken_once_and_only_on_the_picture(film, picture, pointer, told):
    film.show_picture(picture(np.zeros((100, 400, 3))))
    points = told(film.pointed)
    film.ask_for_point(True)
    pointer(film, (300, 20))  # above the picture
    assert points == []
    pointer(film, (384, 288))
    pointer(film, (384, 288))
    assert len(points) == 1


def test_a_picture_that_is_only_near_is_not_pointed_at(film, picture, pointer, told):
    film.show_picture(picture(np.zeros((100, 400, 3)), nearby=True), is_exact=False)
    points = told(film.pointed)
    film.ask_for_point(True)
    pointer(film, (384, 288))
    assert points == []
    film.show_picture(picture(np.zeros((100, 400, 3)), from_copy=True), is_exact=False)
    pointer(film, (384, 288))
    assert len(points) == 1


def test_keys_point_too_the_way_it_is_seen(film, picture, keys, told):
    """Right on the screen of a frame turned by 90 is further down in it."""
    film.show_picture(picture(np.zeros((400, 400, 3)), turn_deg=90))
    points = told(film.pointed)
    film.ask_for_point(True)
    keys(film, "Right", "Right", "Up", "Return")
    [(point,)] = points
    assert (point.x, point.y) == pytest.approx((0.5 + 0.04, 0.5 + 0.08))


def test_a_step_of_the_cross_is_smaller_with_shift_and_when_enlarged(film, picture, keys, told):
    film.show_picture(picture(np.zeros((576, 768, 3))))
    points = told(film.pointed)
    film.zoom_by(4)
    film.ask_for_point(True)
    keys(film, "Right", "Shift+Down", "Return")
    [(point,)] = points
    assert (point.x, point.y) == pytest.approx((0.51, 0.501))


def test_without_a_cross_return_points_nowhere_and_escape_leaves(shown, keys, told):
    points, left = told(shown.pointed), told(shown.left)
    shown.ask_for_point(True)
    keys(shown, "Return", "Esc", "Right", "Return")
    assert points == []
    assert left == [()]


def test_several_places_are_pointed_at_until_that_ends(film, picture, pointer, told):
    film.show_picture(picture(np.zeros((576, 768, 3))))
    points = told(film.pointed)
    film.ask_for_points(True, "Length")
    for x in (100, 300, 500):
        pointer(film, (x, 288))
    assert [point.x for (point,) in points] == pytest.approx([100 / 768, 300 / 768, 500 / 768])
    film.ask_for_points(False)
    pointer(film, (600, 288))
    assert len(points) == 3


def test_a_place_that_is_set_is_taken_hold_of_and_dragged(film, picture, pointer, told):
    film.show_picture(picture(np.zeros((576, 768, 3))))
    points, dragged = told(film.pointed), told(film.dragged)
    film.ask_for_points(True)
    film.show_points((), ((0.25, 0.5), (0.75, 0.5)))
    pointer(film, (576 + 4, 288), (600, 288), (640, 300))
    assert points == []
    assert [(number, is_over) for number, _, is_over in dragged] == [
        (1, False), (1, False), (1, True),
    ]  # fmt: skip
    assert (dragged[-1][1].x, dragged[-1][1].y) == pytest.approx((640 / 768, 300 / 576))


def test_a_click_on_a_place_that_is_set_moves_nothing(film, picture, pointer, told):
    film.show_picture(picture(np.zeros((576, 768, 3))))
    points, dragged = told(film.pointed), told(film.dragged)
    film.ask_for_points(True)
    film.show_points((), ((0.25, 0.5),))
    pointer(film, (192, 288))
    assert (points, dragged) == ([], [])
    pointer(film, (400, 288), (420, 288))
    assert (len(points), dragged) == (1, [])


def test_return_where_the_cross_was_set_last_says_that_all_are_set(film, picture, keys, told):
    film.show_picture(picture(np.zeros((576, 768, 3))))
    points, aimed, done = told(film.pointed), told(film.aimed), told(film.done)
    film.ask_for_points(True)
    keys(film, "Right", "Return", "Right", "Return")
    assert (len(points), len(aimed), done) == (2, 2, [])
    keys(film, "Return")
    assert (len(points), done) == (2, [()])
    film.show_picture(picture(np.zeros((576, 768, 3)), start_us=40_000, end_us=80_000))
    keys(film, "Return")
    assert len(points) == 3, "on another frame it is another place"


def test_a_way_that_is_asked_for_is_told_and_not_drawn(film, picture, pointer, told):
    film.show_picture(picture(np.zeros((576, 768, 3))))
    drawn, shown_ways = told(film.drawn), told(film.way_shown)
    film.ask_for_way(True, "Where 12 is")
    pointer(film, (384, 288), (384, 200), (384, 100))
    [(way,)] = shown_ways
    assert np.allclose(way.points, ((0.5, 0.5), (0.5, 100 / 576)))
    assert drawn == []


# Drawing ----------------------------------------------------------------------------------


def test_a_drag_draws_in_the_frame_s_own_shares(shown, pointer, told):
    drawn = told(shown.drawn)
    shown.set_drawing("arrow", "orange")
    pointer(shown, (576, 432), (300, 200), (192, 72))
    [(drawing,)] = drawn
    assert (drawing.shape, drawing.colour) == ("arrow", "orange")
    assert (drawing.part, drawing.at_us) == (1, 80_000)
    assert drawing.points == (
        pytest.approx((0.75, 0.75), abs=0.002),
        pytest.approx((0.25, 0.125), abs=0.002),
    )


def test_a_line_is_seen_while_it_is_drawn(shown, seen, qapp, keys):
    shown.set_drawing("line", "orange")
    keys(shown, "Left", "Return", "Right", "Right")
    rgb = seen(shown)
    assert near(rgb, ORANGE).sum() > 100
    keys(shown, "Backspace")
    assert not near(seen(shown), ORANGE).any()


def test_a_kept_drawing_sits_on_its_place_at_any_zoom(shown, seen):
    ring = Drawing(
        shape="ring", colour="orange", part=1, at_us=80_000, points=((0.23, 0.095), (0.27, 0.155))
    )
    shown.show_over((ring,), ())
    rgb = seen(shown)
    assert middle(near(rgb, ORANGE)) == pytest.approx(middle(near(rgb, GREEN)), abs=1.5)
    shown.zoom_by(3, QPointF(192, 72))
    larger = seen(shown)
    assert middle(near(larger, ORANGE)) == pytest.approx(middle(near(larger, GREEN)), abs=2)


def test_a_line_is_as_wide_when_enlarged(shown, seen):
    line = Drawing(
        shape="line", colour="orange", part=1, at_us=80_000, points=((0.0, 0.5), (1.0, 0.5))
    )
    shown.show_over((line,), ())
    widths = []
    for zoom in (1, 4):
        shown.zoom_by(zoom)
        widths.append(near(seen(shown), ORANGE)[:, 384].sum())
    assert widths[0] == widths[1]


def test_tools_and_colours_are_taken_by_their_keys(shown, keys, told):
    taken, drawn = told(shown.tool_taken), told(shown.drawn)
    shown.set_drawing("arrow", "sky")
    keys(shown, "R", "3", "Left", "Return", "Right", "Down", "Return")
    assert taken == [("ring", "sky"), ("ring", "white")]
    [(drawing,)] = drawn
    assert (drawing.shape, drawing.colour) == ("ring", "white")


def test_backspace_takes_back_what_was_begun_then_asks_for_the_last_drawing(shown, keys, told):
    back, drawn = told(shown.taken_back), told(shown.drawn)
    shown.set_drawing("line", "sky")
    keys(shown, "Left", "Return", "Backspace")
    assert back == []
    keys(shown, "Backspace")
    assert back == [()]
    keys(shown, "Return", "Right", "Return")
    assert len(drawn) == 1


def test_escape_leaves_and_the_keys_are_the_window_s_again(shown, keys, told):
    left, taken = told(shown.left), told(shown.tool_taken)
    shown.set_drawing("line", "sky")
    keys(shown, "Esc", "R", "Return", "Right")
    assert left == [()]
    assert taken == []


def test_the_film_rests_as_soon_as_it_is_to_be_drawn_on(shown, keys, told):
    rests = told(shown.rest_wanted)
    shown.set_drawing("line", "sky")
    keys(shown, "R")
    shown.set_drawing(None)
    shown.ask_for_point(True)
    assert rests == [(), ()]


def test_a_click_while_drawing_leaves_the_focus_where_the_keys_are(shown):
    shown.set_drawing("line", "sky")
    assert shown.focusPolicy() == Qt.FocusPolicy.NoFocus
    shown.set_drawing(None)
    assert shown.focusPolicy() == Qt.FocusPolicy.StrongFocus


def test_while_drawing_the_middle_button_still_drags_and_the_wheel_enlarges(shown, pointer, told):
    drawn = told(shown.drawn)
    shown.set_drawing("line", "sky")
    turn_wheel(shown, 4, 384, 288)
    before = shown.looked
    pointer(shown, (400, 300), (300, 300), button=MIDDLE_BUTTON)
    assert shown.looked.x > before.x
    assert drawn == []


def test_a_line_begun_on_one_frame_is_not_kept_on_the_next(shown, picture, spotted, keys, told):
    drawn = told(shown.drawn)
    shown.set_drawing("line", "sky")
    keys(shown, "Left", "Return")
    shown.show_picture(picture(spotted(), part=1, start_us=120_000, end_us=160_000))
    keys(shown, "Right", "Return")
    assert drawn == []


# Focus, names, other screens --------------------------------------------------------------


def test_the_focus_ring_is_seen_on_any_picture(shown, seen, qapp):
    plain = seen(shown)
    shown.setFocus()
    qapp.processEvents()
    assert shown.hasFocus()
    ringed = seen(shown)
    assert near(ringed[:2], (0xF0, 0xE4, 0x42)).mean() > 0.9  # the dark theme's focus colour
    assert (ringed[2:4, 10:-10] == (0x10, 0x12, 0x14)).all()
    assert (ringed[200:400, 200:600] == plain[200:400, 200:600]).all()


def test_the_view_has_a_name_for_those_who_do_not_see_it(film):
    assert film.accessibleName() == "Film"


DOUBLE = """
import sys
import numpy as np
from PyQt6.QtCore import QPointF
from PyQt6.QtGui import QImage
from PyQt6.QtWidgets import QApplication, QLineEdit, QWidget
from aftercase.gui.film.view import FilmView
from aftercase.gui.theme import DARK
from aftercase.media.picture import FrameTimes, Picture, Pixels
from aftercase.model.case import Mask

app = QApplication([])
window = QWidget()
window.resize(420, 360)
other, view = QLineEdit(window), FilmView(DARK)
other.move(0, 320)
view.setParent(window)
sizes = []
view.size_changed.connect(lambda *size: sizes.append(size))
view.resize(400, 300)
other.setFocus()  # no ring
window.show()
app.processEvents()
frame = np.random.default_rng(1).integers(1, 256, (600, 800, 3), dtype=np.uint8)
view.show_picture(Picture(FrameTimes(0, 0, 1), Pixels(800, 600, 2400, frame.tobytes())))
view.show_over((), (Mask(id="a" * 26, start_us=0, end_us=1, left=0.25, top=0.25, right=0.3763,
                        bottom=0.5),))
image = view.grab().toImage().convertToFormat(QImage.Format.Format_RGB888)
rows = np.frombuffer(image.constBits().asarray(image.sizeInBytes()), np.uint8)
seen = rows.reshape(image.height(), image.bytesPerLine())[:, :2400].reshape(600, 800, 3)
frame[150:300, 200:302] = 0
print(sizes[-1], image.devicePixelRatio(), (seen == frame).all())
point = view.point_at(100.25, 75.5)
print(round(point.x * 800, 3), round(point.y * 600, 3))
"""


def test_on_a_screen_with_two_pixels_a_point_every_pixel_of_the_film_is_one_of_the_screen():
    """Mask: 0.25 to 0.3763 of 800 is 200 to 301.04; the pixel that is touched is black too."""
    done = subprocess.run(
        [sys.executable, "-c", DOUBLE],
        env={**os.environ, "QT_QPA_PLATFORM": "offscreen", "QT_SCALE_FACTOR": "2"},
        capture_output=True,
        text=True,
        timeout=60,
        check=True,
    )
    assert done.stdout.splitlines() == ["(800, 600) 2.0 True", "200.5 151.0"]


def test_the_view_asks_anew_when_it_comes_to_another_screen(film, told):
    sizes = told(film.size_changed)
    QApplication.sendEvent(film, QEvent(QEvent.Type.DevicePixelRatioChange))
    assert sizes == [(768, 576)]


def test_all_themes_have_the_words_readable_on_the_surround():
    from aftercase.gui.theme import contrast

    for theme in (LIGHT, DARK):
        assert contrast(theme.surround, theme.surround_text) >= 4.5
        assert contrast(theme.surround, theme.focus) >= 3  # WCAG 2.2, 1.4.11
