"""Make a case from recordings, or from a stated duration where no film is at hand."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from contextlib import ExitStack
from dataclasses import dataclass, field, replace
from functools import partial
from pathlib import Path
from typing import Any, Final

import pydantic

from aftercase import storage
from aftercase.document.codec import broken
from aftercase.document.folder import CaseFolder, create_case
from aftercase.document.guides import guide_named
from aftercase.errors import AlreadyThere, EditRefused
from aftercase.media.container import open_film
from aftercase.media.parts import PartFacts
from aftercase.media.tablecache import move_kept_tables
from aftercase.media.watch import UNWATCHED, Watch
from aftercase.model.base import ID_LENGTH, NewId
from aftercase.model.case import Case, GuideReference, Part, Window, recording_end_us
from aftercase.model.guide import Guide
from aftercase.model.problem import Problem, problems_of
from aftercase.model.rules import case_problems
from aftercase.session.caches import cache_folder
from aftercase.session.films import part_of
from aftercase.session.locator import remember
from aftercase.session.opened import OpenedCase, open_case
from aftercase.session.places import Places
from aftercase.session.tasks.intake import proven_digest
from aftercase.session.tasks.parts import FilmFile, Gathered, PartsSeen, gather_films, look_over

FILM_FOLDER: Final = "film"
_FROM_THE_START: Final = 0
_OVER_TIME: Final = ("technique", "seat", "turn_deg", "mirrored", "zoom", "machine")


@dataclass(frozen=True)
class Wanted:
    """What a new case is made of.

    Attributes:
        code: Code of the case.
        guide: Id of a guide, or a guide's file.
        films: Files of the recording, in order, or folders that hold them; none where only a
            duration is stated.
        order: Positions, from 1, of the films to take in the order they are to play; all as they
            come where empty.
        together: Whether films found in folders are one recording even if they do not seem so.
        duration_us: Stated duration where there is no film.
        from_us: Where the case starts on its film; the film's start where None.
        to_us: Where it ends; the film's end where None.
        copy_films: Whether the films are copied into the case folder.
        header: Further header fields by name; those that may change over time as one value.
    """

    code: str
    guide: str
    films: tuple[Path, ...] = ()
    order: tuple[int, ...] = ()
    together: bool = False
    duration_us: int | None = None
    from_us: int | None = None
    to_us: int | None = None
    copy_films: bool = False
    header: Mapping[str, Any] = field(default_factory=dict)


def new_case(
    path: Path,
    wanted: Wanted,
    at: Places,
    new_id: NewId,
    *,
    told: Callable[[PartsSeen], None] = lambda seen: None,
    watch: Watch = UNWATCHED,
) -> OpenedCase:
    """Make a case folder; films are referenced where they lie, or copied when asked.

    Args:
        path: The folder.
        wanted: What the case is made of.
        at: The program's folders.
        new_id: Source of ids.
        told: Called with the parts in order and what was found of them, before anything is made.
        watch: Told of bytes read; may stop the work.

    Raises:
        AlreadyThere: There is a case in that folder.
        NameUnknown: There is no such guide.
        DocumentBroken: The guide is broken.
        RecordingMissing, RecordingRefused, RecordingUnreadable: A film cannot be taken.
        EditRefused: A header field breaks its rule, or films found in a folder seem to be of
            several recordings.
        WriteFailed: The disk is full, read-only or gone.
        WorkCancelled: As asked by `watch`; nothing is left.
    """
    folder = CaseFolder(path, at.drafts)
    if folder.case_file.exists():
        raise AlreadyThere(
            "There is a case in this folder already.", hint="Give a new folder.", path=path
        )
    guide = guide_named(wanted.guide, at.own_guides)
    _refuse_before_reading(wanted, guide)
    with ExitStack() as taken_back:
        films = _films_taken(folder, wanted, at, taken_back, told, watch) if wanted.films else []
        case = _case(wanted, guide, _parts(films, new_id), new_id)
        _refuse_faults(case, guide)
        if films and not wanted.copy_films:
            referenced = zip(case.parts, films, strict=True)
            remember(at.locator, case.id, {part.id: film.path for part, film in referenced})
        create_case(folder, case, guide)
        taken_back.pop_all()
    for film in films:
        move_kept_tables(str(film.path), at.cache, cache_folder(path, case.id, at))
    return open_case(path, at)


def _refuse_before_reading(wanted: Wanted, guide: Guide) -> None:
    """Refuse what can be refused before gigabytes are read."""
    within_us = (wanted.from_us, wanted.to_us)
    if wanted.copy_films and within_us != (None, None):
        raise EditRefused(
            "A copy of the films would hold what lies outside the case's stretch of them.",
            hint="Leave out --copy: the case then refers to the films where they lie.",
        )
    trial = replace(wanted, duration_us=wanted.duration_us or 1, from_us=None, to_us=None)
    _refuse_faults(_case(trial, guide, (), lambda: "0" * ID_LENGTH), guide)


@dataclass(frozen=True)
class _Taken:
    """A film as the case takes it: what it is, where it lies, how the case names it."""

    path: Path
    name: str
    facts: PartFacts


def _films_taken(
    folder: CaseFolder,
    wanted: Wanted,
    at: Places,
    taken_back: ExitStack,
    told: Callable[[PartsSeen], None],
    watch: Watch,
) -> list[_Taken]:
    """Return the films in order; where they are copied, it is the copies that are looked at."""
    gathered = gather_films(wanted.films)
    digests: dict[Path, str] = {}
    if wanted.copy_films:
        gathered, digests = _copied(folder, gathered, taken_back, watch)
    seen = look_over(gathered, wanted.order, cache=at.cache, watch=watch)
    if seen.unreadable and not wanted.order:  # films that were picked are all readable
        raise seen.unreadable[0]
    told(seen)
    others = [found.words for found in seen.joints.findings if found.kind == "another-film"]
    if others and seen.by != "hand" and not wanted.together:
        listed = "\n".join(f"  - {words}" for words in others)
        raise EditRefused(
            f"These films seem to be of several recordings:\n{listed}",
            hint="Name the films of this case in order, or choose them with --order; "
            "--together takes all.",
        )
    used = {file.path for file in seen.files}
    storage.remove_files([copy for copy in digests if copy not in used])
    return [
        _Taken(
            file.path,
            _name_in(folder, file.path),
            replace(film.facts, sha256=digests.get(file.path) or proven_digest(file.path)),
        )
        for file, film in zip(seen.files, seen.films, strict=True)
    ]


def _parts(films: list[_Taken], new_id: NewId) -> tuple[Part, ...]:
    """Return the films as parts of one clock: each starts where the one before ends."""
    parts = []
    start_us = 0
    for film in films:
        end_us = start_us + film.facts.duration_us
        facts = replace(film.facts, start_us=start_us, end_us=end_us)
        parts.append(part_of(facts, new_id(), film.name, facts.sha256))
        start_us = end_us
    return tuple(parts)


def _name_in(folder: CaseFolder, film: Path) -> str:
    """Return a film's name relative to the case folder if it lies in it, else its bare name."""
    try:
        return film.resolve().relative_to(folder.path.resolve()).as_posix()
    except ValueError:
        return film.name


