"""The instruments as pictures: tip at the origin, shaft along +y, in millimetres."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

import cv2
import numpy as np

from theatre.plates import Plate, Shade, mixed, plate_of, smooth

LENGTH_MM: Final = 26.0
HALF_WIDTH_MM: Final = 4.2
_BEFORE_MM: Final = 1.2
JAW_STEPS: Final = 5
Colour = tuple[float, float, float]
STEEL: Final[Colour] = (176.0, 180.0, 184.0)
DARK_STEEL: Final[Colour] = (118.0, 122.0, 126.0)


@dataclass
class Drawing:
    """A sprite being drawn: places in mm, colour 0..255, cover 0..1."""

    x: Shade
    y: Shade
    colour: Shade
    cover: Shade
    px_per_mm: float

    def tube(
        self,
        widths: list[tuple[float, float]],
        colour: Colour,
        middle: list[tuple[float, float]] | None = None,
        shine: float = 1.0,
        clear: float = 0.0,
        squash: float = 1.0,
    ) -> None:
        """Draw a rod lit from above.

        Args:
            widths: (y, width) along the rod in mm; it exists between the first and last y.
            colour: BGR.
            middle: (y, x) of the rod's middle line, straight if left out.
            shine: Strength of the bright streak.
            clear: Share of what lies below that shows through.
            squash: Below 1 the rod is flatter and its sides less dark.
        """
        along, width = np.array(widths).T
        line = np.array(middle).T if middle else np.array([[0.0, 1.0], [0.0, 0.0]])
        half = np.interp(self.y, along, width / 2, left=0.0, right=0.0).astype(np.float32)
        offset = self.x - np.interp(self.y, line[0], line[1]).astype(np.float32)
        soft = 0.6 / self.px_per_mm
        inside = smooth(soft, -soft, np.abs(offset) - half)
        ends = smooth(along[0] - soft, along[0] + soft, self.y)
        ends *= smooth(along[-1] + soft, along[-1] - soft, self.y)
        inside = inside * ends
        across = np.clip(offset / np.maximum(half, 1e-3), -1, 1)
        round_ = 1.0 - squash * 0.62 * np.abs(across) ** 2.2
        streak = np.exp(-(((across + 0.3) / 0.16) ** 2)) + 0.35 * np.exp(
            -(((across - 0.45) / 0.12) ** 2)
        )
        lit = np.array(colour, np.float32) * round_[..., None]
        lit = mixed(lit.astype(np.float32), (255, 255, 252), np.clip(0.75 * shine * streak, 0, 1))
        self.over(lit, inside * (1 - clear))

    def over(self, colour: Shade | Colour, share: Shade) -> None:
        """Put a colour over what is drawn already."""
        share = share.astype(np.float32)
        total = share + self.cover * (1 - share)
        weight = share / np.maximum(total, 1e-4)
        self.colour = mixed(self.colour, np.asarray(colour, np.float32), weight)
        self.cover = total

    def spot(
        self, at: tuple[float, float], size: tuple[float, float], colour: Colour, share: float = 1.0
    ) -> None:
        """Draw a soft-edged ellipse."""
        far = np.hypot((self.x - at[0]) / size[0], (self.y - at[1]) / size[1])
        edge = 0.8 / (self.px_per_mm * min(size))
        self.over(colour, share * smooth(1 + edge, 1 - edge, far.astype(np.float32)))

    def shape(self, corners: list[tuple[float, float]], colour: Colour, share: float = 1.0) -> None:
        """Draw a filled polygon."""
        zero = np.array([HALF_WIDTH_MM, _BEFORE_MM])
        pixels = np.round((np.array(corners) + zero) * self.px_per_mm * 16).astype(np.int32)
        mask = np.zeros(self.cover.shape, np.uint8)
        cv2.fillPoly(mask, [pixels], 255, cv2.LINE_AA, 4)
        self.over(colour, share * mask.astype(np.float32) / 255)


def _blank(px_per_mm: float) -> Drawing:
    width = round(2 * HALF_WIDTH_MM * px_per_mm)
    height = round((LENGTH_MM + _BEFORE_MM) * px_per_mm)
    x = np.arange(width, dtype=np.float32) / px_per_mm - HALF_WIDTH_MM
    y = np.arange(height, dtype=np.float32) / px_per_mm - _BEFORE_MM
    grid_x, grid_y = np.meshgrid(x, y)
    empty = np.zeros((height, width), np.float32)
    return Drawing(grid_x, grid_y, np.zeros((height, width, 3), np.float32), empty, px_per_mm)


def _handle(d: Drawing, colour: Colour, begin: float, width: float) -> None:
    d.tube(
        [(begin, 0.8), (begin + 1.5, width * 0.8), (begin + 4, width), (LENGTH_MM, width * 1.1)],
        colour,
        shine=0.6,
    )


def _knife_side(d: Drawing, jaws: float) -> None:
    d.tube([(5.2, 0.75), (9.5, 0.85), (12, 1.0)], STEEL)
    d.shape([(0, 0), (0.52, 3.0), (0.5, 5.6), (-0.5, 5.6), (-0.5, 2.2)], (188, 192, 196))
    d.shape([(0, 0), (0.52, 3.0), (0.5, 5.6), (0.2, 5.6), (0.16, 2.6)], (236, 240, 242))
    _handle(d, (140, 120, 74), 10.5, 2.6)


def _knife_main(d: Drawing, jaws: float) -> None:
    d.tube([(5.6, 0.95), (9.0, 1.0), (12, 1.2)], STEEL)
    blade = [(0, 0), (1.2, 1.75), (1.2, 4.9), (0.5, 6.2), (-0.5, 6.2), (-1.2, 4.9), (-1.2, 1.75)]
    d.shape(blade, (178, 183, 188))
    d.shape([(0, 0), (1.2, 1.75), (1.2, 4.9), (0.82, 4.7), (0.8, 1.9)], (238, 241, 243))
    d.shape([(0, 0), (-1.2, 1.75), (-1.2, 4.9), (-0.82, 4.7), (-0.8, 1.9)], (132, 137, 142))
    d.shape([(-0.35, 2.2), (0.1, 2.2), (-0.2, 4.8), (-0.5, 4.8)], (222, 226, 228), 0.6)
    _handle(d, (96, 88, 84), 11.0, 3.0)


def _cannula(width: float, bend: float, hub: Colour) -> Callable[[Drawing, float], None]:
    def draw(d: Drawing, jaws: float) -> None:
        middle = [
            (-1.0, bend),
            (0.0, bend),
            (1.2, 0.75 * bend),
            (3.2, 0.12 * bend),
            (5.0, 0.0),
            (30.0, 0.0),
        ]
        d.tube(
            [(0.0, 0.7 * width), (0.12, width), (16, width * 1.15), (LENGTH_MM, width * 1.3)],
            STEEL,
            middle,
        )
        d.spot((bend, 0.14), (0.3 * width, 0.1), (60, 62, 66))
        d.tube([(12.5, 1.1), (13.5, 2.4), (17, 3.4), (LENGTH_MM, 4.4)], hub, shine=0.5, clear=0.1)

    return draw


def _needle_capsule(d: Drawing, jaws: float) -> None:
    middle = [(-1.0, 0.62), (0.0, 0.55), (0.35, 0.2), (0.7, 0.0), (30.0, 0.0)]
    d.tube([(-0.1, 0.12), (0.45, 0.34), (0.8, 0.42), (10, 0.46), (LENGTH_MM, 0.6)], STEEL, middle)
    d.tube(
        [(12.5, 1.1), (13.5, 2.2), (17, 3.2), (LENGTH_MM, 4.2)],
        (196, 168, 96),
        shine=0.5,
        clear=0.1,
    )


def _forceps_capsule(d: Drawing, jaws: float) -> None:
    for side in (-1.0, 1.0):
        spread = side * (0.1 + 0.46 * jaws)
        middle = [
            (-1.0, spread * 0.9),
            (0.0, spread * 0.9),
            (2.2, spread * 1.1),
            (6.2, side * 0.16),
            (30.0, side * 0.2),
        ]
        d.tube(
            [(0.0, 0.2), (0.3, 0.3), (5, 0.36), (8, 0.42), (LENGTH_MM, 0.6)],
            STEEL,
            middle,
            squash=0.8,
        )
    d.tube([(8.0, 0.9), (11, 1.2), (15, 2.6), (LENGTH_MM, 4.2)], DARK_STEEL, shine=0.8)


def _phaco_probe(d: Drawing, jaws: float) -> None:
    d.tube([(0.0, 0.86), (2.2, 0.92)], STEEL)
    d.spot((0.0, 0.08), (0.4, 0.24), (52, 54, 60))
    d.spot((0.0, 0.1), (0.26, 0.14), (22, 24, 30))
    d.tube(
        [(1.5, 1.2), (2.0, 1.75), (6.0, 2.05), (9.0, 2.5)], (206, 182, 128), shine=0.55, clear=0.28
    )
    d.tube([(1.5, 0.9), (6.0, 0.95)], STEEL, clear=0.72)
    d.spot((-0.72, 2.7), (0.16, 0.32), (110, 96, 70), 0.7)
    d.tube(
        [(8.4, 2.6), (10.5, 3.6), (13, 5.2), (16, 6.4), (LENGTH_MM, 7.2)],
        (158, 160, 164),
        shine=0.8,
    )
    d.tube([(11.6, 4.9), (12.2, 5.2)], (70, 72, 76), shine=0.2)


def _ia_probe(d: Drawing, jaws: float) -> None:
    middle = [(-1.0, 0.3), (0.0, 0.3), (1.4, 0.1), (3.0, 0.0), (30.0, 0.0)]
    d.tube([(0.0, 0.36), (0.18, 0.62), (0.5, 0.72), (3.2, 0.76)], STEEL, middle)
    d.spot((0.24, 0.62), (0.15, 0.15), (24, 26, 32))
    d.tube(
        [(2.6, 1.05), (3.2, 1.7), (7.0, 2.0), (9.0, 2.4)], (186, 150, 196), shine=0.55, clear=0.28
    )
    d.tube([(2.6, 0.76), (7.0, 0.8)], STEEL, clear=0.72)
    d.tube([(8.4, 2.5), (10.0, 3.4), (13, 4.4), (LENGTH_MM, 5.4)], (166, 168, 172), shine=0.8)


def _manipulator(d: Drawing, jaws: float) -> None:
    middle = [(-1.0, -0.42), (0.0, -0.4), (0.5, -0.22), (1.1, 0.0), (30.0, 0.0)]
    d.tube([(0.0, 0.3), (0.3, 0.26), (1.0, 0.3), (6, 0.4), (11, 0.6), (13, 0.8)], STEEL, middle)
    d.spot((-0.38, 0.06), (0.2, 0.2), (188, 192, 196))
    d.spot((-0.44, 0.0), (0.07, 0.07), (252, 252, 252))
    _handle(d, (150, 154, 158), 12.0, 2.8)


def _injector(d: Drawing, jaws: float) -> None:
    d.tube(
        [(0.0, 1.35), (0.5, 1.75), (4.0, 2.0), (8.0, 3.4), (11, 5.2), (LENGTH_MM, 6.2)],
        (206, 190, 158),
        shine=0.8,
        clear=0.34,
    )
    d.shape([(-0.7, 0.0), (0.6, 0.0), (0.84, 1.0), (-0.82, 0.25)], (226, 214, 190), 0.6)
    d.tube([(2.0, 0.8), (6.0, 1.2), (9.0, 1.6)], (228, 216, 186), shine=0.4, clear=0.5)
    d.tube([(11.5, 6.0), (13.0, 6.4)], (150, 120, 60), shine=0.4)


def _forceps_fixation(d: Drawing, jaws: float) -> None:
    for side in (-1.0, 1.0):
        spread = side * (0.16 + 0.7 * jaws)
        middle = [(-1.0, spread * 0.8), (0.0, spread * 0.8), (9.0, side * 0.75), (30.0, side * 1.2)]
        d.tube(
            [(0.0, 0.34), (0.4, 0.5), (6, 1.0), (12, 1.9), (LENGTH_MM, 2.3)],
            STEEL,
            middle,
            squash=0.9,
        )


def _sponge(d: Drawing, jaws: float) -> None:
    d.tube([(8.5, 0.9), (LENGTH_MM, 1.1)], (226, 206, 176), shine=0.3)
    d.tube(
        [(0.0, 0.3), (0.8, 1.0), (6.5, 3.9), (8.6, 4.1), (8.9, 3.4)],
        (238, 242, 246),
        shine=0.0,
        squash=0.35,
    )


_DRAWN: Final[dict[str, Callable[[Drawing, float], None]]] = {
    "knife-side": _knife_side,
    "knife-main": _knife_main,
    "cannula-visco": _cannula(0.56, 0.35, (196, 164, 110)),
    "cannula-hydro": _cannula(0.42, 0.8, (120, 170, 214)),
    "cannula-fine": _cannula(0.36, 0.5, (190, 190, 190)),
    "needle-capsule": _needle_capsule,
    "forceps-capsule": _forceps_capsule,
    "phaco-probe": _phaco_probe,
    "ia-probe": _ia_probe,
    "manipulator": _manipulator,
    "injector": _injector,
    "forceps-fixation": _forceps_fixation,
    "sponge": _sponge,
}


@dataclass(frozen=True)
class Sprite:
    """An instrument and its soft shadow."""

    body: Plate
    shadow: Plate


def sprites(px_per_mm: float) -> dict[tuple[str, int], Sprite]:
    """Return every instrument, forceps at each opening, keyed by name and opening."""
    drawn = {}
    for name, draw in _DRAWN.items():
        steps = JAW_STEPS if name.startswith("forceps") else 1
        for step in range(steps):
            drawing = _blank(px_per_mm)
            draw(drawing, step / max(1, steps - 1))
            drawn[name, step] = _finished(drawing)
    return drawn


def _finished(d: Drawing) -> Sprite:
    """Return the sprite: the further from the tip, the nearer the lens and the less sharp."""
    pre = np.dstack([d.colour * d.cover[..., None], d.cover])
    soft = cv2.GaussianBlur(pre, (0, 0), 0.16 * d.px_per_mm)
    softest = cv2.GaussianBlur(pre, (0, 0), 0.42 * d.px_per_mm)
    pre = mixed(pre, soft, smooth(6.5, 10.5, d.y))
    pre = mixed(pre, softest, smooth(10.0, 16.0, d.y))
    cover = np.clip(pre[..., 3], 0, 1)
    colour = pre[..., :3] / np.maximum(cover, 1e-3)[..., None]
    zero = (HALF_WIDTH_MM * d.px_per_mm, _BEFORE_MM * d.px_per_mm)
    body = plate_of(colour, cover, d.px_per_mm, zero)
    return Sprite(body, _shadow(cover, d.px_per_mm, zero))


def _shadow(cover: Shade, px_per_mm: float, zero: tuple[float, float]) -> Plate:
    # A shadow is soft, so a quarter of the size is enough.
    small = cv2.resize(cover, None, fx=0.25, fy=0.25, interpolation=cv2.INTER_AREA)
    small = cv2.GaussianBlur(small, (0, 0), 0.22 * px_per_mm * 0.25 + 0.6)
    black = np.zeros((*small.shape, 3), np.float32)
    return plate_of(
        black, (0.42 * small).astype(np.float32), px_per_mm / 4, (zero[0] / 4, zero[1] / 4)
    )
