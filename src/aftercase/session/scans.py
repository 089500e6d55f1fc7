"""Scans of recordings: worked out once, in blocks that outlive a stop, and kept in the cache."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import astuple, dataclass, replace
from functools import partial
from pathlib import Path
from typing import Final

import numpy as np
from numpy.typing import NDArray

from aftercase import storage
from aftercase.media.picture import Picture, Pixels
from aftercase.media.picturefile import picture_in
from aftercase.media.recording import Recording, open_recording
from aftercase.media.scrubbuild import Onlooker
from aftercase.media.stills import upright
from aftercase.media.watch import UNWATCHED, Watch
from aftercase.model.case import Window, window_of
from aftercase.session.caches import cache_folder
from aftercase.session.copying import copy_films
from aftercase.session.films import open_films
from aftercase.session.opened import OpenedCase
from aftercase.session.places import Places
from aftercase.session.settings import Settings
from aftercase.vision.scan import ROW, VERSION, Looked, Rows, looked_again, looked_at

SUFFIX: Final = ".scan"
BLOCK_ROWS: Final = 256
"""Rows that are written at once: what a pass that is killed loses at most."""


@dataclass(frozen=True)
class ScanSettings:
    """How a recording is looked through.

    Attributes:
        longest_side_px: Pictures are looked at this small.
        per_second: About so many pictures of a second are looked at; every n-th frame is.
    """

    longest_side_px: int = 320
    per_second: float = 5.0


@dataclass(frozen=True)
class Scan:
    """What was measured of a recording.

    Attributes:
        rows: A row for each picture looked at, in order.
        every: Every so many-th frame was looked at.
        end_us: Where what was looked at ends: the recording, or the case's stretch of it.
        n_kept: Rows that were there from before.
        was_stale: What was there from before could not be used.
        shrunk: How many times smaller than its file a single picture was looked at; 1 for films.
    """

    rows: Rows
    every: int
    end_us: int
    n_kept: int = 0
    was_stale: bool = False
    shrunk: float = 1.0


@dataclass(frozen=True)
class KeptScan:
    """A case's scan as it lies in the cache.

    Attributes:
        rows: What there is of it, from the start on.
        is_whole: It reaches the end of the recording.
        is_stale: Only a scan of another recording, of other settings or by another version of the
            program is there; `rows` are empty.
    """

    rows: Rows
    is_whole: bool
    is_stale: bool


def scan_case(
    opened: OpenedCase,
    at: Places,
    settings: ScanSettings | None = None,
    *,
    copies: Settings | None = None,
    watch: Watch = UNWATCHED,
) -> Scan:
    """Look through a case's recording; what was kept of an earlier pass is not done again.

    Args:
        opened: The case.
        at: The program's folders.
        settings: How; None for the usual way.
        copies: Make the scrub copies in the same pass, as these settings say; None to make none.
        watch: Told of microseconds done and in all; may stop the work. Finished blocks stay.

    Raises:
        RecordingMissing, RecordingChanged, RecordingRefused, RecordingUnreadable: See `open_films`.
        WriteFailed: A block or a copy cannot be written.
        WorkCancelled: As asked by `watch`.
    """
    how = settings or ScanSettings()
    folder = cache_folder(opened.folder.path, opened.case.id, at)
    with open_films(opened, at, watch=Watch(cancelled=watch.cancelled)) as recording:
        key = _key(opened, how)
        kept = _kept_blocks(folder, key)
        strangers = _strangers(folder, key)
        storage.remove_files(strangers)
        scan = _scan(
            _Pass(recording, how, window_of(opened.case), watch),
            [block.rows for block in kept],
            _BlockWriter(folder, key),
            None if copies is None else partial(_with_copies, opened, at, copies),
        )
    return replace(scan, was_stale=bool(strangers) and not kept)


def scan_films(
    films: Sequence[Path], settings: ScanSettings | None = None, *, watch: Watch = UNWATCHED
) -> Scan:
    """Look through films that belong to no case; nothing is kept. Else as `scan_case`."""
    with open_recording(tuple(films), watch=Watch(cancelled=watch.cancelled)) as recording:
        whole = Window(start_us=recording.start_us, end_us=recording.end_us)
        return _scan(_Pass(recording, settings or ScanSettings(), whole, watch), [], None)


def scan_picture(path: Path, settings: ScanSettings | None = None) -> Scan:
    """Look at a single picture.

    Raises:
        RecordingMissing, ReadFailed, RecordingUnreadable: See `picture_in`.
    """
    how = settings or ScanSettings()
    picture = picture_in(path, max_side_px=how.longest_side_px)
    return Scan(looked_at(0, picture.rgb, None).row, 1, 0, shrunk=picture.shrunk)


def kept_scan(opened: OpenedCase, at: Places, settings: ScanSettings | None = None) -> KeptScan:
    """Return what the cache has of a case's scan, without opening a film."""
    folder = cache_folder(opened.folder.path, opened.case.id, at)
    key = _key(opened, settings or ScanSettings())
    blocks = _kept_blocks(folder, key)
    rows = _put_together([block.rows for block in blocks])
    is_whole = bool(blocks) and blocks[-1].is_last
    return KeptScan(rows, is_whole, not blocks and bool(_strangers(folder, key)))


