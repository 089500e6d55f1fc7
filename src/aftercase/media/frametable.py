"""When each frame of one file is shown, worked out from its packets alone.

Nothing here decodes or opens anything: packets in, integer times out. Two orders occur: packets
are *numbered* in file order, frames are *rows* in display order. Neither is ever written to a
file; a frame is known outside by its start in microseconds.
"""

from __future__ import annotations

from array import array
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Final, NamedTuple

import numpy as np
import numpy.typing as npt

from aftercase.clock import SECOND_US, text_of, ticks_to_us
from aftercase.errors import TimeOutside
from aftercase.media.packed import Column, Ints, Packed

Flags = npt.NDArray[np.bool_]

NO_STAMP: Final = -(2**63)
"""Stands for a missing stamp; any other value, negative ones too, is a stamp."""

_SAFE: Final = 2**62
RESTART_S: Final = 10
"""A step of the decoding clock longer than this starts a new segment, where kinds allow it."""


class Stamp(NamedTuple):
    """What a container says about one packet; stamps and duration in ticks, `pos` in bytes."""

    pts: int
    dts: int
    size: int
    pos: int
    duration: int
    key: bool
    discard: bool


@dataclass(frozen=True, slots=True, eq=False)
class PacketTable:
    """The packets of one stream in file order, a column each; see `Stamp`."""

    pts: Ints
    dts: Ints
    size: Ints
    pos: Ints
    duration: Ints
    key: Flags
    discard: Flags

    @classmethod
    def of(cls, stamps: Iterable[Stamp]) -> PacketTable:
        """Return the table of packets given in file order."""
        flat = array("q")
        for stamp in stamps:
            flat.extend(stamp)
        columns = np.array(flat, dtype=np.int64).reshape(-1, len(Stamp._fields)).T
        pts, dts, size, pos, duration, key, discard = columns
        return cls(pts, dts, size, pos, duration, key != 0, discard != 0)

    def __len__(self) -> int:
        return len(self.pts)


@dataclass(frozen=True, slots=True, eq=False)
class PackedPackets:
    """What finding one's way needs of a `PacketTable`, in little memory."""

    pts: Packed
    dts: Packed
    size: Packed
    pos: Packed

    def __len__(self) -> int:
        return len(self.pts)


@dataclass(frozen=True, slots=True, eq=False)
class ShownTimes:
    """The times of frames in display order: frame `row` is shown in `[starts[row], starts[row+1])`.

    Args:
        starts_us: Strictly increasing int64.
        end_us: Where the last frame ends, exclusive.
    """

    starts_us: Ints
    end_us: int

    def __len__(self) -> int:
        return len(self.starts_us)

    def start_us(self, row: int) -> int:
        """Return when a frame appears."""
        return int(self.starts_us[row])

    def stop_us(self, row: int) -> int:
        """Return when a frame is replaced by the next, or the film ends."""
        return int(self.starts_us[row + 1]) if row + 1 < len(self) else self.end_us

    def row_at(self, us: int) -> int:
        """Return the row of the frame shown at a moment.

        Raises:
            TimeOutside: The moment is before the first frame, or at or after the end.
        """
        row = int(np.searchsorted(self.starts_us, us, side="right")) - 1
        if row < 0 or us >= self.end_us:
            raise TimeOutside(f"No frame is shown at {text_of(us)}.")
        return row

    def rows_in(self, start_us: int, end_us: int) -> range:
        """Return the rows of all frames shown at some moment of `[start_us, end_us)`."""
        if start_us >= end_us or start_us >= self.end_us:
            return range(0)
        first = max(0, int(np.searchsorted(self.starts_us, start_us, side="right")) - 1)
        return range(first, int(np.searchsorted(self.starts_us, end_us, side="left")))


