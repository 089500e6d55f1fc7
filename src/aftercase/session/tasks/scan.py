"""Scan a case, a film or a picture, and say what follows from it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any, Final

from aftercase.media.picturefile import is_picture_file
from aftercase.media.watch import UNWATCHED, Watch
from aftercase.model.case import view_at
from aftercase.model.orientation import DEGREES_AN_HOUR, hour_at
from aftercase.session.opened import OpenedCase, open_case
from aftercase.session.places import Places
from aftercase.session.scans import Scan, ScanSettings, scan_case, scan_films, scan_picture
from aftercase.session.settings import read_settings
from aftercase.vision.centring import (
    ASSUMED_ERROR,
    Spread,
    eye_offsets,
    mm_a_radius,
    reflex_offsets,
    spread_of,
)
from aftercase.vision.ellipse import Ellipse, scaled_place
from aftercase.vision.entries import middle_deg, places_deg
from aftercase.vision.findings import Findings, Stretch, eye_share, findings
from aftercase.vision.scan import ellipse_in

OF_THE_EYE: Final = "eye"
OF_THE_PICTURE: Final = "picture"
_PATIENT: Final = "patient"


@dataclass(frozen=True)
class EntryPlace:
    """Where instruments entered, one place for each wound.

    Attributes:
        hour: Its middle, 0 < hour <= 12.
        clock: Whose hour it is: the ``eye``'s, or the ``picture``'s where it is not known how the
            eye lies in it.
        n_entries: How often something entered there.
    """

    hour: float
    clock: str
    n_entries: int


@dataclass(frozen=True)
class EyeSeen:
    """The eye on a single picture, in pixels of its file.

    Attributes:
        limbus: Its outline.
        confidence: 0 to 1; from 0.5 on it is taken for sure.
        pupil: Its outline.
        pupil_confidence: 0 to 1.
        reflex: Where the light's reflection on the cornea is, x and y; None where there is none.
        reflex_confidence: 0 to 1.
    """

    limbus: Ellipse
    confidence: float
    pupil: Ellipse
    pupil_confidence: float
    reflex: tuple[float, float] | None
    reflex_confidence: float

    def plain(self) -> dict[str, Any]:
        """Return it as JSON can hold it."""
        outlines = (("limbus", self.limbus), ("pupil", self.pupil))
        return {
            **asdict(self),
            **{name: {**asdict(one), "radius_px": one.radius_px} for name, one in outlines},
        }


@dataclass(frozen=True)
class Scanned:
    """What a pass over a recording found.

    Attributes:
        opened: The case; None for a bare film or a picture.
        scan: What was measured.
        findings: What is suggested.
        eye: How far the eye was from its resting place.
        reflex: How far the reflex was from its own place on the eye.
        mm_a_radius: How long a limbus radius is; None where no size may be assumed.
    """

    opened: OpenedCase | None
    scan: Scan
    findings: Findings
    eye: Spread
    reflex: Spread
    mm_a_radius: float | None

    @property
    def eye_seen(self) -> EyeSeen | None:
        """Return the eye on a single picture; None where there is none, and for films."""
        return _eye_seen(self.scan) if len(self.scan.rows) == 1 else None

    @property
    def eye_share(self) -> float:
        """Return on which share of the pictures an eye was found."""
        return eye_share(self.scan.rows)

    def hour_of(self, stretch: Stretch) -> tuple[float, str]:
        """Return the clock hour an instrument entered at, and whose it is; see `EntryPlace`."""
        angle_deg = stretch.direction_deg or 0.0
        view = None if self.opened is None else view_at(self.opened.case, stretch.start_us)
        if view is None:
            return angle_deg / DEGREES_AN_HOUR % 12.0 or 12.0, OF_THE_PICTURE
        return hour_at(angle_deg, view), OF_THE_EYE

    def places(self) -> tuple[EntryPlace, ...]:
        """Return the places instruments entered at, in the order they were first used."""
        hours = [self.hour_of(one) for one in self.findings.instruments]
        return tuple(
            place
            for clock in dict.fromkeys(clock for _, clock in hours)
            for place in _places([hour for hour, its in hours if its == clock], clock)
        )

    def plain(self) -> dict[str, Any]:
        """Return all of it as JSON can hold it; what is not known is null."""
        found = self.findings
        return {
            "n_pictures": len(self.scan.rows),
            "n_kept": self.scan.n_kept,
            "was_stale": self.scan.was_stale,
            "has_eye": found.has_eye,
            "eye_share": self.eye_share,
            "eye": None if self.eye_seen is None else self.eye_seen.plain(),
            "eye_radii": _plain_spread(self.eye),
            "reflex_radii": _plain_spread(self.reflex),
            "mm_a_radius": self.mm_a_radius,
            "mm_error": None if self.mm_a_radius is None else ASSUMED_ERROR,
            "states": [asdict(one) for one in found.states],
            "instruments": [self._plain_instrument(one) for one in found.instruments],
            "places": [asdict(one) for one in self.places()],
            "gaps": [asdict(one) for one in found.gaps],
            "boundaries": [asdict(one) for one in found.boundaries],
        }

    def _plain_instrument(self, stretch: Stretch) -> dict[str, Any]:
        hour, clock = self.hour_of(stretch)
        return {**asdict(stretch), "hour": round(hour, 2), "clock": clock}


def scanned(
    what: Path,
    at: Places,
    how: ScanSettings | None = None,
    *,
    copies: bool = False,
    watch: Watch = UNWATCHED,
) -> Scanned:
    """Look through a case's recording, or a film or picture that belongs to none.

    Args:
        what: A case folder, a film or a picture.
        at: The program's folders.
        how: Which pictures are looked at and how small; None for the usual way.
        copies: Make a case's scrub copies in the same pass, as this computer's settings allow.
        watch: Told of microseconds done and in all; may stop the work.

    Raises:
        AftercaseError: The case or film cannot be opened, or a block cannot be written.
        WorkCancelled: As asked by `watch`.
    """
    if what.is_dir():
        opened = open_case(what, at)
        wanted = read_settings(at) if copies else None
        return scanned_as(opened, scan_case(opened, at, how, copies=wanted, watch=watch))
    if is_picture_file(what):
        return scanned_as(None, scan_picture(what, how))
    return scanned_as(None, scan_films((what,), how, watch=watch))


def scanned_as(opened: OpenedCase | None, scan: Scan) -> Scanned:
    """Return what follows from a scan that is there."""
    rows, found = scan.rows, findings(scan.rows, scan.end_us)
    first_wound_us = min((one.start_us for one in found.instruments), default=None)
    may_assume = opened is not None and opened.case.setting == _PATIENT and found.has_eye
    return Scanned(
        opened,
        scan,
        found,
        spread_of(eye_offsets(rows)),
        spread_of(reflex_offsets(rows, first_wound_us)),
        mm_a_radius(rows) if may_assume else None,
    )


def _eye_seen(scan: Scan) -> EyeSeen | None:
    [row] = scan.rows
    limbus, pupil = ellipse_in(row["limbus"]), ellipse_in(row["pupil"])
    if limbus is None or pupil is None:
        return None
    x_px, y_px = (scaled_place(float(one), scan.shrunk) for one in row["reflex"])
    return EyeSeen(
        limbus.enlarged(scan.shrunk),
        float(row["limbus_confidence"]),
        pupil.enlarged(scan.shrunk),
        float(row["pupil_confidence"]),
        None if math.isnan(x_px) else (x_px, y_px),
        float(row["reflex_confidence"]),
    )


def _places(hours: Sequence[float], clock: str) -> list[EntryPlace]:
    directions = [hour * DEGREES_AN_HOUR for hour in hours]
    numbers = places_deg(directions)
    found = []
    for number in range(max(numbers, default=-1) + 1):
        ones = [one for one, its in zip(directions, numbers, strict=True) if its == number]
        hour = middle_deg(ones) / DEGREES_AN_HOUR or 12.0
        found.append(EntryPlace(round(hour, 2), clock, len(ones)))
    return found


def _plain_spread(spread: Spread) -> dict[str, float | int | None]:
    return {name: None if math.isnan(value) else value for name, value in asdict(spread).items()}
