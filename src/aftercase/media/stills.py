"""A picture as the bytes of an image file: square pixels, upright, with what is drawn on it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from io import BytesIO
from typing import TYPE_CHECKING, Final, Literal

from aftercase.media.overlay import MASK_COLOUR, Box, Placing, display_list
from aftercase.media.paint import paint
from aftercase.media.picture import Pixels
from aftercase.model.review import Drawing

if TYPE_CHECKING:
    from PIL.Image import Image

_JPEG_QUALITY: Final = 90
_LINES: Final = 1.75
"""How much wider lines are than on the screen: a page shows its stills small."""


def png_bytes(
    pixels: Pixels, hidden: Sequence[Box] = (), drawings: Sequence[Drawing] = ()
) -> bytes:
    """Return a picture as a PNG file, without loss; see `upright`."""
    return _file_bytes(upright(pixels, hidden, drawings), "PNG")


def jpeg_bytes(
    pixels: Pixels, hidden: Sequence[Box] = (), drawings: Sequence[Drawing] = ()
) -> bytes:
    """Return a picture as a JPEG file, small enough to be put into a page; see `upright`."""
    return _file_bytes(upright(pixels, hidden, drawings), "JPEG")


def upright(pixels: Pixels, hidden: Sequence[Box] = (), drawings: Sequence[Drawing] = ()) -> Image:
    """Return a picture as it is to be looked at: pixels made square, then mirrored and turned.

    Pixels are made square by widening or heightening, so that no detail is lost.

    Args:
        pixels: The decoded picture.
        hidden: Rectangles that are black, each with every pixel it touches. They are black before
            pixels are made square too, so that nothing of them bleeds into their surroundings.
        drawings: What is drawn over the picture; masks cover it.
    """
    image = _turned(_squared(pixels, hidden), pixels)
    placing = Placing(image.width, image.height, pixels.turn_deg, pixels.mirrored)
    measure_px = _LINES * image.height
    paint(image, display_list(placing, drawings=drawings, hidden=hidden, measure_px=measure_px))
    return image


def _squared(pixels: Pixels, hidden: Sequence[Box]) -> Image:
    from PIL import Image  # late: `aftercase --help` must stay instant

    image = Image.frombuffer(
        "RGB",
        (pixels.width_px, pixels.height_px),
        pixels.rgb,
        "raw",
        "RGB",
        pixels.stride_bytes,
        1,
    )
    image = image.copy()  # the buffer that was handed in is not ours to paint on
    for box in hidden:
        image.paste(MASK_COLOUR, _pixel_box(box, pixels))
    return image.resize(square_size(pixels), Image.Resampling.BICUBIC)


def _turned(image: Image, pixels: Pixels) -> Image:
    from PIL.Image import Transpose  # late, as above

    if pixels.mirrored:
        image = image.transpose(Transpose.FLIP_LEFT_RIGHT)
    turns = {
        90: Transpose.ROTATE_90,
        180: Transpose.ROTATE_180,
        270: Transpose.ROTATE_270,
    }
    turn = turns.get(pixels.turn_deg)
    return image if turn is None else image.transpose(turn)


def square_size(pixels: Pixels) -> tuple[int, int]:
    """Return the width and height of a picture with square pixels, before it is turned.

    Example:
        >>> from fractions import Fraction
        >>> square_size(Pixels(720, 576, 2160, b"", Fraction(16, 15)))
        (768, 576)
    """
    aspect = pixels.pixel_aspect
    if aspect >= 1:
        return round(pixels.width_px * aspect), pixels.height_px
    return pixels.width_px, round(pixels.height_px / aspect)


def _pixel_box(box: Box, pixels: Pixels) -> tuple[int, int, int, int]:
    left, top, right, bottom = box
    width_px, height_px = pixels.width_px, pixels.height_px
    return (
        math.floor(left * width_px),
        math.floor(top * height_px),
        math.ceil(right * width_px),
        math.ceil(bottom * height_px),
    )


def _file_bytes(image: Image, form: Literal["PNG", "JPEG"]) -> bytes:
    buffer = BytesIO()
    options = {"quality": _JPEG_QUALITY, "subsampling": 0} if form == "JPEG" else {}
    image.save(buffer, form, **options)
    return buffer.getvalue()
