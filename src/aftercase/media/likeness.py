"""How alike pictures at the borders of films are, on small grey copies of them.

What is claimed here is meant for a person to look at: two films of one quiet scene look alike too.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final, Literal

import numpy as np
import numpy.typing as npt

from aftercase.media.picture import Pixels

Greys = npt.NDArray[np.float32]
"""Small grey pictures in the order shown: (n, height, width), levels 0 to 255."""

Likeness = Literal["alike", "unlike", "unclear"]

SMALL_PX: Final = (32, 18)
_ALIKE_STEPS: Final = 3.0
"""A cut between two frames of one film changes no more than this many usual steps."""
_ALIKE_LEVELS: Final = 2.0
_UNLIKE_LEVELS: Final = 10.0
_FLAT_LEVELS: Final = 4.0
_SAME_LEVELS: Final = 2.0
"""Two codings of one picture differ by less."""
_FEWEST_REPEATED: Final = 2
_NEAR_BORDER: Final = 12


def small_grey(pixels: Pixels) -> Greys:
    """Return a picture as 32 x 18 grey levels, whatever its shape: (18, 32)."""
    from PIL import Image  # late: `aftercase --help` must stay instant

    size = (pixels.width_px, pixels.height_px)
    image = Image.frombuffer("RGB", size, pixels.rgb, "raw", "RGB", pixels.stride_bytes, 1)
    small = image.convert("L").resize(SMALL_PX, Image.Resampling.BOX)
    return np.asarray(small, dtype=np.float32)


def stacked(pictures: Iterable[Greys]) -> Greys:
    """Return small pictures as one array; (0, 18, 32) where there are none."""
    height, width = SMALL_PX[1], SMALL_PX[0]
    return np.array(list(pictures), dtype=np.float32).reshape(-1, height, width)


def likeness(tail: Greys, head: Greys) -> Likeness:
    """Say whether the first picture of a film goes on from the last one of another.

    Args:
        tail: The last pictures of the one.
        head: The first pictures of the other.

    Returns:
        `alike` where the change over the border is that of the pictures beside it, `unlike`
        where it is much larger, `unclear` between, for blank pictures, and for none.
    """
    if not len(tail) or not len(head):
        return "unclear"
    last, first = tail[-1], head[0]
    if max(float(last.std()), float(first.std())) < _FLAT_LEVELS:
        return "unclear"
    change = _difference(last, first)
    usual = max(_largest_step(tail[-_NEAR_BORDER:]), _largest_step(head[:_NEAR_BORDER]))
    if change <= max(_ALIKE_LEVELS, _ALIKE_STEPS * usual):
        return "alike" if change < _UNLIKE_LEVELS else "unclear"
    return "unlike" if change >= _UNLIKE_LEVELS else "unclear"


def n_repeated(tail: Greys, head: Greys) -> int:
    """Return how many of a film's last pictures are shown again at the start of another.

    0 where none are, and where nothing moves, since then it cannot be told.
    """
    counts = range(_FEWEST_REPEATED, min(len(tail), len(head)) + 1)
    changes = [_difference(tail[-count:], head[:count]) for count in counts]
    if not changes:
        return 0
    place = int(np.argmin(changes))
    count, change = counts[place], changes[place]
    moving = _difference(tail[-count:-1], tail[-count + 1 :])
    clear = 2 * change < moving or 2 * change < min(changes[0], float(np.median(changes)))
    return count if change < _SAME_LEVELS and clear else 0


def _difference(one: Greys, other: Greys) -> float:
    return float(np.abs(one - other).mean())


def _largest_step(pictures: Greys) -> float:
    if len(pictures) < 2:
        return 0.0
    return float(np.abs(np.diff(pictures, axis=0)).mean(axis=(1, 2)).max())
