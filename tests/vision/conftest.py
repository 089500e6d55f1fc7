"""Draw eyes whose answer is known."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from aftercase.vision.opencv import cv2

LIDS = (60, 35, 30)
WHITE_OF_THE_EYE = (222, 205, 198)
IRIS = (104, 82, 58)
BLACK_PUPIL = (30, 24, 24)

Drawn = Callable[..., np.ndarray]


@pytest.fixture(scope="session")
def drawn_eye() -> Drawn:
    """Return a function that draws an eye by the formula of an ellipse, softly."""
    return _drawn_eye


def _drawn_eye(
    size=(320, 180),
    *,
    centre=(158.0, 92.0),
    axes=(50.0, 47.0),
    long_deg=0.0,
    pupil=(0.03, -0.02, 0.66),
    pupil_rgb=BLACK_PUPIL,
    softness=0.06,
    reflex=None,
    noise=0.0,
):
    """Draw lids, white, iris and pupil; the pupil's shift and radius are shares of the limbus.

    `long_deg` is clockwise from straight up, `softness` the width of the limbus over its radius.
    """
    y, x = np.mgrid[: size[1], : size[0]].astype(np.float64)
    x, y = x - centre[0], y - centre[1]
    turn = np.deg2rad(long_deg)
    along = x * np.sin(turn) - y * np.cos(turn)
    across = x * np.cos(turn) + y * np.sin(turn)
    far = np.hypot(along / axes[0], across / axes[1])
    radius = sum(axes) / 2
    picture = _over(np.array(LIDS, float), WHITE_OF_THE_EYE, _inside(far, 2.1, 0.3))
    picture = _over(picture, IRIS, _inside(far, 1.0, softness))
    from_pupil = np.hypot(x - pupil[0] * radius, y - pupil[1] * radius) / radius
    picture = _over(picture, pupil_rgb, _inside(from_pupil, pupil[2], softness / 2))
    if reflex is not None:
        spot = np.hypot(x + centre[0] - reflex[0], y + centre[1] - reflex[1]) / radius
        picture = _over(picture, (255, 255, 255), _inside(spot, 0.06, 0.03))
    if noise:
        picture = picture + np.random.default_rng(7).normal(0, noise, picture.shape)
    return np.clip(np.rint(picture), 0, 255).astype(np.uint8)


def _inside(far, edge, width):
    return np.clip((edge - far) / width + 0.5, 0, 1)[..., None]


def _over(picture, colour, cover):
    return picture * (1 - cover) + np.array(colour, float) * cover


@pytest.fixture(scope="session")
def with_instrument() -> Drawn:
    """Return a function that lays a bright straight instrument over a picture."""

    def laid(picture, start, end, width_px):
        over = picture.copy()
        cv2.line(over, start, end, (205, 210, 215), width_px, cv2.LINE_AA)
        cv2.line(over, start, end, (120, 124, 128), max(1, width_px // 4), cv2.LINE_AA)
        return over

    return laid
