"""A case's parts as the reader's facts, and its recording opened by them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from fractions import Fraction
from pathlib import Path

from aftercase.errors import RecordingChanged, RecordingMissing
from aftercase.media.fingerprint import ENDS_OR_TIMES_DIFFER, full_sha256
from aftercase.media.parts import Difference, PartFacts
from aftercase.media.recording import Recording, open_recording
from aftercase.media.source import OpenRecording
from aftercase.media.watch import UNWATCHED, Watch
from aftercase.model.case import Part
from aftercase.session.caches import cache_folder
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
        shown_turn_deg=facts.shown_turn_deg,
        shown_mirrored=facts.shown_mirrored,
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
        shown_turn_deg=part.shown_turn_deg,
        shown_mirrored=part.shown_mirrored,
    )


def open_films(opened: OpenedCase, at: Places, *, watch: Watch = UNWATCHED) -> Recording:
    """Open a case's recording by what it stored; a missing part keeps its place on the clock.

    Its frame tables are taken from the case's cache, and scrub copies as far as there are any.

    A film that is not the one the case was made from is refused: marks would point at other
    pictures. One whose SHA-256 is still the stored one is taken, whatever the reader now finds
    otherwise; what the case stored is used.

    Raises:
        RecordingMissing: The case has no film, only a stated duration.
        RecordingChanged: A film has changed; what differs is listed.
        RecordingRefused, RecordingUnreadable: A film cannot be opened.
        WorkCancelled: As asked by `watch`.
    """
    if not opened.case.parts:
        raise RecordingMissing(
            "This case has no film, only a stated duration.", path=opened.folder.path
        )
    wanted = opening_of(opened, at)
    cache = None if wanted.cache is None else Path(wanted.cache)
    recording = open_recording(wanted.paths, stored=wanted.stored, cache=cache, watch=watch)
    try:
        refuse_changed(recording.facts, recording.differences, watch)
    except BaseException:
        recording.close()
        raise
    return recording


def opening_of(opened: OpenedCase, at: Places, request_id: int = 0) -> OpenRecording:
    """Return what asks a reader for a case's recording, with what the case stored and its cache."""
    paths = films_of(at.locator, opened.folder.path, opened.case)
    stored = [facts_of(part, path) for part, path in zip(opened.case.parts, paths, strict=True)]
    cache = cache_folder(opened.folder.path, opened.case.id, at)
    return OpenRecording(request_id, tuple(map(str, paths)), tuple(stored), str(cache))


def refuse_changed(
    stored: Sequence[PartFacts], differences: Iterable[Difference], watch: Watch = UNWATCHED
) -> None:
    """Refuse a recording one of whose films is not the one that was stored.

    Args:
        stored: The parts as the case has them.
        differences: What the films say otherwise.
        watch: Told of bytes read where a film is proven by its SHA-256.

    Raises:
        RecordingChanged: One has changed; what differs is listed.
        WorkCancelled: As asked by `watch`.
    """
    found = tuple(differences)
    for place in changed_parts(found):
        facts = stored[place]
        if facts.sha256 is None or full_sha256(facts.path, watch) != facts.sha256:
            raise changed_film(facts.path, _changes_of(place, found))


def _changes_of(place: int, differences: Iterable[Difference]) -> list[str]:
    """Return what differs in a part, in words; a hash says nothing to a person."""
    changes = [
        f"the {difference.fact} was {difference.stored}, now {difference.found}"
        for difference in differences
        if difference.part == place and difference.fact != "quick hash"
    ]
    return [*changes, ENDS_OR_TIMES_DIFFER]


def changed_parts(differences: Iterable[Difference]) -> list[int]:
    """Return the positions of parts whose size, ends or frame times are not those stored."""
    telling = {"size in bytes", "quick hash"}
    return sorted({difference.part for difference in differences if difference.fact in telling})


def changed_film(path: str, changes: Iterable[str]) -> RecordingChanged:
    """Return the error for a film that is not the one a case was made from."""
    listed = "\n".join(f"  - {change}" for change in changes)
    return RecordingChanged(
        f"This is not the film that the case was made from:\n{listed}",
        hint="Put the first film back, or say where it is with “aftercase find”. If the new one "
        "is meant, make a new case from it.",
        path=path,
    )
