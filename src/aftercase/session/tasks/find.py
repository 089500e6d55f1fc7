"""Find the films of a case again after they were moved or renamed: by content, not by name."""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path, PurePosixPath

from aftercase.errors import (
    AftercaseError,
    RecordingMissing,
    RecordingRefused,
    RecordingUnreadable,
)
from aftercase.media.fingerprint import full_sha256, same_film
from aftercase.media.recording import open_recording
from aftercase.media.watch import UNWATCHED, Watch
from aftercase.model.case import Part
from aftercase.session.caches import cache_folder
from aftercase.session.films import changed_film, facts_of
from aftercase.session.locator import films_of, remember
from aftercase.session.opened import open_case
from aftercase.session.places import Places


@dataclass(frozen=True)
class FoundAgain:
    """What became of looking for a case's films.

    Attributes:
        found: The part's name in the case, and where its film is; remembered.
        missing: Names of the parts whose film is neither among these places nor where it was.
    """

    found: tuple[tuple[str, Path], ...]
    missing: tuple[str, ...]


def find_films(
    path: Path, looked_in: Sequence[Path], at: Places, *, watch: Watch = UNWATCHED
) -> FoundAgain:
    """Find the films of a case in files and folders, and remember where they are.

    Only files of a part's size are opened, and those of its name, to say what changed.

    Args:
        path: The case folder.
        looked_in: Files and folders; folders are searched with all folders in them.
        at: The program's folders.
        watch: Told of files looked at; may stop the work.

    Raises:
        RecordingMissing: A place is not there.
        RecordingChanged: A film of a part's name is there but has changed, and the film itself is
            not; those that were found are remembered.
        WorkCancelled: As asked by `watch`.
    """
    case = open_case(path, at).case
    cache = cache_folder(path, case.id, at)
    found: dict[str, Path] = {}
    changed: dict[str, AftercaseError] = {}
    files = [file for place in looked_in for file in _files_in(place)]
    for done, file in enumerate(files):
        watch.step(done, len(files))
        for part in case.parts:
            if part.id in found or not _may_be(part, file, named=file in looked_in):
                continue
            changes = _changes(part, file, cache, watch)
            if changes == ():
                found[part.id] = file
            elif changes and (file in looked_in or _has_name(part, file)):
                changed[part.id] = changed_film(str(file), changes)
    remember(at.locator, case.id, found)
    for part_id, error in changed.items():
        if part_id not in found:
            raise error
    return FoundAgain(
        tuple((part.path, found[part.id]) for part in case.parts if part.id in found),
        tuple(
            part.path
            for part, film in zip(case.parts, films_of(at.locator, path, case), strict=True)
            if not film.is_file()
        ),
    )


def _files_in(place: Path) -> Iterator[Path]:
    if not place.exists():
        raise RecordingMissing(
            "There is no such file or folder.", hint="Connect the drive it is on.", path=place
        )
    if not place.is_dir():
        yield place
        return
    for above, folders, names in os.walk(place):
        folders.sort()
        yield from (Path(above) / name for name in sorted(names))


def _may_be(part: Part, file: Path, *, named: bool) -> bool:
    try:
        return named or _has_name(part, file) or file.stat().st_size == part.size_bytes
    except OSError:  # it went away meanwhile
        return False


def _has_name(part: Part, file: Path) -> bool:
    return file.name == PurePosixPath(part.path).name


def _changes(part: Part, file: Path, cache: Path, watch: Watch) -> tuple[str, ...] | None:
    """Return how a film differs from a part, nothing where it does not; None where it is none."""
    quiet = Watch(cancelled=watch.cancelled)
    try:
        with open_recording([file], streams=[part.stream], cache=cache, watch=quiet) as recording:
            changes = same_film(facts_of(part, file), recording.facts[0]).changes
        if changes and part.sha256 is not None and file.stat().st_size == part.size_bytes:
            proven = full_sha256(str(file), quiet) == part.sha256
            return () if proven else changes
        return changes
    except (RecordingMissing, RecordingRefused, RecordingUnreadable):
        return None