@dataclass(frozen=True, slots=True, eq=False)
class FrameTable:
    """The frames of one file in display order, and the packets they come from.

    Args:
        packets: All packets, in file order.
        time_base: Seconds per tick.
        rank: For each packet its place in display order, hidden ones included; -1 for none.
        rows: For each frame the number of its packet.
        ticks: For each frame its stamp, not falling; restarts of the clock are taken out.
        end_tick: Where the last frame ends.
        keys: Numbers of the packets decoding can start from, in file order.
        n_segments: 1, or more where the clock restarts within the file.
        stamped: The file says when each frame is shown; else some were counted.
    """

    packets: PacketTable | PackedPackets
    time_base: Fraction
    rank: Column
    rows: Column
    ticks: Column
    end_tick: int
    keys: Ints
    n_segments: int
    stamped: bool

    def __len__(self) -> int:
        return len(self.rows)

    @property
    def first_pts(self) -> int:
        """Return the stamp of the first shown frame."""
        return int(self.ticks[0])

    def shown(self, first_pts: int, start_us: int = 0) -> ShownTimes:
        """Return the frames' times on a clock where the stamp `first_pts` reads `start_us`.

        Where stamps are equal, the later frame is shown one microsecond after the earlier.
        """
        local = us_of_ticks(np.append(self.ticks, self.end_tick) - first_pts, self.time_base)
        times = rising(local + start_us)
        return ShownTimes(times[:-1], int(times[-1]))


def us_of_ticks(ticks: Ints, time_base: Fraction) -> Ints:
    """Return ticks as microseconds, by ceiling; exact for every result that fits 64 bits.

    Example:
        >>> us_of_ticks(np.array([0, 1, 2, -1]), Fraction(1001, 30000)).tolist()
        [0, 33367, 66734, -33366]
    """
    factor = time_base * SECOND_US
    if factor.numerator * factor.denominator > _SAFE:
        return np.array([ticks_to_us(int(tick), time_base) for tick in ticks], dtype=np.int64)
    whole, rest = np.divmod(ticks, factor.denominator)
    us: Ints = whole * factor.numerator - (-rest * factor.numerator) // factor.denominator
    return us


def rising(times: Ints) -> Ints:
    """Return times raised to one more than the time before where they are not later.

    Example:
        >>> rising(np.array([0, 40, 40, 40, 80])).tolist()
        [0, 40, 41, 42, 80]
    """
    places = np.arange(len(times), dtype=np.int64)
    raised: Ints = np.maximum.accumulate(times - places) + places
    return raised


