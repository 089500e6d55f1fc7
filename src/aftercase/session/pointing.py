"""What is being pointed at to measure it, before it is kept and while it is changed.

All functions are pure; refusals are sentences. See `session.verbs.pointing` for the desk.
"""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import dataclass, replace
from typing import Any, Final

from aftercase.clock import text_of
from aftercase.metrics.quantities import MEASURE_NAMES
from aftercase.metrics.rulers import BASIS_NAMES
from aftercase.model.base import NOT_SAID
from aftercase.model.measure import (
    ASSUMED,
    BASES,
    LIMBUS,
    MOST_MEASURE_POINTS,
    Calibration,
    Measure,
    Points,
)
from aftercase.model.measure_rules import points_wanted
from aftercase.model.picture import PicturePoint

TIP_PATH: Final = "tip-path"
PUPIL: Final = "pupil"
OPTIC_EDGE: Final = "optic-edge"
ITSELF: Final = "itself"
USUAL_RULER: Final = "usual"


@dataclass(frozen=True)
class Tool:
    """Something to measure with, or to measure.

    Attributes:
        word: A ruler's basis or a measure's kind.
        label: What it is called.
        key: Its key in the list of tools.
        what: What is to be pointed at.
    """

    word: str
    label: str
    key: str
    what: str

    @property
    def is_ruler(self) -> bool:
        """Claim that it is a ruler."""
        return self.word in BASES


_WHAT: Final = (
    ("optic", "1", "Both ends of the optic’s diameter, or places all round its edge, once it lies "
     "in the bag."),
    ("limbus", "2", "Places on the limbus: eight, all round."),
    ("known-length", "3", "Both ends of a length that is known."),
    ("length", "d", "Both ends."),
    ("path", "w", "Its corners, one after the other."),
    ("ring", "r", "Places on the ring, all round."),
    ("area", "a", "Its outline, one place after the other."),
    ("angle", "g", "The two wounds."),
    ("capsulorhexis", "c", "Places on the edge of the opening: eight, all round."),
    (TIP_PATH, "t", "The tip, once a frame: set it, go on with N, set it again."),
)  # fmt: skip

TOOLS: Final = {
    word: Tool(word, MEASURE_NAMES.get(word) or BASIS_NAMES[word].capitalize(), key, what)
    for word, key, what in _WHAT
}
"""Every tool by its word, rulers first, in the order they are offered."""

SETS: Final[dict[str, tuple[tuple[str, str], ...]]] = {
    "angle": (
        (ITSELF, "the two wounds"),
        (LIMBUS, "the limbus, or its centre by one place"),
    ),
    "capsulorhexis": (
        (ITSELF, "the opening’s edge"),
        (LIMBUS, "the limbus, or its centre by one place"),
        (PUPIL, "the pupil, or its centre by one place"),
        (OPTIC_EDGE, "the optic’s edge"),
    ),
}
"""What is pointed at for a measure that is taken against something, one after the other."""


@dataclass(frozen=True)
class Pointing:
    """What was pointed at so far, and what was said of it.

    Attributes:
        tool: The tool.
        record_id: The kept ruler or measure that is changed; empty for a new one.
        part: Position of its part; counts once `at_us` is known.
        at_us: Start of its frame; None before the first place.
        points: See `Calibration` and `Measure`.
        times_us: When each of `points` was, for a tip's path.
        around: See `Measure`.
        around_what: See `Measure`.
        optic: See `Measure`.
        into: What places are set for now, a word of `SETS`; `ITSELF` where there is no choice.
        plane: See `Measure`.
        ruler: Id of the ruler; None for pixels, `USUAL_RULER` for the one that is usual.
        size_mm: Size of a ruler; None where nobody said.
        size_error_mm: How far off it may be, where said.
        size_from: Where the size comes from.
        threshold_mm_s: See `Measure`.
        note: Free words.
    """

    tool: Tool
    record_id: str = ""
    part: int = 0
    at_us: int | None = None
    points: Points = ()
    times_us: tuple[int, ...] = ()
    around: Points = ()
    around_what: str = LIMBUS
    optic: Points = ()
    into: str = ITSELF
    plane: str = NOT_SAID
    ruler: str | None = USUAL_RULER
    size_mm: float | None = None
    size_error_mm: float | None = None
    size_from: str = ASSUMED
    threshold_mm_s: float | None = None
    note: str = ""

    @property
    def field(self) -> str:
        """The field that places are set in now."""
        return {LIMBUS: "around", PUPIL: "around", OPTIC_EDGE: "optic"}.get(self.into, "points")

    @property
    def places(self) -> Points:
        """The places that are set there."""
        places: Points = getattr(self, self.field)
        return places

    @property
    def has_times(self) -> bool:
        """Claim that each place has a frame of its own."""
        return self.tool.word == TIP_PATH

    @property
    def least(self) -> int:
        """How many places it has at least."""
        return points_wanted(self.tool.word)[0]

    @property
    def is_full(self) -> bool:
        """Claim that no further place can be set now."""
        most = points_wanted(self.tool.word)[1]
        return len(self.places) >= (most if self.field == "points" else MOST_MEASURE_POINTS)

    @property
    def is_whole(self) -> bool:
        """Claim that it has as many places as it needs."""
        return len(self.points) >= self.least

    def is_on(self, at_us: int) -> bool:
        """Claim that it belongs to a frame; what was not begun belongs to any."""
        return self.at_us is None or at_us in (self.times_us or (self.at_us,))

    def shown_on(self, at_us: int) -> tuple[tuple[int, tuple[float, float]], ...]:
        """Return the places that can be taken hold of on a frame, each with its number."""
        if not self.is_on(at_us):
            return ()
        numbered = tuple(enumerate(self.places))
        if not self.has_times:
            return numbered
        return tuple(one for one in numbered if self.times_us[one[0]] == at_us)


