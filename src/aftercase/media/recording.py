"""A recording: one or more files that play as one clock."""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from functools import partial
from itertools import islice
from pathlib import Path, PurePath
from typing import TYPE_CHECKING, Final, Self

import numpy as np

from aftercase.clock import text_of
from aftercase.errors import RecordingMissing, TimeOutside
from aftercase.media.cache import PictureCache
from aftercase.media.container import StreamFacts
from aftercase.media.frametable import FrameTable
from aftercase.media.losses import Loss, losses_met
from aftercase.media.openpart import OpenPart, opened_part
from aftercase.media.packed import Ints
from aftercase.media.parts import Difference, PartFacts
from aftercase.media.picture import FrameTimes, Picture
from aftercase.media.pixels import fitted
from aftercase.media.watch import UNWATCHED, Watch

if TYPE_CHECKING:
    from av.video.frame import VideoFrame

_KEPT_BEHIND: Final = 64
"""Pictures kept before the wanted one when going backwards, the next to be asked for; fewer where
the cache has no room for them. Each time they are used up, a whole group is decoded again."""

_KEPT_BEFORE_A_JUMP: Final = 8
"""Pictures kept before one that was jumped to: a hand often goes a few frames back from there."""

_BYTES_PER_PIXEL: Final = 3


class Recording:
    """The frames and pictures of a recording on its own clock.

    Use `open_recording`, and close it or use it in a `with` block. Not for use by two threads.

    Attributes:
        facts: The parts in order, as stored or, where nothing was stored, as found.
        differences: Stored facts the files no longer agree with; the stored ones are used.
    """

    def __init__(
        self,
        facts: Sequence[PartFacts],
        parts: Sequence[OpenPart | None],
        differences: Iterable[Difference] = (),
    ) -> None:
        self.facts = tuple(facts)
        self.differences = tuple(differences)
        self._parts = tuple(parts)
        self._cache = PictureCache()
        self._last: tuple[int, int] = (0, -1)

    @property
    def start_us(self) -> int:
        """Return where the first part starts."""
        return self.facts[0].start_us

    @property
    def end_us(self) -> int:
        """Return where the last frame of the last part ends, exclusive."""
        return self.facts[-1].end_us

    def is_missing(self, part: int) -> bool:
        """Claim that the file of a part is not there."""
        return self._parts[part] is None

    def stream(self, part: int) -> StreamFacts:
        """Return what a part's container says of its picture; raises as `frame_at`."""
        return self._present(part).stream

    def stream_choices(self, part: int) -> tuple[StreamFacts, ...]:
        """Return the streams of a part that can be the film, best first; raises as `frame_at`."""
        return self._present(part).choices

    def losses(self, part: int) -> list[Loss]:
        """Return the losses met so far in what was decoded of a part; raises as `frame_at`."""
        there = self._present(part)
        return losses_met(there.decoder, there.times)

    def kind(self, part: int) -> str:
        """Return the name of a part's container format; raises as `frame_at`."""
        return self._present(part).kind

    def table(self, part: int) -> FrameTable:
        """Return a part's frame table; raises as `frame_at`."""
        return self._present(part).table

    def starts_us(self) -> Ints:
        """Return the starts of all frames of all parts, strictly increasing.

        Raises:
            RecordingMissing: The file of a part is not there.
        """
        return np.concatenate([self.part_starts_us(part) for part in range(len(self.facts))])

    def part_starts_us(self, part: int) -> Ints:
        """Return the starts of a part's frames; raises as `frame_at`."""
        return self._present(part).times.starts_us

    def frame_at(self, us: int) -> FrameTimes:
        """Return the frame shown at a moment.

        Raises:
            TimeOutside: The recording shows nothing then.
            RecordingMissing: The file of the part shown then is not there.
        """
        part, row = self._locate(us)
        return self._frame(part, row)

    def frames_in(self, start_us: int, end_us: int) -> Iterator[FrameTimes]:
        """Yield the frames shown at some moment of `[start_us, end_us)`, in order.

        Raises:
            RecordingMissing: A part in the span is not there.
        """
        for part, row in self._rows_in(start_us, end_us):
            yield self._frame(part, row)

    def first_frame(self) -> FrameTimes:
        """Return the first frame; raises as `frame_at`."""
        return self._frame(0, 0)

    def last_frame(self) -> FrameTimes:
        """Return the last frame; raises as `frame_at`."""
        part = len(self.facts) - 1
        return self._frame(part, len(self._present(part).times) - 1)

    def next_frame(self, us: int) -> FrameTimes | None:
        """Return the frame after the one shown at a moment, None after the last; raises as that."""
        part, row = self._locate(us)
        if row + 1 < len(self._present(part).times):
            return self._frame(part, row + 1)
        return self._frame(part + 1, 0) if part + 1 < len(self.facts) else None

    def previous_frame(self, us: int) -> FrameTimes | None:
        """Return the frame before the one shown, None before the first; raises as `frame_at`."""
        part, row = self._locate(us)
        if row > 0:
            return self._frame(part, row - 1)
        if part == 0:
            return None
        return self._frame(part - 1, len(self._present(part - 1).times) - 1)

    def picture_at(
        self,
        us: int,
        *,
        max_side_px: int | None = None,
        copy_will_do: bool = False,
        near_will_do: bool = False,
    ) -> Picture:
        """Return the picture shown at a moment, with the exact time of its frame.

        Args:
            us: The moment.
            max_side_px: Shrink to this longer side; None for full size.
            copy_will_do: Show the frame from the scrub copy where there is one; `from_copy` of
                the picture says so.
            near_will_do: Show the key picture the frame is entered by, where the frame itself is
                not at hand sooner; `nearby` of the picture says so.

        Raises:
            TimeOutside, RecordingMissing: See `frame_at`.
        """
        part, row = self._locate(us)
        if near_will_do and not (copy_will_do and self._is_copied(part, row)):
            key_row = self._present(part).decoder.quickest_row(row)
            if key_row != row and self._cache.get((part, row, max_side_px)) is None:
                return replace(self._picture(part, key_row, max_side_px, False), nearby=True)
        return self._picture(part, row, max_side_px, copy_will_do, _KEPT_BEFORE_A_JUMP)

    def pictures_in(
        self,
        start_us: int,
        end_us: int,
        *,
        max_side_px: int | None = None,
        copy_will_do: bool = False,
        every: int = 1,
    ) -> Iterator[Picture]:
        """Yield the pictures shown at some moment of `[start_us, end_us)`; else as `picture_at`.

        Args:
            start_us: From where.
            end_us: Until where.
            max_side_px: See `picture_at`.
            copy_will_do: See `picture_at`.
            every: Of so many frames one is yielded, the first; all are decoded.

        Raises:
            RecordingMissing: A part in the span is not there.
        """
        for part, row in islice(self._rows_in(start_us, end_us), 0, None, every):
            yield self._picture(part, row, max_side_px, copy_will_do)

    def close(self) -> None:
        """Close all files."""
        for part in self._parts:
            if part is not None:
                part.decoder.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def _present(self, part: int) -> OpenPart:
        there = self._parts[part]
        if there is None:
            name = PurePath(self.facts[part].path).name
            raise RecordingMissing(
                f"Part {part + 1} of the recording, {name}, cannot be found.",
                hint="Connect the drive it is on, or say where it is now.",
                path=self.facts[part].path,
            )
        return there

    def _locate(self, us: int) -> tuple[int, int]:
        """Return part and row of the frame shown at a moment."""
        for part, facts in enumerate(self.facts):
            if facts.start_us <= us < facts.end_us:
                return part, self._present(part).times.row_at(us)
        raise TimeOutside(
            f"The recording shows nothing at {text_of(us)}.",
            hint=f"It runs from {text_of(self.start_us)} to {text_of(self.end_us)}.",
        )

    def _rows_in(self, start_us: int, end_us: int) -> Iterator[tuple[int, int]]:
        for part, facts in enumerate(self.facts):
            first_us, stop_us = max(start_us, facts.start_us), min(end_us, facts.end_us)
            if first_us < stop_us:
                rows = self._present(part).times.rows_in(first_us, stop_us)
                yield from ((part, row) for row in rows)

    def _frame(self, part: int, row: int) -> FrameTimes:
        times = self._present(part).times
        return FrameTimes(part, times.start_us(row), times.stop_us(row))

    def _picture(
        self,
        part: int,
        row: int,
        max_side_px: int | None,
        copy_will_do: bool,
        n_behind: int = 0,
    ) -> Picture:
        if copy_will_do:
            copied = self._from_copy(part, row, max_side_px)
            if copied is not None:
                return copied
        going_back = (part, row) < self._last
        self._last = (part, row)
        kept = self._cache.get((part, row, max_side_px))
        if kept is not None:
            return kept
        there = self._present(part)
        if going_back or n_behind:
            most = _KEPT_BEHIND if going_back else n_behind
            n_behind = self._n_kept_behind(there, max_side_px, most)

        def keep(found: int, frame: VideoFrame | None) -> Picture:
            picture = self._made(part, found, frame, max_side_px)
            self._cache.put((part, found, max_side_px), picture)
            return picture

        def passing(found: int, frame: VideoFrame | None) -> None:
            if row - found <= n_behind:
                keep(found, frame)

        return keep(row, there.decoder.frame(row, passing))

    def _n_kept_behind(self, there: OpenPart, max_side_px: int | None, most: int) -> int:
        width_px, height_px = fitted(there.stream.width_px, there.stream.height_px, max_side_px)
        return min(most, self._cache.n_fitting(_BYTES_PER_PIXEL * width_px * height_px) - 1)

    def _is_copied(self, part: int, row: int) -> bool:
        copy = self._present(part).copy
        return copy is not None and copy.has(row)

    def _from_copy(self, part: int, row: int, max_side_px: int | None) -> Picture | None:
        """Return a frame from the scrub copy; None where the copy does not have it."""
        there = self._present(part)
        copied = None if there.copy is None else there.copy.picture(row, max_side_px)
        if copied is None:
            return None
        if copied.pixels is None:
            return replace(self._made(part, row, None, max_side_px), from_copy=True)
        times = self._frame(part, row)
        return Picture(times, copied.pixels, doubtful=copied.doubtful, from_copy=True)

    def _made(
        self, part: int, row: int, frame: VideoFrame | None, max_side_px: int | None
    ) -> Picture:
        there, times = self._present(part), self._frame(part, row)
        stream, aspect = there.stream, there.stream.pixel_aspect
        if frame is None:
            size = fitted(stream.width_px, stream.height_px, max_side_px)
            first = partial(there.decoder.frame, 0)
            return Picture(times, there.maker.stand_in(*size, aspect, first), damaged=True)
        pixels = there.maker.pixels(frame, aspect, max_side_px)
        return Picture(times, pixels, doubtful=there.decoder.is_doubtful(row))