def median_step(ticks: Ints, otherwise: int) -> int:
    """Return the (lower) median of the positive steps; `otherwise` where there is none."""
    steps = np.diff(ticks)
    steps = np.sort(steps[steps > 0])
    return int(steps[(len(steps) - 1) // 2]) if len(steps) else otherwise


def segments_of(packets: PacketTable, time_base: Fraction) -> Ints:
    """Return for each packet the number of the stretch of unbroken decoding clock it is in."""
    known = packets.dts != NO_STAMP
    if not known.any():
        return np.zeros(len(packets), dtype=np.int64)
    last_known = np.maximum.accumulate(np.where(known, np.arange(len(packets)), -1))
    clock = packets.dts[np.where(last_known < 0, np.argmax(known), last_known)]
    steps = np.diff(clock, prepend=clock[:1])
    return np.cumsum((steps < 0) | (steps > RESTART_S / time_base)).astype(np.int64)


def stamped_table(
    packets: PacketTable, time_base: Fraction, *, clock_may_restart: bool, step_ticks: int
) -> FrameTable:
    """Return the frames of a file whose packets all say when they are shown.

    Left out are packets marked to be discarded, packets before the first key of their segment
    and pictures shown before that key: they cannot be decoded, or the file hides them.

    Args:
        packets: All packets in file order, each with a pts.
        time_base: Seconds per tick.
        clock_may_restart: Whether a jump of the clock means a restart and not a held frame.
        step_ticks: Length of a frame where neither packet nor neighbours tell.
    """
    segment = (
        segments_of(packets, time_base)
        if clock_may_restart
        else np.zeros(len(packets), dtype=np.int64)
    )
    keys = _entry_packets(packets, segment)
    display = np.lexsort((packets.pts, segment))
    rank = np.empty(len(packets), dtype=np.int64)
    rank[display] = np.arange(len(packets))
    first_keys = keys[np.searchsorted(segment[keys], np.arange(int(segment[-1]) + 1))]
    entry = first_keys[segment]
    numbers = np.arange(len(packets))
    shown = ~packets.discard & (numbers >= entry) & (rank >= rank[entry])
    rows = display[shown[display]]
    ticks, end_tick = _joined(packets, rows, segment[rows], step_ticks)
    return FrameTable(
        packets, time_base, rank, rows, ticks, end_tick, keys, int(segment[-1]) + 1, True
    )


def counted_table(
    packets: PacketTable,
    time_base: Fraction,
    order: Sequence[int],
    *,
    step_ticks: int,
    believed: bool = True,
) -> FrameTable:
    """Return the frames of a file some of whose packets do not say when they are shown.

    Args:
        packets: All packets in file order.
        time_base: Seconds per tick.
        order: Numbers of the packets whose pictures came out of the decoder, as they came. Beside
            damage one can come twice; the first is its picture.
        step_ticks: Length of a frame where packets do not tell.
        believed: False where the stamps are not of the picture in the packet; each picture in
            turn then takes the next decoding stamp.
    """
    rows = np.array(list(dict.fromkeys(order)), dtype=np.int64)
    rank = np.full(len(packets), -1, dtype=np.int64)
    rank[rows] = np.arange(len(rows))
    keys = np.flatnonzero(packets.key & (rank >= 0)).astype(np.int64)
    known = (packets.pts[rows] != NO_STAMP) & believed
    if not known.any() and (packets.dts[rows] != NO_STAMP).all():
        ticks = np.sort(packets.dts[rows])
    else:
        ticks = _filled(packets.pts[rows], known, step_ticks)
    end_tick = int(ticks[-1]) + median_step(ticks, step_ticks) if len(rows) else 0
    return FrameTable(packets, time_base, rank, rows, ticks, end_tick, keys, 1, bool(known.all()))


def _filled(pts: Ints, known: Flags, step_ticks: int) -> Ints:
    """Return stamps with the missing ones a step each from the known one before, or after."""
    places = np.arange(len(pts))
    anchor = np.maximum.accumulate(np.where(known, places, -1))
    anchor[anchor < 0] = np.argmax(known)
    start = np.where(known.any(), pts[anchor], 0)
    filled: Ints = np.maximum.accumulate(start + (places - anchor) * step_ticks)
    return filled


def _entry_packets(packets: PacketTable, segment: Ints) -> Ints:
    """Return the numbers of key packets; of a segment without any, its first packet."""
    numbers = np.flatnonzero(packets.key)
    first = np.flatnonzero(np.diff(segment, prepend=-1))
    keyless = np.setdiff1d(segment[first], segment[numbers])
    return np.sort(np.concatenate([numbers, first[keyless]])).astype(np.int64)


def _joined(packets: PacketTable, rows: Ints, segment: Ints, step_ticks: int) -> tuple[Ints, int]:
    """Return the rows' stamps with each segment starting where the one before ends, and the end."""
    ticks = packets.pts[rows].copy()
    end_tick = int(ticks[0]) if len(rows) else 0
    for number in np.unique(segment):
        inside = np.flatnonzero(segment == number)
        if number != segment[0]:
            ticks[inside] += end_tick - ticks[inside[0]]
        duration = int(packets.duration[rows[inside[-1]]])
        length = duration if duration > 0 else median_step(ticks[inside], step_ticks)
        end_tick = int(ticks[inside[-1]]) + length
    return ticks, end_tick
