from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest
from PyQt6.QtCore import QRectF
from PyQt6.QtGui import QColor, QFont, QImage, QPainter

from aftercase.gui.strip.content import content_of
from aftercase.gui.strip.layout import laid_out
from aftercase.gui.strip.paint import paint_moving, paint_still
from aftercase.gui.strip.places import closed_plan, opened_plan
from aftercase.gui.strip.scene import Letters, Scene
from aftercase.gui.strip.shapes import SIGN_OF, SignPictures, hatching
from aftercase.gui.strip.stretch import Scale, Stretch
from aftercase.gui.theme import DARK, LIGHT, contrast, mark_colour
from aftercase.model.review import REMARK_KINDS, StepSpan

RATIOS = (1.0, 1.5, 2.0)
SIDE_PX = 60


def pixels(picture):
    """Return a picture as red, green and blue, rows first."""
    bits = picture.constBits()
    bits.setsize(picture.sizeInBytes())
    rows = np.frombuffer(bits, np.uint8).reshape(picture.height(), picture.width(), 4)
    return rows[:, :, 2::-1].astype(int)


def rgb(colour):
    return [QColor(colour).red(), QColor(colour).green(), QColor(colour).blue()]


class Painted:
    """A strip of a thousand pixels painted without a window."""

    def __init__(self, content, frames, *, ratio=1.0, theme=LIGHT, plan=closed_plan, **scene):
        self.ratio = ratio
        letters = Letters(QFont(), theme)
        self.plan = plan(content, letters.sizes)
        self.scale = Scale(scene.pop("shown", content.bounds), SIDE_PX, 1000)
        self.layout = laid_out(self.plan, self.scale, letters.width_of)
        height_px = self.plan.height_px
        fields = {
            "shown_frame_us": (5_000_000, 5_040_000), "selected": frozenset(),
            "running": frozenset(), "activity": np.empty(0), **scene,
        }  # fmt: skip
        self.scene = Scene(
            layout=self.layout, content=content, frames=frames, theme=theme, letters=letters,
            ratio=ratio, width_px=1080, height_px=height_px, top_px=0, **fields,
        )  # fmt: skip
        image = QImage(round(1080 * ratio), round(height_px * ratio), QImage.Format.Format_RGB32)
        image.setDevicePixelRatio(ratio)
        painter = QPainter(image)
        painter.save()
        paint_still(painter, self.scene)
        painter.restore()
        paint_moving(painter, self.scene)
        painter.end()
        self.pixels = pixels(image)

    def box(self, from_s, to_s, lane, row=0):
        """Return the pixels of a stretch of a lane's row."""
        place = [d.place for d in self.layout.drawn if d.place.row.lane == lane][row]
        rows = slice(
            round(place.top_px * self.ratio), round((place.top_px + place.height_px) * self.ratio)
        )
        x = [round(self.scale.x_of(round(s * 1e6)) * self.ratio) for s in (from_s, to_s)]
        return self.pixels[rows, x[0] : x[1]]

    def count(self, box, colour):
        return int((box == rgb(colour)).all(axis=2).sum())


@pytest.fixture
def painted(qapp, by_hand, content):
    def make(**how):
        return Painted(how.pop("content", content), how.pop("frames", by_hand.frames), **how)

    return make


@pytest.mark.parametrize("ratio", RATIOS)
@pytest.mark.parametrize("theme", [LIGHT, DARK], ids=["light", "dark"])
def test_the_playhead_is_a_line_over_the_whole_height_at_the_shown_frame(painted, ratio, theme):
    strip = painted(ratio=ratio, theme=theme, shown_frame_us=(45_000_000, 45_040_000))
    x = round(510 * ratio)
    column = strip.pixels[:, x - 1 : x + 2]
    is_line = (column == rgb(theme.text)).all(axis=2).any(axis=1)
    assert is_line.all()
    beside = strip.pixels[:, round(515 * ratio)]
    assert not (beside == rgb(theme.text)).all(axis=1).all()


def test_a_sign_where_the_film_is_stays_readable(painted):
    strip = painted(shown_frame_us=(15_000_000, 15_040_000))
    column = strip.box(14.9, 15.1, "remarks")
    assert strip.count(column, mark_colour(LIGHT, "well-done")) > 0


