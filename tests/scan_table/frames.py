"""The eye on frames of real operations, beside what people drew on them."""

from __future__ import annotations

import json
from pathlib import Path

import cv2
import numpy as np
from page import Row

from aftercase.vision.eye import Eye, found_eye

DATA = Path(__file__).parents[2].parent / "shared" / "data" / "eyes"
PUPIL_SHARE, LIMBUS_SHARE = 0.12, 0.15
SURE = 0.5


def frame_rows() -> list[Row]:
    """Return the rows of the real frames; they say so where the frames are not there."""
    if not (DATA / "frames.json").is_file():
        return [Row("real frames", "", "the frames are not beside the checkout", None)]
    told = json.loads((DATA / "frames.json").read_text(encoding="utf-8"))
    found = [(_eye_on(one["frame"]), one) for one in told]
    pupils = [_is_right(eye and eye.pupil, one["pupil"], PUPIL_SHARE) for eye, one in found]
    limbi = [_is_right(eye and eye.limbus, one["limbus"], LIMBUS_SHARE) for eye, one in found]
    sure_wrong = sum(
        eye is not None and eye.confidence >= SURE and not right
        for (eye, _), right in zip(found, limbi, strict=True)
    )
    n = len(told)
    return [
        Row(
            "pupil on real frames",
            f"centre and radius within {PUPIL_SHARE:.0%} of its radius on 6 of 7",
            f"{sum(pupils)} of {n}",
            sum(pupils) >= 6,
        ),
        Row(
            "limbus on real frames",
            f"centre and radius within {LIMBUS_SHARE:.0%} of its radius on 5 of 7",
            f"{sum(limbi)} of {n}",
            sum(limbi) >= 5,
        ),
        Row(
            "confidence on real frames",
            "low where the limbus is wrong",
            f"{sure_wrong} wrong ones taken for sure",
            sure_wrong == 0,
        ),
    ]


def _eye_on(name: str) -> Eye | None:
    picture = cv2.imread(str(DATA / name))
    return found_eye(cv2.cvtColor(picture, cv2.COLOR_BGR2RGB))


def _is_right(found, told, share: float) -> bool:
    if found is None:
        return False
    radius = float(np.mean(told["semi_axes_px"]))
    off = found.distance_px(told["x_px"], told["y_px"])
    return off <= share * radius and abs(found.radius_px - radius) <= share * radius
