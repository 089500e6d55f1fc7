"""Make a case from recordings, or from a stated duration where no film is at hand."""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import ExitStack
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path
from typing import Any, Final

import pydantic

from aftercase import storage
from aftercase.document.codec import broken
from aftercase.document.folder import CaseFolder, create_case
from aftercase.document.guides import guide_named
from aftercase.errors import AlreadyThere, EditRefused
from aftercase.media.recording import open_recording
from aftercase.media.watch import UNWATCHED, Watch
from aftercase.model.base import NewId
from aftercase.model.case import Case, GuideReference, Part, Window, recording_end_us
from aftercase.model.guide import Guide
from aftercase.model.problem import Problem, problems_of
from aftercase.model.rules import case_problems
from aftercase.session.films import part_of
from aftercase.session.locator import remember
from aftercase.session.opened import OpenedCase, open_case
from aftercase.session.places import Places

FILM_FOLDER: Final = "film"
_FROM_THE_START: Final = 0
_OVER_TIME: Final = ("technique", "seat", "turn_deg", "mirrored", "zoom", "machine")


@dataclass(frozen=True)
class Wanted:
    """What a new case is made of.

    Attributes:
        code: Code of the case.
        guide: Id of a guide, or a guide's file.
        films: Files of the recording, in order; none where only a duration is stated.
        duration_us: Stated duration where there is no film.
        from_us: Where the case starts on its film; the film's start where None.
        to_us: Where it ends; the film's end where None.
        copy_films: Whether the films are copied into the case folder.
        header: Further header fields by name; those that may change over time as one value.
    """

    code: str
    guide: str
    films: tuple[Path, ...] = ()
    duration_us: int | None = None
    from_us: int | None = None
    to_us: int | None = None
    copy_films: bool = False
    header: Mapping[str, Any] = field(default_factory=dict)


def new_case(
    path: Path, wanted: Wanted, at: Places, new_id: NewId, *, watch: Watch = UNWATCHED
) -> OpenedCase:
    """Make a case folder; films are referenced where they lie, or copied when asked.

    Raises:
        AlreadyThere: There is a case in that folder.
        NameUnknown: There is no such guide.
        DocumentBroken: The guide is broken.
        RecordingMissing, RecordingRefused, RecordingUnreadable: A film cannot be taken.
        EditRefused: A header field breaks its rule.
        WriteFailed: The disk is full, read-only or gone.
        WorkCancelled: As asked by `watch`; nothing is left.
    """
    folder = CaseFolder(path, at.drafts)
    if folder.case_file.exists():
        raise AlreadyThere(
            "There is a case in this folder already.", hint="Give a new folder.", path=path
        )
    guide = guide_named(wanted.guide, at.own_guides)
    films = wanted.films
    parts = _parts(folder, films, new_id, watch) if films else ()
    case = _case(wanted, guide, parts, new_id)
    if faults := case_problems(case, guide):
        raise _refused(faults)
    copies = _copied(folder, films, parts, watch) if wanted.copy_films else {}
    checked = case.changed(parts=tuple(copies.get(part.id, part) for part in parts))
    if films and not copies:
        places = {part.id: film for part, film in zip(parts, films, strict=True)}
        remember(at.locator, case.id, places)
    create_case(folder, checked, guide)
    return open_case(path, at)


def _parts(
    folder: CaseFolder, films: tuple[Path, ...], new_id: NewId, watch: Watch
) -> tuple[Part, ...]:
    with open_recording(films, watch=watch) as recording:
        return tuple(
            part_of(facts, new_id(), _name_in(folder, film), None)
            for facts, film in zip(recording.facts, films, strict=True)
        )


def _name_in(folder: CaseFolder, film: Path) -> str:
    """Return a film's name relative to the case folder if it lies in it, else its bare name."""
    try:
        return film.resolve().relative_to(folder.path.resolve()).as_posix()
    except ValueError:
        return film.name


def _copied(
    folder: CaseFolder, films: tuple[Path, ...], parts: tuple[Part, ...], watch: Watch
) -> dict[str, Part]:
    """Copy films into the case folder; returns the parts as they are then, by id."""
    total, done = sum(part.size_bytes for part in parts), 0
    copies: dict[str, Part] = {}
    with ExitStack() as taken_back:
        for number, (film, part) in enumerate(zip(films, parts, strict=True), start=1):
            name = f"{FILM_FOLDER}/{number:02d}-{film.name}"
            target = folder.path / name
            progress = partial(_step, watch, done, total)
            digest = storage.copy_film(film, target, progress=progress)
            taken_back.callback(storage.remove_files, [target])
            copies[part.id] = part.changed(path=name, sha256=digest)
            done += part.size_bytes
        taken_back.pop_all()
    return copies


def _step(watch: Watch, before: int, total: int, done: int) -> None:
    watch.step(before + done, total)


def _case(wanted: Wanted, guide: Guide, parts: tuple[Part, ...], new_id: NewId) -> Case:
    header = {name: _since(name, value) for name, value in wanted.header.items()}
    header.setdefault("setting", guide.default_setting)
    fields = {
        "id": new_id(),
        "code": wanted.code,
        "guide": GuideReference(id=guide.id, guide_version=guide.guide_version),
        "parts": parts,
        "stated_duration_us": wanted.duration_us,
        **header,
    }
    try:
        case = Case.model_validate(fields)
    except pydantic.ValidationError as error:
        raise _refused(problems_of(error)) from error
    if wanted.from_us is None and wanted.to_us is None:
        return case
    end_us = recording_end_us(case) if wanted.to_us is None else wanted.to_us
    return case.changed(window=Window(start_us=wanted.from_us or 0, end_us=end_us))


def _since(name: str, value: Any) -> Any:
    return [{"from_us": _FROM_THE_START, "value": value}] if name in _OVER_TIME else value


def _refused(faults: list[Problem]) -> EditRefused:
    listed = broken(faults, Path("case.json")).message.partition("\n")[2]
    return EditRefused(f"The case was not made:\n{listed}", hint="Mend the named fields.")
