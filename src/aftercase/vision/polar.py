"""A picture unrolled around points, and the steps in colour along its spokes.

Radii grow by a constant factor from ring to ring, so that a step is looked for with the same care
whatever its radius and the zoom. Every colour is scaled so that 1 is a step plainly seen.
"""

from __future__ import annotations

from typing import Final

import numpy as np
import numpy.typing as npt

from aftercase.vision.opencv import cv2

Picture = npt.NDArray[np.uint8]
"""Red, green and blue, 0 to 255: (height, width, 3)."""
Floats = npt.NDArray[np.floating]
Flags = npt.NDArray[np.bool_]

_SEEN_AS: Final = np.array([0.08, 0.03, 0.03], np.float32)
"""Steps in lightness, green to red and blue to yellow plainly seen; full scale is 1."""
_DARK_LEVELS: Final = 8.0
"""Added before taking ratios: below this many levels a colour is noise."""
_RATIO_SEEN_AS: Final = np.array([0.2, 0.1, 0.1], np.float32)
"""The same for log lightness and the log ratios of red and blue to green."""
_WIDTHS_TRIED: Final = 4
_MOST_ROWS: Final = 32_000
"""OpenCV samples fewer than 32,768 rows at once."""


def shrunk(picture: Picture, size_px: float) -> tuple[Picture, float]:
    """Return a picture about as large as a square of this size, and its factor (at most 1).

    Of the widths near that, the one is taken at which the height comes out whole: else places in
    the small picture would be off along it.

    Args:
        picture: (height, width, 3).
        size_px: Side of that square.

    Returns:
        The picture with its factor: width now over width before.
    """
    height, width = picture.shape[:2]
    factor = min(1.0, size_px / float(np.sqrt(height * width)))
    if factor == 1.0:
        return picture, 1.0
    about = max(_WIDTHS_TRIED + 1, round(width * factor))
    wide = min(
        range(about - _WIDTHS_TRIED, min(about + _WIDTHS_TRIED, width) + 1),
        key=lambda wide: abs((height * wide / width + 0.5) % 1 - 0.5),
    )
    high = max(1, round(height * wide / width))
    small = cv2.resize(picture, (wide, high), interpolation=cv2.INTER_AREA)
    return np.asarray(small, np.uint8), wide / width


def colours(picture: Picture) -> Floats:
    """Return lightness, green to red and blue to yellow of every pixel, in visible steps."""
    lab = cv2.cvtColor(picture, cv2.COLOR_RGB2LAB).astype(np.float32)
    return np.asarray(lab / (255 * _SEEN_AS), np.float32)


def colour_ratios(picture: Picture) -> Floats:
    """Return log lightness and log red and blue over green, in visible steps.

    Ratios stay as they are where light falls off or casts a shadow: what is left of a step is a
    change of the surface.
    """
    logs = np.log(picture.astype(np.float32) + _DARK_LEVELS)
    green = logs[..., 1]
    parts = (logs.mean(axis=2), logs[..., 0] - green, logs[..., 2] - green)
    return np.asarray(np.stack(parts, axis=2) / _RATIO_SEEN_AS, np.float32)


def ring_radii(least_px: float, most_px: float, growth: float) -> Floats:
    """Return radii growing by a factor, from the least to at least the most."""
    n = int(np.ceil(np.log(most_px / least_px) / np.log(growth))) + 1
    return (least_px * growth ** np.arange(n)).astype(np.float32)


def spokes(n: int) -> Floats:
    """Return n unit vectors around the circle, from three o'clock downwards: (n, 2)."""
    angles = np.arange(n) * (2 * np.pi / n)
    return np.stack([np.cos(angles), np.sin(angles)], axis=1).astype(np.float32)


def unrolled(field: Floats, centres_px: Floats, radii_px: Floats, arms: Floats) -> Floats:
    """Sample a picture along the spokes around each centre.

    Args:
        field: Values of every pixel: (height, width, 3).
        centres_px: x, y of each centre: (m, 2).
        radii_px: (k,).
        arms: Vectors of length one: (n, 2).

    Returns:
        (m, n, k, 3); outside the picture the nearest pixel's values.
    """
    reach = arms[:, None, :] * radii_px[:, None]
    places = (centres_px[:, None, None, :] + reach).reshape(-1, len(radii_px), 2)
    parts = [
        cv2.remap(
            field,
            places[first : first + _MOST_ROWS],
            None,  # type: ignore[arg-type, call-overload, unused-ignore]  # the stubs want y apart
            cv2.INTER_LINEAR,
            borderMode=cv2.BORDER_REPLICATE,
        )
        for first in range(0, len(places), _MOST_ROWS)
    ]
    sampled = np.concatenate(parts) if len(parts) > 1 else parts[0]
    return np.asarray(sampled, np.float32).reshape(len(centres_px), len(arms), -1, 3)


def steps(polar: Floats, half: int, *, less_ramp: bool = False) -> Floats:
    """Return the mean of the rings outside less that of the rings inside, between ring and ring.

    Args:
        polar: (m, n, k, 3).
        half: How many rings outside and inside are compared.
        less_ramp: Take away the mean of the steps beside it: what is left is sharper than a slope.

    Returns:
        (m, n, k, 3); item i is the step between rings i - 1 and i. The ends repeat the last ring.
    """
    edge = np.repeat([-1.0, 1.0], half) / half
    if less_ramp:
        edge = np.concatenate([-edge / 2, edge, -edge / 2])
    m, n, k, channels = polar.shape
    kernel = edge[None, :].astype(np.float32)
    found = cv2.filter2D(
        polar.reshape(m * n, k, channels),
        -1,
        kernel,
        anchor=(len(edge) // 2, 0),
        borderType=cv2.BORDER_REPLICATE,
    )
    return np.asarray(found, np.float32).reshape(polar.shape)


def spoke_lengths_px(shape: tuple[int, ...], centres_px: Floats, arms: Floats) -> Floats:
    """Return how far each spoke goes until it leaves the picture: (m, n)."""
    far = np.array([shape[1] - 1, shape[0] - 1], np.float32)
    ahead = np.where(arms > 0, far - centres_px[:, None, :], centres_px[:, None, :])
    return np.asarray((ahead / np.maximum(np.abs(arms), 1e-6)).min(axis=2), np.float32)
