"""The display list against coordinates worked out on paper."""

from __future__ import annotations

import math
from itertools import combinations

import numpy as np
import pytest

from aftercase.media.overlay import (
    DRAWING_COLOURS,
    EDGE_COLOUR,
    Block,
    Line,
    Placing,
    Words,
    display_list,
    drawn_in,
    hidden_in,
)
from aftercase.model.case import Mask
from aftercase.model.review import COLOURS, SHAPES, Drawing

# A decoded frame of 720 x 576 with pixels 16:15 is 768 x 576 in square pixels. The place
# (0.25, 0.125) of it is then at (192, 72), and at (768 - 192, 72) when mirrored. A turn of a
# picture of width w counter-clockwise by a quarter takes (x, y) to (y, w - x).
BY_HAND = {
    (0, False): (192, 72),
    (90, False): (72, 576),
    (180, False): (576, 504),
    (270, False): (504, 192),
    (0, True): (576, 72),
    (90, True): (72, 192),
    (180, True): (192, 504),
    (270, True): (504, 576),
}


def placing_of(turn_deg: int, mirrored: bool) -> Placing:
    width_px, height_px = (576, 768) if turn_deg in (90, 270) else (768, 576)
    return Placing(width_px, height_px, turn_deg, mirrored)


def drawing(shape: str, *points: tuple[float, float], colour: str = "sky", **fields) -> Drawing:
    return Drawing(shape=shape, colour=colour, points=points, **{"at_us": 0, **fields})


def cores(items) -> list[Line]:
    return [item for item in items if isinstance(item, Line) and item.colour != EDGE_COLOUR]


def mask(**fields) -> Mask:
    box = {"left": 0.0, "top": 0.0, "right": 1.0, "bottom": 1.0}
    return Mask(id="a" * 26, **{"start_us": 0, "end_us": 1, **box, **fields})


def test_nothing_over_a_picture_is_an_empty_list():
    assert display_list(Placing(960, 540)) == ()
    assert display_list(Placing(960, 540), captions=["", "  "]) == ()


@pytest.mark.parametrize(("display", "place"), BY_HAND.items(), ids=str)
def test_a_place_is_shown_where_it_was_worked_out_on_paper(display, place):
    assert placing_of(*display).shown(0.25, 0.125) == pytest.approx(place)


@pytest.mark.parametrize("display", BY_HAND, ids=str)
def test_a_shown_point_leads_back_to_its_place(display):
    placing = placing_of(*display)
    assert placing.shares(*BY_HAND[display]) == pytest.approx((0.25, 0.125))


def test_a_point_outside_the_picture_is_taken_to_its_edge():
    assert Placing(100, 50).shares(-3, 80) == (0.0, 1.0)
    assert Placing(100, 50, mirrored=True).shares(-3, 25) == (1.0, 0.5)


@pytest.mark.parametrize("display", BY_HAND, ids=str)
def test_a_line_is_drawn_between_its_ends_over_its_edge(display):
    placing = placing_of(*display)
    edge, core = display_list(placing, drawings=[drawing("line", (0.25, 0.125), (0.25, 0.125))])
    assert core.points == (pytest.approx(BY_HAND[display]),) * 2
    assert (edge.points, edge.colour) == (core.points, EDGE_COLOUR)
    assert core.colour == DRAWING_COLOURS["sky"]
    assert edge.width_px >= core.width_px + 2


def test_an_arrow_ends_in_its_tip_with_its_head_behind_it():
    shaft, head = cores(
        display_list(Placing(1000, 500), drawings=[drawing("arrow", (0.1, 0.5), (0.9, 0.5))])
    )
    assert shaft.points == ((100.0, 250.0), (900.0, 250.0))
    one, tip, other = head.points
    assert tip == (900.0, 250.0)
    assert (one[0] + other[0]) / 2 < 890
    assert one[1] - 250 == pytest.approx(250 - other[1])  # as far above as below
    assert math.dist(one, tip) == pytest.approx(0.05 * 500)


def test_the_head_of_a_short_arrow_is_no_longer_than_half_of_it():
    _, head = cores(
        display_list(Placing(1000, 500), drawings=[drawing("arrow", (0.5, 0.5), (0.51, 0.5))])
    )
    assert math.dist(head.points[0], head.points[1]) == pytest.approx(5)


