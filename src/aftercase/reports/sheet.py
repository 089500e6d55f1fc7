"""A table as it is shown: columns with their kinds, rows of plain values, and its own words."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Final, Literal

from aftercase.clock import text_of

Value = str | int | float | bool | None
Kind = Literal["text", "moment", "length", "count", "share", "number", "flag"]
"""``moment`` and ``length`` are microseconds, ``share`` is 0..1."""

TIMED: Final = ("moment", "length")
NUMERIC: Final = ("moment", "length", "count", "share", "number")


@dataclass(frozen=True)
class Column:
    """A column of a sheet.

    Attributes:
        name: Its name in a CSV file, without the unit.
        label: Its heading on a page.
        kind: What its values are.
        blank: What a page shows where there is no value.
    """

    name: str
    label: str
    kind: Kind = "text"
    blank: str = "–"


@dataclass(frozen=True)
class Sheet:
    """A table as it is shown.

    Attributes:
        name: Kebab-case, unique on a page.
        title: Its caption.
        columns: Its columns.
        rows: One value for each column; None where there is none.
        notes: Sentences that belong to the numbers.
        empty: The sentence that stands where there are no rows.
    """

    name: str
    title: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[Value, ...], ...]
    notes: tuple[str, ...] = ()
    empty: str = "None."

    def column(self, name: str) -> tuple[Value, ...]:
        """Return a column's values, in the order of the rows."""
        position = [column.name for column in self.columns].index(name)
        return tuple(row[position] for row in self.rows)

    def having(self, name: str, values: tuple[Value, ...]) -> Sheet:
        """Return the sheet with a column's values replaced, one for each row."""
        position = [column.name for column in self.columns].index(name)
        rows = (
            (*row[:position], value, *row[position + 1 :])
            for row, value in zip(self.rows, values, strict=True)
        )
        return replace(self, rows=tuple(rows))

    def only(self, names: str) -> Sheet:
        """Return the sheet with just these of its columns, named in one line, in that order."""
        by_name = {column.name: column for column in self.columns}
        columns = tuple(by_name[name] for name in names.split())
        values = [self.column(column.name) for column in columns]
        return replace(self, columns=columns, rows=tuple(zip(*values, strict=True)))

    @property
    def shows_lengths(self) -> bool:
        """Whether it holds lengths of time, which are no measure of quality."""
        return any(column.kind == "length" for column in self.columns)


_SHOWN: Final[Mapping[str, Callable[..., str]]] = MappingProxyType(
    {
        "text": str,
        "moment": text_of,
        "length": text_of,
        "count": str,
        "share": lambda share: f"{100 * share:.1f} %",
        "number": lambda number: f"{number:.2f}".rstrip("0").rstrip("."),
        "flag": lambda flag: "yes" if flag else "no",
    }
)


def shown(value: Value, column: Column) -> str:
    """Return a value as it stands on a page.

    Example:
        >>> shown(0.125, Column("share", "Share", "share"))
        '12.5 %'
        >>> shown(None, Column("idle", "Idle", "length", blank="not marked"))
        'not marked'
    """
    return column.blank if value is None or value == "" else _SHOWN[column.kind](value)
