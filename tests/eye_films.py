"""Drawn eyes with bars across the ring outside the limbus, as pictures and as films."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from fractions import Fraction
from pathlib import Path

import av
import numpy as np

WIDTH_PX, HEIGHT_PX = 320, 180
CENTRE = (162.0, 93.0)
RADIUS_PX = 48.0
WHITE, IRIS, PUPIL, STEEL = (222, 205, 198), (104, 82, 58), (26, 20, 20), (96, 100, 112)
_GRAIN = np.random.default_rng(5).normal(0, 5, (HEIGHT_PX, WIDTH_PX, 1))
"""A camera's noise; a picture without any is frozen."""


def drawn_eye(
    bars_deg: Iterable[float] = (),
    *,
    centre: tuple[float, float] = CENTRE,
    radius_px: float = RADIUS_PX,
    light: float = 1.0,
    number: int = 0,
) -> np.ndarray:
    """Draw an eye, and bars that come in over its edge, pointing at its centre.

    Args:
        bars_deg: Where bars cross, clockwise from straight up.
        centre: Of the limbus, x and y.
        radius_px: Of the limbus.
        light: What all is multiplied by.
        number: Of the picture: each has other noise.
    """
    y, x = np.mgrid[:HEIGHT_PX, :WIDTH_PX]
    right, down = x - centre[0], y - centre[1]
    away = np.hypot(right, down)
    picture = np.empty((HEIGHT_PX, WIDTH_PX, 3))
    picture[:] = WHITE
    picture += (_soft(away, radius_px) * (np.array(IRIS) - WHITE)) + (
        _soft(away, 0.66 * radius_px) * (np.array(PUPIL, float) - IRIS)
    )
    for direction in bars_deg:
        angle = np.radians(direction)
        along = right * np.sin(angle) - down * np.cos(angle)
        across = right * np.cos(angle) + down * np.sin(angle)
        picture[(np.abs(across) < 5) & (along > 0.3 * radius_px)] = STEEL
    grain = np.roll(_GRAIN, (7 * number, 13 * number), axis=(0, 1))
    return np.clip(picture * light + grain, 0, 255).astype(np.uint8)


def film_of(
    path: Path, drawn: Callable[[int], np.ndarray], n_frames: int, *, rate: int = 5
) -> Path:
    """Encode the pictures that a function draws for 0, 1, 2, …"""
    with av.open(str(path), "w") as container:
        options = {"preset": "ultrafast", "crf": "12"}
        stream = container.add_stream("libx264", rate=Fraction(rate), options=options)
        stream.width, stream.height, stream.pix_fmt = WIDTH_PX, HEIGHT_PX, "yuv420p"
        for number in range(n_frames):
            container.mux(stream.encode(av.VideoFrame.from_ndarray(drawn(number), format="rgb24")))
        container.mux(stream.encode())
    return path


def _soft(away: np.ndarray, radius_px: float) -> np.ndarray:
    """Return 1 inside a circle and 0 outside, with an edge of a few pixels."""
    return np.clip((radius_px + 2 - away) / 4, 0, 1)[..., None]
