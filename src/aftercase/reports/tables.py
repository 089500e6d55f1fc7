"""Tables as CSV (RFC 4180), as plain text and as data for JSON."""

from __future__ import annotations

import csv
from collections.abc import Iterator
from io import StringIO
from typing import TYPE_CHECKING, Any, Final

from aftercase.clock import text_of, us_to_ms
from aftercase.reports.escape import csv_cell, folded
from aftercase.reports.framesheet import sheet_of
from aftercase.reports.sheet import NUMERIC, TIMED, Column, Sheet, Value, shown

if TYPE_CHECKING:
    from aftercase.metrics.table import Table

BYTE_ORDER_MARK: Final = "\ufeff"
"""Without it spreadsheet programs read UTF-8 as something else."""

SEPARATORS: Final = {"point": ",", "comma": ";"}


def sheet_csv(sheet: Sheet, *, decimal: str = "point") -> bytes:
    """Return a sheet as a CSV file: UTF-8 with mark, CRLF, each time as a text and in whole ms.

    Args:
        sheet: The table.
        decimal: ``point`` (commas between cells) or ``comma`` (semicolons between cells).
    """
    text = StringIO()
    writer = csv.writer(text, delimiter=SEPARATORS[decimal], lineterminator="\r\n")
    writer.writerow([name for column in sheet.columns for name in _names(column)])
    for row in sheet.rows:
        cells = zip(row, sheet.columns, strict=True)
        writer.writerow(
            [cell for value, column in cells for cell in _cells(value, column, decimal)]
        )
    return (BYTE_ORDER_MARK + text.getvalue()).encode()


def table_csv(table: Table, *, decimal: str = "point") -> bytes:
    """Return a measure's table as a CSV file, as `sheet_csv` writes it."""
    return sheet_csv(sheet_of(table), decimal=decimal)


def table_json(table: Table) -> dict[str, Any]:
    """Return a measure's table for JSON: times in whole microseconds, blanks as null."""
    sheet = sheet_of(table)
    names = [str(name) for name in table.frame]
    return {
        "measure": table.name,
        "title": table.title,
        "definition": table.definition,
        "notes": list(table.notes),
        "rows": [dict(zip(names, row, strict=True)) for row in sheet.rows],
    }


def table_text(table: Table) -> str:
    """Return a measure's table as lines of plain text, with its notes and definition under it."""
    sheet = sheet_of(table)
    lines = [[column.label for column in sheet.columns]]
    lines += [
        [folded(shown(value, column)) for value, column in zip(row, sheet.columns, strict=True)]
        for row in sheet.rows
    ]
    widths = [max(map(len, cells)) for cells in zip(*lines, strict=True)]
    numeric = [column.kind in NUMERIC for column in sheet.columns]
    body = [_text_line(line, widths, numeric) for line in lines]
    under = [*sheet.notes, table.definition]
    return "\n".join([table.title, "", *body, "", *map(folded, under)])


def _text_line(cells: list[str], widths: list[int], numeric: list[bool]) -> str:
    padded = (
        cell.rjust(width) if right else cell.ljust(width)
        for cell, width, right in zip(cells, widths, numeric, strict=True)
    )
    return "  ".join(padded).rstrip()


def _names(column: Column) -> Iterator[str]:
    yield column.name
    if column.kind in TIMED:
        yield f"{column.name}_ms"


def _cells(value: Value, column: Column, decimal: str) -> Iterator[str]:
    if column.kind in TIMED:
        yield "" if value is None else _localised(text_of(int(value)), decimal)
        yield "" if value is None else str(us_to_ms(int(value)))
    elif value is None or value == "":
        yield ""
    elif column.kind in NUMERIC:
        yield _localised(repr(value), decimal)
    else:
        yield csv_cell(shown(value, column))


def _localised(number: str, decimal: str) -> str:
    return number.replace(".", ",") if decimal == "comma" else number
