"""What is seen through the pupil: red reflex, capsule tear, lens, cortex, new lens."""

from __future__ import annotations

from typing import Final

import cv2
import numpy as np
from numpy.typing import NDArray

from theatre import lens_layers
from theatre.globe import LENS_MAGNIFICATION
from theatre.nucleus import OPTIC_MM, LensWork
from theatre.orientation import direction
from theatre.plan import MAIN
from theatre.plates import Pixels, as_pixels, blend, clouds, millimetres, smooth
from theatre.session import Session
from theatre.tear import flap_tip, leaf

_SUB: Final = 4  # cv2 draws at 1/16 pixel.


class Pupil:
    """Draws the patch behind the iris at any frame; the same frame always looks the same."""

    def __init__(self, session: Session, px_per_mm: float) -> None:
        self._session = session
        self._scale = px_per_mm
        chance = session.settings.chance("pupil content")
        self._x, self._y, self.zero = millimetres(lens_layers.REACH_MM, px_per_mm)
        self._radius = np.hypot(self._x, self._y)
        self._glow = lens_layers.glow(chance, self._radius)
        self._haze = lens_layers.haze(chance, self._radius, self._x, self._y, px_per_mm)
        self._nucleus = lens_layers.nucleus(chance, self._radius, px_per_mm)
        self._rough = clouds(chance, self._radius.shape, 0.5 * px_per_mm, 3)
        self._quarters: dict[tuple[int, float], Pixels] = {}
        self._air = [
            (chance.uniform(-1, 1, 2) * 1.2 + [1.6, -1.9], float(chance.uniform(0.12, 0.34)))
            for _ in range(3)
        ]
        self._rims: dict[int, Pixels] = {}
        self._carved: tuple[tuple[float, ...], tuple[Pixels, Pixels]] | None = None
        self._cortex = lens_layers.cortex(chance, self._radius, self._x, self._y, px_per_mm)
        angle = np.degrees(np.arctan2(self._x, -self._y)) % 360.0
        self._degrees = angle
        self._sector = self._sectors(session.lens)

    def _sectors(self, lens: LensWork) -> NDArray[np.int32]:
        away = (self._degrees[None] - lens.sectors[:, None, None] + 180.0) % 360.0 - 180.0
        return np.abs(away).argmin(axis=0).astype(np.int32)

    def drawn(self, frame: int) -> Pixels:
        """Return the patch at a frame, in the surgeon's layout."""
        patch = self._reflex(frame)
        self._put_lens(patch, frame)
        self._put_cortex(patch, frame)
        self._put_wave(patch, frame)
        self._put_tear(patch, frame)
        self._put_new_lens(patch, frame)
        self._put_specks(patch, frame)
        self._put_air(patch, frame)
        return patch

    def _pixels(self, points: NDArray[np.float64]) -> NDArray[np.int32]:
        return np.round((points * self._scale + np.array(self.zero)) * 2**_SUB).astype(np.int32)

    def _reflex(self, frame: int) -> Pixels:
        """Return the glow, dimmer when the eye is turned away from the light."""
        tilt = self._session.pose.tilt[frame]
        lens = self._session.lens
        dim = np.exp(-float(tilt @ tilt) / 0.022)
        cleared = float(lens.eaten[frame].mean() * 0.6 + (1 - lens.cortex[frame].mean()) * 0.4)
        level = (0.74 + 0.26 * cleared) * (0.55 + 0.45 * dim)
        shift = tilt * 9.0 * self._scale
        move = np.array([[1, 0, shift[0]], [0, 1, shift[1]]])
        size = self._glow.shape[1], self._glow.shape[0]
        glow = cv2.warpAffine(self._glow, move, size, borderMode=cv2.BORDER_REPLICATE)
        return cv2.convertScaleAbs(glow, alpha=level)

    def _put_lens(self, patch: Pixels, frame: int) -> None:
        lens = self._session.lens
        if lens.eaten[frame].min() >= 1.0:
            return
        begun = lens.turned_deg[frame] > 0
        if not begun:
            blend(patch, *self._haze)
        texture = self._grooved(frame)
        for quarter in range(4):
            self._put_quarter(patch, texture, quarter, frame)

    def _grooved(self, frame: int) -> tuple[Pixels, Pixels]:
        """Return the nucleus with its grooves, in its own layout."""
        lens = self._session.lens
        colour, clear = self._nucleus
        depths = tuple(float(depth) for depth in np.round(lens.groove[frame], 2))
        if not any(depths):
            return colour, clear
        if self._carved and self._carved[0] == depths:
            return self._carved[1]
        colour, clear = colour.copy(), clear.copy()
        for which, depth in enumerate(depths):
            if depth > 0:
                self._carve(colour, clear, which, depth)
        self._carved = depths, (colour, clear)
        return colour, clear

    def _carve(self, colour: Pixels, clear: Pixels, which: int, depth: float) -> None:
        """Cut a groove: a rough trough that shows more of the red below as it deepens."""
        axis = direction(self._groove_deg(which))
        reach = 1.2 + 1.5 * min(1.0, 1.6 * depth)
        across = np.array([-axis[1], axis[0]])
        along = -self._x * axis[0] - self._y * axis[1]
        side = self._x * across[0] + self._y * across[1] + 0.05 * self._rough
        length = smooth(
            reach * 0.98 + 0.1, reach * 0.98 - 0.25, np.abs(along + 0.35) + 0.1 * self._rough
        )
        half = 0.5 + 0.06 * np.sin(7.0 * along)
        trough = smooth(half + 0.07, half - 0.16, np.abs(side)) * length
        rim = np.exp(-(((np.abs(side) - half - 0.06) / 0.07) ** 2)) * length
        lit = np.where(side > 0, 34.0, 12.0) * depth * rim
        wall = 1.0 - trough * (0.2 + 0.55 * depth)
        kept = colour * wall[..., None] + (lit * (colour[..., 2] > 0))[..., None]
        colour[:] = as_pixels(kept.astype(np.float32))
        thin = 1.0 - trough * (0.1 + 0.62 * depth)
        clear[:] = as_pixels((255.0 - (255.0 - clear) * thin[..., None]).astype(np.float32))

    def _groove_deg(self, which: int) -> float:
        """Return a groove's direction in the nucleus's own layout."""
        session = self._session
        middle = session.plan.step("nucleus-groove", which)
        turned = session.lens.turned_deg[(middle.start + middle.end) // 2]
        return session.wound_deg[MAIN] + 180.0 - float(turned)

    def _put_quarter(
        self, patch: Pixels, texture: tuple[Pixels, Pixels], quarter: int, frame: int
    ) -> None:
        lens = self._session.lens
        eaten = float(lens.eaten[frame, lens.order.index(quarter)])
        if eaten >= 1.0:
            return
        turned = float(lens.turned_deg[frame])
        first = self._groove_deg(0)
        home = first + 45.0 + 90.0 * quarter
        split = np.zeros(2)
        for which in range(2):
            across = direction(self._groove_deg(which) + 90.0 + turned)
            side = np.sign(across @ direction(home + turned))
            split = split + side * 0.5 * float(lens.crack[frame, which]) * across
        middle = direction(home + turned) * 2.0
        target = direction(self._session.wound_deg[MAIN]) * -0.2
        share = min(1.0, eaten / 0.3)
        moved = split + (target - middle * 0.8) * share * share * (3 - 2 * share)
        size = 1.0 - 0.78 * max(0.0, (eaten - 0.25) / 0.75) ** 0.9
        spin = turned + 55.0 * eaten * (1 if quarter % 2 else -1)
        self._warp_quarter(patch, texture, quarter, first, spin, size, middle, moved)

    def _warp_quarter(
        self,
        patch: Pixels,
        texture: tuple[Pixels, Pixels],
        quarter: int,
        first_deg: float,
        spin_deg: float,
        size: float,
        middle: NDArray[np.float64],
        moved: NDArray[np.float64],
    ) -> None:
        """Lay one quarter: cut out in the nucleus's layout, turned, shrunk towards its middle."""
        angle = np.radians(spin_deg)
        turn = size * np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]])
        zero = np.array(self.zero)
        shift = (moved + (1.0 - size) * middle) * self._scale
        matrix = np.column_stack([turn, zero + shift - turn @ zero])
        cut = self._cut(quarter, first_deg)
        side = patch.shape[1], patch.shape[0]
        lit = cv2.multiply(texture[0], cut, scale=1 / 255.0)
        if self._session.lens.crack[-1].max() and np.abs(moved).max() > 0.02:
            lit = cv2.add(lit, cv2.multiply(self._rims[quarter], texture[0], scale=1 / 255.0))
        colour = cv2.warpAffine(lit, matrix, side)
        hidden = cv2.multiply(cv2.bitwise_not(texture[1]), cut, scale=1 / 255.0)
        hidden = cv2.warpAffine(hidden, matrix, side)
        blend(patch, colour, cv2.bitwise_not(hidden))

    def _cut(self, quarter: int, first_deg: float) -> Pixels:
        """Return the mask of a quarter in the nucleus's layout (the same all session long)."""
        key = (quarter, round(first_deg, 3))
        if key not in self._quarters:
            away = (self._degrees - (first_deg + 45.0 + 90.0 * quarter) + 180.0) % 360.0 - 180.0
            inside = (45.0 - np.abs(away)) * np.pi / 180.0 * self._radius * self._scale
            mask = as_pixels(255.0 * np.clip(inside + 0.5, 0, 1))
            self._quarters[key] = np.repeat(mask[..., None], 3, axis=2)
            rim = 110.0 * np.exp(-(((inside / self._scale - 0.12) / 0.09) ** 2)) * (inside > 0)
            self._rims[quarter] = np.repeat(as_pixels(rim)[..., None], 3, axis=2)
        return self._quarters[key]

    def _put_cortex(self, patch: Pixels, frame: int) -> None:
        """Lay the soft strands that stay behind; each sector thins as it is stripped."""
        lens = self._session.lens
        left = lens.cortex[frame]
        if lens.eaten[frame].max() <= 0 or left.max() <= 0:
            return
        share = (255 * left).astype(np.uint8)[self._sector]
        share = cv2.GaussianBlur(share, (0, 0), 0.12 * self._scale)
        share = cv2.merge([share, share, share])
        colour, hidden = self._cortex
        blend(
            patch,
            cv2.multiply(colour, share, scale=1 / 255.0),
            cv2.bitwise_not(cv2.multiply(hidden, share, scale=1 / 255.0)),
        )

    def _put_wave(self, patch: Pixels, frame: int) -> None:
        """Draw the fluid wave running under the lens."""
        wave = float(self._session.lens.wave[frame])
        if not 0 < wave < 1:
            return
        start = direction(self._session.wound_deg[MAIN] + 130.0) * 4.0
        reach = 8.4 * wave
        far = np.hypot(self._x - start[0], self._y - start[1])
        front = np.exp(-(((far - reach) / 0.28) ** 2)) - 0.6 * np.exp(
            -(((far - reach + 0.55) / 0.3) ** 2)
        )
        lighter = (front[..., None] * np.array([26.0, 48.0, 60.0])).astype(np.float32)
        patch[:] = as_pixels(patch + lighter)

    def _put_tear(self, patch: Pixels, frame: int) -> None:
        tear = self._session.tear
        arc = float(tear.arc[frame])
        if arc <= 0:
            return
        points = tear.points(np.linspace(0.0, arc, max(2, round(arc / 4) + 2)))
        whole = arc >= 360.0
        edge = np.zeros(patch.shape[:2], np.uint8)
        line = self._pixels(points)
        cv2.polylines(
            edge, [line], False, 255, max(1, round(0.07 * self._scale)), cv2.LINE_AA, _SUB
        )
        dark = np.zeros_like(edge)
        inner = self._pixels(points * 0.972)
        cv2.polylines(
            dark, [inner], False, 255, max(1, round(0.09 * self._scale)), cv2.LINE_AA, _SUB
        )
        faded = 0.5 if whole else 1.0
        bared = np.zeros_like(edge)
        cv2.fillPoly(bared, [np.vstack([line, self._pixels(tear.centre_mm[None])])], 255, 16, _SUB)
        _tint(patch, bared, (90, 150, 236), 0.1 * faded)
        _tint(patch, dark, (10, 22, 60), 0.42 * faded)
        _tint(patch, edge, (196, 216, 250), 0.62 * faded + 0.08)
        if not whole or self._flap_held(frame):
            self._put_flap(patch, frame)

    def _flap_held(self, frame: int) -> bool:
        return frame < self._session.plan.use("forceps-capsule").end

    def _put_flap(self, patch: Pixels, frame: int) -> None:
        """Draw the torn leaf folded over, thin and pale, brightest along its fold."""
        tear = self._session.tear
        arc = float(tear.arc[frame])
        outline = leaf(tear, arc, self._flap_corner(frame))
        mask = np.zeros(patch.shape[:2], np.uint8)
        cv2.fillPoly(mask, [self._pixels(outline)], 255, cv2.LINE_AA, _SUB)
        rim = np.zeros_like(mask)
        cv2.polylines(rim, [self._pixels(outline[:12])], False, 255, 1, cv2.LINE_AA, _SUB)
        fold = self._pixels(np.vstack([outline[-1:], outline[:1]]))
        cv2.polylines(rim, [fold], False, 190, 1, cv2.LINE_AA, _SUB)
        mask = cv2.GaussianBlur(mask, (0, 0), 0.05 * self._scale)
        _tint(patch, mask, (186, 200, 232), 0.24)
        _tint(patch, rim, (226, 236, 255), 0.6)

    def _flap_corner(self, frame: int) -> NDArray[np.float64]:
        """Return the leaf's free corner: at the jaws while gripped, else where it was left."""
        session = self._session
        arc = session.tear.arc
        left = flap_tip(session.tear, float(arc[frame]))
        use = session.plan.use("forceps-capsule")
        if use.start <= frame < use.end:
            at = frame - use.view_start
            near = np.linalg.norm(session.tips[use][at] - left) < 0.5
            if near and session.jaws[use][at] < 0.15:
                return session.tips[use][at]
        return left

    def _put_specks(self, patch: Pixels, frame: int) -> None:
        """Draw the specks that whirl off the ultrasound tip while it works."""
        session = self._session
        working = {"nucleus-groove", "nucleus-pieces"}
        if not any(s.name in working and s.start <= frame < s.end for s in session.plan.steps):
            return
        use = session.plan.use("phaco-probe")
        tip = session.tips[use][frame - use.view_start]
        chance = np.random.default_rng([session.settings.seed, frame // 2, 7])
        specks = tip + chance.normal(0, 0.75, (7, 2)) - 0.5 * direction(session.wound_deg[MAIN])
        mask = np.zeros(patch.shape[:2], np.uint8)
        for at, size in zip(self._pixels(specks), chance.uniform(0.05, 0.13, 7), strict=True):
            cv2.circle(mask, at, round(size * self._scale * 2**_SUB), 255, -1, cv2.LINE_AA, _SUB)
        _tint(patch, mask, (206, 220, 240), 0.4)

    def _put_air(self, patch: Pixels, frame: int) -> None:
        """Draw the small air bubbles that come in with the viscoelastic and go with it."""
        plan = self._session.plan
        filled, gone = plan.use("cannula-visco"), plan.use("phaco-probe")
        if not (filled.start + filled.end) / 2 < frame < gone.start + 40:
            return
        for at, size in self._air:
            ring = np.zeros(patch.shape[:2], np.uint8)
            middle, radius = self._pixels(at), round(size * self._scale * 2**_SUB)
            cv2.circle(
                ring, middle, radius, 255, max(1, round(0.05 * self._scale)), cv2.LINE_AA, _SUB
            )
            glint = np.zeros_like(ring)
            spot = self._pixels(at - 0.4 * size)
            cv2.circle(glint, spot, max(8, radius // 5), 255, -1, cv2.LINE_AA, _SUB)
            _tint(patch, ring, (60, 84, 128), 0.55)
            _tint(patch, glint, (244, 248, 255), 0.85)

    def _put_new_lens(self, patch: Pixels, frame: int) -> None:
        lens = self._session.lens
        open_ = float(lens.unfolded[frame])
        if open_ <= 0:
            return
        centre, turn = lens.lens_at[frame], float(lens.lens_deg[frame])
        radius = OPTIC_MM * LENS_MAGNIFICATION
        wide = radius * (0.3 + 0.7 * smooth(0.3, 1.0, np.float32(open_)))
        grown = radius * float(min(1.0, 0.45 + 0.9 * open_))
        outline = _turned_ellipse(centre, grown, float(wide), turn)
        body = np.zeros(patch.shape[:2], np.uint8)
        cv2.fillPoly(body, [self._pixels(outline)], 255, cv2.LINE_AA, _SUB)
        edge = np.zeros_like(body)
        cv2.polylines(
            edge,
            [self._pixels(outline)],
            True,
            255,
            max(1, round(0.09 * self._scale)),
            cv2.LINE_AA,
            _SUB,
        )
        inner = np.zeros_like(body)
        inside = _turned_ellipse(centre, grown * 0.955, float(wide) * 0.955, turn)
        cv2.polylines(inner, [self._pixels(inside)], True, 255, 1, cv2.LINE_AA, _SUB)
        for side in (0.0, 180.0):
            self._put_haptic(edge, centre, turn + side, grown, open_)
        _tint(patch, body, (150, 190, 240), 0.12 + 0.25 * (1 - open_))
        _tint(patch, inner, (14, 30, 70), 0.42)
        _tint(patch, edge, (206, 222, 250), 0.58)

    def _put_haptic(
        self, onto: Pixels, centre: NDArray[np.float64], turn: float, radius: float, open_: float
    ) -> None:
        """Draw one supporting loop of the new lens."""
        share = np.linspace(0, 1, 14)
        angles = np.radians(turn + 8 + 95 * share)
        out = radius * (1.0 + (0.24 + 0.5 * open_) * np.sin(share * np.pi / 1.6) * open_)
        points = centre + np.stack([out * np.sin(angles), -out * np.cos(angles)], axis=1)
        width = max(2, round(0.26 * self._scale))
        cv2.polylines(onto, [self._pixels(points)], False, 190, width, cv2.LINE_AA, _SUB)


def _turned_ellipse(
    centre: NDArray[np.float64], along: float, across: float, turn_deg: float
) -> NDArray[np.float64]:
    angle = np.linspace(0, 2 * np.pi, 90, endpoint=False)
    axis = direction(turn_deg)
    side = np.array([-axis[1], axis[0]])
    return centre + along * np.cos(angle)[:, None] * axis + across * np.sin(angle)[:, None] * side


def _tint(patch: Pixels, mask: Pixels, colour: tuple[int, int, int], strength: float) -> None:
    """Mix a colour in where a mask is set."""
    x, y, width, height = cv2.boundingRect(mask)
    if not width:
        return
    part = patch[y : y + height, x : x + width]
    cover = cv2.convertScaleAbs(mask[y : y + height, x : x + width], alpha=strength)
    cover3 = cv2.merge([cover, cover, cover])
    full = np.full_like(part, colour)
    blend(part, cv2.multiply(full, cover3, scale=1 / 255.0), cv2.bitwise_not(cover3))
