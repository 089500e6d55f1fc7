"""Columns of integers that take one or two bytes a row, as they are held and as they are kept.

Stamps, orders and places rise almost evenly. So a column is an even rise, worked out, and what
each row differs from it, in the narrowest integers that hold it. A regular film of ten hours at
sixty frames a second is held in a third of the memory its plain table takes.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Final, Self, overload

import numpy as np
import numpy.typing as npt

Ints = npt.NDArray[np.int64]
Rests = npt.NDArray[np.unsignedinteger[Any]]

WIDTHS: Final = (0, 1, 2, 4, 8)
"""Bytes a row may take; 0 where all rows differ by the same from the even rise."""

_SAFE: Final = 2**62


@dataclass(frozen=True, slots=True, eq=False)
class Packed:
    """A column that reads like a one-dimensional int64 array and is a sequence.

    Row `i` is ``base + i * rise // over + unit * rests[i]``.

    Args:
        base: Where the even rise starts.
        rise: What it rises by in `over` rows.
        over: At least 1.
        unit: What one rest counts, at least 1.
        rests: Unsigned, one a row.

    Example:
        >>> steps = Packed.of(np.arange(0, 90_000, 3_000))
        >>> steps[3], steps[np.array([1, 2])].tolist(), steps.nbytes
        (9000, [3000, 6000], 0)
    """

    base: int
    rise: int
    over: int
    unit: int
    rests: Rests

    @classmethod
    def of(cls, values: Ints) -> Self:
        """Return the smallest of several packings of a column."""
        packings = (cls._along(values, *line) for line in _lines(values))
        return min(packings, key=lambda packed: packed.nbytes)

    @classmethod
    def _along(cls, values: Ints, rise: int, over: int) -> Self:
        """Return a column as what it differs by from one even rise."""
        rests = values - np.arange(len(values), dtype=np.int64) * rise // over
        base = int(rests.min()) if len(rests) else 0
        # Unsigned, the difference is right even where it is more than 63 bits.
        above = rests.view(np.uint64) - _unsigned(base)
        unit = max(1, int(np.gcd.reduce(above))) if len(above) else 1
        above //= np.uint64(unit)
        most = int(above.max()) if len(above) else 0
        width = next(width for width in WIDTHS if most < 256**width)
        narrow = above.astype(f"<u{width}").tobytes() if width else b""
        return cls(base, rise, over, unit, rests_of(narrow, width, len(values)))

    @property
    def width(self) -> int:
        """Bytes a row takes."""
        return self.rests.itemsize if self.rests.strides != (0,) else 0

    @property
    def nbytes(self) -> int:
        """Bytes all rows take."""
        return self.width * len(self.rests)

    def __len__(self) -> int:
        return len(self.rests)

    @overload
    def __getitem__(self, where: int) -> int: ...

    @overload
    def __getitem__(self, where: Ints | slice) -> Ints: ...

    def __getitem__(self, where: int | Ints | slice) -> int | Ints:
        if isinstance(where, slice):
            where = np.arange(len(self), dtype=np.int64)[where]
        if isinstance(where, np.ndarray) and where.ndim:
            return self._rows(where)
        row = int(where) + (len(self) if where < 0 else 0)
        return self.base + row * self.rise // self.over + self.unit * int(self.rests[row])

    def __iter__(self) -> Iterator[int]:
        return iter(self.tolist())

    def __array__(self, dtype: Any = None, copy: bool | None = None) -> npt.NDArray[Any]:
        return self._rows(np.arange(len(self), dtype=np.int64)).astype(dtype or np.int64)

    def tolist(self) -> list[int]:
        """Return the column as a list."""
        whole: list[int] = np.asarray(self).tolist()
        return whole

    def _rows(self, where: Ints) -> Ints:
        where = np.where(where < 0, where + len(self), where)
        rests = self.rests[where].astype(np.uint64) * np.uint64(self.unit)
        rests += _unsigned(self.base)
        rows: Ints = rests.view(np.int64) + where * self.rise // self.over
        return rows


def sound_rise(base: int, rise: int, over: int, unit: int) -> tuple[int, int, int, int]:
    """Return the numbers of an even rise read from a file, as they are.

    Raises:
        ValueError: They are not such numbers.
    """
    whole = all(type(number) is int for number in (base, rise, over, unit))
    if not whole or not (-(2**63) <= base < 2**63 and abs(rise) < _SAFE and 0 < unit < 2**64):
        raise ValueError("a column's even rise is out of bounds")
    if not 0 < over < _SAFE:
        raise ValueError("a column rises over no rows")
    return base, rise, over, unit


def rests_of(content: bytes | memoryview, width: int, n_rows: int) -> Rests:
    """Return rests from their bytes, little end first; those of width 0 take no memory at all."""
    if width == 0:
        return np.broadcast_to(np.zeros((), np.uint8), (n_rows,))
    return np.frombuffer(content, f"<u{width}", n_rows)


def _lines(values: Ints) -> Iterator[tuple[int, int]]:
    """Yield even rises a column may lie along, each as (rise, in how many rows)."""
    yield 0, 1
    if len(values) < 2 or values.min() < -_SAFE or values.max() > _SAFE:
        return
    steps = np.diff(values)
    for rise, over in (
        (int(np.median(steps)), 1),
        (int(values[-1]) - int(values[0]), len(values) - 1),
    ):
        if abs(rise) * len(values) < _SAFE:
            yield rise, over


def _unsigned(value: int) -> np.uint64:
    return np.uint64(value % 2**64)


Column = Ints | Packed
"""Integers by row, plain or packed; `np.asarray` gives them plain."""


def packed_column(column: Column) -> Packed:
    """Return a column packed."""
    return column if isinstance(column, Packed) else Packed.of(column)
