"""The outside of the practice eye: white with vessels, limbus, iris."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import cv2
import numpy as np
from numpy.typing import NDArray

from theatre.globe import LIMBUS_LONG_MM, LIMBUS_SHORT_MM
from theatre.orientation import View
from theatre.plates import Plate, Shade, clouds, millimetres, mixed, plate_of, smooth
from theatre.settings import Settings

_HALF_MM: Final = 14.5
_IRIS_INNER_MM: Final = 3.0
# Blue, green, red of the iris: fibres dark, fibres light.
_IRIS_COLOURS: Final = (
    ((34, 58, 96), (70, 112, 164)),
    ((84, 74, 62), (160, 148, 128)),
    ((46, 72, 84), (92, 134, 148)),
    ((22, 38, 64), (52, 84, 124)),
)


@dataclass(frozen=True)
class Fields:
    """Distances every part is drawn by: mm from the centre in units of the limbus, and angle."""

    share: Shade
    radius: Shade
    angle: Shade


def eyeball(settings: Settings, view: View, px_per_mm: float) -> Plate:
    """Return the eye's plate, without what is seen through the pupil."""
    chance = settings.chance("eyeball")
    x, y, zero = millimetres(_HALF_MM, px_per_mm)
    fields = _fields(view, x, y)
    white = _white(chance, fields, px_per_mm)
    white = _vessels(chance, white, fields, px_per_mm, zero)
    iris = _iris(chance, fields, _IRIS_COLOURS[(settings.seed - 1) % len(_IRIS_COLOURS)])
    eye = mixed(white, iris, smooth(1.022, 0.978, fields.share))
    # A grey, half-clear rim outside and a dark line inside make the limbus soft.
    rim = np.exp(-(((fields.share - 1.03) / 0.035) ** 2)).astype(np.float32)
    eye = mixed(eye, (150, 146, 140), 0.42 * rim)
    dark = np.exp(-(((fields.share - 0.965) / 0.03) ** 2)).astype(np.float32)
    eye = mixed(eye, (38, 42, 50), 0.38 * dark)
    sheen = np.exp(-((fields.share / 0.9) ** 2)).astype(np.float32)
    eye = mixed(eye, (205, 205, 205), 0.055 * sheen * (fields.share < 1.1))
    return plate_of(_wet(chance, eye, fields), None, px_per_mm, zero)


def _fields(view: View, x: Shade, y: Shade) -> Fields:
    turn = np.radians(view.surgeon_angle(3.0) - 90.0)
    along = x * np.cos(turn) + y * np.sin(turn)
    across = -x * np.sin(turn) + y * np.cos(turn)
    share = np.hypot(along / LIMBUS_LONG_MM, across / LIMBUS_SHORT_MM)
    return Fields(
        share.astype(np.float32),
        np.hypot(x, y).astype(np.float32),
        np.arctan2(y, x).astype(np.float32),
    )


def _white(chance: np.random.Generator, fields: Fields, px_per_mm: float) -> Shade:
    shape = fields.share.shape
    tone = clouds(chance, shape, 3.5 * px_per_mm, 4)[..., None]
    fine = clouds(chance, shape, 0.35 * px_per_mm, 2)[..., None]
    pink = smooth(1.0, 2.3, fields.share)[..., None]
    white = np.array([204, 211, 226], np.float32) + tone * np.array([5, 5, 3], np.float32)
    rose = np.array([158, 160, 212], np.float32) + tone * np.array([9, 9, 6], np.float32)
    mix = np.clip(pink * 0.75 + 0.06 * tone, 0, 1)
    return (white * (1 - mix) + rose * mix + fine * 1.6).astype(np.float32)


def _vessels(
    chance: np.random.Generator,
    white: Shade,
    fields: Fields,
    px_per_mm: float,
    zero: tuple[float, float],
) -> Shade:
    deep = np.zeros(white.shape[:2], np.uint8)
    fine = np.zeros_like(deep)
    # Angles are spread out, not drawn freely: a crowd of vessels on one side looks inflamed.
    for k in range(9):
        angle = 2 * np.pi * (k + chance.uniform(0.1, 0.9)) / 9
        _branch(chance, deep, px_per_mm, zero, angle, 14.5, 0.2, 2)
    for k in range(34):
        angle = 2 * np.pi * (k + chance.uniform(0, 1)) / 34
        _branch(chance, fine, px_per_mm, zero, angle, chance.uniform(9.0, 14.5), 0.085, 3)
    _arcade(chance, fine, px_per_mm, zero)
    outside = smooth(1.0, 1.09, fields.share)
    soft = cv2.GaussianBlur(deep, (0, 0), 0.14 * px_per_mm).astype(np.float32) / 255
    sharp = cv2.GaussianBlur(fine, (0, 0), 0.02 * px_per_mm).astype(np.float32) / 255
    red = mixed(white, (112, 104, 178), 0.42 * soft * outside)
    return mixed(red, (50, 44, 150), 0.72 * sharp * outside)


