"""What lies over a picture - drawings, masks, captions - as one list of things to paint.

The list is in pixels of the picture as it is looked at: square, upright, (0, 0) at its top left
corner, so that pixel n reaches from n to n + 1. It holds three things only, painted in order:
`Line`, `Block` and `Words`. `paint` paints it into files, the window onto the screen.
"""

from __future__ import annotations

import math
import textwrap
import unicodedata
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from aftercase.model.case import Mask
from aftercase.model.picture import decoded_share, shown_share
from aftercase.model.review import Drawing

Point = tuple[float, float]
"""x to the right and y downwards, in pixels of the shown picture."""

Box = tuple[float, float, float, float]
"""Left, top, right and bottom of a rectangle, as shares of the decoded picture, 0..1."""

Colour = tuple[int, int, int]
"""Red, green, blue, 0..255 each."""

EDGE_COLOUR: Final[Colour] = (0, 0, 0)
MASK_COLOUR: Final[Colour] = (0, 0, 0)
WORD_COLOUR: Final[Colour] = (255, 255, 255)
DRAWING_COLOURS: Final[Mapping[str, Colour]] = MappingProxyType(
    {"sky": (86, 180, 233), "orange": (230, 159, 0), "white": (255, 255, 255)}
)
"""Each is over 9:1 lighter than its black edge, so that one of the two stands out 3:1 on anything.

Source:
    Contrast ratio: WCAG 2.2; two colours 9:1 apart are enough for any ground: its technique C40.
    Sky and orange: Okabe and Ito, Color Universal Design (2008). From memory.
"""

_UNKNOWN_COLOUR: Final = "sky"
_CORE: Final = 0.008
_EDGE: Final = 0.003
_LEAST_CORE_PX: Final = 2.0
_LEAST_EDGE_PX: Final = 1.0
_HEAD: Final = 0.05
_HEAD_OF_SHAFT: Final = 0.5
_HEAD_DEG: Final = 28.0
_RING_CORNERS: Final = 96
_LETTER: Final = 0.045
_LEAST_LETTER_PX: Final = 12.0
_LINE_PITCH: Final = 1.5
_LETTER_WIDTH: Final = 0.55
_CAPTION_SHARE: Final = 0.92
_TOUCH_PX: Final = 1e-6


@dataclass(frozen=True, slots=True)
class Placing:
    """How a decoded frame lies in the picture as it is looked at.

    Attributes:
        width_px: Width of the shown picture, upright, with square pixels.
        height_px: Its height.
        turn_deg: Counter-clockwise turn to show it upright: 0, 90, 180, 270.
        mirrored: Left and right are changed before turning.
    """

    width_px: float
    height_px: float
    turn_deg: int = 0
    mirrored: bool = False

    def shown(self, x: float, y: float) -> Point:
        """Return where a place of the decoded frame, in shares of it, is shown.

        Example:
            >>> Placing(576, 768, turn_deg=90).shown(0.25, 0.25)
            (144.0, 576.0)
        """
        right, down = shown_share(x, y, self.turn_deg, mirrored=self.mirrored)
        return right * self.width_px, down * self.height_px

    def shares(self, x_px: float, y_px: float) -> Point:
        """Return the place of the decoded frame that is shown at a point, the nearest if outside.

        Example:
            >>> Placing(576, 768, turn_deg=90).shares(144, 576)
            (0.25, 0.25)
        """
        right, down = _within(x_px / self.width_px), _within(y_px / self.height_px)
        return decoded_share(right, down, self.turn_deg, mirrored=self.mirrored)


@dataclass(frozen=True, slots=True)
class Line:
    """A line through points, two at least, with round ends and corners."""

    points: tuple[Point, ...]
    colour: Colour
    width_px: float


@dataclass(frozen=True, slots=True)
class Block:
    """A filled rectangle of whole pixels: left and top are in it, right and bottom are not."""

    left_px: int
    top_px: int
    right_px: int
    bottom_px: int
    colour: Colour


@dataclass(frozen=True, slots=True)
class Words:
    """A line of text, centred on a point, on a plate as high as its letters.

    The plate reaches `pad_px` beyond the text at both ends, and beyond `size_px` above and below.
    """

    text: str
    centre: Point
    size_px: float
    pad_px: float
    colour: Colour
    plate: Colour


Item = Line | Block | Words


def display_list(
    placing: Placing,
    *,
    drawings: Iterable[Drawing] = (),
    hidden: Iterable[Box] = (),
    captions: Sequence[str] = (),
    measure_px: float | None = None,
) -> tuple[Item, ...]:
    """Return what is painted over a picture, first to last.

    Masks lie over the drawings: nothing of the picture, and no line that follows it, is seen
    through one. Captions are typed words and lie over everything.

    Args:
        placing: How the frame is shown.
        drawings: Drawings of this frame; see `drawn_in`. One without two points shows nothing.
        hidden: Masks in force; see `hidden_in`.
        captions: Texts at the bottom, one below the other.
        measure_px: What the width of lines and the size of letters are measured by; the shown
            height where None. When zoomed in, give the height of the view.
    """
    height_px = placing.height_px if measure_px is None else measure_px
    return (
        *(item for drawing in drawings for item in _drawn(drawing, placing, height_px)),
        *(_block(box, placing) for box in hidden),
        *_captions(captions, placing, height_px),
    )


