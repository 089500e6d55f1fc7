"""A case's parts as the reader's facts, and its recording opened by them."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

from aftercase.errors import RecordingMissing
from aftercase.media.parts import PartFacts
from aftercase.media.recording import Recording, open_recording
from aftercase.media.watch import UNWATCHED, Watch
from aftercase.model.case import Part
from aftercase.session.locator import films_of
from aftercase.session.opened import OpenedCase
from aftercase.session.places import Places


def part_of(facts: PartFacts, part_id: str, name: str, sha256: str | None) -> Part:
    """Return what a case stores of a part.

    Args:
        facts: What the reader found.
        part_id: A fresh id.
        name: The film's name in the case, relative.
        sha256: SHA-256 of the whole file in hex, where it was read whole.
    """
    return Part(
        id=part_id,
        path=name,
        size_bytes=facts.size_bytes,
        duration_us=facts.duration_us,
        quick_hash=facts.quick_hash,
        sha256=sha256,
        stream=facts.stream,
        first_pts=facts.first_pts,
        time_base=(facts.time_base_num, facts.time_base_den),
        start_us=facts.start_us,
        end_us=facts.end_us,
        width_px=facts.width_px,
        height_px=facts.height_px,
        pixel_aspect=facts.pixel_aspect.as_integer_ratio(),
    )


def facts_of(part: Part, path: Path) -> PartFacts:
    """Return a stored part as the reader's facts, with the place it lies in on this computer."""
    numerator, denominator = part.time_base
    return PartFacts(
        path=str(path),
        size_bytes=part.size_bytes,
        duration_us=part.duration_us,
        quick_hash=part.quick_hash,
        sha256=part.sha256,
        stream=part.stream,
        first_pts=part.first_pts,
        time_base_num=numerator,
        time_base_den=denominator,
        start_us=part.start_us,
        end_us=part.end_us,
        width_px=part.width_px,
        height_px=part.height_px,
        pixel_aspect=Fraction(*part.pixel_aspect),
    )


def open_films(opened: OpenedCase, at: Places, *, watch: Watch = UNWATCHED) -> Recording:
    """Open a case's recording by what it stored; a missing part keeps its place on the clock.

    Raises:
        RecordingMissing: The case has no film, only a stated duration.
        RecordingRefused, RecordingUnreadable: A film cannot be opened.
        WorkCancelled: As asked by `watch`.
    """
    if not opened.case.parts:
        raise RecordingMissing(
            "This case has no film, only a stated duration.", path=opened.folder.path
        )
    paths = films_of(at.locator, opened.folder.path, opened.case)
    stored = [facts_of(part, path) for part, path in zip(opened.case.parts, paths, strict=True)]
    return open_recording(paths, stored=stored, watch=watch)
