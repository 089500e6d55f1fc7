"""Make the example case, with a finished review, and everything that comes of it."""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from aftercase import storage
from aftercase.document.codec import decoded
from aftercase.document.folder import new_review, write_review
from aftercase.edit.review import release
from aftercase.errors import AlreadyThere
from aftercase.media.watch import UNWATCHED, Watch
from aftercase.metrics.measures import MEASURES, measured
from aftercase.metrics.subject import Settings
from aftercase.model.base import NewId
from aftercase.model.review import Review
from aftercase.reports.tables import table_csv
from aftercase.session.opened import OpenedCase, open_case
from aftercase.session.places import Places
from aftercase.session.sample import FILM, HEADER, REVIEW, sample_file
from aftercase.session.tasks.create import Wanted, new_case
from aftercase.session.tasks.critique import Written, write_critique
from aftercase.session.tasks.tabulate import subject_of

CODE: Final = "PE-014"
GUIDE: Final = "cataract-phaco"


@dataclass(frozen=True)
class Demo:
    """Where each output lies.

    Attributes:
        case: The case folder with its film.
        critique: The critique's files and notes.
        tables: One CSV file per measure.
    """

    case: Path
    critique: Written
    tables: tuple[Path, ...]


def make_demo(folder: Path, at: Places, new_id: NewId, *, watch: Watch = UNWATCHED) -> Demo:
    """Make the example case of an invented practice-eye session and write all its outputs.

    Raises:
        AlreadyThere: The folder is there and not empty.
        WriteFailed: The disk is full, read-only or gone.
        WorkCancelled: As asked by `watch`.
    """
    if folder.exists() and any(folder.iterdir()):
        raise AlreadyThere(
            "This folder is not empty.", hint="Give a new folder for the example.", path=folder
        )
    opened = _case_with_review(folder / "case", at, new_id, watch)
    film = opened.folder.path / opened.case.parts[0].path
    settings = Settings()
    critique = write_critique(
        opened.folder.path, folder / "critique", settings, at, film=film, watch=watch
    )
    subject = subject_of(opened, None)
    tables = {
        folder / "tables" / f"{name}.csv": table_csv(measured(name, subject, settings))
        for name in MEASURES
    }
    storage.write_all(tables)
    return Demo(opened.folder.path, critique, tuple(tables))


def _case_with_review(path: Path, at: Places, new_id: NewId, watch: Watch) -> OpenedCase:
    header = json.loads(sample_file(HEADER).read_bytes())
    wanted = Wanted(CODE, GUIDE, films=(sample_file(FILM),), copy_films=True, header=header)
    opened = new_case(path, wanted, at, new_id, watch=watch)
    source = sample_file(REVIEW)
    sample = decoded(Review, source.read_bytes(), source)
    review = release(sample.changed(id=new_id(), case=opened.case.id))
    write_review(opened.folder, new_review(opened.folder, review), review)
    return open_case(path, at)