def test_a_ring_is_the_ellipse_that_fills_its_box():
    """Every point fulfils the ellipse's equation; the sides of the box are touched."""
    [ring] = cores(
        display_list(Placing(1000, 500), drawings=[drawing("ring", (0.7, 0.2), (0.3, 0.8))])
    )
    for x, y in ring.points:
        assert ((x - 500) / 200) ** 2 + ((y - 250) / 150) ** 2 == pytest.approx(1)
    xs, ys = zip(*ring.points, strict=True)
    assert (min(xs), max(xs), min(ys), max(ys)) == pytest.approx((300, 700, 100, 400))
    assert ring.points[0] == ring.points[-1]


def test_a_freehand_way_and_an_unknown_shape_go_through_all_their_points():
    points = ((0.1, 0.1), (0.2, 0.4), (0.9, 0.6))
    for shape in ("freehand", "spiral"):
        [line] = cores(display_list(Placing(100, 100), drawings=[drawing(shape, *points)]))
        assert np.array(line.points) == pytest.approx(np.array([(10, 10), (20, 40), (90, 60)]))


def test_an_unknown_colour_is_drawn_in_a_known_one():
    [line] = cores(
        display_list(
            Placing(100, 100), drawings=[drawing("line", (0, 0), (1, 1), colour="ultraviolet")]
        )
    )
    assert line.colour in DRAWING_COLOURS.values()


@pytest.mark.parametrize("shape", SHAPES)
def test_a_drawing_with_too_few_points_shows_nothing(shape):
    assert display_list(Placing(100, 100), drawings=[drawing(shape, (0.5, 0.5))]) == ()
    assert display_list(Placing(100, 100), drawings=[drawing(shape)]) == ()


def test_lines_are_as_wide_as_the_picture_is_high_or_as_the_view_they_are_measured_by():
    one = [drawing("line", (0, 0), (1, 1))]
    [at_500] = cores(display_list(Placing(500, 500), drawings=one))
    [at_1000] = cores(display_list(Placing(1000, 1000), drawings=one))
    [zoomed] = cores(display_list(Placing(4000, 4000), drawings=one, measure_px=500))
    assert at_1000.width_px == pytest.approx(2 * at_500.width_px)
    assert zoomed.width_px == at_500.width_px


def test_masks_lie_over_drawings_and_captions_over_all():
    items = display_list(
        Placing(960, 540),
        drawings=[drawing("line", (0, 0), (1, 1))],
        hidden=[(0.0, 0.0, 0.5, 0.5)],
        captions=["One word"],
    )
    assert [type(item) for item in items] == [Line, Line, Block, Words]


# 0.1 to 0.3 of 768 columns is 76.8 to 230.4, 0.5 to 0.75 of 576 rows is 288 to 432.
HIDDEN_BY_HAND = {
    (0, False): (76, 288, 231, 432),
    (0, True): (537, 288, 692, 432),
    (90, False): (288, 537, 432, 692),
    (180, False): (537, 144, 692, 288),
    (270, True): (144, 537, 288, 692),
}


@pytest.mark.parametrize(("display", "box"), HIDDEN_BY_HAND.items(), ids=str)
def test_a_mask_covers_every_pixel_it_touches(display, box):
    [block] = display_list(placing_of(*display), hidden=[(0.1, 0.5, 0.3, 0.75)])
    assert (block.left_px, block.top_px, block.right_px, block.bottom_px) == box


def test_captions_stand_in_the_middle_one_below_the_other_within_the_picture():
    words = display_list(Placing(960, 540), captions=["Above", "Below " * 20])
    assert [word.text.split()[0] for word in words][-1] == "Above"
    lines = sorted(words, key=lambda word: word.centre[1])
    assert [line.text.split()[0] for line in lines] == ["Above", *["Below"] * (len(lines) - 1)]
    assert len(lines) > 2
    assert {line.centre[0] for line in lines} == {480}
    assert lines[-1].centre[1] + lines[-1].size_px / 2 + lines[-1].pad_px <= 540


def test_wide_letters_are_wrapped_sooner():
    narrow = display_list(Placing(960, 540), captions=["a" * 36])
    wide = display_list(Placing(960, 540), captions=["眼" * 36])
    assert (len(narrow), len(wide)) == (1, 2)


def test_only_the_drawings_of_the_frame_are_shown():
    """A frame is [40, 80): its end belongs to the next, another part's frame to none of it."""
    drawings = [
        drawing("line", (0, 0), (1, 1), at_us=at_us, part=part)
        for at_us, part in ((39, 0), (40, 0), (79, 0), (80, 0), (40, 1))
    ]
    assert drawn_in(drawings, 0, 40, 80) == tuple(drawings[1:3])
    assert drawn_in((), 0, 40, 80) == ()