@dataclass(frozen=True)
class _Block:
    rows: Rows
    is_last: bool


class _BlockWriter:
    """Writes blocks of rows one after another, each whole and atomically."""

    def __init__(self, folder: Path, key: str) -> None:
        self._folder, self._key = folder, key

    def write(self, number: int, rows: Rows, *, is_last: bool) -> None:
        """Keep the rows of a block, counted from 0.

        Raises:
            WriteFailed: The disk is full, read-only or gone.
        """
        path = _block_path(self._folder, self._key, number)
        storage.write_atomic(path, _block_bytes(self._key, _Block(rows, is_last)))


@dataclass(frozen=True)
class _Pass:
    """A recording with how it is looked through."""

    recording: Recording
    how: ScanSettings
    window: Window
    watch: Watch

    @property
    def end_us(self) -> int:
        return min(self.window.end_us, self.recording.end_us)


class _Looking:
    """Looks at one picture after another, and keeps what is measured block by block."""

    def __init__(
        self, looked_us: NDArray[np.int64], kept: Sequence[Rows], writer: _BlockWriter | None
    ) -> None:
        self._looked_us = looked_us
        self._blocks = list(kept)
        self._unkept: list[Rows] = []
        self._writer = writer
        self._before: Looked | None = None
        self._n_looked = sum(map(len, kept))

    @property
    def next_us(self) -> int | None:
        """Return the start of the picture that is to be looked at next; None after the last."""
        is_over = self._n_looked == len(self._looked_us)
        return None if is_over else int(self._looked_us[self._n_looked])

    def look(self, at_us: int, pixels: Pixels) -> None:
        """Look at the next picture; another one is passed over.

        Raises:
            WriteFailed: A block is full, and cannot be written.
        """
        if at_us != self.next_us:
            return
        self._before = looked_at(at_us, _as_shown(pixels), self._before)
        self._unkept.append(self._before.row)
        self._n_looked += 1
        if len(self._unkept) == BLOCK_ROWS or self.next_us is None:
            self._put_away()

    def go_on_from(self, picture_at: Callable[[int], Picture]) -> None:
        """Look again at the last picture of an earlier pass: the next one is compared with it."""
        if self._blocks and self.next_us is not None:
            last = self._blocks[-1][-1:]
            seen = picture_at(int(last["at_us"][0]))
            self._before = looked_again(_as_shown(seen.pixels), last)

    def rows(self) -> Rows:
        """Return all that was measured."""
        return _put_together([*self._blocks, *self._unkept])

    def _put_away(self) -> None:
        block, self._unkept = np.concatenate(self._unkept), []
        if self._writer is not None:
            self._writer.write(len(self._blocks), block, is_last=self.next_us is None)
        self._blocks.append(block)


def _scan(
    now: _Pass,
    kept: Sequence[Rows],
    writer: _BlockWriter | None,
    first: Callable[[_Pass, _Looking, int], None] | None = None,
) -> Scan:
    """Look through a recording; what `first` did not look at is decoded here."""
    every, looked_us = _looked_us(now)
    fitting = _fitting(kept, looked_us)
    looking = _Looking(looked_us, fitting, writer)
    side_px = now.how.longest_side_px
    looking.go_on_from(partial(now.recording.picture_at, max_side_px=side_px))
    if first is not None:
        first(now, looking, every)
    start_us = looking.next_us
    if start_us is not None:
        pictures = now.recording.pictures_in(
            start_us,
            now.end_us,
            max_side_px=side_px,
            every=every,
            watch=Watch(cancelled=now.watch.cancelled),
        )
        for picture in pictures:
            now.watch.step(picture.times.start_us - now.window.start_us, _length_us(now))
            looking.look(picture.times.start_us, picture.pixels)
    now.watch.step(_length_us(now), _length_us(now))
    return Scan(looking.rows(), every, now.end_us, sum(map(len, fitting)))