def _branch(
    chance: np.random.Generator,
    onto: NDArray[np.uint8],
    px_per_mm: float,
    zero: tuple[float, float],
    angle: float,
    radius: float,
    width_mm: float,
    splits: int,
) -> None:
    """Draw one vessel that winds and thins towards the limbus and splits on the way."""
    points = []
    bend = 0.0
    first, stop = radius, chance.uniform(5.95, 7.8)
    side = chance.normal(0, 0.004)
    while radius > stop and len(points) < 220:
        points.append((radius * np.cos(angle), radius * np.sin(angle)))
        bend = 0.72 * bend + chance.normal(0, 0.0042)
        angle += bend + side
        radius -= 0.09 * chance.uniform(0.5, 1.2)
        if splits and chance.random() < 0.02:
            turn = chance.choice([-1.0, 1.0]) * 0.03
            _branch(chance, onto, px_per_mm, zero, angle + turn, radius, 0.6 * width_mm, splits - 1)
    path = np.array(points)
    for begin in range(0, len(path) - 1, 8):
        done = (first - np.hypot(*path[begin])) / max(first - stop, 0.1)
        _stroke(onto, path[begin : begin + 9], px_per_mm, zero, width_mm * (1 - 0.65 * done))


def _stroke(
    onto: NDArray[np.uint8],
    points: NDArray[np.float64],
    px_per_mm: float,
    zero: tuple[float, float],
    width_mm: float,
) -> None:
    """Draw a line of any width; one thinner than a pixel is drawn fainter."""
    if len(points) < 2:
        return
    pixels = np.round((points * px_per_mm + np.array(zero)) * 16).astype(np.int32)
    width = width_mm * px_per_mm
    strength = round(255 * min(1.0, max(0.28, width / max(1, round(width)))))
    line = np.zeros_like(onto)
    x, y, wide, high = cv2.boundingRect((pixels // 16).astype(np.int32))
    part = slice(max(0, y - 4), y + high + 4), slice(max(0, x - 4), x + wide + 4)
    cv2.polylines(line, [pixels], False, strength, max(1, round(width)), cv2.LINE_AA, 4)
    onto[part] = np.maximum(onto[part], line[part])


def _arcade(
    chance: np.random.Generator,
    onto: NDArray[np.uint8],
    px_per_mm: float,
    zero: tuple[float, float],
) -> None:
    """Draw the short loops of fine vessels at the limbus."""
    for _ in range(150):
        angle = chance.uniform(0, 2 * np.pi)
        length = chance.uniform(0.25, 0.9)
        steps = np.linspace(0, 1, 6)
        winding = angle + 0.03 * np.cumsum(chance.normal(0, 0.4, 6))
        radii = 5.8 + length * steps
        points = np.stack([radii * np.cos(winding), radii * np.sin(winding)], axis=1)
        _stroke(onto, points, px_per_mm, zero, 0.045)


def _iris(
    chance: np.random.Generator, fields: Fields, colours: tuple[tuple[int, ...], ...]
) -> Shade:
    """Return the iris, drawn unrolled (angle across, radius down) and rolled up."""
    rows, columns = 160, 2304
    fibres = clouds(chance, (rows, columns), (200, 11), 2)
    fibres += 0.6 * clouds(chance, (rows, columns), (120, 30), 2)
    # Fibres are not straight: each row is pushed sideways a little more than the last.
    rows_at, columns_at = np.mgrid[0:rows, 0:columns].astype(np.float32)
    wave = 5.0 * clouds(chance, (rows, columns), (60, 160), 2)
    fibres = cv2.remap(fibres, columns_at + wave, rows_at, cv2.INTER_LINEAR, None, cv2.BORDER_WRAP)
    patches = clouds(chance, (rows, columns), (80, 130), 3)
    depth = np.linspace(0, 1, rows, dtype=np.float32)[:, None]
    collar = 0.5 + 0.035 * clouds(chance, (1, columns), (1, 70), 4)
    ridge = np.exp(-(((depth - collar) / 0.055) ** 2))
    light = 0.4 + 0.15 * fibres + 0.07 * patches + 0.36 * ridge - 0.2 * smooth(0.8, 1.0, depth)
    light += 0.12 * smooth(0.5, 0.38, depth)
    for furrow in (0.7, 0.81):
        bent = furrow + 0.016 * clouds(chance, (1, columns), (1, 120), 3)
        light -= 0.09 * np.exp(-(((depth - bent) / 0.022) ** 2)) * (patches > -0.6)
    light -= 0.55 * _crypts(chance, rows, columns)
    dark_colour, light_colour = (np.array(colour, np.float32) for colour in colours)
    share = np.clip(light, 0, 1.15)[..., None]
    unrolled = dark_colour * (1 - share) + light_colour * share
    return _rolled(unrolled.astype(np.float32), fields)


def _crypts(chance: np.random.Generator, rows: int, columns: int) -> Shade:
    crypts = np.zeros((rows, columns), np.float32)
    for _ in range(54):
        at = (int(chance.integers(0, columns)), int(chance.uniform(0.44, 0.72) * rows))
        size = (int(chance.integers(5, 17)), int(chance.integers(4, 13)))
        depth = float(chance.uniform(0.25, 0.9))
        tilt = float(chance.uniform(-25, 25))
        cv2.ellipse(crypts, at, size, tilt, 0, 360, depth, -1, cv2.LINE_AA)
    return cv2.GaussianBlur(crypts, (0, 0), 2.6)


def _rolled(unrolled: Shade, fields: Fields) -> Shade:
    rows, columns = unrolled.shape[:2]
    # Both ends meet at one angle; fading one into the other hides the seam.
    fade = np.linspace(0, 1, 48, dtype=np.float32)[None, :, None]
    unrolled[:, :48] = unrolled[:, :48] * fade + unrolled[:, -1:-49:-1] * (1 - fade)
    edge = fields.radius / np.maximum(fields.share, 1e-6)
    depth = (fields.radius - _IRIS_INNER_MM) / (edge - _IRIS_INNER_MM)
    map_x = (fields.angle / (2 * np.pi) + 0.5) * (columns - 1)
    map_y = np.clip(depth, 0, 1) * (rows - 1)
    return cv2.remap(unrolled, map_x.astype(np.float32), map_y.astype(np.float32), cv2.INTER_LINEAR)


def _wet(chance: np.random.Generator, eye: Shade, fields: Fields) -> Shade:
    """Add the small bright reflections of a wet surface."""
    shape = fields.share.shape
    film = clouds(chance, shape, shape[0] / 70, 3)
    ring = np.exp(-(((fields.share - 1.16) / 0.09) ** 2)) + 0.5 * smooth(1.3, 2.0, fields.share)
    glint = smooth(1.9, 2.5, film) * np.clip(ring, 0, 1)
    glint = cv2.GaussianBlur(glint.astype(np.float32), (0, 0), shape[0] / 900)
    return mixed(eye, (250, 252, 255), np.clip(0.85 * glint, 0, 1))


def pupil_margin(settings: Settings, px_per_mm: float) -> Plate:
    """Return the dark, slightly frilled edge of a pupil of radius 1 mm, to be scaled."""
    chance = settings.chance("pupil")
    x, y, zero = millimetres(1.25, px_per_mm)
    radius, angle = np.hypot(x, y), np.arctan2(y, x)
    turns = ((angle / (2 * np.pi) + 0.5) * 511).astype(np.float32)
    uneven = clouds(chance, (1, 512), (1, 12), 3)
    uneven[0, -24:] += (uneven[0, 0] - uneven[0, -1]) * np.linspace(0, 1, 24)
    frill = 0.0035 * cv2.remap(uneven, turns, np.zeros_like(turns), cv2.INTER_LINEAR)
    line = np.exp(-(((radius - 1.008 - frill) / 0.013) ** 2)).astype(np.float32)
    shadow = smooth(1.12, 1.0, radius) * smooth(0.98, 1.0, radius)
    cover = np.clip(0.7 * line + 0.3 * shadow, 0, 1).astype(np.float32)
    colour = np.broadcast_to(np.array([20, 26, 40], np.float32), (*radius.shape, 3))
    return plate_of(colour, cover, px_per_mm, zero)