def drawn_in(
    drawings: Iterable[Drawing], part: int, start_us: int, end_us: int
) -> tuple[Drawing, ...]:
    """Return the drawings of a frame: those of its part within ``[start_us, end_us)``."""
    return tuple(
        drawing
        for drawing in drawings
        if drawing.part == part and start_us <= drawing.at_us < end_us
    )


def hidden_in(masks: Iterable[Mask], start_us: int, end_us: int) -> tuple[Box, ...]:
    """Return what masks hide at any moment of ``[start_us, end_us)``, a frame's or longer."""
    return tuple(
        (mask.left, mask.top, mask.right, mask.bottom)
        for mask in masks
        if mask.start_us < end_us and start_us < mask.end_us
    )


def _drawn(drawing: Drawing, placing: Placing, height_px: float) -> Iterator[Line]:
    points = [placing.shown(x, y) for x, y in drawing.points]
    if len(points) < 2:
        return
    lines = _SHAPES.get(drawing.shape, _way)(points, height_px)
    colour = DRAWING_COLOURS.get(drawing.colour, DRAWING_COLOURS[_UNKNOWN_COLOUR])
    core_px = max(_LEAST_CORE_PX, _CORE * height_px)
    edged_px = core_px + 2 * max(_LEAST_EDGE_PX, _EDGE * height_px)
    for width_px, one_colour in ((edged_px, EDGE_COLOUR), (core_px, colour)):
        for line in lines:
            yield Line(tuple(line), one_colour, width_px)


def _way(points: list[Point], _height_px: float) -> list[list[Point]]:
    return [points]


def _arrow(points: list[Point], height_px: float) -> list[list[Point]]:
    """Return the shaft from tail to tip, and the two sides of the head as one line."""
    tail, tip = points[0], points[-1]
    back = math.atan2(tail[1] - tip[1], tail[0] - tip[0])
    length_px = min(_HEAD * height_px, _HEAD_OF_SHAFT * math.dist(tail, tip))
    sides = [
        (tip[0] + length_px * math.cos(back + turn), tip[1] + length_px * math.sin(back + turn))
        for turn in (math.radians(_HEAD_DEG), -math.radians(_HEAD_DEG))
    ]
    return [[tail, tip], [sides[0], tip, sides[1]]]


def _ring(points: list[Point], _height_px: float) -> list[list[Point]]:
    """Return an ellipse that fills the box between two corners, closed."""
    (left, top), (right, bottom) = points[0], points[-1]
    centre = (left + right) / 2, (top + bottom) / 2
    radius = (right - left) / 2, (bottom - top) / 2
    angles = [2 * math.pi * corner / _RING_CORNERS for corner in range(_RING_CORNERS)]
    round_it = [
        (centre[0] + radius[0] * math.cos(angle), centre[1] + radius[1] * math.sin(angle))
        for angle in angles
    ]
    return [[*round_it, round_it[0]]]


_SHAPES: Final[Mapping[str, Callable[[list[Point], float], list[list[Point]]]]] = MappingProxyType(
    {"arrow": _arrow, "ring": _ring}
)


def _block(box: Box, placing: Placing) -> Block:
    """Return every pixel that a mask touches."""
    left, top, right, bottom = box
    corners = placing.shown(left, top), placing.shown(right, bottom)
    across, down = (sorted(axis) for axis in zip(*corners, strict=True))
    return Block(
        math.floor(across[0] + _TOUCH_PX),
        math.floor(down[0] + _TOUCH_PX),
        math.ceil(across[1] - _TOUCH_PX),
        math.ceil(down[1] - _TOUCH_PX),
        MASK_COLOUR,
    )


def _captions(captions: Sequence[str], placing: Placing, height_px: float) -> Iterator[Words]:
    size_px = max(_LEAST_LETTER_PX, _LETTER * height_px)
    widest = max(1, int(_CAPTION_SHARE * placing.width_px / (_LETTER_WIDTH * size_px)))
    lines = [line for caption in captions for line in _wrapped(caption, widest)]
    for from_bottom, line in enumerate(reversed(lines)):
        middle_px = placing.height_px - (from_bottom + 1) * _LINE_PITCH * size_px
        centre = placing.width_px / 2, middle_px
        yield Words(line, centre, size_px, 0.25 * size_px, WORD_COLOUR, EDGE_COLOUR)


def _wrapped(text: str, widest: int) -> list[str]:
    """Return a text in lines that fit; letters of double width, as in East Asia, count twice."""
    if not text.strip():
        return []
    wide = [unicodedata.east_asian_width(sign) in "WF" for sign in text]
    most = widest if not any(wide) else max(1, widest * len(text) // (len(text) + sum(wide)))
    return textwrap.wrap(text, most)


def _within(share: float) -> float:
    return max(0.0, min(1.0, share))
