"""The layers of the lens drawn once: red glow, front cortex, nucleus, strands left behind."""

from __future__ import annotations

import cv2
import numpy as np

from theatre.nucleus import NUCLEUS_MM
from theatre.plates import Pixels, Shade, as_pixels, clouds, mixed, smooth

REACH_MM = 5.0


def glow(chance: np.random.Generator, radius: Shade) -> Pixels:
    """Return the red reflex of a clear pupil."""
    warmth = chance.uniform(-1, 1)
    centre = np.array([44 + 8 * warmth, 118 + 18 * warmth, 250], np.float32)
    rim = np.array([14, 40 + 6 * warmth, 158], np.float32)
    glow = mixed(np.broadcast_to(centre, (*radius.shape, 3)), rim, smooth(0.6, 4.3, radius))
    tone = clouds(chance, radius.shape, radius.shape[0] / 3.0, 3)[..., None]
    return as_pixels(glow * (1 + 0.05 * tone))


def haze(
    chance: np.random.Generator, radius: Shade, x: Shade, y: Shade, px_per_mm: float
) -> tuple[Pixels, Pixels]:
    """Return the front cortex before it is loosened: spokes and a grey veil."""
    angle = np.arctan2(y, x)
    spokes = np.zeros_like(radius)
    for _ in range(15):
        at, width = chance.uniform(-np.pi, np.pi), chance.uniform(0.025, 0.09)
        inner = chance.uniform(1.6, 3.2)
        away = np.angle(np.exp(1j * (angle - at)))
        spokes += np.exp(-((away / width) ** 2)) * smooth(inner, inner + 1.0, radius)
    cover = np.clip(
        0.1 + 0.34 * spokes + 0.03 * clouds(chance, radius.shape, 0.8 * px_per_mm, 3), 0, 0.6
    )
    colour = np.broadcast_to(np.array([118, 150, 186], np.float32), (*radius.shape, 3))
    return layer(colour, cover * smooth(4.6, 4.2, radius))


def nucleus(chance: np.random.Generator, radius: Shade, px_per_mm: float) -> tuple[Pixels, Pixels]:
    """Return the nucleus: amber in the middle, paler and thinner towards its rim."""
    tone = clouds(chance, radius.shape, 1.3 * px_per_mm, 4)
    grain = clouds(chance, radius.shape, 0.2 * px_per_mm, 2)
    core = np.array([74, 142, 198], np.float32) + 9 * tone[..., None] + 7 * grain[..., None]
    shell = np.array([112, 172, 216], np.float32) + 8 * tone[..., None] + 4 * grain[..., None]
    colour = mixed(core.astype(np.float32), shell.astype(np.float32), smooth(1.6, 3.5, radius))
    shine = np.exp(-(((radius - 3.55) / 0.2) ** 2)).astype(np.float32)
    colour = mixed(colour, (150, 200, 236), 0.35 * shine)
    cover = 0.64 - 0.24 * smooth(2.2, NUCLEUS_MM, radius) + 0.04 * tone
    ring = np.exp(-(((radius - 3.05) / 0.12) ** 2))
    cover = np.clip(cover + 0.06 * ring, 0, 1)
    cover *= smooth(NUCLEUS_MM + 0.1, NUCLEUS_MM - 0.1, radius)
    return layer(colour, cover.astype(np.float32))


def cortex(
    chance: np.random.Generator, radius: Shade, x: Shade, y: Shade, px_per_mm: float
) -> tuple[Pixels, Pixels]:
    """Return the strands left behind as (colour times cover, cover), both 0..255."""
    rows, columns = 100, 900
    strands = clouds(chance, (rows, columns), (70, 9), 3)
    angle = (np.arctan2(y, x) / (2 * np.pi) + 0.5) * (columns - 1)
    depth = np.clip(radius / REACH_MM, 0, 1) * (rows - 1)
    fibre = cv2.remap(strands, angle.astype(np.float32), depth.astype(np.float32), cv2.INTER_LINEAR)
    inner = 2.35 + 0.35 * fibre
    cover = np.clip(0.4 + 0.16 * fibre, 0, 0.75) * smooth(0.0, 1.1, radius - inner)
    cover += 0.07 * smooth(3.6, 2.2, radius)
    colour = np.broadcast_to(np.array([150, 186, 226], np.float32), (*radius.shape, 3))
    lit, clear = layer(colour, np.clip(cover, 0, 1).astype(np.float32))
    return lit, cv2.bitwise_not(clear)


def layer(colour: Shade, cover: Shade) -> tuple[Pixels, Pixels]:
    cover3 = np.repeat(cover[..., None], 3, axis=2)
    return as_pixels(colour * cover3), as_pixels(255.0 * (1 - cover3))