def test_a_mask_hides_a_frame_that_it_covers_even_in_part():
    masks = [
        mask(start_us=start, end_us=end, left=number / 10)
        for number, (start, end) in enumerate([(0, 40), (0, 41), (79, 99), (80, 99), (0, 99)])
    ]
    assert [box[0] for box in hidden_in(masks, 40, 80)] == [0.1, 0.2, 0.4]


# Colours of a picture through the operating microscope, as seen (rough, from memory).
TISSUE = {
    "red reflex": (200, 80, 30),
    "bright reflex": (240, 138, 60),
    "blood": (140, 20, 18),
    "brown iris": (74, 44, 20),
    "grey iris": (122, 140, 153),
    "sclera": (232, 221, 213),
    "conjunctiva": (217, 160, 143),
    "pupil": (20, 10, 8),
    "glare": (255, 255, 255),
}

# Viewing with a missing kind of cone: Machado, Oliveira and Fernandes 2009, severity 1.0,
# linear RGB. From memory.
SEEN_BY = {
    "all cones": ((1, 0, 0), (0, 1, 0), (0, 0, 1)),
    "no long": (
        (0.152286, 1.052583, -0.204868),
        (0.114503, 0.786281, 0.099216),
        (-0.003882, -0.048116, 1.051998),
    ),
    "no middle": (
        (0.367322, 0.860646, -0.227968),
        (0.280085, 0.672501, 0.047413),
        (-0.011820, 0.042940, 0.968881),
    ),
    "no short": (
        (1.255528, -0.076749, -0.178779),
        (-0.078411, 0.930809, 0.147602),
        (0.004733, 0.691367, 0.303900),
    ),
}


def linear(colour):
    """Linear light of an sRGB colour (IEC 61966-2-1)."""
    shares = (value / 255 for value in colour)
    return [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in shares]


def contrast(one, other):
    """Contrast ratio of WCAG 2.2."""
    light = [0.2126 * r + 0.7152 * g + 0.0722 * b for r, g, b in map(linear, (one, other))]
    return (max(light) + 0.05) / (min(light) + 0.05)


def lab(light):
    """CIE 1976 L*a*b* of linear sRGB light, white D65."""
    r, g, b = (max(0.0, min(1.0, value)) for value in light)
    xyz = (
        (0.4124 * r + 0.3576 * g + 0.1805 * b) / 0.95047,
        0.2126 * r + 0.7152 * g + 0.0722 * b,
        (0.0193 * r + 0.1192 * g + 0.9505 * b) / 1.08883,
    )
    fx, fy, fz = (v ** (1 / 3) if v > 0.008856 else 7.787 * v + 16 / 116 for v in xyz)
    return 116 * fy - 16, 500 * (fx - fy), 200 * (fy - fz)


def seen(colour, eyes):
    light = linear(colour)
    return lab([sum(m * v for m, v in zip(row, light, strict=True)) for row in SEEN_BY[eyes]])


def test_every_colour_of_the_format_can_be_drawn():
    assert set(DRAWING_COLOURS) == set(COLOURS)


@pytest.mark.parametrize("word", COLOURS)
def test_a_line_or_its_edge_stands_out_from_every_tissue(word):
    colour = DRAWING_COLOURS[word]
    assert contrast(colour, EDGE_COLOUR) >= 9
    for name, tissue in TISSUE.items():
        assert max(contrast(colour, tissue), contrast(EDGE_COLOUR, tissue)) >= 3, name


@pytest.mark.parametrize("tissue", sorted(set(TISSUE) - {"glare"}))
def test_on_every_tissue_two_colours_at_least_differ_plainly_by_themselves(tissue):
    """Plainly: 25 steps of L*a*b*, where about 2.3 can just be told apart."""
    for eyes in SEEN_BY:
        ground = seen(TISSUE[tissue], eyes)
        plain = [w for w in COLOURS if math.dist(seen(DRAWING_COLOURS[w], eyes), ground) >= 25]
        assert len(plain) >= 2, eyes


@pytest.mark.parametrize("eyes", SEEN_BY)
def test_the_colours_are_told_apart_by_every_kind_of_eye(eyes):
    for one, other in combinations(DRAWING_COLOURS.values(), 2):
        assert math.dist(seen(one, eyes), seen(other, eyes)) >= 25
