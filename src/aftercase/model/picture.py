"""Places on the picture: kept as shares of the decoded frame, shown as the film says to show it.

A film's file may ask for its frames to be mirrored and turned before they are looked at. People see
and point at the picture as shown; what they pointed at is kept on the frame as decoded.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import Annotated, Final, Literal

from pydantic import Field

from aftercase.model.base import Record, Us

Share = Annotated[float, Field(strict=True, ge=0.0, le=1.0)]
QuarterTurn = Literal[0, 90, 180, 270]
Place = tuple[float, float]

_TURNED: Final[Mapping[int, Callable[[float, float], Place]]] = MappingProxyType(
    {
        0: lambda x, y: (x, y),
        90: lambda x, y: (y, 1.0 - x),
        180: lambda x, y: (1.0 - x, 1.0 - y),
        270: lambda x, y: (1.0 - y, x),
    }
)


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
    """Size of a decoded frame, the shape of its pixels, and how it is turned to be shown.

    Attributes:
        width_px: Decoded width in pixels.
        height_px: Decoded height in pixels.
        pixel_aspect: Width of one pixel over its height.
        shown_turn_deg: Counter-clockwise turn to show it, as its file says.
        shown_mirrored: Left and right are changed before turning, as its file says.
    """

    width_px: Annotated[int, Field(gt=0)]
    height_px: Annotated[int, Field(gt=0)]
    pixel_aspect: Annotated[float, Field(gt=0)] = 1.0
    shown_turn_deg: QuarterTurn = 0
    shown_mirrored: bool = False


def shown_share(x: float, y: float, turn_deg: int, *, mirrored: bool) -> Place:
    """Return where a place of the decoded frame is on the picture as shown, both in shares.

    Args:
        x: From the frame's left edge, in widths.
        y: From its top edge, in heights.
        turn_deg: Counter-clockwise turn to show it: 0, 90, 180 or 270.
        mirrored: Left and right are changed before turning.

    Example:
        >>> shown_share(0.25, 0.125, 90, mirrored=False)
        (0.125, 0.75)
    """
    return _TURNED[turn_deg](1.0 - x if mirrored else x, y)


def decoded_share(x: float, y: float, turn_deg: int, *, mirrored: bool) -> Place:
    """Return which place of the decoded frame is at one of the shown picture: `shown_share` undone.

    Example:
        >>> decoded_share(0.125, 0.75, 90, mirrored=False)
        (0.25, 0.125)
    """
    x, y = _TURNED[-turn_deg % 360](x, y)
    return (1.0 - x if mirrored else x), y


def shown_size(shape: FrameShape) -> Place:
    """Return width and height of the picture as shown, in square pixels.

    Example:
        >>> shown_size(FrameShape(width_px=1920, height_px=1080, shown_turn_deg=90))
        (1080.0, 1920.0)
    """
    wide, high = shape.width_px * shape.pixel_aspect, float(shape.height_px)
    return (high, wide) if shape.shown_turn_deg in (90, 270) else (wide, high)


def shown_px(x: float, y: float, shape: FrameShape) -> Place:
    """Return where a place of the decoded frame is on the picture as shown, in square pixels.

    Args:
        x: From the frame's left edge, in widths.
        y: From its top edge, in heights.
        shape: The frame's.

    Example:
        >>> shown_px(0.25, 0.125, FrameShape(width_px=768, height_px=576, shown_turn_deg=90))
        (72.0, 576.0)
    """
    right, down = shown_share(x, y, shape.shown_turn_deg, mirrored=shape.shown_mirrored)
    width_px, height_px = shown_size(shape)
    return right * width_px, down * height_px


def square_pixels(point: PicturePoint, shape: FrameShape) -> Place:
    """Return a place on the picture as shown in square pixels: x to the right, y downwards.

    Example:
        >>> shape = FrameShape(width_px=720, height_px=576, pixel_aspect=16 / 15)
        >>> square_pixels(PicturePoint(x=0.5, y=0.5, at_us=0), shape)
        (384.0, 288.0)
    """
    return shown_px(point.x, point.y, shape)
