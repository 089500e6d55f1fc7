"""What lies around the eye: lids, drape and the wire speculum, still under the microscope."""

from __future__ import annotations

from typing import Final

import cv2
import numpy as np
from numpy.typing import NDArray

from theatre.orientation import View, direction
from theatre.plates import Plate, Shade, clouds, millimetres, mixed, plate_of, smooth
from theatre.settings import Settings

_HALF_MM: Final = 23.0
_DRAPES: Final = ((148, 118, 62), (126, 132, 64), (158, 126, 92))


def surround(settings: Settings, view: View, px_per_mm: float) -> Plate:
    """Return lids, drape and speculum; the eye shows through the middle."""
    chance = settings.chance("surround")
    x, y, zero = millimetres(_HALF_MM, px_per_mm)
    # Across points from the nose outwards along the lids, up to the forehead.
    nose = direction(view.surgeon_angle(view.nasal_hour))
    brow = direction(view.surgeon_angle(12.0))
    across = -(x * nose[0] + y * nose[1])
    up = x * brow[0] + y * brow[1]
    # Seen across, the lids lie at the picture's long sides and would be out of it.
    opening = 0.84 if view.seat == "superior" else 1.0
    beyond = _beyond_lid(chance, across, up, opening)
    colour, cover = _lids(chance, beyond, px_per_mm, _DRAPES[settings.seed % len(_DRAPES)])
    plate = _Wires(colour, cover, px_per_mm, zero, nose, brow)
    for lid in (1.0, -1.0):
        plate.bend(lid * opening, float(chance.uniform(-0.6, 0.6)))
    return plate_of(plate.colour, plate.cover, px_per_mm, zero)


def _beyond_lid(chance: np.random.Generator, across: Shade, up: Shade, opening: float) -> Shade:
    """Return how far outside the lid margins each place lies, mm; negative over the eye."""
    upper, lower = chance.uniform(8.7, 9.3), chance.uniform(8.2, 8.8)
    arch = np.clip(1.0 - (np.abs(across + 0.6) / 15.5) ** 2.2, -0.4, 1.0)
    pulled = 0.35 * np.exp(-((np.abs(across) - 4.5) ** 2) / 4.0)
    above = up - opening * upper * arch - pulled
    below = -up - opening * lower * arch - pulled
    return np.maximum(above, below).astype(np.float32)


def _lids(
    chance: np.random.Generator, beyond: Shade, px_per_mm: float, drape: tuple[int, ...]
) -> tuple[Shade, Shade]:
    shape = beyond.shape
    tone = clouds(chance, shape, 4.0 * px_per_mm, 4)
    fine = clouds(chance, shape, 0.5 * px_per_mm, 3)
    rim = np.array([122, 128, 206], np.float32) + 9 * tone[..., None] + 4 * fine[..., None]
    skin = np.array([128, 158, 205], np.float32) + 10 * tone[..., None] + 5 * fine[..., None]
    colour = mixed(rim.astype(np.float32), skin.astype(np.float32), smooth(0.9, 1.7, beyond))
    # The adhesive film over the skin: folds and dull reflections.
    folds = clouds(chance, shape, (1.6 * px_per_mm, 5.0 * px_per_mm), 3)
    film = smooth(1.7, 2.6, beyond)
    colour = mixed(colour, (196, 198, 196), film * np.clip(0.16 + 0.14 * folds, 0, 0.6))
    cloth = np.array(drape, np.float32) * (
        0.78 + 0.12 * clouds(chance, shape, 6 * px_per_mm, 3)[..., None]
    )
    edge = 3.6 + 0.5 * clouds(chance, shape, 9 * px_per_mm, 2)
    colour = mixed(colour, cloth.astype(np.float32), smooth(-0.12, 0.12, beyond - edge))
    crease = (
        np.exp(-(((beyond - edge) / 0.3) ** 2)) + np.exp(-(((beyond - 1.75) / 0.35) ** 2)) * 0.6
    )
    colour = mixed(colour, (40, 44, 58), 0.4 * np.clip(crease, 0, 1).astype(np.float32))
    wet = smooth(1.0, 1.9, fine) * np.exp(-(((beyond - 0.35) / 0.3) ** 2)).astype(np.float32)
    colour = mixed(colour, (246, 248, 255), 0.75 * wet)
    glare = smooth(1.5, 2.4, folds) * film * smooth(0.2, -0.2, beyond - edge)
    colour = mixed(colour, (250, 250, 250), 0.7 * glare)
    cover = smooth(-0.12, 0.12, beyond)
    shade = 0.5 * smooth(-2.2, 0.0, beyond) ** 2 * (1 - cover)
    total = cover + shade * (1 - cover)
    shown = colour * (cover / np.maximum(total, 1e-4))[..., None]
    shown += np.array([22, 20, 46], np.float32) * (1 - cover / np.maximum(total, 1e-4))[..., None]
    return shown.astype(np.float32), total.astype(np.float32)


