"""Take a table whose frame numbers are those of the case's film."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from aftercase.document.spantable import FrameStart
from aftercase.errors import TableBroken
from aftercase.model.base import NewId
from aftercase.session.films import open_films
from aftercase.session.opened import OpenedCase, open_case
from aftercase.session.places import Places
from aftercase.session.tasks.take_spans import Taken, Taking, rows_of, take_rows


def take_table(case_folder: Path, table: Path, taking: Taking, at: Places, new_id: NewId) -> Taken:
    """Take a table into a person's draft; frame numbers become the starts of the film's frames.

    Raises:
        AftercaseError: As `take_rows` and, where frame numbers need the film, `open_films`.
    """
    opened = open_case(case_folder, at)
    needs_film = taking.columns.unit == "frames" and taking.columns.rate_fps is None
    if needs_film:
        columns = replace(taking.columns, frame_start=_frame_start(opened, at))
        taking = replace(taking, columns=columns)
    return take_rows(opened, rows_of(table), table, taking, new_id)


def _frame_start(opened: OpenedCase, at: Places) -> FrameStart:
    with open_films(opened, at) as recording:
        starts = [*map(int, recording.starts_us()), recording.end_us]

    def start_of(number: int) -> int:
        if number >= len(starts):
            raise TableBroken(f"frame {number} does not exist; the film has {len(starts) - 1}")
        return starts[number]

    return start_of