def open_recording(
    paths: Sequence[str | os.PathLike[str]],
    *,
    stored: Sequence[PartFacts] = (),
    streams: Sequence[int | None] = (),
    cache: Path | None = None,
    watch: Watch = UNWATCHED,
) -> Recording:
    """Open a recording's files as one clock: a part starts where the last frame before it ends.

    Args:
        paths: The parts' files in order, at least one.
        stored: What the case stored of each part. It rules stream, first stamp, start and end;
            what the files say otherwise is in `differences`. A part that was stored may be
            missing and keeps its place. Empty when nothing was stored.
        streams: Index of the picture stream to take of each part, None to choose; empty to
            choose everywhere. What is stored goes before.
        cache: Folder that frame tables and scrub copies are kept in; None to keep nothing.
        watch: Told of bytes read of each part in turn; may stop the work.

    Raises:
        RecordingMissing: A file is not there and nothing is stored of it.
        RecordingRefused: A file has no such stream; else see `container.open_film`.
        RecordingUnreadable: See `container.open_film`.
        WorkCancelled: As asked by `watch`.
    """
    if not paths or len(stored) not in (0, len(paths)):
        raise ValueError("give at least one path, and stored facts for all of them or for none")
    if len(streams) not in (0, len(paths)):
        raise ValueError("give a stream, or None, for every path, or no streams at all")
    facts: list[PartFacts] = []
    parts: list[OpenPart | None] = []
    differences: list[Difference] = []
    try:
        for number, path in enumerate(paths):
            known = stored[number] if stored else None
            start_us = facts[-1].end_us if facts else 0
            stream = known.stream if known else streams[number] if streams else None
            part, found = opened_part(os.fspath(path), known, stream, start_us, cache, watch)
            parts.append(part)
            facts.append(known or found)
            if known is not None and part is not None:
                differences.extend(differences_of(number, known, found))
    except BaseException:
        Recording(facts, parts).close()
        raise
    return Recording(facts, parts, differences)


def differences_of(part: int, stored: PartFacts, found: PartFacts) -> list[Difference]:
    """Return what a file says otherwise than the case; place, start and whole hash aside."""
    facts = {
        "size_bytes": "size in bytes",
        "quick_hash": "quick hash",
        "stream": "picture stream",
        "first_pts": "first stamp",
        "time_base": "time base",
        "duration_us": "length in microseconds",
        "width_px": "width",
        "height_px": "height",
    }
    return [
        Difference(part, label, str(getattr(stored, name)), str(getattr(found, name)))
        for name, label in facts.items()
        if getattr(stored, name) not in (getattr(found, name), "")
    ]
