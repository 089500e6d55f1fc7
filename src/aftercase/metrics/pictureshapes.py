"""What was pointed at, as drawings on its frame: for stills, and for the window."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from aftercase.metrics.picture import places_of
from aftercase.metrics.pointed import centre_of
from aftercase.metrics.rulers import square_points
from aftercase.model.case import Case, frame_shape
from aftercase.model.measure import Calibration, Measure
from aftercase.model.picture import FrameShape, decoded_share, shown_size
from aftercase.model.review import Drawing, Review
from aftercase.vision.ellipse import Floats, ring_through

_MEASURED, _AROUND, _OPTIC = "sky", "white", "orange"
_RINGS = ("ring", "capsulorhexis")
_OUTSIDE = (-1.0, -1.0)


def measure_drawings(case: Case, review: Review, measure: Measure) -> tuple[Drawing, ...]:
    """Return a measure as drawings on its frame, the later over the earlier.

    What was measured is sky blue, the limbus or pupil about it white, the optic orange. None where
    the size of the frame is not known.
    """
    shape = frame_shape(case, measure.part)
    if shape is None:
        return ()
    places = places_of(case, review, measure, shape)
    lines = [
        *((_AROUND, line) for line in _ring(places.around)),
        *((_OPTIC, line) for line in _ring(places.optic)),
        *((_MEASURED, line) for line in _measured(measure, places.points, places.around)),
    ]
    return tuple(
        drawing
        for colour, line in lines
        for drawing in _drawings(line, colour, measure.part, measure.at_us, shape)
    )


def ruler_drawings(case: Case, calibration: Calibration) -> tuple[Drawing, ...]:
    """Return a ruler as drawings on its frame: its ring, or the line between its ends."""
    shape = frame_shape(case, calibration.part)
    if shape is None:
        return ()
    points = square_points(calibration.points, shape)
    lines = _ring(points) if len(points) > 2 else [points]
    return tuple(
        drawing
        for line in lines
        for drawing in _drawings(line, _AROUND, calibration.part, calibration.at_us, shape)
    )


def _measured(measure: Measure, points: Floats, around: Floats) -> list[Floats]:
    if measure.kind in _RINGS:
        return _ring(points)
    if measure.kind == "area" and len(points):
        return [np.vstack([points, points[:1]])]
    if measure.kind == "angle":
        centre = centre_of(around)
        ends = [] if centre is None else [np.array([centre[0], point]) for point in points]
        return ends
    return [points]


def _ring(points: Floats) -> list[Floats]:
    ring = ring_through(points)
    if ring is None:
        return []
    outline = ring.outline_px()
    return [np.vstack([outline, outline[:1]])]


def _drawings(
    line: Floats, colour: str, part: int, at_us: int, shape: FrameShape
) -> Iterator[Drawing]:
    """Yield a line as drawings: only what lies on the frame, which may come in pieces."""
    shares = line / shown_size(shape)
    piece: list[tuple[float, float]] = []
    for x, y in (*shares.tolist(), _OUTSIDE):
        if 0.0 <= x <= 1.0 and 0.0 <= y <= 1.0:
            piece.append(decoded_share(x, y, shape.shown_turn_deg, mirrored=shape.shown_mirrored))
            continue
        if len(piece) > 1:
            kind = "line" if len(piece) == 2 else "freehand"
            yield Drawing(shape=kind, colour=colour, part=part, at_us=at_us, points=tuple(piece))
        piece = []
