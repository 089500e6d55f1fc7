"""A recording: one or more files that play as one clock."""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator, Sequence
from itertools import islice
from pathlib import Path, PurePath
from typing import Final, Self

import numpy as np

from aftercase.clock import text_of
from aftercase.errors import RecordingMissing, TimeOutside
from aftercase.media.cache import PictureCache
from aftercase.media.container import StreamFacts
from aftercase.media.frametable import FrameTable
from aftercase.media.losses import Loss, losses_met
from aftercase.media.openpart import OpenPart, opened_part
from aftercase.media.packed import Ints
from aftercase.media.partpictures import PartPictures
from aftercase.media.parts import Difference, PartFacts
from aftercase.media.picture import FrameTimes, Picture
from aftercase.media.watch import UNWATCHED, Watch

_KEPT_BEHIND: Final = 64
"""Pictures kept before the wanted one when going backwards, the next to be asked for; fewer where
the cache has no room for them. Each time they are used up, a whole group is decoded again."""

_KEPT_BEFORE_A_JUMP: Final = 8
"""Pictures kept before one that was jumped to: a hand often goes a few frames back from there."""


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
        cache = PictureCache()
        self._pictures = {
            number: PartPictures(number, part, cache)
            for number, part in enumerate(self._parts)
            if part is not None
        }
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
        watch: Watch = UNWATCHED,
    ) -> Picture:
        """Return the picture shown at a moment, with the exact time of its frame.

        Args:
            us: The moment.
            max_side_px: Shrink to this longer side; None for full size.
            copy_will_do: Show the frame from the scrub copy where there is one; `from_copy` of
                the picture says so.
            near_will_do: Where neither is at hand, show the nearest key picture; `nearby` of the
                picture says so. What is at hand goes before the scrub copy then.
            watch: Told (0, 0) for each frame decoded on the way; may stop the work.

        Raises:
            TimeOutside, RecordingMissing: See `frame_at`.
            WorkCancelled: As asked by `watch`.
        """
        part, row = self._locate(us)
        if near_will_do:
            pictures = self._pictures[part]
            return pictures.quick(row, max_side_px, copy_will_do=copy_will_do, watch=watch)
        copied = self._copied(part, row, max_side_px) if copy_will_do else None
        return copied or self._picture(part, row, max_side_px, _KEPT_BEFORE_A_JUMP, watch)

    def pictures_in(
        self,
        start_us: int,
        end_us: int,
        *,
        max_side_px: int | None = None,
        copy_will_do: bool = False,
        every: int = 1,
        watch: Watch = UNWATCHED,
    ) -> Iterator[Picture]:
        """Yield the pictures shown at some moment of `[start_us, end_us)`; else as `picture_at`.

        Args:
            start_us: From where.
            end_us: Until where.
            max_side_px: See `picture_at`.
            copy_will_do: See `picture_at`.
            every: Of so many frames one is yielded, the first; all are decoded.
            watch: See `picture_at`.

        Raises:
            RecordingMissing: A part in the span is not there.
            WorkCancelled: As asked by `watch`.
        """
        for part, row in islice(self._rows_in(start_us, end_us), 0, None, every):
            copied = self._copied(part, row, max_side_px) if copy_will_do else None
            yield copied or self._picture(part, row, max_side_px, 0, watch)

    def prepare(
        self,
        us: int,
        *,
        n_behind: int,
        n_ahead: int,
        max_side_px: int | None = None,
        watch: Watch = UNWATCHED,
    ) -> int:
        """Decode the frames around one, so that going there frame by frame finds their pictures.

        Where frames before it have to be decoded, a block of them is, so that the next time comes
        only after many steps.

        Args:
            us: The moment it is shown at.
            n_behind: How many before it; fewer where there is no room to keep them.
            n_ahead: How many after it; likewise.
            max_side_px: See `picture_at`.
            watch: See `picture_at`. What was done when it stops the work stays.

        Returns:
            How many pictures are there now, the one itself aside.

        Raises:
            TimeOutside, RecordingMissing: See `frame_at`.
            WorkCancelled: As asked by `watch`.
        """
        part, row = self._locate(us)
        n_fitting = self._pictures[part].n_fitting(max_side_px)
        ahead = self._beside(part, row, min(n_ahead, n_fitting // 4))
        behind = self._beside(part, row, -min(n_behind, n_fitting // 2))[::-1]
        n_block = min(_KEPT_BEHIND, n_fitting - 1) - len(ahead) - len(behind)
        for number, near in ahead:
            self._pictures[number].exact(near, max_side_px, watch=watch)
        for number, near in behind:
            self._pictures[number].exact(near, max_side_px, n_behind=n_block, watch=watch)
        return len(ahead) + len(behind)

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
        self._present(part)
        return self._pictures[part].times(row)

    def _picture(
        self, part: int, row: int, max_side_px: int | None, n_behind: int, watch: Watch
    ) -> Picture:
        """Return an exact picture; going backwards, with many before it."""
        self._present(part)
        n_behind = _KEPT_BEHIND if (part, row) < self._last else n_behind
        self._last = (part, row)
        return self._pictures[part].exact(row, max_side_px, n_behind=n_behind, watch=watch)

    def _copied(self, part: int, row: int, max_side_px: int | None) -> Picture | None:
        self._present(part)
        return self._pictures[part].copied(row, max_side_px)

    def _beside(self, part: int, row: int, n_frames: int) -> list[tuple[int, int]]:
        """Return so many frames after one, or before, nearest first; as far as films are there."""
        step = 1 if n_frames > 0 else -1
        found: list[tuple[int, int]] = []
        while len(found) < abs(n_frames):
            row += step
            if not 0 <= row < len(self._present(part).times):
                part += step
                if not 0 <= part < len(self._parts) or self.is_missing(part):
                    break
                row = 0 if step > 0 else len(self._present(part).times) - 1
            found.append((part, row))
        return found


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