def test_the_shown_frame_has_its_width_where_that_can_be_seen(painted):
    near = painted(shown=Stretch(45_000_000, 45_400_000), shown_frame_us=(45_080_000, 45_120_000))
    far = painted(shown_frame_us=(45_080_000, 45_120_000))
    row = near.pixels[2]
    tinted = (row != rgb(LIGHT.panel)).any(axis=1)
    # A tenth of a thousand pixels, from 200 on, and the line's rim before it.
    assert tinted[SIDE_PX + 215 : SIDE_PX + 300].all()
    assert not tinted[SIDE_PX + 303 : SIDE_PX + 400].any()
    assert (far.pixels[2] != rgb(LIGHT.panel)).any(axis=1).sum() < 30


def test_a_playhead_out_of_sight_is_not_painted(painted):
    shown = Stretch(1_000_000, 9_000_000)
    there = painted(shown=shown, shown_frame_us=(5_000_000, 5_040_000))
    gone = painted(shown=shown, shown_frame_us=(45_000_000, 45_040_000))
    assert there.count(there.pixels, LIGHT.text) > gone.count(gone.pixels, LIGHT.text)
    assert gone.count(gone.box(1, 9, "steps"), LIGHT.text) == 0


@pytest.mark.parametrize("ratio", RATIOS)
def test_blocks_have_their_edges_at_the_same_place_at_every_scale(painted, ratio):
    strip = painted(ratio=ratio)
    box = strip.box(0, 100, "steps")
    middle = box[round(box.shape[0] * 0.3)]
    edges = np.flatnonzero((middle == rgb(LIGHT.soft_text)).all(axis=1))
    for second in (10, 20, 60, 70, 95):
        assert np.abs(edges - 10 * second * ratio).min() <= 1


def test_neighbouring_steps_have_different_tones(painted):
    strip = painted()
    assert strip.count(strip.box(11, 12, "steps"), LIGHT.raised) > 0
    assert strip.count(strip.box(58, 59, "steps"), LIGHT.window) > 0
    assert strip.count(strip.box(58, 59, "steps"), LIGHT.raised) == 0


@pytest.mark.parametrize("ratio", RATIOS)
@pytest.mark.parametrize(("lane", "from_s", "to_s"), [("pauses", 66, 69), ("unseen", 30.5, 33.5)])
def test_pauses_and_what_cannot_be_seen_are_hatched(painted, ratio, lane, from_s, to_s):
    strip = painted(ratio=ratio, plan=opened_plan)
    inner = strip.box(from_s, to_s, lane)[4:-4]
    shade = inner.sum(axis=2)
    # Lines that go across: every row and every column is partly light, partly dark.
    assert (shade.max(axis=1) - shade.min(axis=1) > 150).all()
    assert (shade.max(axis=0) - shade.min(axis=0) > 150).all()
    outside = strip.box(2, 4, lane)[4:-4]
    assert len(np.unique(outside.reshape(-1, 3), axis=0)) == 1


def test_the_two_hatchings_differ_without_any_colour(qapp):
    one, other = (hatching(look, "#000000", 1.0).texture() for look in ("hatch", "cross-hatch"))
    assert (on_white(one) != on_white(other)).mean() > 0.1


def test_gaps_are_hatched_without_a_rim_and_pauses_have_one(painted, by_hand):
    gaps = ((5_000_000, 8_000_000),)
    content = content_of(by_hand.review, by_hand.guide, by_hand.frames, by_hand.bounds, gaps)
    strip = painted(content=content, plan=opened_plan)

    def is_solid(column):
        return (column == rgb(LIGHT.soft_text)).all(axis=1).mean() > 0.9

    assert is_solid(strip.box(60, 60.1, "pauses")[2:-3, 0])
    assert not is_solid(strip.box(5, 5.1, "gaps")[2:-3, 0])


def shape_mask(signs, lane, look):
    """Return which pixels a sign darkens, whatever its colour: more than half of what can be."""
    return on_white(signs.of(lane, look, False, 1, 40, 1.0)).sum(axis=2) < 400


def on_white(picture):
    ground = QImage(picture.size(), QImage.Format.Format_RGB32)
    ground.fill(QColor("#FFFFFF"))
    painter = QPainter(ground)
    painter.drawPixmap(0, 0, picture)
    painter.end()
    return pixels(ground)


def test_classes_of_events_differ_by_their_shape_alone(qapp, by_hand):
    signs = SignPictures(LIGHT, QFont())
    looks = (*by_hand.classes, "a-class-that-is-not-known", "flag")
    masks = {
        look: shape_mask(signs, "remarks" if look == "flag" else "events", look) for look in looks
    }
    for one, other in combinations(looks, 2):
        union = (masks[one] | masks[other]).sum()
        assert (masks[one] ^ masks[other]).sum() > 0.2 * union, (one, other)


