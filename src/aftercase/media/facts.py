"""What a film is, measured and not as its header says."""

from __future__ import annotations

import os
from dataclasses import dataclass
from fractions import Fraction

import numpy as np

from aftercase.media.container import StreamFacts
from aftercase.media.frametable import FrameTable
from aftercase.media.picture import Pixels
from aftercase.media.recording import Recording, open_recording
from aftercase.media.stills import square_size
from aftercase.media.watch import UNWATCHED, Watch


@dataclass(frozen=True, slots=True)
class RecordingFacts:
    """One file's facts.

    Args:
        path: The file.
        size_bytes: Its size.
        container: Name of the container format.
        codec: Name of the picture coding.
        width_px: Width of the decoded picture.
        height_px: Height of the decoded picture.
        display_width_px: Width as it is to be looked at: square pixels, upright.
        display_height_px: Height as it is to be looked at.
        pixel_aspect: Width of a pixel over its height.
        turn_deg: Turn to show it upright, counter-clockwise.
        mirrored: To be mirrored left and right before that.
        n_frames: Shown frames.
        duration_us: From the first frame's start to the last one's end.
        frames_per_second: Mean, from first to last start; None where there is only one frame.
        constant_rate: All steps are equal, save for the rounding of the stamps.
        stamped: The file says when each frame is shown; else some were counted.
        first_pts: Stamp of the first shown frame, in ticks.
        time_base: Seconds per tick.
        longest_group: Most frames between two places decoding can start from.
        n_segments: More than 1 where the file's clock restarts.
        has_sound: There is a sound stream.
        stream: Index of the picture stream that is described.
        choices: The streams that can be the film, the one taken by itself first; covers left out.
    """

    path: str
    size_bytes: int
    container: str
    codec: str
    width_px: int
    height_px: int
    display_width_px: int
    display_height_px: int
    pixel_aspect: Fraction
    turn_deg: int
    mirrored: bool
    n_frames: int
    duration_us: int
    frames_per_second: float | None
    constant_rate: bool
    stamped: bool
    first_pts: int
    time_base: Fraction
    longest_group: int
    n_segments: int
    has_sound: bool
    stream: int
    choices: tuple[StreamFacts, ...]


def describe(
    path: str | os.PathLike[str], *, stream: int | None = None, watch: Watch = UNWATCHED
) -> RecordingFacts:
    """Return what a film is; its packets are read once and one picture is decoded.

    Args:
        path: The file.
        stream: Index of the picture stream; None to choose.
        watch: Told of bytes read; may stop the work.

    Raises:
        RecordingMissing, RecordingRefused, RecordingUnreadable: See `container.open_film`.
        WorkCancelled: As asked by `watch`.
    """
    with open_recording([path], streams=[stream], watch=watch) as recording:
        return facts_of_part(recording, 0)


def facts_of_part(recording: Recording, part: int) -> RecordingFacts:
    """Return the facts of one part of an open recording.

    Raises:
        RecordingMissing: The part's file is not there.
    """
    stream, table, stored = recording.stream(part), recording.table(part), recording.facts[part]
    first = next(recording.pictures_in(stored.start_us, stored.end_us)).pixels
    display_width_px, display_height_px = displayed_size(first)
    duration_us = stored.end_us - stored.start_us
    return RecordingFacts(
        path=stored.path,
        size_bytes=stored.size_bytes,
        container=recording.kind(part),
        codec=stream.codec,
        width_px=first.width_px,
        height_px=first.height_px,
        display_width_px=display_width_px,
        display_height_px=display_height_px,
        pixel_aspect=first.pixel_aspect,
        turn_deg=first.turn_deg,
        mirrored=first.mirrored,
        n_frames=len(table),
        duration_us=duration_us,
        frames_per_second=measured_rate(table),
        constant_rate=is_constant(table),
        stamped=table.stamped,
        first_pts=table.first_pts,
        time_base=table.time_base,
        longest_group=longest_group(table),
        n_segments=table.n_segments,
        has_sound=stream.has_sound,
        stream=stream.index,
        choices=recording.stream_choices(part),
    )


def displayed_size(pixels: Pixels) -> tuple[int, int]:
    """Return width and height as a picture is to be looked at: square pixels, upright."""
    width_px, height_px = square_size(pixels)
    return (height_px, width_px) if pixels.turn_deg in (90, 270) else (width_px, height_px)


def measured_rate(table: FrameTable) -> float | None:
    """Return frames per second between the first and the last frame's start; None for one frame."""
    span = (int(table.ticks[-1]) - int(table.ticks[0])) * table.time_base
    return float((len(table) - 1) / span) if span else None


def is_constant(table: FrameTable) -> bool:
    """Claim that no frame is further than one tick from where an even spacing puts it.

    A container that rounds stamps (to a millisecond, say) is not called variable for that.
    """
    if len(table) < 2:
        return True
    even = np.linspace(table.ticks[0], table.ticks[-1], len(table))
    return bool(np.abs(np.asarray(table.ticks) - even).max() <= 1)


def longest_group(table: FrameTable) -> int:
    """Return the most frames from one key to before the next, the last group included.

    Where it is large, finding a frame is slow: everything since the key has to be decoded.
    """
    row_ranks = table.rank[np.asarray(table.rows)]
    borders = np.searchsorted(row_ranks, table.rank[table.keys])
    return int(np.diff(np.append(borders, len(table))).max())
