"""Take one table that holds many cases, one review in each."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from pathlib import Path

from aftercase.document.folder import CASE_FILE
from aftercase.document.spantable import TableRow, TimeColumns, require_columns, timed
from aftercase.errors import AlreadyThere, TableBroken
from aftercase.media.watch import UNWATCHED, Watch
from aftercase.model.base import NewId
from aftercase.session.opened import open_case
from aftercase.session.places import Places
from aftercase.session.tasks.create import Wanted, new_case
from aftercase.session.tasks.take_spans import Taken, Taking, rows_of, take_rows


@dataclass(frozen=True)
class Lengths:
    """A table with the length of each case, in the unit of the spans.

    Attributes:
        rows: Its rows; the column that names cases has the same name as in the table of spans.
        column: Its column of lengths.
    """

    rows: list[TableRow]
    column: str


def take_cases(
    folder: Path,
    table: Path,
    taking: Taking,
    case_column: str,
    guide: str,
    at: Places,
    new_id: NewId,
    *,
    lengths: Lengths | None = None,
    watch: Watch = UNWATCHED,
) -> dict[str, Taken]:
    """Take each case's rows into its folder, making cases that are not there yet.

    Args:
        folder: Folder that holds or will hold a folder per case.
        table: The table of spans.
        taking: How its rows are taken.
        case_column: Column that names the case.
        guide: Guide of the cases that are made.
        at: The program's places.
        new_id: Source of ids.
        lengths: Lengths of the cases that are made; the last end of each where left out.
        watch: Told of cases done.

    Returns:
        What came of each case, in the order of the table.

    Raises:
        AlreadyThere: The folder is itself a case.
        TableBroken: The table cannot be read, a case has no length, or faulty rows are not to be
            skipped; cases that came before stay as they were taken in.
    """
    if (folder / CASE_FILE).exists():
        raise AlreadyThere(
            "This is a case, not a folder of cases.",
            hint="Give the folder the cases lie in, or will lie in.",
            path=folder,
        )
    rows = rows_of(table)
    require_columns(rows, (case_column,), table)
    by_case: dict[str, list[TableRow]] = {}
    for row in rows:
        by_case.setdefault(row.fields[case_column], []).append(row)
    known = {} if lengths is None else _lengths_us(lengths, case_column, taking.columns, table)
    taken = {}
    for done, (code, own) in enumerate(by_case.items(), start=1):
        path = folder / _folder_name(code)
        if not (path / CASE_FILE).exists():
            length_us = known[code] if code in known else _last_end_us(own, taking, code, table)
            wanted = Wanted(code=_folder_name(code), guide=guide, duration_us=length_us)
            new_case(path, wanted, at, new_id)
        taken[code] = take_rows(open_case(path, at), own, table, taking, new_id)
        watch.step(done, len(by_case))
    return taken


def _lengths_us(
    lengths: Lengths, case_column: str, columns: TimeColumns, table: Path
) -> dict[str, int]:
    require_columns(lengths.rows, (case_column, lengths.column), table)
    starts_only = replace(columns, start=lengths.column, end=None)
    read, faults = timed(lengths.rows, starts_only)
    if faults:
        raise TableBroken(f"A length cannot be read: {faults[0]}", path=table)
    return {one.row.fields[case_column]: one.start_us for one in read}


def _last_end_us(rows: list[TableRow], taking: Taking, code: str, table: Path) -> int:
    read, _ = timed(rows, taking.columns)
    ends = [one.end_us for one in read if one.end_us is not None]
    if not ends:
        raise TableBroken(
            f"Case {code} has no length: the table has starts only.",
            hint="Give a table of lengths with --lengths.",
            path=table,
        )
    return max(ends)


def _folder_name(code: str) -> str:
    """Return a case's code as a safe name of a folder."""
    return re.sub(r"[^A-Za-z0-9_-]+", "-", code).strip("-_")[:40] or "case"
