"""The case: one recorded operation's header and its recording's parts."""

from __future__ import annotations

from typing import Annotated, Any, Final, Literal

from pydantic import Field

from aftercase.model.base import (
    NOT_SAID,
    Code,
    Identified,
    Real,
    Record,
    Us,
    Version,
    Word,
    YesNo,
)
from aftercase.model.orientation import View, surgeon_hour
from aftercase.model.picture import FrameShape, PicturePoint, QuarterTurn

CASE_FORMAT: Final = "aftercase/case"
CASE_VERSION: Final = "1.2"

EYES: Final = (NOT_SAID, "right", "left")
SETTINGS: Final = (NOT_SAID, "patient", "practice-eye", "animal-eye", "simulator-film")
SPAN_CUSTOMS: Final = (NOT_SAID, "touch-to-touch", "until-next")

StrictInt = Annotated[int, Field(strict=True)]
Count = Annotated[int, Field(strict=True, ge=0)]
Positive = Annotated[int, Field(strict=True, ge=1)]


class GuideReference(Record):
    """Which guide, and which version of it, the case is read by."""

    id: Word
    guide_version: Version


class Part(Record):
    """One file of the recording, as it was at intake; these facts win over later findings.

    Attributes:
        id: The part's id.
        path: Name relative to the folder the films lie in; never absolute, never upwards.
        quick_hash: SHA-256 over size, first and last MiB and the frame table's digest, in hex.
        sha256: SHA-256 of the whole file in hex, once it was read whole; only it proves
            "unchanged".
        stream: Index of the picture stream in the file.
        first_pts: Stamp of the first shown frame, in ticks.
        time_base: Seconds per tick as (numerator, denominator).
        start_us: Where the part begins on the recording's clock.
        end_us: Where its last frame ends.
        width_px: Width of its decoded frames; 0 where not known.
        height_px: Height of its decoded frames; 0 where not known.
        pixel_aspect: Width of a pixel over its height, as (numerator, denominator).
        shown_turn_deg: Counter-clockwise turn to show its frames, as the file says; None where not
            known, and then they are taken to be shown as decoded.
        shown_mirrored: The file says to change left and right before turning.
    """

    id: Annotated[str, Field(pattern=r"^[a-z0-9]{26}$")]
    path: str
    size_bytes: Count
    duration_us: Us
    quick_hash: str
    sha256: str | None = None
    stream: Count = 0
    first_pts: StrictInt = 0
    time_base: tuple[StrictInt, StrictInt]
    start_us: Us
    end_us: Us
    width_px: Count = 0
    height_px: Count = 0
    pixel_aspect: tuple[Positive, Positive] = (1, 1)
    shown_turn_deg: QuarterTurn | None = None
    shown_mirrored: YesNo = False


class Window(Record):
    """The stretch of the film that belongs to this case, ``[start_us, end_us)``."""

    start_us: Us
    end_us: Us


class SinceWord(Record):
    """A word that holds from a moment on."""

    from_us: Us
    value: str


class SinceDegrees(Record):
    """An angle in degrees that holds from a moment on."""

    from_us: Us
    value: Real


class SinceFlag(Record):
    """A yes or no that holds from a moment on."""

    from_us: Us
    value: bool


class Mask(Identified):
    """A rectangle that hides an identity, in shares of the decoded frame, over a span."""

    start_us: Us
    end_us: Us
    left: Real
    top: Real
    right: Real
    bottom: Real


class ConsentEntry(Identified):
    """One entry of the consent record; entries are only ever added."""

    entry: str
    scope: str = NOT_SAID
    on: str = ""
    until: str = ""
    checked_by: str = ""
    note: str = ""


class MachineReading(Identified):
    """A number read off the machine; never compared across machines."""

    label: str
    value: Real
    unit: str = ""
    machine: str = ""
    at_us: Us | None = None


class Density(Record):
    """How dense the lens is, on a named scale, or a kind that lies on none."""

    scale: str = "own-five"
    value: Real | None = None
    kind: str = NOT_SAID


