"""A decoded frame as plain R, G, B bytes, with the colours it was filmed in."""

from __future__ import annotations

import struct
from collections.abc import Callable
from fractions import Fraction
from typing import TYPE_CHECKING, Any, Final, cast

import numpy as np

from aftercase.media.deinterlace import uncombed_at
from aftercase.media.picture import Pixels

if TYPE_CHECKING:
    from av.video.frame import VideoFrame

_HD_HEIGHT_PX: Final = 720
_GREY: Final = 0x60

# Left, the file's tag (ISO/IEC 23091-2 matrix coefficients); right, the scaler's number for it.
_MATRIX_OF_TAG: Final = {1: 1, 4: 4, 5: 5, 6: 5, 7: 7, 9: 9, 10: 9}
_MATRIX_BT709: Final = 1
_MATRIX_BT601: Final = 5
_RANGE_LIMITED: Final = 1
_RANGE_FULL: Final = 2

# Where the matrix sends "right" (x, y; y downwards) and the counter-clockwise turn that does so.
_TURN_DEG: Final = {(1, 0): 0, (0, -1): 90, (-1, 0): 180, (0, 1): 270}


class PixelMaker:
    """Turn one file's frames into plain pixels with scalers of its own that start no threads."""

    def __init__(self) -> None:
        from av.video.reformatter import VideoReformatter  # late: see container

        self._scaler = VideoReformatter()
        self._converter = VideoReformatter()
        self._orientations: dict[int, tuple[bool, int]] = {}
        self._last: tuple[bool, int] | None = None

    def pixels(
        self, frame: VideoFrame, pixel_aspect: Fraction, max_side_px: int | None = None
    ) -> Pixels:
        """Return a frame's pixels; of an interlaced one, without combs.

        Args:
            frame: The decoded frame; not changed.
            pixel_aspect: Width of a pixel over its height.
            max_side_px: Shrink to this longer side; None for full size. Never enlarges.
        """
        width_px, height_px = fitted(frame.width, frame.height, max_side_px)
        matrix, levels = matrix_of(frame.colorspace, frame.height), range_of(frame)
        scaled = self._scaled(uncombed_at(frame, height_px), width_px, height_px, matrix, levels)
        plane = self._in_rgb(scaled, matrix, levels).planes[0]
        mirrored, turn_deg = self._orientation(frame)
        stride_bytes, rgb = _rows(bytes(plane), plane.line_size, width_px)
        return Pixels(width_px, height_px, stride_bytes, rgb, pixel_aspect, turn_deg, mirrored)

    def _scaled(
        self, frame: VideoFrame, width_px: int, height_px: int, matrix: int, levels: int
    ) -> VideoFrame:
        """Return a frame of that size with 8 bits a sample.

        Scaled before its colours are converted, not with them: twice as fast, and at most 2 or 3
        of 255 levels off instead of 4 (measured).
        """
        from av.video.reformatter import Interpolation  # late: see container

        plain = eight_bit_format(frame)
        if (frame.width, frame.height) == (width_px, height_px) and (
            frame.format.name.replace("yuvj", "yuv") == plain
        ):
            return frame
        return self._scaler.reformat(
            frame,
            width=width_px,
            height=height_px,
            format=plain,
            src_colorspace=matrix,
            dst_colorspace=matrix,
            src_color_range=levels,
            dst_color_range=levels,
            interpolation=Interpolation.AREA | Interpolation.ACCURATE_RND,
            threads=1,
        )

    def _in_rgb(self, frame: VideoFrame, matrix: int, levels: int) -> VideoFrame:
        from av.video.reformatter import Interpolation  # late: see container

        return self._converter.reformat(
            frame,
            format="rgb24",
            src_colorspace=matrix,
            src_color_range=levels,
            dst_color_range=_RANGE_FULL,
            interpolation=Interpolation.BICUBIC | Interpolation.FULL_CHR_H_INT,
            threads=1,
        )

    def stand_in(
        self,
        width_px: int,
        height_px: int,
        pixel_aspect: Fraction,
        other: Callable[[], VideoFrame | None],
    ) -> Pixels:
        """Return the grey picture that stands for one that cannot be decoded.

        It is turned and mirrored as the last picture made; before there was one, as `other`.
        """
        if self._last is None and (frame := other()) is not None:
            self._orientation(frame)
        mirrored, turn_deg = self._last or (False, 0)
        stride_bytes = 3 * width_px
        rgb = bytes([_GREY]) * (stride_bytes * height_px)
        return Pixels(width_px, height_px, stride_bytes, rgb, pixel_aspect, turn_deg, mirrored)

    def _orientation(self, frame: VideoFrame) -> tuple[bool, int]:
        """Return whether to mirror first, and the counter-clockwise turn that then follows.

        Asked for its side data, a frame refers to itself and stays in memory until the collector
        runs (measured: hundreds of megabytes); so one frame is asked for each rotation there is.
        """
        if frame.rotation not in self._orientations:
            data = cast("Any", frame.side_data).get("DISPLAYMATRIX")  # its type changed with 19
            matrix = None if data is None else struct.unpack("=9i", bytes(data))
            self._orientations[frame.rotation] = orientation_of(matrix) if matrix else (False, 0)
        self._last = self._orientations[frame.rotation]
        return self._last


