"""Pictures of one file by row: enter at a key, check where that led, decode forward."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import suppress
from typing import TYPE_CHECKING, Final

import numpy as np

from aftercase.media.container import Film, PacketDamaged
from aftercase.media.frametable import NO_STAMP, FrameTable, Stamp
from aftercase.media.packed import Ints
from aftercase.media.seekplan import Entry, entries, goes_on

if TYPE_CHECKING:
    from av.packet import Packet
    from av.video.frame import VideoFrame
    from av.video.stream import VideoStream

_HELD_AHEAD: Final = 16
"""Frames that may come out before the wanted one, where stamps and picture order disagree."""

_TRIES: Final = 2
"""Keys to start from before a frame is given up."""

Passing = Callable[[int, "VideoFrame"], None]


class _TooLate(Exception):
    """The seek led behind the key it was meant for."""


def _ignore(row: int, frame: VideoFrame) -> None:
    """Let a frame pass."""


class Decoder:
    """Exact pictures of an open film.

    Args:
        film: The film the table was made from, still open (one without an index is only found
            its way around in because it was read through once).
        table: Its frames.
    """

    def __init__(self, film: Film, table: FrameTable) -> None:
        self._film = film
        self._table = table
        self._careful = False
        self._hidden_ranks = _hidden_ranks(table)
        self._keys = frozenset(table.keys.tolist())
        self._run: Iterator[tuple[int, VideoFrame]] | None = None
        self._reached = 0
        self._oldest = 0
        self._ahead: dict[int, VideoFrame] = {}
        self._damaged: set[int] = set()

    def frame(self, row: int, passing: Passing = _ignore) -> VideoFrame | None:
        """Return a frame, or None where it cannot be decoded.

        Args:
            row: Its place in display order.
            passing: Called with the frames decoded on the way.
        """
        if row in self._damaged:
            return None
        found = self._read_on(row, passing) or self._read_anew(row, passing)
        if found is None and not self._careful:
            # Decoding threads lose good pictures beside a damaged packet; without them none is.
            self._careful = True
            self._reopen()
            found = self._read_anew(row, passing)
        if found is None:
            self._damaged.add(row)
        return found

    def close(self) -> None:
        """Close the film."""
        self._run = None
        self._film.close()

    def _read_on(self, row: int, passing: Passing) -> VideoFrame | None:
        """Return the frame if the run under way has it or gets to it soon."""
        if row in self._ahead:
            return self._ahead.pop(row)
        ranks, rows = self._table.rank, self._table.rows
        if self._run is None or self._reached >= len(rows) or row < self._reached:
            return None
        if not goes_on(self._table, int(ranks[rows[self._reached]]), int(ranks[rows[row]])):
            return None
        return self._read_to(row, passing)

    def _read_anew(self, row: int, passing: Passing) -> VideoFrame | None:
        """Return the frame by entering before it, at earlier keys where the first does not do."""
        rank = int(self._table.rank[self._table.rows[row]])
        tries = 0
        last_key: int | None = None
        for entry in entries(self._table, rank, self._film.kind.seek_by):
            last_key = entry.key if last_key is None else last_key
            try:
                if not self._begin(entry, last_key):
                    continue
                found = self._read_to(row, passing)
            except _TooLate:
                continue
            if found is not None:
                return found
            tries += 1
            if tries == _TRIES:
                break
        return None

    def _begin(self, entry: Entry, last_key: int) -> bool:
        self._run, self._reached = None, 0
        self._ahead.clear()
        if entry.by == "start":
            self._reopen()
        elif not self._film.enter(entry):
            return False
        self._run = self._pictures(entry, last_key)
        return True

    def _read_to(self, row: int, passing: Passing) -> VideoFrame | None:
        """Return the frame from the run under way; None when it has gone past it."""
        assert self._run is not None
        for found, frame in self._run:
            self._reached = max(self._reached, found + 1)
            if found == row:
                return frame
            if found < row:
                passing(found, frame)
                continue
            self._ahead[found] = frame
            if len(self._ahead) >= _HELD_AHEAD:
                return None
        self._run = None
        return None

    def _pictures(self, entry: Entry, last_key: int) -> Iterator[tuple[int, VideoFrame]]:
        """Yield rows and frames; those shown before the key that was entered by are dropped."""
        self._oldest = 0
        for frame in self._frames(entry, last_key):
            if frame.pts is None:
                continue
            row = self._row_of(frame.pts)
            if row is not None and self._table.rank[frame.pts] >= self._oldest:
                yield row, frame

    def _frames(self, entry: Entry, last_key: int) -> Iterator[VideoFrame]:
        for number, packet in self._numbered(entry, last_key):
            with suppress(PacketDamaged):
                yield from self._film.decode(packet, number)
        with suppress(PacketDamaged):
            yield from self._film.rest()

    def _numbered(
        self, entry: Entry, last_key: int
    ) -> Iterator[tuple[int | None, Packet[VideoStream]]]:
        """Yield packets with their numbers, from the first known key; None for unknown ones.

        Raises:
            _TooLate: The first known key is after `last_key`, or there is none.
        """
        entered = entry.by == "start"
        expected = 0 if entered else entry.key
        for stamp, packet in self._film.packets():
            number = expected if self._is(stamp, expected) else self._number_of(stamp)
            if not entered:
                if number is None or number not in self._keys:
                    continue
                if number > last_key:
                    raise _TooLate
                entered = True
                self._oldest = int(self._table.rank[number])
            expected = expected if number is None else number + 1
            yield number, packet
        if not entered:
            raise _TooLate

    def _is(self, stamp: Stamp, number: int) -> bool:
        packets = self._table.packets
        return (
            number < len(packets)
            and packets.size[number] == stamp.size
            and packets.pts[number] == stamp.pts
            and (self._table.n_segments == 1 or packets.pos[number] == stamp.pos)
        )

    def _number_of(self, stamp: Stamp) -> int | None:
        """Return which packet of the table a packet is; None if none.

        Some program streams give a key its successor's stamp after a seek, so a packet counts as
        known only if stamp and size agree; where the clock restarts, its place too.
        """
        packets = self._table.packets
        alike = np.asarray(packets.size) == stamp.size
        alike &= np.asarray(packets.pts) == stamp.pts
        if stamp.pts == NO_STAMP:
            alike &= np.asarray(packets.dts) == stamp.dts
        if self._table.n_segments > 1:
            alike &= np.asarray(packets.pos) == stamp.pos
        first = int(np.argmax(alike))
        return first if alike[first] else None

    def _row_of(self, number: int) -> int | None:
        """Return the row of a packet's frame; None if it is not shown."""
        rank = int(self._table.rank[number])
        place = int(np.searchsorted(self._hidden_ranks, rank))
        hidden = place < len(self._hidden_ranks) and self._hidden_ranks[place] == rank
        return None if hidden or rank < 0 else rank - place

    def _reopen(self) -> None:
        self._run, self._reached = None, 0
        self._ahead.clear()
        self._film = self._film.reopened("NONE" if self._careful else "AUTO")


def _hidden_ranks(table: FrameTable) -> Ints:
    """Return, in order, the places in display order of the packets that are not shown."""
    hidden = np.ones(len(table.packets), dtype=np.bool_)
    hidden[np.asarray(table.rank)[np.asarray(table.rows)]] = False
    return np.flatnonzero(hidden).astype(np.int64)