def _copied(
    folder: CaseFolder, gathered: Gathered, taken_back: ExitStack, watch: Watch
) -> tuple[Gathered, dict[Path, str]]:
    """Copy films into the case folder; returns them there, and the SHA-256 of each."""
    sizes = []
    for file in gathered.files:
        open_film(file.path).close()  # nothing is copied if one of them is no film
        sizes.append(file.path.stat().st_size)
    digests: dict[Path, str] = {}
    copies = []
    for number, file in enumerate(gathered.files, start=1):
        target = folder.path / FILM_FOLDER / f"{number:02d}-{file.path.name}"
        progress = partial(_step, watch, sum(sizes[: number - 1]), sum(sizes))
        digests[target] = storage.copy_film(file.path, target, progress=progress)
        taken_back.callback(storage.remove_files, [target])
        copies.append(FilmFile(target, file.name))
    return Gathered(tuple(copies), gathered.by_hand), digests


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


def _refuse_faults(case: Case, guide: Guide) -> None:
    if faults := case_problems(case, guide):
        raise _refused(faults)


def _since(name: str, value: Any) -> Any:
    return [{"from_us": _FROM_THE_START, "value": value}] if name in _OVER_TIME else value


def _refused(faults: list[Problem]) -> EditRefused:
    listed = broken(faults, Path("case.json")).message.partition("\n")[2]
    return EditRefused(f"The case was not made:\n{listed}", hint="Mend the named fields.")
