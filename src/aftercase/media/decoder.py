"""Pictures of one file by row: enter at a key, check where that led, decode forward."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import suppress
from functools import partial
from typing import TYPE_CHECKING, Final

import numpy as np

from aftercase.media.container import Film, PacketDamaged
from aftercase.media.frametable import FrameTable
from aftercase.media.packed import Ints
from aftercase.media.packetnumbers import PacketNumbers
from aftercase.media.seekplan import (
    NEAR_FRAMES,
    Entry,
    entries,
    entry_by_key,
    goes_on,
    key_place,
)

if TYPE_CHECKING:
    from av.packet import Packet
    from av.video.frame import VideoFrame
    from av.video.stream import VideoStream

_HELD_AHEAD: Final = 16
"""Frames that may come out before the wanted one where stamps and picture order disagree."""

_FED_BEYOND: Final = 64
"""Packets after its own within which a frame comes out, for any reordering and threads."""

_FED_BEYOND_CAREFUL: Final = 36
"""The same without threads: sixteen reordered frames of two fields each."""

_TRIES: Final = 2
"""Keys to start from before a frame is given up."""

Passing = Callable[[int, "VideoFrame"], None]


class _TooLate(Exception):
    """The seek led behind the key it was meant for."""


class _Hurt(Exception):
    """Decoding with threads met a damaged packet; beside it they lose good pictures."""


def _ignore(row: int, frame: VideoFrame) -> None: ...


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
        self._run: Iterator[tuple[int, VideoFrame] | None] | None = None
        self._entered = 0
        self._fed = 0
        self._overdue = 0
        self._asked = -1
        self._reached = 0
        self._oldest = 0
        self._needed_rank = -1
        self._ahead: dict[int, VideoFrame] = {}
        self._lost: set[int] = set()
        self._keys_with_loss: set[int] = set()
        self._faults: set[int] = set()
        self._steps_back: dict[int, int] = {}
        self._numbers = PacketNumbers(table)

    def __len__(self) -> int:
        return len(self._table)

    def frame(
        self, row: int, passing: Passing = _ignore, n_passing: int | None = None
    ) -> VideoFrame | None:
        """Return a frame, or None where it cannot be decoded.

        Args:
            row: Its place in display order.
            passing: Called with the frames decoded on the way.
            n_passing: So many before it are to pass, None for all; others may be left out.
        """
        if row in self._lost:
            return None
        self._needed_rank = -1 if n_passing is None else self._rank_of(max(0, row - n_passing))
        found = None
        with suppress(_Hurt):
            if self._goes_through(row):
                found = self._read_through(row, passing)
            else:
                found = self._read_on(row, passing) or self._read_anew(row, passing)
        if found is None and not self._careful:
            self._careful = True
            self._reopen()
            found = self._read_anew(row, passing)
        if found is None:
            self._lost.add(row)
            self._keys_with_loss |= {self._key_place(row)} - {-1}
        return found

    def is_doubtful(self, row: int) -> bool:
        """Claim that a frame handed out is from damaged data, or from a frame that was.

        Every frame that shares its key with an earlier damaged packet is meant: it may be wrong
        in part, and nobody can tell.
        """
        if not self._faults:
            return False
        place = self._key_place(row)
        key = int(self._table.keys[place]) if place >= 0 else 0
        return any(key <= fault <= int(self._table.rows[row]) for fault in self._faults)

    def lost_rows(self) -> list[int]:
        """Return, in order, the rows met so far that cannot be decoded."""
        return sorted(self._lost)

    def doubtful_rows(self) -> list[int]:
        """Return, in order, the rows that are doubtful by what was met so far."""
        lost = self._lost
        return [row for row in self._rows_after_faults() if row not in lost]

    def _rows_after_faults(self) -> list[int]:
        ranks, keys = np.asarray(self._table.rank), np.asarray(self._table.keys)
        rows: set[int] = set()
        for fault in self._faults:
            # Leading pictures after the next key still lean on what was before it.
            after = int(np.searchsorted(keys, fault, side="right")) + 1
            stop = int(keys[after]) if after < len(keys) else len(ranks)
            near = (self._row_of(number) for number in range(fault, stop))
            rows |= {row for row in near if row is not None and self.is_doubtful(row)}
        return sorted(rows)

    def is_soon_at(self, row: int) -> bool:
        """Claim that the run under way gives a frame at once, or a few frames on."""
        if row in self._ahead:
            return True
        if self._run is None or self._reached >= len(self):
            return False
        return 0 <= self._rank_of(row) - self._rank_of(self._reached) <= NEAR_FRAMES

    def nearest_key_row(self, row: int) -> int | None:
        """Return the row of the key that is shown nearest to a frame; None where there is none."""
        place = self._key_place(row)
        numbers = self._table.keys[max(0, place) : place + 2]
        near = [found for number in numbers if (found := self._row_of(int(number))) is not None]
        return min(near, key=lambda key_row: abs(key_row - row), default=None)

    def key_frame(self, row: int) -> tuple[int, VideoFrame] | None:
        """Return the row and picture of the key nearest to a frame, decoded on its own.

        That takes as long for any row. The run under way ends.

        Returns:
            None where keys cannot be entered by, or this one's picture does not come.
        """
        key_row = self.nearest_key_row(row)
        if key_row is None:
            return None
        key = int(self._table.rows[key_row])
        entry = entry_by_key(self._table, self._key_place(key_row), self._film.kind.seek_by)
        self._run, self._reached = None, 0
        self._ahead.clear()
        if entry.key != key or entry.by == "start" or not self._film.enter(entry):
            return None
        with suppress(_TooLate, PacketDamaged):
            for frame in self._decoded_alone(entry):
                if frame.pts == key and not frame.is_corrupt:
                    return key_row, frame
        return None

    def _decoded_alone(self, entry: Entry) -> list[VideoFrame]:
        """Return what comes of a key's packets; of two where each may be half of a picture."""
        n_packets = 2 if self._film.facts.may_split_fields else 1
        frames: list[VideoFrame] = []
        for number, packet in self._numbered(entry, entry.key):
            if number is not None and number >= entry.key:
                frames += self._film.decode(packet, number)
                n_packets -= 1
            if not n_packets:
                break
        return frames + self._film.rest()

    def close(self) -> None:
        """Close the film."""
        self._run = None
        self._film.close()

    def _read_on(self, row: int, passing: Passing) -> VideoFrame | None:
        """Return the frame if the run under way has it or gets to it soon."""
        if row in self._ahead:
            self._asked = max(self._asked, row)
            return self._ahead.pop(row)
        if self._run is None or self._reached >= len(self) or row < self._reached:
            return None
        if not goes_on(self._table, self._rank_of(self._reached), self._rank_of(row)):
            return None
        return self._read_to(row, passing)

    def _goes_through(self, row: int) -> bool:
        """Claim that the run under way decodes a key's frames of which one was lost already.

        Then the others come out of it or are lost too, and entering anew would tell nothing: a
        long damaged stretch is decoded a few times, not once for each of its frames.
        """
        place = self._key_place(row)
        if place not in self._keys_with_loss or self._run is None or row <= self._asked:
            return False
        return self._entered <= int(self._table.keys[place]) <= self._fed

    def _read_through(self, row: int, passing: Passing) -> VideoFrame | None:
        """Return the frame if the run under way gives it at all."""
        if row in self._ahead:
            return self._ahead.pop(row)
        overdue = self._fed >= int(self._table.rows[row]) + self._fed_beyond()
        return None if overdue else self._read_to(row, passing)

    def _key_place(self, row: int) -> int:
        return key_place(self._table, self._rank_of(row))

    def _rank_of(self, row: int) -> int:
        return int(self._table.rank[self._table.rows[row]])

    def _fed_beyond(self) -> int:
        return _FED_BEYOND_CAREFUL if self._careful else _FED_BEYOND

    def _read_anew(self, row: int, passing: Passing) -> VideoFrame | None:
        """Return the frame by entering before it, at earlier keys where the first does not do."""
        place = self._key_place(row)
        back = self._steps_back.get(place, 0)
        tries = 0
        last_key: int | None = None
        for steps, entry in enumerate(entries(self._table, place - back, self._film.kind.seek_by)):
            last_key = entry.key if last_key is None else last_key
            try:
                if not self._begin(entry, last_key):
                    continue
                found = self._read_to(row, passing)
            except _TooLate:
                continue
            if found is not None:
                if steps:  # this key does not lead to its own frames; it is not tried again
                    self._steps_back[place] = back + steps
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
        self._run, self._entered, self._fed = self._pictures(entry, last_key), entry.key, entry.key
        return True

    def _read_to(self, row: int, passing: Passing) -> VideoFrame | None:
        """Return the frame from the run under way; None when it has gone past it."""
        assert self._run is not None
        self._asked = row
        self._overdue = int(self._table.rows[row]) + self._fed_beyond()
        for came in self._run:
            if came is None:
                return None
            found, frame = came
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

    def _pictures(self, entry: Entry, last_key: int) -> Iterator[tuple[int, VideoFrame] | None]:
        """Yield rows and frames, and None whenever the wanted frame is overdue.

        Frames shown before the key that was entered by are dropped.
        """
        self._oldest = 0
        for frame in self._frames(entry, last_key):
            if frame is None:
                yield None
                continue
            if frame.pts is None:
                continue
            row = self._row_of(frame.pts)
            if row is not None and self._table.rank[frame.pts] >= self._oldest:
                yield row, frame

    def _frames(self, entry: Entry, last_key: int) -> Iterator[VideoFrame | None]:
        for number, packet in self._numbered(entry, last_key):
            if self._film.is_hurt(packet) and number is not None and not self._joins(number):
                self._note_fault(number)
            is_needless = number is not None and self._is_needless(number)
            decode = partial(self._film.decode, packet, number, is_needless=is_needless)
            yield from self._decoded(number, decode)
            self._fed = self._fed + 1 if number is None else number
            if self._fed >= self._overdue:
                yield None
        yield from self._decoded(None, self._film.rest)

    def _decoded(
        self, number: int | None, decode: Callable[[], list[VideoFrame]]
    ) -> list[VideoFrame]:
        try:
            frames = decode()
        except PacketDamaged:
            if not self._careful:
                raise _Hurt from None
            self._note_fault(number)
            return []
        for frame in frames:
            if frame.is_corrupt:
                self._note_fault(frame.pts)
        return frames

    def _is_needless(self, number: int) -> bool:
        """Claim that a packet's picture is before those asked for, in a film without losses."""
        is_before = int(self._table.rank[number]) < self._needed_rank
        return is_before and not (self._careful or self._faults or self._lost)

    def _joins(self, number: int) -> bool:
        """Claim that a key follows: another take was joined on there, and no data is lost.

        Where data is missing, the container says so one packet early (measured).
        """
        return not self._keys.isdisjoint((number + 1, number + 2))

    def _note_fault(self, number: int | None) -> None:
        if number is not None:
            self._faults.add(number)

    def _numbered(
        self, entry: Entry, last_key: int
    ) -> Iterator[tuple[int | None, Packet[VideoStream]]]:
        """Yield packets with their numbers, from the first known key; None for unknown ones.

        Raises:
            _TooLate: The first known key is after `last_key`, or there is none.
        """
        entered = entry.by == "start"
        expected = 0 if entered else entry.key
        first = int(self._table.keys[0]) if len(self._table.keys) else 0
        for stamp, packet in self._film.packets():
            number = self._numbers.number_of(stamp, expected)
            if number is not None and number < first:
                expected = number + 1
                continue  # nothing can be decoded before the first key
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
