"""One pass over pictures in order: everything that is measured of each, a row a picture.

Rows are plain numbers, so that what follows from them (`findings`) can be worked out anew without
looking at the film again. A row depends on the picture, on the one looked at before it and on that
one's row only: a pass that was stopped goes on from its last row as if nothing had happened.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from aftercase.vision.ellipse import Ellipse
from aftercase.vision.eye import Eye, found_eye
from aftercase.vision.looks import (
    GREY_WIDTH_PX,
    Change,
    Look,
    Picture,
    change_between,
    grey_of,
    look_of,
)
from aftercase.vision.motion import Grey, Mask, Motion, motion_between
from aftercase.vision.opencv import cv2
from aftercase.vision.rings import N_BANDS, N_DIRECTIONS, ring_around
from aftercase.vision.states import BLACK_LIGHT

VERSION: Final = 1
"""Of what is measured and how; rows of another version are measured anew."""

SURE: Final = 0.5
"""An eye found with less confidence is not followed on, nor is its ring looked at."""

_SEARCH_EVERY: Final = 5
"""While no eye is known, one picture in so many is searched as a whole."""

_BLUR_PX: Final = 0.8

ROW: Final = np.dtype(
    [
        ("at_us", np.int64),
        ("width_px", np.int32),
        ("height_px", np.int32),
        *((name, np.float32) for name in Look._fields),
        *((f"change_{name}", np.float32) for name in Change._fields),
        *((f"motion_{name}", np.float32) for name in Motion._fields),
        ("limbus", np.float64, 5),
        ("limbus_confidence", np.float64),
        ("pupil", np.float64, 5),
        ("pupil_confidence", np.float64),
        ("reflex", np.float64, 2),
        ("reflex_confidence", np.float64),
        ("known_limbus", np.float64, 5),
        ("n_without_eye", np.int32),
        ("ring", np.uint8, (N_DIRECTIONS, N_BANDS, 3)),
        ("ring_seen", np.bool_, (N_DIRECTIONS, N_BANDS)),
    ]
)
"""What is measured of a picture. Ellipses are centre x, y, half the longest and half the shortest
diameter in pixels of the picture looked at, and the longest one's direction; NaN where there is
none. The known limbus is the last sure one, however long ago."""

Rows = NDArray[Any]
"""Of dtype `ROW`, shape (n,), in the order of time."""


@dataclass(frozen=True)
class Looked:
    """A picture that was looked at.

    Attributes:
        row: What was measured of it, shape (1,) of dtype `ROW`.
        grey: `grey_of` the picture, which the next one is compared with.
    """

    row: Rows
    grey: Grey


def looked_at(at_us: int, picture: Picture, before: Looked | None) -> Looked:
    """Measure one picture.

    Args:
        at_us: When it is shown.
        picture: Red, green and blue, shape (height, width, 3), 8 bits.
        before: The one looked at before it; None for the first.
    """
    row = _EMPTY.copy()
    row["at_us"], row["height_px"], row["width_px"] = at_us, *picture.shape[:2]
    if before is not None and before.row[_SIZE].tolist() != row[_SIZE].tolist():
        before = None  # a part of another size begins
    look = look_of(picture)
    _put(row, "", look)
    eye, row["n_without_eye"] = _eye_of(picture, look, before)
    if before is not None:
        row["known_limbus"] = before.row["known_limbus"]
    if eye is not None:
        _put_eye(row, eye)
    limbus = eye.limbus if eye is not None and eye.confidence >= SURE else None
    if limbus is not None:
        row["known_limbus"] = row["limbus"]
        lab = cv2.cvtColor(cv2.GaussianBlur(picture, (0, 0), _BLUR_PX), cv2.COLOR_RGB2LAB)
        row["ring"][0], row["ring_seen"][0] = ring_around(np.asarray(lab, np.uint8), limbus)
    grey = grey_of(picture)
    if before is not None:
        _put(row, "change_", change_between(before.grey, grey))
        inside = None if limbus is None else _inside(limbus, picture, grey)
        _put(row, "motion_", motion_between(before.grey, grey, inside))
    return Looked(row, grey)


def looked_again(picture: Picture, row: Rows) -> Looked:
    """Return a picture that was looked at before, from its row, so that a pass can go on there."""
    return Looked(row, grey_of(picture))


def _empty_row() -> Rows:
    row = np.zeros(1, dtype=ROW)
    for name in ROW.names or ():
        if ROW[name].base.kind == "f":
            row[name] = np.nan
    return row


_EMPTY: Final = _empty_row()
_SIZE: Final = ["width_px", "height_px"]


def ellipse_in(values: NDArray[np.float64]) -> Ellipse | None:
    """Return an ellipse as rows keep it; None where there is none."""
    if not np.isfinite(values).all():
        return None
    return Ellipse(*map(float, values))


def _eye_of(picture: Picture, look: Look, before: Looked | None) -> tuple[Eye | None, int]:
    """Return the eye near the last sure one, else anywhere; and for how long there was none."""
    n_without = 0 if before is None else int(before.row["n_without_eye"][0])
    if look.light < BLACK_LIGHT:
        return None, n_without + 1
    known = None if before is None else ellipse_in(before.row["known_limbus"][0])
    eye = None if known is None else found_eye(picture, near=known)
    is_sure = eye is not None and eye.confidence >= SURE
    if not is_sure and n_without % _SEARCH_EVERY == 0:
        eye = found_eye(picture) or eye
        is_sure = eye is not None and eye.confidence >= SURE
    return eye, 0 if is_sure else n_without + 1


def _put(row: Rows, prefix: str, values: Any) -> None:
    for name, value in values._asdict().items():
        row[prefix + name] = value


def _put_eye(row: Rows, eye: Eye) -> None:
    for name, ring in (("limbus", eye.limbus), ("pupil", eye.pupil)):
        row[name][0] = (ring.x_px, ring.y_px, ring.long_px, ring.short_px, ring.long_deg)
    row["limbus_confidence"] = eye.confidence
    row["pupil_confidence"] = eye.pupil_confidence
    row["reflex_confidence"] = 0.0
    if eye.reflex is not None:
        row["reflex"][0] = (eye.reflex.x_px, eye.reflex.y_px)
        row["reflex_confidence"] = eye.reflex.confidence


def _inside(limbus: Ellipse, picture: Picture, grey: Grey) -> Mask:
    """Return which places of the small grey picture lie within the limbus."""
    small = limbus.enlarged(GREY_WIDTH_PX / picture.shape[1])
    drawn = np.zeros(grey.shape, dtype=np.uint8)
    centre = (round(small.x_px), round(small.y_px))
    axes = (round(small.long_px), round(small.short_px))
    cv2.ellipse(drawn, centre, axes, small.long_deg - 90, 0, 360, 1, -1)
    return np.asarray(drawn > 0)
