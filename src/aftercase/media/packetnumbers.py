"""Which packet of a frame table a packet is that was just read."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from aftercase.media.frametable import NO_STAMP, FrameTable, Stamp
from aftercase.media.packed import Ints

Marks = npt.NDArray[np.uint32]


class PacketNumbers:
    """Find packets again by what they say of themselves.

    Some program streams give a key its successor's stamp after a seek, so a packet counts as known
    only if stamp and size agree; where the clock restarts, its place too.

    Args:
        table: The frames and packets of the file.
    """

    def __init__(self, table: FrameTable) -> None:
        self._table = table
        self._sorted: tuple[Marks, Marks] | None = None

    def number_of(self, stamp: Stamp, expected: int) -> int | None:
        """Return a packet's number; None if it is none of the table.

        Args:
            stamp: What the packet says.
            expected: The number it most likely has.
        """
        return expected if self._is(stamp, expected) else self._found(stamp)

    def _is(self, stamp: Stamp, number: int) -> bool:
        packets = self._table.packets
        return (
            number < len(packets)
            and packets.size[number] == stamp.size
            and packets.pts[number] == stamp.pts
            and (stamp.pts != NO_STAMP or packets.dts[number] == stamp.dts)
            and (self._table.n_segments == 1 or packets.pos[number] == stamp.pos)
        )

    def _found(self, stamp: Stamp) -> int | None:
        if self._sorted is None:
            packets = self._table.packets
            pts, dts = np.asarray(packets.pts), np.asarray(packets.dts)
            marks = _marks(np.where(pts == NO_STAMP, dts, pts), np.asarray(packets.size))
            order = np.argsort(marks, kind="stable").astype(np.uint32)
            self._sorted = marks[order], order
        marks, order = self._sorted
        time = stamp.dts if stamp.pts == NO_STAMP else stamp.pts
        [mark] = _marks(np.array([time]), np.array([stamp.size]))
        first, stop = (int(np.searchsorted(marks, mark, side=side)) for side in ("left", "right"))
        alike = (int(number) for number in order[first:stop])
        return next((number for number in alike if self._is(stamp, number)), None)


def _marks(times: Ints, sizes: Ints) -> Marks:
    """Return a small number for each packet that is mostly its own; large products wrap round."""
    return (times * 1_000_003 + sizes).astype(np.uint32)
