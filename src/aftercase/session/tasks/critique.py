"""Write the critique of one person's review: all its files, or none."""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from aftercase import storage
from aftercase.errors import RecordingChanged, RecordingMissing
from aftercase.media.facts import displayed_size
from aftercase.media.overlay import drawn_in, hidden_in
from aftercase.media.picture import Picture
from aftercase.media.recording import Recording
from aftercase.media.stills import jpeg_bytes
from aftercase.media.watch import UNWATCHED, Watch
from aftercase.metrics.pictureshapes import measure_drawings
from aftercase.metrics.subject import Settings
from aftercase.metrics.tables import shown_window
from aftercase.model.case import Case
from aftercase.model.measure import Measure
from aftercase.model.review import Drawing, Remark, Review
from aftercase.reports.bundle import critique_files
from aftercase.reports.content import Still, Stills
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
    others = [stored.record for stored in opened.reviews]
    files = critique_files(
        subject, settings, stills, decimal=decimal, film_link=link, others=others
    )
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
) -> tuple[Stills, list[str]]:
    try:
        recording = open_films(opened, at)
    except (RecordingMissing, RecordingChanged) as error:
        return {}, [error.message]
    stills: dict[str, tuple[Still, ...]] = {}
    notes = [*_missing(recording), *map(str, recording.differences)]
    marks: list[tuple[Remark | Measure, Sequence[Drawing]]] = [
        *((remark, remark.drawings) for remark in review.remarks),
        *((one, measure_drawings(opened.case, review, one)) for one in review.measures),
    ]
    with recording:
        for done, (mark, drawings) in enumerate(marks, start=1):
            stills[mark.id] = tuple(_stills_of(recording, opened.case, mark, drawings))
            watch.step(done, len(marks))
    return stills, notes


def _missing(recording: Recording) -> list[str]:
    return [
        f"The film “{Path(facts.path).name}” is not at hand: no stills of it."
        for part, facts in enumerate(recording.facts)
        if recording.is_missing(part)
    ]


def _stills_of(
    recording: Recording, case: Case, mark: Remark | Measure, drawings: Sequence[Drawing]
) -> Iterator[Still]:
    """Yield the pictures that were drawn on, else the one of the mark's moment.

    None of a frame that is damaged, missing, or outside what is shown of the case.
    """
    window = shown_window(case)

    def shown(moments_us: set[int]) -> list[int]:
        return sorted(us for us in moments_us if window.start_us <= us < window.end_us)

    drawn = shown({drawing.at_us for drawing in drawings})
    taken: set[int] = set()
    for us in drawn or shown({mark.at_us}):
        try:
            picture = recording.picture_at(us, max_side_px=STILL_SIDE_PX)
        except RecordingMissing:
            continue  # its part is among the notes already
        if not picture.damaged and picture.times.start_us not in taken:
            taken.add(picture.times.start_us)
            yield _still(picture, case, mark.id, drawings, len(taken))


def _still(
    picture: Picture, case: Case, mark_id: str, drawn: Sequence[Drawing], number: int
) -> Still:
    times = picture.times
    drawings = drawn_in(drawn, times.part, times.start_us, times.end_us)
    hidden = hidden_in(case.masks, times.start_us, times.end_us)
    width_px, height_px = displayed_size(picture.pixels)
    return Still(
        mark_id=mark_id,
        at_us=times.start_us,
        width_px=width_px,
        height_px=height_px,
        content=jpeg_bytes(picture.pixels, hidden, drawings),
        media_type="image/jpeg",
        number=number,
        drawn=tuple(drawing.shape for drawing in drawings),
    )
