"""Tables of spans or labels that people bring along: CSV in, rows with exact times out."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from pathlib import Path
from typing import Final

from aftercase.clock import (
    frame_number_from_code,
    seconds_to_us,
    text_of,
    us_from_text,
)
from aftercase.errors import AftercaseError, TableBroken

UNITS: Final = ("seconds", "frames")
DELIMITERS: Final = (",", ";", "\t")

_CODE = re.compile(r"\d{1,2}:\d{2}:\d{2}[:;]\d{1,2}", re.ASCII)
_MOST_FIELD_BYTES: Final = 2_000_000

FrameStart = Callable[[int], int]
"""The start in microseconds of a frame, by its 0-based number."""


@dataclass(frozen=True)
class TableRow:
    """A row of a table as text, by column name.

    Attributes:
        line: Line of the file it starts on, 1-based.
        fields: Column name to text, without surrounding space.
    """

    line: int
    fields: Mapping[str, str]


@dataclass(frozen=True)
class SpanRow:
    """A row with its times.

    Attributes:
        row: The row as text.
        start_us: Where it starts, as given.
        end_us: Where it ends, as given; None where the table gives starts only.
    """

    row: TableRow
    start_us: int
    end_us: int | None


@dataclass(frozen=True)
class RowFault:
    """A row that cannot be taken in, and why."""

    line: int
    what: str

    def __str__(self) -> str:
        return f"line {self.line}: {self.what}"


@dataclass(frozen=True)
class TimeColumns:
    """How a table gives its times.

    Attributes:
        start: Column of the starts.
        end: Column of the ends; None where the table gives starts only.
        unit: ``seconds`` (also clock times and time codes) or ``frames``.
        rate_fps: Frames per second, for time codes and for frames without a film.
        first_frame: Number of the first frame, 0 or 1.
        frame_start: Start of a frame of the film; worked out from the rate where None.
    """

    start: str = "start"
    end: str | None = "end"
    unit: str = "seconds"
    rate_fps: Fraction | None = None
    first_frame: int = 0
    frame_start: FrameStart | None = None


def read_table(content: bytes, path: Path) -> list[TableRow]:
    """Read a CSV table with a header line; comma, semicolon or tab, with or without BOM.

    Raises:
        TableBroken: It is empty, no text, has no header, or a quote is never closed.
    """
    text = _text_of(content, path)
    header = text.partition("\n")[0]
    delimiter = max(DELIMITERS, key=header.count)
    csv.field_size_limit(_MOST_FIELD_BYTES)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    try:
        names = [name.strip() for name in next(reader, [])]
        if not any(names):
            raise TableBroken("This table is empty.", hint="Give a table with a header.", path=path)
        rows, line = [], reader.line_num
        for cells in reader:
            if any(cell.strip() for cell in cells):
                fields = {name: cell.strip() for name, cell in zip(names, cells, strict=False)}
                rows.append(TableRow(line + 1, fields))
            line = reader.line_num
    except csv.Error as error:
        raise TableBroken(
            f"Line {reader.line_num} of this table cannot be read: {error}.",
            hint="Save it again as CSV.",
            path=path,
        ) from error
    return rows


def require_columns(rows: Iterable[TableRow], names: Iterable[str], path: Path) -> None:
    """Refuse a table that lacks a column.

    Raises:
        TableBroken: One is missing; those that are there are named.
    """
    first = next(iter(rows), None)
    missing = [name for name in names if first is not None and name not in first.fields]
    if first is not None and missing:
        raise TableBroken(
            f"This table has no column “{missing[0]}”.",
            hint=f"Its columns are {', '.join(first.fields)}.",
            path=path,
        )


def timed(rows: Iterable[TableRow], columns: TimeColumns) -> tuple[list[SpanRow], list[RowFault]]:
    """Read the times of rows; a row that cannot be read, or ends before it starts, is a fault.

    Returns:
        The good rows and the faults, each in the order of the file.
    """
    good: list[SpanRow] = []
    faults: list[RowFault] = []
    for row in rows:
        try:
            good.append(_timed_row(row, columns))
        except AftercaseError as error:
            faults.append(RowFault(row.line, error.message))
    return good, faults


def until_next(rows: Iterable[SpanRow], end_us: int) -> tuple[list[SpanRow], list[RowFault]]:
    """Let each row last until the next one starts, the last until the recording ends.

    Of rows that start at the same moment only the last of the file has a length; the others are
    faults.

    Args:
        rows: Rows in any order.
        end_us: Where the recording ends.
    """
    ordered = sorted(rows, key=lambda row: (row.start_us, row.row.line))
    ends = [row.start_us for row in ordered[1:]] + [end_us]
    good, faults = [], []
    for row, end in zip(ordered, ends, strict=True):
        if end > row.start_us:
            good.append(replace(row, end_us=end))
        else:
            faults.append(
                RowFault(row.row.line, f"nothing lies between its start and {text_of(end)}")
            )
    return good, faults


def _timed_row(row: TableRow, columns: TimeColumns) -> SpanRow:
    start_us = _moment(row.fields.get(columns.start, ""), columns)
    end_text = row.fields.get(columns.end, "") if columns.end else ""
    end_us = _moment(end_text, columns) if end_text else None
    if end_us is not None and end_us <= start_us:
        raise TableBroken(f"it ends at {text_of(end_us)}, not after its start {text_of(start_us)}")
    return SpanRow(row, start_us, end_us)


def _moment(text: str, columns: TimeColumns) -> int:
    if columns.unit == "frames":
        return _start_of(_whole_number(text) - columns.first_frame, columns)
    if _CODE.fullmatch(text):
        if columns.rate_fps is None:
            raise TableBroken("a time code needs the frames per second")
        return _start_of(frame_number_from_code(text, columns.rate_fps), columns)
    return us_from_text(text)


def _whole_number(text: str) -> int:
    try:
        return int(text)
    except ValueError:
        raise TableBroken(f"“{text}” is no frame number") from None


def _start_of(number: int, columns: TimeColumns) -> int:
    if number < 0:
        raise TableBroken(f"frame {number} does not exist")
    if columns.frame_start is not None:
        return columns.frame_start(number)
    if columns.rate_fps is None:
        raise TableBroken("frame numbers need a film or the frames per second")
    return seconds_to_us(number / columns.rate_fps)


def _text_of(content: bytes, path: Path) -> str:
    for encoding in ("utf-8-sig", "utf-16") if content[:2] in _UTF16_MARKS else ("utf-8-sig",):
        try:
            return content.decode(encoding)
        except UnicodeDecodeError:
            continue
    raise TableBroken("This table is no UTF-8 text.", hint="Save it as CSV in UTF-8.", path=path)


_UTF16_MARKS: Final = (b"\xff\xfe", b"\xfe\xff")
