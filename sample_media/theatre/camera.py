"""The picture of one frame, as the camera on the microscope gives it."""

from __future__ import annotations

from typing import Final

import cv2
import numpy as np
from numpy.typing import NDArray

from theatre import globe
from theatre.eyeball import eyeball, pupil_margin
from theatre.plan import MAIN, SIDE, Use
from theatre.plates import (
    Pixels,
    Plate,
    as_pixels,
    blend,
    covered_box,
    lay,
    millimetres,
    mixed,
    plate_of,
    smooth,
)
from theatre.pupil import Pupil
from theatre.session import Seen, Session
from theatre.sprites import JAW_STEPS, sprites
from theatre.surround import surround

_SHADE_SIZE: Final = (96, 54)
_N_GRAINS: Final = 6
_GRAIN: Final = 2.0
_BLACK_LEVEL: Final = 3
REFLEX_MM: Final = 0.3


class Camera:
    """Draws frames of a session; any frame may be asked for, in any order."""

    def __init__(self, session: Session) -> None:
        self.session = session
        settings = session.settings
        px = session.px_per_mm
        self._size = settings.width_px, settings.height_px
        self._eye = eyeball(settings, session.view, px * 1.25)
        self._surround = surround(settings, session.view, px * 1.1)
        self._pupil = Pupil(session, px * 1.12)
        self._margin = pupil_margin(settings, px * 5.0)
        self._mask = _disc(px * 5.0)
        self._sprites = sprites(px * 1.3)
        self._lips = {
            wound: _lip(px * 2.0, 2.5 if wound == MAIN else 1.1) for wound in (MAIN, SIDE)
        }
        # Fluid swells a wound's edges at the end: they turn paler.
        self._swollen = {
            wound: (use.start + use.end) // 2
            for wound, use in zip((MAIN, SIDE), _sealing(session), strict=True)
        }
        self._sparkle = _sparkle(px * 2.0)
        self._vignette = _vignette(*_SHADE_SIZE)
        chance = settings.chance("grain")
        shape = (_N_GRAINS, settings.height_px + 32, settings.width_px + 32)
        self._grain = as_pixels(128 + _GRAIN * chance.normal(0, 1, shape).astype(np.float32))

    def picture(self, frame: int) -> Pixels:
        """Return a frame as BGR, shape (height, width, 3)."""
        if self.session.pose.black[frame]:
            return np.full((self._size[1], self._size[0], 3), _BLACK_LEVEL, np.uint8)
        picture = self._eye_at(frame)
        self._put_pupil(picture, frame)
        lay(picture, self._surround, self.session.world(frame))
        place = self.session.place(frame, globe.LIMBUS_DEPTH_MM)
        seen = self.session.seen(frame)
        for instrument in seen:
            self._put_instrument(picture, place, instrument)
        self._put_wounds(picture, place, frame)
        self._put_reflex(picture, frame)
        self._shade(picture, place, seen, frame)
        return self._sensed(picture, frame)

    def _eye_at(self, frame: int) -> Pixels:
        matrix = self._eye.onto(self.session.place(frame, globe.LIMBUS_DEPTH_MM))
        return cv2.warpAffine(
            self._eye.colour,
            matrix,
            self._size,
            flags=cv2.INTER_LINEAR,
            borderMode=cv2.BORDER_REPLICATE,
        )

    def _put_pupil(self, picture: Pixels, frame: int) -> None:
        """Show the lens through a hole of the pupil's size in the iris."""
        session = self.session
        hole = self._scaled(
            session.place(frame, globe.IRIS_DEPTH_MM), float(session.pose.pupil_mm[frame])
        )
        matrix = self._mask.onto(hole)
        box = covered_box(matrix, self._mask.colour.shape, picture.shape)
        if box is None:
            return
        x0, y0, x1, y1 = box
        shift = np.array([[0, 0, x0], [0, 0, y0]])
        size = (x1 - x0, y1 - y0)
        hole_mask = cv2.warpAffine(self._mask.colour, matrix - shift, size, flags=cv2.INTER_AREA)
        content = Plate(self._pupil.drawn(frame), None, session.px_per_mm * 1.12, self._pupil.zero)
        inner = content.onto(session.place(frame, globe.CAPSULE_DEPTH_MM)) - shift
        patch = cv2.warpAffine(content.colour, inner, size, borderMode=cv2.BORDER_REPLICATE)
        part = picture[y0:y1, x0:x1]
        blend(part, cv2.multiply(patch, hole_mask, scale=1 / 255.0), cv2.bitwise_not(hole_mask))
        lay(picture, self._margin, hole)

    @staticmethod
    def _scaled(place: NDArray[np.float64], factor: float) -> NDArray[np.float64]:
        return np.column_stack([place[:, :2] * factor, place[:, 2]])

    def _put_instrument(self, picture: Pixels, place: NDArray[np.float64], seen: Seen) -> None:
        step = round(seen.jaws * (JAW_STEPS - 1)) if seen.use.name.startswith("forceps") else 0
        sprite = self._sprites[seen.use.name, step]
        y_axis = seen.along
        x_axis = np.array([y_axis[1], -y_axis[0]])
        frame = np.column_stack([x_axis, y_axis])
        matrix = np.column_stack([place[:, :2] @ frame, place[:, :2] @ seen.tip + place[:, 2]])
        cast = matrix.copy()
        cast[:, 2] += place[:, :2] @ np.array([0.16, 0.24]) + place[:, :2] @ y_axis * 0.05
        lay(picture, sprite.shadow, cast)
        lay(picture, sprite.body, matrix)

    def _put_wounds(self, picture: Pixels, place: NDArray[np.float64], frame: int) -> None:
        """Lay the wounds' lips over the instruments, once the wounds are made."""
        session = self.session
        for wound, name in ((SIDE, "knife-side"), (MAIN, "knife-main")):
            use = session.plan.use(name)
            if frame < use.start + 0.3 * (use.end - use.start):
                continue
            inward = -session.wounds[wound] / np.linalg.norm(session.wounds[wound])
            axes = np.column_stack([np.array([inward[1], -inward[0]]), inward])
            at = place[:, :2] @ session.wounds[wound] + place[:, 2]
            lip = np.column_stack([place[:, :2] @ axes, at])
            lay(picture, self._lips[wound], lip)
            if frame > self._swollen[wound]:
                lay(picture, self._lips[wound], lip)

    def _put_reflex(self, picture: Pixels, frame: int) -> None:
        """Lay the light's reflections on the cornea: the main one and its faint twin."""
        place = self.session.place(frame, globe.REFLEX_DEPTH_MM)
        lay(picture, self._sparkle, place)
        twin = place.copy()
        twin[:, 2] += place[:, :2] @ np.array([0.95, 0.3])
        lay(picture, self._sparkle, self._scaled(twin, 0.55))

    def _shade(
        self, picture: Pixels, place: NDArray[np.float64], seen: list[Seen], frame: int
    ) -> None:
        """Darken the border, and where hands and handles come between light and eye."""
        shade = self._vignette * np.float32(self.session.pose.light[frame])
        factor = _SHADE_SIZE[0] / self._size[0]
        rows, columns = np.mgrid[0 : _SHADE_SIZE[1], 0 : _SHADE_SIZE[0]].astype(np.float32)
        for instrument in seen:
            hand = place[:, :2] @ (instrument.tip + 13.5 * instrument.along) + place[:, 2]
            spread = 5.2 * self.session.px_per_mm * factor
            far = (columns - hand[0] * factor) ** 2 + (rows - hand[1] * factor) ** 2
            shade = shade * (1.0 - 0.6 * np.exp(-far / (2 * spread**2)))
        full = cv2.resize(as_pixels(200.0 * shade), self._size, interpolation=cv2.INTER_LINEAR)
        cv2.multiply(picture, cv2.merge([full, full, full]), dst=picture, scale=1 / 200.0)

    def _sensed(self, picture: Pixels, frame: int) -> Pixels:
        """Blur by the defocus and add the sensor's grain."""
        sigma = float(self.session.pose.blur_px[frame])
        picture = cv2.GaussianBlur(picture, (0, 0), max(sigma, 0.45 * self._size[1] / 432))
        chance = np.random.default_rng([self.session.settings.seed, frame])
        which, dx, dy = chance.integers(0, [_N_GRAINS, 32, 32])
        grain = self._grain[which, dy : dy + self._size[1], dx : dx + self._size[0]]
        return cv2.addWeighted(picture, 1.0, cv2.merge([grain, grain, grain]), 1.0, -128.0)


