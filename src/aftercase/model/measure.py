"""What was pointed at on the picture to measure it: rulers and measures, never their numbers.

Numbers are worked out from these records each time, so that a ruler put right later puts every
number right.
"""

from __future__ import annotations

from typing import Annotated, Final

from pydantic import Field

from aftercase.model.base import NOT_SAID, Identified, Real, RecordId, Us, Word
from aftercase.model.picture import Share

OPTIC: Final = "optic"
LIMBUS: Final = "limbus"
KNOWN_LENGTH: Final = "known-length"
BASES: Final = (OPTIC, LIMBUS, KNOWN_LENGTH)

ASSUMED: Final = "assumed"
SIZES_FROM: Final = (NOT_SAID, ASSUMED, "measured", "maker")

AT_CORNEA: Final = "at-cornea"
BEHIND_CORNEA: Final = "behind-cornea"
PLANES: Final = (NOT_SAID, AT_CORNEA, BEHIND_CORNEA)

MEASURE_KINDS: Final = ("length", "path", "ring", "area", "angle", "capsulorhexis", "tip-path")
CENTRES: Final = ("limbus", "pupil")
MOST_MEASURE_POINTS: Final = 500

Size = Annotated[Real, Field(gt=0)]
"""A size in millimetres, more than nothing."""

Points = tuple[tuple[Share, Share], ...]
"""(x, y) each, in shares of the decoded frame, as `PicturePoint`."""


class Calibration(Identified):
    """A ruler: something of known size that was pointed at, for a span without a change of zoom.

    Attributes:
        start_us: From when on it holds.
        end_us: Until when; the span is half-open.
        basis: One of `BASES`.
        part: Position of the recording's part, 0-based.
        at_us: Start of the frame it was pointed at on, within the span.
        points: Optic: both ends of a diameter, or three and more on its edge. Limbus: three and
            more on it. Known length: both ends.
        size_mm: Diameter of the optic, white-to-white along the eye's 3-9 line, or the length.
        size_error_mm: How far off that size may be at 95 %, where somebody said.
        size_from: Where the size comes from, one of `SIZES_FROM`.
        plane: For a known length, one of `PLANES`; limbus and optic say it themselves.
        note: Free words.
    """

    start_us: Us
    end_us: Us
    basis: Word
    part: Annotated[int, Field(strict=True, ge=0)] = 0
    at_us: Us
    points: Points
    size_mm: Size
    size_error_mm: Annotated[Real, Field(ge=0)] | None = None
    size_from: Word = NOT_SAID
    plane: Word = NOT_SAID
    note: str = ""


class Measure(Identified):
    """Something measured on one frame, or a tip followed through frames.

    Attributes:
        kind: One of `MEASURE_KINDS`.
        part: Position of the recording's part, 0-based.
        at_us: Start of its frame; of the first one, for a tip's path.
        points: Length: both ends. Path: its corners. Ring: three and more on it. Area: its outline.
            Angle: two wounds. Capsulorhexis: three and more on its edge. Tip's path: the tip, once
            a frame.
        times_us: For a tip's path, the start of each point's frame; empty for the others.
        calibration: The ruler; pixels are told without one.
        plane: One of `PLANES`: in which plane lies what was measured.
        around: What an angle or an offset is taken about: three and more points on the limbus or
            the pupil, or its centre alone; the limbus of the ruler or of the header where empty.
        around_what: One of `CENTRES`.
        optic: For a capsulorhexis, three and more points on the optic's edge; that of the ruler on
            the same frame where empty.
        threshold_mm_s: For a tip's path, by how much its speed must rise and fall in a movement.
        note: Free words.
    """

    kind: Word
    part: Annotated[int, Field(strict=True, ge=0)] = 0
    at_us: Us
    points: Points
    times_us: tuple[Us, ...] = ()
    calibration: RecordId | None = None
    plane: Word = NOT_SAID
    around: Points = ()
    around_what: Word = LIMBUS
    optic: Points = ()
    threshold_mm_s: Size | None = None
    note: str = ""


def plane_of_ruler(calibration: Calibration) -> str:
    """Return the plane a ruler lies in, one of `PLANES`: limbus and optic say it themselves."""
    own = {LIMBUS: AT_CORNEA, OPTIC: BEHIND_CORNEA}
    return own.get(calibration.basis, calibration.plane)


def plane_of_measure(measure: Measure) -> str:
    """Return the plane a measure lies in: a capsulorhexis is behind the cornea without a word."""
    return BEHIND_CORNEA if measure.kind == "capsulorhexis" else measure.plane