def _with_copies(
    opened: OpenedCase, at: Places, copies: Settings, now: _Pass, looking: _Looking, every: int
) -> None:
    """Look at the pictures that are decoded while copies of the films are made."""
    _, looked_us = _looked_us(now)
    onlookers: dict[int, Onlooker] = {}
    for number in range(len(opened.case.parts)):
        starts_us = now.recording.part_starts_us(number)
        wanted = np.flatnonzero(np.isin(starts_us, looked_us)).tolist()
        if wanted:
            rows = range(wanted[0], wanted[-1] + 1, every)
            see = partial(_see, looking, starts_us)
            onlookers[number] = Onlooker(rows, now.how.longest_side_px, see)
    copy_films(opened, at, copies, onlookers=onlookers, watch=now.watch)


def _see(looking: _Looking, starts_us: NDArray[np.int64], row: int, pixels: Pixels) -> None:
    looking.look(int(starts_us[row]), pixels)


def _length_us(now: _Pass) -> int:
    return now.end_us - now.window.start_us


def _fitting(kept: Sequence[Rows], looked_us: NDArray[np.int64]) -> list[Rows]:
    """Return the blocks that are of the pictures to look at: a cache may hold anything."""
    fitting: list[Rows] = []
    for rows in kept:
        n_before = sum(map(len, fitting))
        if not np.array_equal(rows["at_us"], looked_us[n_before : n_before + len(rows)]):
            break
        fitting.append(rows)
    return fitting


def _looked_us(now: _Pass) -> tuple[int, NDArray[np.int64]]:
    """Return every how many-th frame is looked at, by the film's mean rate, and their starts."""
    starts_us = np.asarray(now.recording.starts_us(), dtype=np.int64)
    duration_us = max(1, now.recording.end_us - now.recording.start_us)
    every = max(1, round(len(starts_us) / duration_us * 1e6 / now.how.per_second))
    first, stop = np.searchsorted(starts_us, [now.window.start_us, now.end_us])
    return every, starts_us[first:stop:every]


def _as_shown(pixels: Pixels) -> NDArray[np.uint8]:
    """Return a picture as it is shown: upright, its pixels square."""
    return np.asarray(upright(pixels))


def _put_together(blocks: Sequence[Rows]) -> Rows:
    return np.concatenate([np.zeros(0, dtype=ROW), *blocks])


def _key(opened: OpenedCase, how: ScanSettings) -> str:
    """Return what a scan is known by: the films, the stretch of them, how, and by what."""
    films = [
        (part.quick_hash, part.stream, part.start_us, part.end_us) for part in opened.case.parts
    ]
    window = window_of(opened.case)
    said = (VERSION, astuple(how), films, window.start_us, window.end_us)
    return storage.digest_of(repr(said).encode())[:24]


def _block_path(folder: Path, key: str, number: int) -> Path:
    return folder / f"{key}.{number:04d}{SUFFIX}"


def _block_bytes(key: str, block: _Block) -> bytes:
    """Return a line that says what follows, with its check sum, and the rows as they are."""
    body = block.rows.tobytes()
    return f"{_head(key, block.is_last)} {storage.digest_of(body)}\n".encode() + body


def _head(key: str, is_last: bool) -> str:
    return f"aftercase-scan {VERSION} {key} {'last' if is_last else 'more'}"


def _kept_blocks(folder: Path, key: str) -> list[_Block]:
    """Return the blocks that are there and sound, from the first on without a hole."""
    blocks: list[_Block] = []
    while not blocks or not blocks[-1].is_last:
        block = _read_block(_block_path(folder, key, len(blocks)), key)
        if block is None or (blocks and not _is_later(block.rows, blocks[-1].rows)):
            break
        blocks.append(block)
    return blocks


def _is_later(rows: Rows, before: Rows) -> bool:
    return int(rows["at_us"][0]) > int(before["at_us"][-1])


def _read_block(path: Path, key: str) -> _Block | None:
    """Return a block; None where there is none, or one that is not what was written."""
    content = storage.read_bytes(path)
    if content is None:
        return None
    line, _, body = content.partition(b"\n")
    head, _, digest = line.decode("ascii", "replace").rpartition(" ")
    is_last = head == _head(key, is_last=True)
    if not body or not (is_last or head == _head(key, is_last=False)):
        return None
    if digest != storage.digest_of(body) or len(body) % ROW.itemsize:
        return None
    return _Block(np.frombuffer(body, dtype=ROW), is_last)


def _strangers(folder: Path, key: str) -> list[Path]:
    """Return the blocks of scans of other films, settings or versions: nobody asks for them."""
    return [file for file in folder.glob(f"*{SUFFIX}") if not file.name.startswith(f"{key}.")]
