"""Looking at one file as a part of a recording: opened once, its two ends decoded."""

from __future__ import annotations

import os
from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

from aftercase.clock import SECOND_US
from aftercase.errors import RecordingMissing
from aftercase.media.joints import FilmSeen
from aftercase.media.likeness import Greys, small_grey, stacked
from aftercase.media.parts import PartFacts
from aftercase.media.recording import Recording, open_recording
from aftercase.media.watch import UNWATCHED, Watch

_END_US = 3 * SECOND_US
"""Recorders that repeat the end of a part in the next one repeat about a second."""
_DECODED_SIDE_PX = 128


def see_film(
    path: Path,
    name: str,
    *,
    ends: bool = True,
    cache: Path | None = None,
    watch: Watch = UNWATCHED,
) -> FilmSeen:
    """Open a film, take its facts, how it is shown, and its first and last three seconds.

    Args:
        path: The file.
        name: The name it is known by beside the others.
        ends: Whether the pictures are wanted; a film that has no neighbour needs none.
        cache: Folder that frame tables are kept in; None to keep nothing.
        watch: Told of bytes read; may stop the work.

    Raises:
        RecordingMissing, RecordingRefused, RecordingUnreadable: See `container.open_film`.
        WorkCancelled: As asked by `watch`.
    """
    with open_recording([path], cache=cache, watch=watch) as recording:
        facts, stream, table = recording.facts[0], recording.stream(0), recording.table(0)
        ticks = int(table.ticks[-1]) - int(table.ticks[0])
        rate = Fraction(len(table) - 1) / (ticks * table.time_base) if ticks else None
        end_us = min(_END_US, facts.end_us) if ends else 0
        head = _pictures(recording, 0, end_us, watch)
        frames = list(recording.frames_in(facts.end_us - end_us, facts.end_us))
        tail = _pictures(recording, facts.end_us - end_us, facts.end_us, watch)
        return FilmSeen(
            name=name,
            facts=as_shown(recording, 0, watch),
            codec=stream.codec,
            rate=rate,
            begun_us=stream.begun_us,
            changed_us=_changed_us(path),
            head=stacked(head),
            tail=stacked(tail),
            tail_starts_us=tuple(frame.start_us for frame in frames),
        )


def as_shown(recording: Recording, part: int, watch: Watch = UNWATCHED) -> PartFacts:
    """Return a part's facts with how its first picture says to be shown, unless it is damaged.

    Raises:
        RecordingMissing: The part's file is not there.
        WorkCancelled: As asked by `watch`.
    """
    facts = recording.facts[part]
    picture = recording.picture_at(facts.start_us, max_side_px=_DECODED_SIDE_PX, watch=watch)
    if picture.damaged:
        return facts
    pixels = picture.pixels
    return replace(facts, shown_turn_deg=pixels.turn_deg, shown_mirrored=pixels.mirrored)


def _pictures(recording: Recording, start_us: int, end_us: int, watch: Watch) -> Iterator[Greys]:
    """Yield the pictures of a span, small; a damaged one is blank."""
    size_bytes = recording.facts[0].size_bytes
    for picture in recording.pictures_in(start_us, end_us, max_side_px=_DECODED_SIDE_PX):
        watch.step(size_bytes, size_bytes)
        yield small_grey(picture.pixels)


def _changed_us(path: Path) -> int:
    try:
        return os.stat(path).st_mtime_ns // 1000
    except OSError as error:
        raise RecordingMissing(
            "The film cannot be found.", hint="Connect the drive it is on.", path=path
        ) from error
