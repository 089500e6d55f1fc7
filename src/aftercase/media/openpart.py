"""One open part of a recording: its file, its frames and what shows them."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from aftercase.errors import RecordingMissing, RecordingRefused
from aftercase.media.container import StreamFacts
from aftercase.media.decoder import Decoder
from aftercase.media.fingerprint import quick_hash
from aftercase.media.frametable import FrameTable, ShownTimes
from aftercase.media.parts import PartFacts
from aftercase.media.pixels import PixelMaker
from aftercase.media.scrub import ScrubCopy, bond_of
from aftercase.media.tablecache import KnownFilm, known_film
from aftercase.media.watch import Watch


@dataclass(frozen=True, slots=True, eq=False)
class OpenPart:
    """A part whose file is there; not for use by two threads."""

    kind: str
    times: ShownTimes
    stream: StreamFacts
    choices: tuple[StreamFacts, ...]
    table: FrameTable
    decoder: Decoder
    maker: PixelMaker
    copy: ScrubCopy | None


def opened_part(
    path: str,
    stored: PartFacts | None,
    stream: int | None,
    start_us: int,
    cache: Path | None,
    watch: Watch,
) -> tuple[OpenPart | None, PartFacts]:
    """Open a part's file and return it with what it is.

    Args:
        path: The file.
        stored: What the case stored of it; None where nothing was.
        stream: The picture stream to take; None to choose.
        start_us: Where the part starts on the recording's clock.
        cache: Folder that frame tables and scrub copies are kept in; None to keep nothing.
        watch: Told of bytes read; may stop the work.

    Returns:
        The part, None where a stored one's file is not there; and what was found, else stored.

    Raises:
        RecordingMissing, RecordingRefused, RecordingUnreadable, WorkCancelled: See
            `recording.open_recording`.
    """
    try:
        known = known_film(path, stream=stream, kept_in=cache, watch=watch)
    except RecordingMissing:
        if stored is None:
            raise
        return None, stored
    film, table = known.film, known.table
    if stored is None and stream not in (None, film.facts.index):
        film.close()
        there = ", ".join(str(choice.index) for choice in film.choices)
        raise RecordingRefused(
            f"The file has no picture stream {stream}.", hint=f"It has: {there}.", path=film.path
        )
    times = table.shown(table.first_pts, start_us)
    found = _found_facts(known, start_us, times.end_us)
    if stored is not None:
        times = _stored_times(table, stored)
    return OpenPart(
        film.kind.name,
        times,
        film.facts,
        film.choices,
        table,
        Decoder(film, table),
        PixelMaker(),
        None if cache is None else _copy_of(known, found, cache),
    ), found


def _copy_of(known: KnownFilm, found: PartFacts, cache: Path) -> ScrubCopy:
    """Return the scrub copy of a film, as far as there is one in a cache folder."""
    bond = bond_of(known.identity, found.stream, found.quick_hash)
    return ScrubCopy(cache, bond, len(known.table), found.pixel_aspect)


def _found_facts(known: KnownFilm, start_us: int, end_us: int) -> PartFacts:
    film, table = known.film, known.table
    return PartFacts(
        path=film.path,
        size_bytes=known.identity.size_bytes,
        duration_us=end_us - start_us,
        quick_hash=quick_hash(known.identity, table),
        sha256=None,
        stream=film.facts.index,
        first_pts=table.first_pts,
        time_base_num=table.time_base.numerator,
        time_base_den=table.time_base.denominator,
        start_us=start_us,
        end_us=end_us,
        width_px=film.facts.width_px,
        height_px=film.facts.height_px,
        pixel_aspect=film.facts.pixel_aspect,
    )


def _stored_times(table: FrameTable, stored: PartFacts) -> ShownTimes:
    """Return a part's times by the stored first stamp, start and end.

    Ticks of another time base cannot be compared; the file's first frame then takes the start.
    """
    same_base = stored.time_base == table.time_base
    times = table.shown(stored.first_pts if same_base else table.first_pts, stored.start_us)
    return ShownTimes(times.starts_us[times.starts_us < stored.end_us], stored.end_us)