class _Wires:
    """Bends the speculum's wire over lids already drawn."""

    def __init__(
        self,
        colour: Shade,
        cover: Shade,
        px_per_mm: float,
        zero: tuple[float, float],
        nose: NDArray[np.float64],
        brow: NDArray[np.float64],
    ) -> None:
        self.colour, self.cover = colour, cover
        self._scale, self._zero = px_per_mm, np.array(zero)
        self._nose, self._brow = nose, brow

    def bend(self, lid: float, shift_mm: float) -> None:
        """Draw the wire loop that holds one lid, its arm leaving towards the nose."""
        keys = np.array(
            [
                (-24.0, 4.2), (-18.0, 5.4), (-12.5, 8.4), (-8.2, 10.9), (-5.4, 10.6), (-4.4, 9.2),
                (-3.7, 8.45), (-1.8, 8.35), (1.8, 8.35), (3.7, 8.45), (4.4, 9.2), (5.0, 11.0),
                (3.4, 12.2), (-2.0, 12.3), (-9.4, 11.7), (-14.0, 8.9), (-24.0, 5.4),
            ]
        )  # fmt: skip
        at = np.linspace(0, len(keys) - 1, 400)
        path = np.stack([np.interp(at, np.arange(len(keys)), keys[:, k]) for k in (0, 1)], axis=1)
        kernel = np.ones(23) / 23
        padded = np.pad(path, ((11, 11), (0, 0)), "edge")
        path = np.stack([np.convolve(padded[:, k], kernel, "valid") for k in (0, 1)], axis=1)
        path[:, 0] += shift_mm
        points = -path[:, :1] * self._nose + lid * path[:, 1:] * self._brow
        self._stroke(points + np.array([0.25, 0.35]), 1.0, (18, 20, 30), 0.45, 0.3)
        self._stroke(points, 0.72, (66, 68, 72), 1.0, 0.03)
        self._stroke(points, 0.46, (138, 142, 146), 1.0, 0.08)
        self._stroke(points + np.array([-0.08, -0.1]), 0.16, (246, 249, 252), 0.9, 0.05)

    def _stroke(
        self,
        points: NDArray[np.float64],
        width_mm: float,
        colour: tuple[int, ...],
        strength: float,
        soft_mm: float,
    ) -> None:
        mask = np.zeros(self.cover.shape, np.uint8)
        pixels = np.round((points * self._scale + self._zero) * 16).astype(np.int32)
        cv2.polylines(
            mask, [pixels], False, 255, max(1, round(width_mm * self._scale)), cv2.LINE_AA, 4
        )
        share = cv2.GaussianBlur(mask, (0, 0), max(0.4, soft_mm * self._scale))
        share = strength * share.astype(np.float32) / 255
        total = share + self.cover * (1 - share)
        weight = (share / np.maximum(total, 1e-4)).astype(np.float32)
        self.colour = mixed(self.colour, colour, weight)
        self.cover = total
