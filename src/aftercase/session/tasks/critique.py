"""Write the critique of one person's review: all its files, or none."""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from aftercase import storage
from aftercase.errors import RecordingChanged, RecordingMissing
from aftercase.media.facts import displayed_size
from aftercase.media.recording import Recording
from aftercase.media.stills import Box, jpeg_bytes
from aftercase.media.watch import UNWATCHED, Watch
from aftercase.metrics.subject import Settings
from aftercase.model.case import Case, Mask
from aftercase.model.review import Remark, Review
from aftercase.reports.bundle import critique_files
from aftercase.reports.content import Still
from aftercase.session.films import open_films
from aftercase.session.opened import OpenedCase, open_case
from aftercase.session.places import Places
from aftercase.session.tasks.tabulate import subject_of

STILL_SIDE_PX = 960


@dataclass(frozen=True)
class Written:
    """What was written.

    Attributes:
        files: The files, in the order of their names.
        notes: What could not be shown, such as stills of a film that is not at hand.
    """

    files: tuple[Path, ...]
    notes: tuple[str, ...]


def write_critique(
    case_folder: Path,
    out: Path,
    settings: Settings,
    at: Places,
    *,
    reviewer: str | None = None,
    decimal: str = "point",
    film: Path | None = None,
    watch: Watch = UNWATCHED,
) -> Written:
    """Write the critique into a folder: every file, or none of them.

    Args:
        case_folder: The case.
        out: Where the files go.
        settings: How gaps are counted.
        at: The program's places.
        reviewer: Whose review; the only one where left out.
        decimal: ``point`` or ``comma``, in the CSV files.
        film: Film that times in the page lead to, by a relative link; none unless asked.
        watch: Told of stills done.

    Raises:
        NameUnknown: There is no review, none of that person, or several people's.
        DocumentMissing, DocumentBroken, DocumentTooNew: The case cannot be read.
        WriteFailed: The disk is full, read-only or gone; what was there before is whole.
        WorkCancelled: As asked by `watch`; nothing is written.
    """
    opened = open_case(case_folder, at)
    subject = subject_of(opened, reviewer)
    stills, notes = _stills(opened, subject.review, at, watch)
    link = None if film is None else _relative_link(film, out)
    files = critique_files(subject, settings, stills, decimal=decimal, film_link=link)
    storage.write_all({out / name: content for name, content in files.items()})
    return Written(tuple(out / name for name in sorted(files)), tuple(notes))


def _relative_link(film: Path, out: Path) -> str:
    try:
        return Path(os.path.relpath(film.absolute(), out.absolute())).as_posix()
    except ValueError as error:  # two drives of one Windows computer
        raise RecordingMissing(
            "A page can only lead to a film on its own drive.",
            hint="Write the critique beside the film.",
            path=film,
        ) from error


def _stills(
    opened: OpenedCase, review: Review, at: Places, watch: Watch
) -> tuple[Mapping[str, Still], list[str]]:
    try:
        recording = open_films(opened, at)
    except (RecordingMissing, RecordingChanged) as error:
        return {}, [error.message]
    stills: dict[str, Still] = {}
    notes = [*_missing(recording), *map(str, recording.differences)]
    with recording:
        for done, remark in enumerate(review.remarks, start=1):
            try:
                still = _still(recording, opened.case, remark)
            except RecordingMissing:
                still = None  # its part is among the notes already
            if still is not None:
                stills[remark.id] = still
            watch.step(done, len(review.remarks))
    return stills, notes


def _missing(recording: Recording) -> list[str]:
    return [
        f"The film “{Path(facts.path).name}” is not at hand: no stills of it."
        for part, facts in enumerate(recording.facts)
        if recording.is_missing(part)
    ]


def _still(recording: Recording, case: Case, remark: Remark) -> Still | None:
    """Return the picture a remark was made on; None where it is damaged."""
    picture = recording.picture_at(remark.at_us, max_side_px=STILL_SIDE_PX)
    if picture.damaged:
        return None
    image = jpeg_bytes(picture.pixels, _hidden(case.masks, remark.at_us))
    width_px, height_px = displayed_size(picture.pixels)
    return Still(
        remark_id=remark.id,
        at_us=picture.times.start_us,
        width_px=width_px,
        height_px=height_px,
        content=image,
        media_type="image/jpeg",
        alt="",
    )


def _hidden(masks: tuple[Mask, ...], us: int) -> list[Box]:
    return [
        (mask.left, mask.top, mask.right, mask.bottom)
        for mask in masks
        if mask.start_us <= us < mask.end_us
    ]
