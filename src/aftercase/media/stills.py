"""A picture as the bytes of an image file: square pixels, upright."""

from __future__ import annotations

from io import BytesIO
from typing import TYPE_CHECKING, Final, Literal

from aftercase.media.picture import Pixels

if TYPE_CHECKING:
    from PIL.Image import Image

_JPEG_QUALITY: Final = 90


def png_bytes(pixels: Pixels) -> bytes:
    """Return a picture as a PNG file, without loss."""
    return _file_bytes(pixels, "PNG")


def jpeg_bytes(pixels: Pixels) -> bytes:
    """Return a picture as a JPEG file, small enough to be put into a page."""
    return _file_bytes(pixels, "JPEG")


def upright(pixels: Pixels) -> Image:
    """Return a picture as it is to be looked at: pixels made square, then mirrored and turned.

    Pixels are made square by widening or heightening, so that no detail is lost.
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


def _file_bytes(pixels: Pixels, form: Literal["PNG", "JPEG"]) -> bytes:
    buffer = BytesIO()
    options = {"quality": _JPEG_QUALITY, "subsampling": 0} if form == "JPEG" else {}
    upright(pixels).save(buffer, form, **options)
    return buffer.getvalue()
