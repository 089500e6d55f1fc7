"""Films whose files ask to be mirrored and turned, and how the ffmpeg program shows them.

Each frame has a white mark and five coloured ones round it: four straight up, right, down and left
of it on the decoded frame, in square pixels, and one aslant.
"""

from __future__ import annotations

import math
import shutil
import subprocess
from fractions import Fraction
from io import BytesIO
from pathlib import Path

import av
import numpy as np
import pytest
from PIL import Image

DISPLAYS = [(turn_deg, mirrored) for turn_deg in (0, 90, 180, 270) for mirrored in (False, True)]
"""The eight ways a file can ask for: counter-clockwise degrees, left and right changed before."""

FRAME_US = 40_000
WIDTH_PX, HEIGHT_PX = 360, 288
PIXEL_ASPECT = Fraction(16, 15)
CENTRE = (0.45, 0.4)
"""The white mark, in shares of the decoded frame."""

WHITE = (255, 255, 255)
OFF_CENTRE_PX = {
    (0, 210, 0): (0, -80),
    (220, 0, 0): (80, 0),
    (0, 0, 230): (0, 80),
    (0, 210, 210): (-80, 0),
    (210, 0, 210): (70, 45),
}
"""Colours of the marks, and how far right and down of the white one they lie, in square pixels."""

ASLANT = (210, 0, 210)
_HALF_PX = 6


def decoded_place(colour: tuple[int, int, int]) -> tuple[float, float]:
    """Return the middle of a mark in shares of the decoded frame."""
    right_px, down_px = OFF_CENTRE_PX.get(colour, (0, 0))
    across_px = float(right_px / PIXEL_ASPECT)
    return CENTRE[0] + across_px / WIDTH_PX, CENTRE[1] + down_px / HEIGHT_PX


def marked_frame() -> np.ndarray:
    """Draw the decoded frame."""
    frame = np.full((HEIGHT_PX, WIDTH_PX, 3), 96, np.uint8)
    for colour in (WHITE, *OFF_CENTRE_PX):
        x, y = decoded_place(colour)
        column, row = round(x * WIDTH_PX), round(y * HEIGHT_PX)
        frame[row - _HALF_PX : row + _HALF_PX, column - _HALF_PX : column + _HALF_PX] = colour
    return frame


def turned_film(path: Path, turn_deg: int, *, mirrored: bool, n_frames: int = 5) -> Path:
    """Write a film with pixels 16:15 and a display matrix; every frame stands by itself."""
    with av.open(str(path), "w") as container:
        stream = container.add_stream("libx264", rate=25)
        stream.width, stream.height, stream.pix_fmt = WIDTH_PX, HEIGHT_PX, "yuv444p"
        stream.codec_context.sample_aspect_ratio = PIXEL_ASPECT
        stream.options = {"crf": "4", "g": "1"}
        stream.set_display_rotation(-turn_deg if mirrored else turn_deg, hflip=mirrored)
        for _ in range(n_frames):
            frame = av.VideoFrame.from_ndarray(marked_frame(), format="rgb24")
            container.mux(stream.encode(frame.reformat(format="yuv444p")))
        container.mux(stream.encode(None))
    return path


def without_first_picture(path: Path) -> Path:
    """Overwrite the first frame of a film with noise."""
    with av.open(str(path)) as container:
        first = next(container.demux(video=0))
        start, size = first.pos, first.size
    content = bytearray(path.read_bytes())
    content[start + 4 : start + size] = np.random.default_rng(5).bytes(size - 4)
    path.write_bytes(bytes(content))
    return path


def shown_by_program(path: Path, *, turned: bool = True) -> np.ndarray:
    """Return the first picture as the ffmpeg program shows it, its pixels made square."""
    program = shutil.which("ffmpeg")
    if program is None:
        pytest.skip("the ffmpeg program is not installed")
    how = [] if turned else ["-noautorotate"]
    command = [program, "-v", "error", *how, "-i", str(path), "-frames:v", "1"]
    command += ["-vf", "scale=iw*max(sar\\,1):ih*max(1/sar\\,1),setsar=1"]
    command += ["-f", "image2pipe", "-c:v", "png", "-"]
    done = subprocess.run(command, check=True, capture_output=True)
    return np.array(Image.open(BytesIO(done.stdout)).convert("RGB")).astype(int)


def middle_of(rgb: np.ndarray, colour: tuple[int, int, int]) -> tuple[float, float]:
    """Return the middle of the mark of a colour, x and y in pixels."""
    rows, columns = np.nonzero(np.abs(rgb.astype(int) - colour).max(axis=2) < 50)
    assert len(rows), f"nothing of {colour} is seen"
    return float(np.median(columns)) + 0.5, float(np.median(rows)) + 0.5


def angle_deg(rgb: np.ndarray, colour: tuple[int, int, int]) -> float:
    """Return the direction from the white mark to another, clockwise from straight up."""
    (x0, y0), (x1, y1) = middle_of(rgb, WHITE), middle_of(rgb, colour)
    return math.degrees(math.atan2(x1 - x0, y0 - y1)) % 360


def at_the_sides(rgb: np.ndarray) -> list[tuple[int, int, int]]:
    """Return which marks are seen below, left of, above and right of the white one."""
    straight = [colour for colour in OFF_CENTRE_PX if colour != ASLANT]
    return [
        min(straight, key=lambda colour: abs((angle_deg(rgb, colour) - side + 180) % 360 - 180))
        for side in (180, 270, 0, 90)
    ]
