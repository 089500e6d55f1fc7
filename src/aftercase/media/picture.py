"""One picture as plain data, and the time it is shown."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction


@dataclass(frozen=True, slots=True)
class Pixels:
    """A decoded picture, before pixel aspect, turn and mirror.

    Args:
        width_px: Pixels in a row.
        height_px: Rows, from the top.
        stride_bytes: Bytes from one row to the next, at least 3 * width_px.
        rgb: Rows of R, G, B bytes; height_px * stride_bytes in all.
        pixel_aspect: Width of a pixel over its height.
        turn_deg: Turn to show it upright, counter-clockwise, as the file says: 0, 90, 180, 270.
        mirrored: The file says to mirror left and right before turning.
    """

    width_px: int
    height_px: int
    stride_bytes: int
    rgb: bytes
    pixel_aspect: Fraction = Fraction(1)
    turn_deg: int = 0
    mirrored: bool = False


@dataclass(frozen=True, slots=True)
class FrameTimes:
    """When a frame is shown on the recording's clock: `[start_us, end_us)` of part `part`."""

    part: int
    start_us: int
    end_us: int


@dataclass(frozen=True, slots=True)
class Picture:
    """A frame's picture with the exact time it is shown.

    Args:
        times: Part, start and end on the recording's clock.
        pixels: What is shown.
        damaged: The frame has its place on the clock but cannot be decoded; `pixels` is grey.
        doubtful: Decoded from damaged data, or from a picture that was: may be wrong in part.
        from_copy: `pixels` are the scrub copy's, the same frame made small and coded again.
        nearby: A key picture near the moment asked for, not the one shown then; `times` are its
            own.
    """

    times: FrameTimes
    pixels: Pixels
    damaged: bool = False
    doubtful: bool = False
    from_copy: bool = False
    nearby: bool = False

    @property
    def is_stopgap(self) -> bool:
        """Claim that it is shown only until the exact picture of the moment is there."""
        return self.from_copy or self.nearby