class Case(Record):
    """The header of a case; all of it is optional but code, guide and parts or duration.

    Attributes are explained one by one in ``docs/reference/case-format.md``.
    """

    format: Literal["aftercase/case"] = CASE_FORMAT
    version: Version = CASE_VERSION
    id: Annotated[str, Field(pattern=r"^[a-z0-9]{26}$")]
    code: Code
    guide: GuideReference
    setting: str = NOT_SAID
    parts: tuple[Part, ...] = ()
    stated_duration_us: Us | None = None
    window: Window | None = None
    trim: Window | None = None
    span_custom: str = NOT_SAID
    eye: str = NOT_SAID
    technique: tuple[SinceWord, ...] = ()
    seat: tuple[SinceWord, ...] = ()
    turn_deg: tuple[SinceDegrees, ...] = ()
    mirrored: tuple[SinceFlag, ...] = ()
    zoom: tuple[SinceWord, ...] = ()
    machine: tuple[SinceWord, ...] = ()
    trainee: Code | None = None
    supervisor: Code | None = None
    training_year: Count | None = None
    running_case_number: Count | None = None
    planned_part: str = NOT_SAID
    planned_steps: tuple[Word, ...] = ()
    hand: str = NOT_SAID
    anaesthesia: str = NOT_SAID
    density: Density | None = None
    difficulties: tuple[Word, ...] = ()
    complications: tuple[str, ...] = ()
    capsule_opening_kind: str = NOT_SAID
    second_procedure: str = NOT_SAID
    result: str = NOT_SAID
    machine_readings: tuple[MachineReading, ...] = ()
    consent: tuple[ConsentEntry, ...] = ()
    masks: tuple[Mask, ...] = ()
    critical_steps: tuple[Word, ...] | None = None
    """The program's own list; the guide's proposal where None."""
    critical_statement: str = ""
    """What the supervisor said of the critical portions, in their own words."""
    linked_cases: tuple[str, ...] = ()
    limbus_centre: tuple[PicturePoint, ...] = ()
    """Where the limbus centre was pointed at; each holds from its frame on."""
    judge_first: YesNo = False
    """The trainee is asked to seal their own review before opening the teacher's: a courtesy."""
    identity_checked_by: Code | None = None
    """Who looked at the film and found no patient's identity in it."""


def recording_end_us(case: Case) -> int:
    """Return where the recording ends on its clock; the stated duration where there is no film."""
    if case.parts:
        return max(part.end_us for part in case.parts)
    return case.stated_duration_us or 0


def window_of(case: Case) -> Window:
    """Return the stretch that is this case's: its window, else the whole recording."""
    return case.window or Window(start_us=0, end_us=recording_end_us(case))


def frame_shape(case: Case, part: int) -> FrameShape | None:
    """Return how large a part's frames are and how they are shown.

    Returns:
        None where there is no such part or its size is not known. Where it is not known how they
        are shown, they are shown as decoded.
    """
    if not 0 <= part < len(case.parts):
        return None
    facts = case.parts[part]
    if not facts.width_px or not facts.height_px:
        return None
    wide, high = facts.pixel_aspect
    return FrameShape(
        width_px=facts.width_px,
        height_px=facts.height_px,
        pixel_aspect=wide / high,
        shown_turn_deg=facts.shown_turn_deg or 0,
        shown_mirrored=facts.shown_mirrored,
    )


def span_without_zoom_change(case: Case, us: int) -> Window:
    """Return the stretch of the case around a moment in which the zoom, as said, stays the same.

    Every entry of the zoom counts as a change but those that say again what held before.
    """
    window = window_of(case)
    entries = sorted(case.zoom, key=lambda entry: entry.from_us)
    changes = [
        later.from_us
        for earlier, later in zip([None, *entries], entries, strict=False)
        if earlier is None or earlier.value != later.value
    ]
    return Window(
        start_us=max([window.start_us, *(at for at in changes if at <= us)]),
        end_us=min([window.end_us, *(at for at in changes if at > us)]),
    )


def value_at(entries: tuple[Any, ...], us: int) -> Any | None:
    """Return the value in force at a moment from a list of (from when, value); None if none is.

    Entries may stand in any order; of two with the same moment the later written wins.
    """
    in_force = [entry for entry in entries if entry.from_us <= us]
    return max(in_force, key=lambda entry: entry.from_us).value if in_force else None


def technique_at(case: Case, us: int) -> str:
    """Return the technique in force at a moment, ``not-said`` where none is."""
    return value_at(case.technique, us) or NOT_SAID


def view_at(case: Case, us: int) -> View | None:
    """Return how the eye lies in the picture as shown at a moment.

    None where eye, seat or the camera's turn is not said: hours are the picture's then.
    """
    hour = surgeon_hour(case.eye, value_at(case.seat, us) or NOT_SAID)
    turn_deg = value_at(case.turn_deg, us)
    if hour is None or turn_deg is None:
        return None
    return View(hour, turn_deg, bool(value_at(case.mirrored, us)))
