"""Brightness and contrast of what is shown, for dark recordings; nothing stored changes."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from aftercase.media.picture import Pixels

Bytes = np.ndarray


@dataclass(frozen=True)
class Light:
    """How a picture is lightened.

    Attributes:
        brightness: Added, as a share of full, -1 to 1.
        contrast: About the middle, 0.2 to 5; 1 leaves it.
        gamma: Above 1 lifts what is dark, 0.2 to 5; 1 leaves it.
    """

    brightness: float = 0.0
    contrast: float = 1.0
    gamma: float = 1.0


AS_RECORDED: Final = Light()


def table_of(light: Light) -> np.ndarray:
    """Return what each of the 256 levels becomes.

    Example:
        >>> int(table_of(Light(brightness=0.5))[0]), int(table_of(Light(contrast=2))[64])
        (128, 0)
    """
    levels = np.arange(256) / 255.0
    lifted = levels ** (1.0 / light.gamma)
    changed = (lifted - 0.5) * light.contrast + 0.5 + light.brightness
    return np.clip(np.rint(changed * 255), 0, 255).astype(np.uint8)


def lit(pixels: Pixels, light: Light) -> bytes:
    """Return a picture's bytes in another light, with the same stride."""
    if light == AS_RECORDED:
        return pixels.rgb
    return table_of(light)[np.frombuffer(pixels.rgb, dtype=np.uint8)].tobytes()
