"""Places on the picture: stored as shares of the decoded frame, turned into square pixels here."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from aftercase.model.base import Record, Us

Share = Annotated[float, Field(strict=True, ge=0.0, le=1.0)]


class PicturePoint(Record):
    """A place on a decoded frame, before aspect, turn and mirror.

    Attributes:
        x: From the left edge, 0..1 of the frame's width.
        y: From the top edge, 0..1 of the frame's height.
        part: Position of the recording's part, 0-based.
        at_us: Start of the frame it was pointed at.
    """

    x: Share
    y: Share
    part: Annotated[int, Field(strict=True, ge=0)] = 0
    at_us: Us


class FrameShape(Record):
    """Size of a decoded frame and the shape of its pixels.

    Attributes:
        width_px: Decoded width in pixels.
        height_px: Decoded height in pixels.
        pixel_aspect: Width of one pixel over its height.
    """

    width_px: Annotated[int, Field(gt=0)]
    height_px: Annotated[int, Field(gt=0)]
    pixel_aspect: Annotated[float, Field(gt=0)] = 1.0


def square_pixels(point: PicturePoint, shape: FrameShape) -> tuple[float, float]:
    """Return a place in square pixels: x to the right, y downwards, unturned, unmirrored.

    Example:
        >>> shape = FrameShape(width_px=720, height_px=576, pixel_aspect=16 / 15)
        >>> square_pixels(PicturePoint(x=0.5, y=0.5, at_us=0), shape)
        (384.0, 288.0)
    """
    return point.x * shape.width_px * shape.pixel_aspect, point.y * shape.height_px