def test_kinds_of_remarks_differ_by_their_letter_alone(qapp):
    assert sorted(SIGN_OF) == sorted(REMARK_KINDS)
    assert len(set(SIGN_OF.values())) == len(SIGN_OF)


def test_a_starred_remark_is_filled(qapp):
    signs = SignPictures(LIGHT, QFont())
    plain, strong = (signs.of("remarks", "work-on", star, 1, 16, 1.0) for star in (False, True))
    assert on_white(strong).sum() < on_white(plain).sum()


def test_a_selected_step_is_outlined_in_the_accent_and_shows_its_handles(painted, by_hand):
    ids = frozenset([by_hand.id("seal")])
    strip = painted(selected=ids)
    box = strip.box(70, 95, "steps")
    assert strip.count(box, LIGHT.accent) > 2 * 2 * 200
    sealed = painted(selected=ids, is_editable=False)
    assert sealed.count(sealed.box(70, 95, "steps"), LIGHT.accent) < strip.count(box, LIGHT.accent)
    plain = painted()
    assert plain.count(plain.box(70, 95, "steps"), LIGHT.accent) == 0


def test_a_running_step_is_outlined_and_its_word_is_bolder(painted, by_hand):
    running = painted(running=frozenset([by_hand.id("seal")]))
    plain = painted()

    def dark(strip):
        return int((strip.box(71, 94, "steps")[3:-3].sum(axis=2) < 300).sum())

    assert dark(running) > dark(plain) > 0
    assert running.count(running.box(70, 95, "steps")[:3], LIGHT.text) > 200


def test_nothing_of_what_goes_on_before_or_after_the_stretch_is_an_edge_there(painted):
    strip = painted(shown=Stretch(30_000_000, 50_000_000), shown_frame_us=(0, 40_000))
    box = strip.box(30, 50, "steps")
    middle = box[5:10]
    assert strip.count(middle[:, :3], LIGHT.soft_text) == 0
    assert strip.count(middle[:, -3:], LIGHT.soft_text) == 0


def test_the_activity_curve_is_as_high_as_its_numbers(painted):
    numbers = np.repeat([0.0, 1.0, 0.5], 100)
    strip = painted(activity=numbers)
    foot = strip.pixels[strip.plan.foot_top_px : strip.plan.foot_top_px + strip.plan.foot_px]

    def height(second):
        column = foot[:, SIDE_PX + 10 * second]
        return int((column == rgb(LIGHT.line)).all(axis=1).sum())

    assert height(40) > height(97) > height(8)


def test_the_strip_is_painted_in_both_themes_in_their_own_colours(painted):
    for theme in (LIGHT, DARK):
        strip = painted(theme=theme)
        assert strip.count(strip.pixels, theme.panel) > strip.pixels.shape[0] * 100
    assert contrast(LIGHT.soft_text, LIGHT.raised) >= 3
    assert contrast(DARK.soft_text, DARK.raised) >= 3


def test_the_focus_ring_is_seen(painted):
    strip = painted(has_focus=True)
    for edge in (strip.pixels[0], strip.pixels[-1], strip.pixels[:, 0], strip.pixels[:, -1]):
        assert (edge == rgb(LIGHT.focus)).all()


def test_a_rectangle_being_drawn_is_seen(painted):
    band = QRectF(200, 5, 300, 30)
    assert (painted(band=band).pixels != painted().pixels).any(axis=2).sum() > 200


def test_words_of_the_closed_strip_lie_inside_their_blocks(painted, by_hand):
    steps = [
        StepSpan(**by_hand.span(f"s{n:02d}", 2 * n, 2 * n + 1.2, step="wound")) for n in range(40)
    ]
    content = content_of(
        by_hand.review_of(steps=steps), by_hand.guide, by_hand.frames, by_hand.bounds
    )
    strip = painted(
        content=content, shown=Stretch(0, 8_000_000), shown_frame_us=(90_000_000, 90_040_000)
    )
    between = [strip.box(2 * n + 1.22, 2 * n + 1.98, "steps") for n in range(4)]
    for gap in between:
        assert strip.count(gap, LIGHT.text) == 0
    assert strip.count(strip.box(0, 1.2, "steps"), LIGHT.text) > 0
