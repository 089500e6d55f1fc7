"""A picture as the bytes of an image file: square pixels, upright."""

from __future__ import annotations

import math
from collections.abc import Iterable
from io import BytesIO
from typing import TYPE_CHECKING, Final, Literal

from aftercase.media.picture import Pixels

if TYPE_CHECKING:
    from PIL.Image import Image

_JPEG_QUALITY: Final = 90
_BLACK: Final = (0, 0, 0)

Box = tuple[float, float, float, float]
"""Left, top, right and bottom of a rectangle, as shares of the decoded picture, 0..1."""


def png_bytes(pixels: Pixels, hidden: Iterable[Box] = ()) -> bytes:
    """Return a picture as a PNG file, without loss; see `upright`."""
    return _file_bytes(pixels, "PNG", hidden)


def jpeg_bytes(pixels: Pixels, hidden: Iterable[Box] = ()) -> bytes:
    """Return a picture as a JPEG file, small enough to be put into a page; see `upright`."""
    return _file_bytes(pixels, "JPEG", hidden)


def upright(pixels: Pixels, hidden: Iterable[Box] = ()) -> Image:
    """Return a picture as it is to be looked at: pixels made square, then mirrored and turned.

    Pixels are made square by widening or heightening, so that no detail is lost.

    Args:
        pixels: The decoded picture.
        hidden: Rectangles that are painted black first; every pixel they touch is.
    """
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
    if boxes := [_pixel_box(box, pixels) for box in hidden]:
        image = image.copy()  # the buffer that was handed in is not ours to paint on
        for box in boxes:
            image.paste(_BLACK, box)
    image = image.resize(square_size(pixels), Image.Resampling.BICUBIC)
    if pixels.mirrored:
        image = image.transpose(Image.Transpose.FLIP_LEFT_RIGHT)
    turns = {
        90: Image.Transpose.ROTATE_90,
        180: Image.Transpose.ROTATE_180,
        270: Image.Transpose.ROTATE_270,
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


def _file_bytes(pixels: Pixels, form: Literal["PNG", "JPEG"], hidden: Iterable[Box]) -> bytes:
    buffer = BytesIO()
    options = {"quality": _JPEG_QUALITY, "subsampling": 0} if form == "JPEG" else {}
    upright(pixels, hidden).save(buffer, form, **options)
    return buffer.getvalue()