def _sealing(session: Session) -> list[Use]:
    """Return the uses of the fine cannula, main wound first."""
    return [use for use in session.plan.uses if use.name == "cannula-fine"]


def _disc(px_per_mm: float) -> Plate:
    """Return a white disc of radius 1 mm on black, soft at its edge."""
    x, y, zero = millimetres(1.15, px_per_mm)
    disc = 255.0 * smooth(1.012, 0.988, np.hypot(x, y))
    return Plate(as_pixels(np.repeat(disc[..., None], 3, axis=2)), None, px_per_mm, zero)


def _sparkle(px_per_mm: float) -> Plate:
    """Return a bright reflection with its faint glow."""
    x, y, zero = millimetres(1.6, px_per_mm)
    far = np.hypot(x, y)
    cover = smooth(REFLEX_MM * 1.2, REFLEX_MM * 0.7, far) + 0.28 * np.exp(-((far / 0.6) ** 2))
    white = np.full((*far.shape, 3), (252, 254, 255), np.float32)
    return plate_of(white, np.clip(cover, 0, 1).astype(np.float32), px_per_mm, zero)


def _lip(px_per_mm: float, width_mm: float) -> Plate:
    """Return a wound seen from above: outer line at the limbus, roof reaching inwards along +y."""
    x, y, zero = millimetres(2.2, px_per_mm)
    across = smooth(width_mm / 2 + 0.1, width_mm / 2 - 0.1, np.abs(x))
    roof = across * smooth(-0.1, 0.05, y) * smooth(1.75, 1.45, y)
    inner = across * np.exp(-(((y - 1.6 - 0.05 * x**2) / 0.06) ** 2))
    outer = across * np.exp(-(((y - 0.06 * x**2) / 0.05) ** 2))
    cover = np.clip(0.15 * roof + 0.26 * inner + 0.42 * outer, 0, 0.9).astype(np.float32)
    light = (inner / (0.2 * roof + inner + outer + 1e-3)).astype(np.float32)
    base = np.broadcast_to(np.array([168, 172, 176], np.float32), (*x.shape, 3))
    dark = (outer / (roof + inner + outer + 1e-3)).astype(np.float32)
    colour = mixed(mixed(base, (226, 230, 232), light), (70, 66, 112), dark)
    return plate_of(colour, cover, px_per_mm, zero)


def _vignette(width: int, height: int) -> NDArray[np.float32]:
    x = np.linspace(-1, 1, width, dtype=np.float32)[None, :] * width / height
    y = np.linspace(-1, 1, height, dtype=np.float32)[:, None]
    far = np.hypot(x, y)
    return 1.06 - 0.5 * smooth(0.7, 2.05, far)
