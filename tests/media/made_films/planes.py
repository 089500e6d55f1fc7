"""The planes of decoded frames, summed up as the ffmpeg program does it."""

from __future__ import annotations

import hashlib

import numpy as np


def planes_md5(frame) -> str:
    """The MD5 of a frame's planes without the padding at the ends of rows."""
    form = frame.format
    if form.is_planar:
        sample_bytes = 2 if form.components[0].bits > 8 else 1
    else:
        sample_bytes = form.bits_per_pixel // 8
    digest = hashlib.md5()
    for plane in frame.planes:
        rows = np.frombuffer(plane, np.uint8).reshape(plane.height, plane.line_size)
        digest.update(rows[:, : plane.width * sample_bytes].tobytes())
    return digest.hexdigest()
