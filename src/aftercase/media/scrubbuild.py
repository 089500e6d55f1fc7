"""Build a scrub copy: decode the film once in order, make each frame small, keep what is done."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import closing
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING, Final

from aftercase import storage
from aftercase.media.container import StreamFacts
from aftercase.media.decoder import Decoder
from aftercase.media.fingerprint import quick_hash
from aftercase.media.picture import Pixels
from aftercase.media.pixels import PixelMaker, fitted
from aftercase.media.scrub import (
    ScrubCopy,
    SmallFrame,
    bond_of,
    name_of,
    segment_bytes,
    segment_path,
    segment_rows,
)
from aftercase.media.scrubcodec import SmallPictureWriter
from aftercase.media.tablecache import known_film
from aftercase.media.watch import UNWATCHED, Watch

if TYPE_CHECKING:
    from av.video.frame import VideoFrame

_WAITING: Final = 6
"""Decoded frames that may wait to be coded; at 1080p 3 MB each."""

_TINY_PX: Final = 64


@dataclass(frozen=True, slots=True)
class BuiltCopy:
    """What building came to.

    Args:
        name: What the names of the copy's files begin with.
        n_rows: Frames of the film.
        n_new_rows: Those that were not in the copy before.
        is_whole: The copy has all of them.
    """

    name: str
    n_rows: int
    n_new_rows: int
    is_whole: bool


@dataclass(frozen=True, slots=True)
class Onlooker:
    """Who is shown some of a film's pictures while its copy is built from them.

    Args:
        rows: Which frames are shown, if they are decoded at all.
        max_side_px: They are shrunk to this longer side.
        see: Called with a frame's row and its picture, as `Recording` would give it, in order.
    """

    rows: range
    max_side_px: int
    see: Callable[[int, Pixels], None]


def _no_limit(name: str) -> bool:
    return True


def build_copy(
    path: str,
    *,
    kept_in: Path,
    stream: int | None = None,
    has_room: Callable[[str], bool] = _no_limit,
    onlooker: Onlooker | None = None,
    watch: Watch = UNWATCHED,
) -> BuiltCopy:
    """Build what is missing of a film's copy.

    Stopped or killed, it goes on at the next call after the last file that was finished.

    Args:
        path: The film.
        kept_in: The cache folder.
        stream: The picture stream; None to choose.
        has_room: Asked with the copy's name before each of its files; false ends the building.
        onlooker: Who is shown pictures on the way; None for nobody.
        watch: Told of (frames done, frames in all).

    Raises:
        RecordingMissing, RecordingRefused, RecordingUnreadable: See `container.open_film`.
        WriteFailed: The copy cannot be written.
        WorkCancelled: As asked by `watch`.
    """
    opening = Watch(cancelled=watch.cancelled)
    known = known_film(path, stream=stream, kept_in=kept_in, watch=opening)
    table, facts = known.table, known.film.facts
    bond = bond_of(known.identity, facts.index, quick_hash(known.identity, table))
    missing = ScrubCopy(kept_in, bond, len(table), facts.pixel_aspect).missing()
    n_missing = sum(len(segment_rows(number, len(table))) for number in missing)
    n_new_rows = 0
    with closing(Decoder(known.film, table)) as decoder, ThreadPoolExecutor(1) as coding:
        shown = None if onlooker is None else _Shown(onlooker, facts)
        work = _Work(decoder, coding, len(table), len(table) - n_missing, shown, watch)
        for number in missing:
            if not has_room(name_of(bond)):
                break
            frames = work.small_frames(segment_rows(number, len(table)))
            content = segment_bytes(bond, number, frames)
            storage.write_atomic(segment_path(kept_in, bond, number), content)
            n_new_rows += len(frames)
    watch.step(len(table) - n_missing + n_new_rows, len(table))
    return BuiltCopy(name_of(bond), len(table), n_new_rows, n_new_rows == n_missing)


class _Shown:
    """Shows an onlooker the frames it wants."""

    def __init__(self, onlooker: Onlooker, facts: StreamFacts) -> None:
        self._onlooker, self._facts = onlooker, facts
        self._maker = PixelMaker()

    def passing(self, row: int, frame: VideoFrame | None) -> None:
        """Show a frame that was decoded, or a placeholder for one that cannot be."""
        if row not in self._onlooker.rows:
            return
        side_px, aspect = self._onlooker.max_side_px, self._facts.pixel_aspect
        if frame is None:
            size = fitted(self._facts.width_px, self._facts.height_px, side_px)
            pixels = self._maker.stand_in(*size, aspect, lambda: None)
        else:
            pixels = self._maker.pixels(frame, aspect, side_px)
        self._onlooker.see(row, pixels)


class _Work:
    """Decode here, and make small and code in one other thread meanwhile."""

    def __init__(
        self,
        decoder: Decoder,
        coding: ThreadPoolExecutor,
        n_rows: int,
        n_done: int,
        shown: _Shown | None,
        watch: Watch,
    ) -> None:
        self._decoder = decoder
        self._coding = coding
        self._n_rows = n_rows
        self._n_done = n_done
        self._shown = shown
        self._watch = watch
        self._writer = SmallPictureWriter()
        self._maker = PixelMaker()
        self._turns: dict[int, tuple[int, bool]] = {}

    def small_frames(self, rows: range) -> list[SmallFrame]:
        """Return rows of the copy, in order."""
        promised: list[Future[SmallFrame]] = []
        for row in rows:
            self._watch.step(self._n_done, self._n_rows)
            frame = self._decoder.frame(row)
            doubtful = self._decoder.is_doubtful(row)
            promised.append(self._coding.submit(self._small, frame, doubtful))
            if self._shown is not None:
                self._shown.passing(row, frame)
            if len(promised) > _WAITING:
                promised[-_WAITING].result()
            self._n_done += 1
        return [promise.result() for promise in promised]

    def _small(self, frame: VideoFrame | None, doubtful: bool) -> SmallFrame:
        if frame is None:
            return SmallFrame(b"", doubtful=doubtful)
        turn_deg, mirrored = self._turn_of(frame)
        return SmallFrame(self._writer.coded(frame), turn_deg, mirrored, doubtful)

    def _turn_of(self, frame: VideoFrame) -> tuple[int, bool]:
        """Return how a frame is to be turned and mirrored; asked once for each rotation."""
        if frame.rotation not in self._turns:
            tiny = self._maker.pixels(frame, Fraction(1), _TINY_PX)
            self._turns[frame.rotation] = (tiny.turn_deg, tiny.mirrored)
        return self._turns[frame.rotation]