def _rows(rgb: bytes, line_bytes: int, width_px: int) -> tuple[int, bytes]:
    """Return stride and rows without the scaler's padding, which is whatever memory held."""
    stride_bytes = 3 * width_px
    if line_bytes == stride_bytes:
        return stride_bytes, rgb
    rows = np.frombuffer(rgb, np.uint8).reshape(-1, line_bytes)
    return stride_bytes, rows[:, :stride_bytes].tobytes()


def fitted(width_px: int, height_px: int, max_side_px: int | None) -> tuple[int, int]:
    """Return a size shrunk in proportion so that no side is longer than allowed.

    Example:
        >>> fitted(1920, 1080, 960)
        (960, 540)
        >>> fitted(320, 240, 960)
        (320, 240)
    """
    longer = max(width_px, height_px)
    if max_side_px is None or longer <= max_side_px:
        return width_px, height_px
    return (
        max(1, round(width_px * max_side_px / longer)),
        max(1, round(height_px * max_side_px / longer)),
    )


def eight_bit_format(frame: VideoFrame) -> str:
    """Return the format with 8 bits a sample that is nearest to a frame's own."""
    form = frame.format
    if form.is_rgb or not form.is_planar or len(form.components) < 3:
        return "rgb24" if form.is_rgb else "yuv444p"
    chroma = form.components[1]
    if chroma.height < frame.height:
        return "yuv420p"
    return "yuv422p" if chroma.width < frame.width else "yuv444p"


def matrix_of(tag: int, height_px: int) -> int:
    """Return the colour matrix to use; an untagged picture is BT.709 when HD, else BT.601.

    Source:
        Common practice; ITU-R BT.709 for HD, BT.601 for smaller pictures.
    """
    untagged = _MATRIX_BT709 if height_px >= _HD_HEIGHT_PX else _MATRIX_BT601
    return _MATRIX_OF_TAG.get(tag, untagged)


def range_of(frame: VideoFrame) -> int:
    """Return the scaler's number for a frame's levels: full, or limited where nothing is said."""
    full = frame.color_range == _RANGE_FULL or frame.format.name.startswith(("yuvj", "rgb"))
    return _RANGE_FULL if full else _RANGE_LIMITED


def orientation_of(matrix: tuple[int, ...]) -> tuple[bool, int]:
    """Return what a display matrix asks for: mirror first, then this counter-clockwise turn.

    Args:
        matrix: Nine numbers by row; x' = m0 x + m3 y, y' = m1 x + m4 y, y downwards.

    Returns:
        Whether to mirror left and right, and 0, 90, 180 or 270, the nearest to what is asked.

    Example:
        >>> orientation_of((0, 65536, 0, -65536, 0, 0, 0, 0, 1 << 30))
        (False, 270)
    """
    right_x, right_y, down_x, down_y = matrix[0], matrix[1], matrix[3], matrix[4]
    mirrored = right_x * down_y - right_y * down_x < 0
    if mirrored:
        right_x, right_y = -right_x, -right_y
    if abs(right_x) >= abs(right_y):
        return mirrored, _TURN_DEG[(1 if right_x >= 0 else -1, 0)]
    return mirrored, _TURN_DEG[(0, 1 if right_y >= 0 else -1)]
