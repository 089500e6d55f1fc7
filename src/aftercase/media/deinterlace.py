"""Interlaced frames for show: the two fields of a frame woven into one picture without combs.

An interlaced frame holds two moments a half frame apart, one in the even rows, one in the odd.
Where something moved between them the odd rows stand out from the even ones like a comb. There,
and only there, the odd rows are made anew from the even rows above and below: a frame stays one
frame, does not depend on its neighbours, and what stands still keeps all its rows.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

import numpy as np
import numpy.typing as npt

if TYPE_CHECKING:
    from av.video.frame import VideoFrame

Samples = npt.NDArray[Any]

_COMB_LEVELS: Final = 10
"""Of 255: a row that stands out from both its neighbours by less is texture or noise."""


def uncombed_at(frame: VideoFrame, height_px: int) -> VideoFrame:
    """Return a frame that can be scaled to a height and shows no combs then."""
    # Made half as high or less, the rows of both moments become one anyway.
    combed = frame.interlaced_frame and 2 * height_px > frame.height
    return deinterlaced(frame) if combed else frame


def deinterlaced(frame: VideoFrame) -> VideoFrame:
    """Return a frame without combs; the given one is not changed.

    Args:
        frame: With planes of 8 to 16 bits a sample, or bytes that run along rows.
    """
    from av import VideoFrame  # late: see container

    woven = VideoFrame(frame.width, frame.height, frame.format.name)
    woven.colorspace, woven.color_range = frame.colorspace, frame.color_range
    bits = max(component.bits for component in frame.format.components)
    sample = np.dtype(np.uint8 if bits <= 8 else "<u2")
    for old, new in zip(frame.planes, woven.planes, strict=True):
        rows: Samples = np.frombuffer(memoryview(old), sample).reshape(old.height, -1)
        target = np.zeros((new.height, new.line_size // sample.itemsize), sample)
        width = min(rows.shape[1], target.shape[1])
        target[:, :width] = without_combs(rows[:, :width], _COMB_LEVELS << max(0, bits - 8))
        new.update(target.tobytes())
    return woven


def without_combs(rows: Samples, comb_levels: int) -> Samples:
    """Return rows with the odd ones made anew wherever they stand out from both their neighbours.

    Args:
        rows: Samples, rows from the top; one row or none is returned as it is.
        comb_levels: A sample stands out if it is further than this above, or below, both.

    Example:
        >>> without_combs(np.array([[50, 50], [52, 90], [50, 50]], np.uint8), 10).tolist()
        [[50, 50], [52, 50], [50, 50]]
    """
    wider = np.int16 if rows.itemsize == 1 else np.int32
    odd, above = rows[1::2].astype(wider), rows[0::2].astype(wider)
    # A last row without a neighbour below is its own, and so never stands out.
    below = np.concatenate([above[1:], odd[-1:]]) if len(rows) % 2 == 0 else above[1:]
    above = above[: len(odd)]
    low, high = np.minimum(above, below), np.maximum(above, below)
    combed = (odd > high + comb_levels) | (odd < low - comb_levels)
    result = rows.copy()
    np.copyto(result[1::2], (low + high) >> 1, where=combed, casting="unsafe")
    return result
