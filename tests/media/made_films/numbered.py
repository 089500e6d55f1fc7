"""Pictures that carry their own number.

The number is drawn as sixteen cells along the top edge: a white and a black guard, ten bits,
four check bits. It survives compression and tells which picture was delivered independently of
any time stamp.
"""

from __future__ import annotations

import numpy as np

WIDTH_PX, HEIGHT_PX = 256, 144
N_CELLS = 16


def check_bits(number: int) -> int:
    return (number ^ number >> 4 ^ number >> 8 ^ 0b1010) & 15


def grey_picture(number: int, width_px: int = WIDTH_PX, height_px: int = HEIGHT_PX) -> np.ndarray:
    """A picture whose top edge says its number, over a pattern that moves."""
    across = np.arange(width_px)[None, :] + 3 * number
    down = np.arange(height_px)[:, None] + number
    picture = (110 + 40 * np.sin(across / 19) + 30 * np.cos(down / 11)).astype(np.uint8)
    bits = [1, 0, *(number >> bit & 1 for bit in range(9, -1, -1))]
    bits += [check_bits(number) >> bit & 1 for bit in range(3, -1, -1)]
    edges = np.linspace(0, width_px, N_CELLS + 1).round().astype(int)
    for bit, left, right in zip(bits, edges[:-1], edges[1:], strict=True):
        picture[: height_px // 8, left:right] = 235 if bit else 16
    return picture


def number_in(picture: np.ndarray) -> int | None:
    """The number a grey or colour picture says; None where guards or check bits are broken."""
    height, width = picture.shape[:2]
    centres = ((np.arange(N_CELLS) + 0.5) * width / N_CELLS).astype(int)
    half = max(1, width // N_CELLS // 5)
    band = picture[height // 32 : height // 8 - height // 32]
    levels = np.array([band[:, c - half : c + half].mean() for c in centres])
    if levels[0] - levels[1] < 60:
        return None
    bits = levels > (levels[0] + levels[1]) / 2
    number = int("".join("01"[int(bit)] for bit in bits[2:12]), 2)
    check = int("".join("01"[int(bit)] for bit in bits[12:]), 2)
    return number if check == check_bits(number) else None


def rgb_of(picture) -> np.ndarray:
    """A delivered picture as rows of R, G, B."""
    pixels = picture.pixels
    rows = np.frombuffer(pixels.rgb, np.uint8).reshape(pixels.height_px, pixels.stride_bytes)
    return rows[:, : 3 * pixels.width_px].reshape(pixels.height_px, pixels.width_px, 3)


def number_of(picture) -> int | None:
    """The number that a delivered picture says."""
    return number_in(rgb_of(picture))