def pointing_of(record: Calibration | Measure) -> Pointing:
    """Return a kept ruler or measure as it is changed."""
    word = record.basis if isinstance(record, Calibration) else record.kind
    tool = TOOLS.get(word) or Tool(word, word, "", "")
    begun = Pointing(
        tool, record.id, record.part, record.at_us, record.points, plane=record.plane,
        note=record.note,
    )  # fmt: skip
    if isinstance(record, Calibration):
        return replace(
            begun,
            size_mm=record.size_mm,
            size_error_mm=record.size_error_mm,
            size_from=record.size_from,
        )
    return replace(
        begun,
        times_us=record.times_us,
        around=record.around,
        around_what=record.around_what,
        optic=record.optic,
        ruler=record.calibration,
        threshold_mm_s=record.threshold_mm_s,
    )


def why_no_point(pointing: Pointing, place: PicturePoint) -> str:
    """Return why a place cannot be set; empty where it can."""
    if pointing.at_us is None:
        return ""
    if pointing.has_times:
        is_elsewhere = place.part != pointing.part
    else:
        is_elsewhere = (place.part, place.at_us) != (pointing.part, pointing.at_us)
    if is_elsewhere:
        return f"This belongs to the frame at {text_of(pointing.at_us)}: go back to it with F."
    if pointing.is_full and not (pointing.has_times and place.at_us in pointing.times_us):
        return "It has all its places: drag one, or take one back with Backspace."
    return ""


def with_point(pointing: Pointing, place: PicturePoint) -> Pointing:
    """Set a place; on a frame where the tip was set already it is set anew."""
    share = (place.x, place.y)
    if pointing.at_us is None:
        pointing = replace(pointing, part=place.part, at_us=place.at_us)
    if pointing.has_times:
        return _with_tip(pointing, share, place.at_us)
    return _with_places(pointing, (*pointing.places, share))


def with_moved(pointing: Pointing, number: int, share: tuple[float, float]) -> Pointing:
    """Move the place of a number."""
    places = list(pointing.places)
    places[number] = share
    return _with_places(pointing, tuple(places))


def without_last(pointing: Pointing) -> Pointing:
    """Take the last place back; what is left without any belongs to no frame."""
    left = _with_places(pointing, pointing.places[:-1])
    if pointing.has_times:
        left = replace(left, times_us=pointing.times_us[:-1])
    is_bare = not (left.points or left.around or left.optic or left.record_id)
    return replace(left, at_us=None) if is_bare else left


def into(pointing: Pointing, word: str) -> Pointing:
    """Set the next places for something else; a limbus's are not the pupil's."""
    if word in (LIMBUS, PUPIL) and word != pointing.around_what:
        return replace(pointing, into=word, around_what=word, around=())
    return replace(pointing, into=word)


def _with_places(pointing: Pointing, places: Points) -> Pointing:
    fields: dict[str, Any] = {pointing.field: places}
    return replace(pointing, **fields)


def _with_tip(pointing: Pointing, share: tuple[float, float], at_us: int) -> Pointing:
    at = bisect_left(pointing.times_us, at_us)
    after = at + (at_us in pointing.times_us)
    points = (*pointing.points[:at], share, *pointing.points[after:])
    times_us = (*pointing.times_us[:at], at_us, *pointing.times_us[after:])
    return replace(pointing, points=points, times_us=times_us, at_us=times_us[0])
