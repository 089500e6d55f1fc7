"""Paint what lies over a picture into an image: the painter for files."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import TYPE_CHECKING, Final

from aftercase.media.overlay import Block, Item, Line, Words

if TYPE_CHECKING:
    from PIL.Image import Image

_LARGE_SIDE_PX: Final = 2000
_FINE, _COARSE = 4, 2


def paint(image: Image, items: Iterable[Item]) -> None:
    """Paint a display list onto an image, in order; what lies outside the image is cut off.

    Args:
        image: RGB, of the size the list was made for; it is changed.
        items: What `display_list` gave.
    """
    for item in items:
        if isinstance(item, Line):
            _paint_line(image, item)
        elif isinstance(item, Block):
            _paint_block(image, item)
        else:
            _paint_words(image, item)


def _paint_block(image: Image, block: Block) -> None:
    box = block.left_px, block.top_px, block.right_px, block.bottom_px
    image.paste(block.colour, box)


def _paint_line(image: Image, line: Line) -> None:
    """Paint a line with smooth edges: drawn larger on a mask, made small, pasted through it."""
    from PIL import Image, ImageDraw  # late: `aftercase --help` must stay instant

    reach_px = line.width_px / 2 + 1
    xs, ys = zip(*line.points, strict=True)
    left, top = (max(0, math.floor(min(axis) - reach_px)) for axis in (xs, ys))
    right = min(image.width, math.ceil(max(xs) + reach_px))
    bottom = min(image.height, math.ceil(max(ys) + reach_px))
    if right <= left or bottom <= top:
        return
    fine = _FINE if max(right - left, bottom - top) <= _LARGE_SIDE_PX else _COARSE
    mask = Image.new("L", ((right - left) * fine, (bottom - top) * fine))
    pen = ImageDraw.Draw(mask)
    # Half a fine pixel: Pillow's coordinates name the middle of a pixel, ours its corner.
    points = [((x - left) * fine - 0.5, (y - top) * fine - 0.5) for x, y in line.points]
    width_px = line.width_px * fine
    pen.line(points, fill=255, width=round(width_px))
    for x, y in points:
        pen.circle((x, y), width_px / 2, fill=255)
    image.paste(line.colour, (left, top), mask.reduce(fine))


def _paint_words(image: Image, words: Words) -> None:
    from PIL import ImageDraw, ImageFont  # late, as above

    pen = ImageDraw.Draw(image)
    font = ImageFont.load_default(words.size_px)
    x, y = words.centre
    across_px = font.getlength(words.text) / 2 + words.pad_px
    down_px = words.size_px / 2 + words.pad_px
    pen.rectangle((x - across_px, y - down_px, x + across_px, y + down_px), words.plate)
    pen.text(words.centre, words.text, words.colour, font, anchor="mm")
