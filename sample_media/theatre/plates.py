"""Pictures drawn once in millimetres and laid onto every frame by an affine map."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

Pixels = NDArray[np.uint8]
Shade = NDArray[np.float32]


@dataclass(frozen=True)
class Plate:
    """A picture in millimetres, colour already multiplied by its cover.

    Attributes:
        colour: BGR, shape (h, w, 3).
        clear: 255 where what lies below shows, 0 where it is hidden; same shape, or None.
        px_per_mm: Scale.
        zero_px: Where the millimetre origin lies, (x, y).
    """

    colour: Pixels
    clear: Pixels | None
    px_per_mm: float
    zero_px: tuple[float, float]

    def onto(self, place: NDArray[np.float64]) -> NDArray[np.float64]:
        """Return the map from the plate's pixels to the picture's."""
        matrix = place[:, :2] / self.px_per_mm
        return np.column_stack([matrix, place[:, 2] - matrix @ np.array(self.zero_px)])


def plate_of(
    colour: Shade, cover: Shade | None, px_per_mm: float, zero: tuple[float, float]
) -> Plate:
    """Return a plate of colours 0..255 and a cover 0..1."""
    if cover is None:
        return Plate(as_pixels(colour), None, px_per_mm, zero)
    cover3 = np.repeat(cover[..., None], 3, axis=2)
    return Plate(as_pixels(colour * cover3), as_pixels(255.0 * (1.0 - cover3)), px_per_mm, zero)


def as_pixels(values: NDArray[np.float32] | NDArray[np.float64]) -> Pixels:
    """Return values rounded and limited to 0..255."""
    return np.clip(values + 0.5, 0, 255).astype(np.uint8)


def lay(picture: Pixels, plate: Plate, place: NDArray[np.float64]) -> None:
    """Lay a plate onto the picture in place, touching only the box it covers."""
    matrix = plate.onto(place)
    box = covered_box(matrix, plate.colour.shape, picture.shape)
    if box is None:
        return
    x0, y0, x1, y1 = box
    matrix = matrix - np.array([[0, 0, x0], [0, 0, y0]])
    size = (x1 - x0, y1 - y0)
    colour = cv2.warpAffine(plate.colour, matrix, size, flags=cv2.INTER_LINEAR)
    clear = cv2.warpAffine(
        plate.clear, matrix, size, flags=cv2.INTER_LINEAR, borderValue=(255, 255, 255)
    )
    blend(picture[y0:y1, x0:x1], colour, clear)


def blend(below: Pixels, colour: Pixels, clear: Pixels) -> None:
    """Put a colour multiplied by its cover over what lies below, in place."""
    cv2.multiply(below, clear, dst=below, scale=1 / 255.0)
    cv2.add(below, colour, dst=below)


def covered_box(
    matrix: NDArray[np.float64], shape: tuple[int, ...], picture: tuple[int, ...]
) -> tuple[int, int, int, int] | None:
    """Return the picture's box a warped plate can touch as (x0, y0, x1, y1), or None."""
    height, width = shape[:2]
    corners = np.array([[0, 0, 1], [width, 0, 1], [0, height, 1], [width, height, 1]]) @ matrix.T
    low = np.maximum(np.floor(corners.min(axis=0)).astype(int) - 1, 0)
    high = np.minimum(
        np.ceil(corners.max(axis=0)).astype(int) + 2, np.array([picture[1], picture[0]])
    )
    if (high <= low).any():
        return None
    return int(low[0]), int(low[1]), int(high[0]), int(high[1])


def clouds(
    chance: np.random.Generator,
    shape: tuple[int, int],
    cell_px: float | tuple[float, float],
    octaves: int = 3,
) -> Shade:
    """Return cloudy noise around 0 with about unit spread.

    Args:
        shape: (height, width).
        cell_px: Size of the largest blobs, one number or (height, width).
        octaves: Each adds blobs half as large and half as strong.
    """
    cell = np.broadcast_to(np.asarray(cell_px, dtype=float), (2,))
    total = np.zeros(shape, np.float32)
    for octave in range(octaves):
        grid = [
            max(2, round(side / max(c / 2**octave, 1.0)))
            for side, c in zip(shape, cell, strict=True)
        ]
        values = chance.normal(0, 1, grid).astype(np.float32)
        total += cv2.resize(values, shape[::-1], interpolation=cv2.INTER_CUBIC) / 2**octave
    return total / (total.std() + 1e-6)


def smooth(low: float, high: float, values: Shade) -> Shade:
    """Return 0 below `low`, 1 above `high` and a smooth rise between (or a fall if swapped)."""
    share = np.clip((values - low) / (high - low), 0.0, 1.0)
    return (share * share * (3.0 - 2.0 * share)).astype(np.float32)


def mixed(below: Shade, above: Shade | tuple[float, ...], share: Shade) -> Shade:
    """Return two colours mixed by a share 0..1 given per pixel."""
    share3 = share[..., None]
    return (below * (1.0 - share3) + np.asarray(above, np.float32) * share3).astype(np.float32)


def millimetres(half_mm: float, px_per_mm: float) -> tuple[Shade, Shade, tuple[float, float]]:
    """Return x and y in mm of a square plate's pixels, and where its origin lies."""
    half_px = round(half_mm * px_per_mm)
    axis = np.arange(-half_px, half_px + 1, dtype=np.float32) / px_per_mm
    x, y = np.meshgrid(axis, axis)
    return x, y, (float(half_px), float(half_px))
