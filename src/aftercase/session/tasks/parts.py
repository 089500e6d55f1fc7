"""The files of a recording looked at as its parts: found, put in order, doubted joint by joint."""

from __future__ import annotations

import os
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from aftercase.errors import (
    AftercaseError,
    EditRefused,
    RecordingMissing,
    RecordingRefused,
    RecordingUnreadable,
)
from aftercase.media.fingerprint import full_sha256
from aftercase.media.joints import FilmSeen, Joints, joints_of, recorded_order
from aftercase.media.ordering import By, is_film_name
from aftercase.media.seen import see_film
from aftercase.media.watch import UNWATCHED, Watch, within


@dataclass(frozen=True)
class FilmFile:
    """A film's file, and the name it is known by beside the others."""

    path: Path
    name: str


@dataclass(frozen=True)
class Gathered:
    """The film files that were given or found.

    Attributes:
        files: The files, in the order given or found.
        by_hand: A person named each of them in order; else some were found in a folder.
    """

    files: tuple[FilmFile, ...]
    by_hand: bool


@dataclass(frozen=True)
class PartsSeen:
    """Films in the order they are to play, and what is to be said of it.

    Attributes:
        files: The files, in order.
        films: What each of them is.
        by: What decided the order.
        joints: Joint by joint what speaks for it, and what was found.
        left_out: Sentences on the films that are not taken.
        unreadable: The films that cannot be opened, each with why.
    """

    files: tuple[FilmFile, ...]
    films: tuple[FilmSeen, ...]
    by: By | Literal["hand"]
    joints: Joints
    left_out: tuple[str, ...]
    unreadable: tuple[AftercaseError, ...]


def gather_films(places: Sequence[Path]) -> Gathered:
    """Find the films in files and folders; a folder is searched with all folders in it.

    Raises:
        RecordingMissing: A place is not there, or a folder holds no film.
    """
    files: list[FilmFile] = []
    for place in places:
        if place.is_dir():
            found = [file for file in _films_under(place) if is_film_name(file.name)]
            if not found:
                raise RecordingMissing(
                    "There is no film in this folder.", hint="Give the card's folder.", path=place
                )
            files.extend(found)
        else:
            files.append(FilmFile(place, place.name))
    return Gathered(tuple(files), by_hand=not any(place.is_dir() for place in places))


def look_over(
    gathered: Gathered,
    order: Sequence[int] = (),
    *,
    cache: Path | None = None,
    watch: Watch = UNWATCHED,
) -> PartsSeen:
    """Look at films as the parts of one recording; each is opened once.

    Films found in folders are put in order, and one whose content is there already, proven by
    SHA-256, is left out. Films that a person named stay as they are.

    Args:
        gathered: The films.
        order: Positions, from 1, of the films to take in the order they are to play, as they
            stand without it; empty to take all.
        cache: Folder that frame tables are kept in; None to keep nothing.
        watch: Told of bytes read; may stop the work.

    Raises:
        EditRefused: A position is none, or stands twice.
        WorkCancelled: As asked by `watch`.
    """
    total = sum(_size_bytes(file.path) for file in gathered.files)
    pairs: list[tuple[FilmFile, FilmSeen]] = []
    unreadable: list[AftercaseError] = []
    before = 0
    for file in gathered.files:
        try:
            seen = see_film(
                file.path,
                file.name,
                ends=len(gathered.files) > 1,
                cache=cache,
                watch=within(watch, before, total),
            )
            pairs.append((file, seen))
        except (RecordingMissing, RecordingRefused, RecordingUnreadable) as error:
            unreadable.append(error)
        before += _size_bytes(file.path)
    by: By | Literal["hand"] = "hand"
    left_out: list[str] = []
    if not gathered.by_hand:
        places, by = recorded_order([film for _, film in pairs])
        pairs, left_out = _without_doubles([pairs[place] for place in places], watch)
    if order:
        pairs, by = _picked(pairs, order), "hand"
    films = tuple(film for _, film in pairs)
    files = tuple(file for file, _ in pairs)
    return PartsSeen(files, films, by, joints_of(films), tuple(left_out), tuple(unreadable))


def _films_under(folder: Path) -> list[FilmFile]:
    def gone(error: OSError) -> None:
        raise RecordingMissing(
            "A folder cannot be read.", hint="Plug the card in again.", path=error.filename
        ) from error

    found = [
        Path(above) / name for above, _, names in os.walk(folder, onerror=gone) for name in names
    ]
    return [FilmFile(path, path.relative_to(folder).as_posix()) for path in sorted(found)]


def _without_doubles(
    pairs: list[tuple[FilmFile, FilmSeen]], watch: Watch
) -> tuple[list[tuple[FilmFile, FilmSeen]], list[str]]:
    """Return the films that are there once, and a sentence on each that is left out."""
    kept: list[tuple[FilmFile, FilmSeen]] = []
    left_out = []
    for file, film in pairs:
        twins = [
            known
            for known, other in kept
            if other.facts.quick_hash == film.facts.quick_hash
            and full_sha256(str(known.path), watch) == full_sha256(str(file.path), watch)
        ]
        if twins:
            left_out.append(f"“{file.name}” is left out: “{twins[0].name}” is the same film")
        else:
            kept.append((file, film))
    return kept, left_out


def _picked(
    pairs: list[tuple[FilmFile, FilmSeen]], order: Sequence[int]
) -> list[tuple[FilmFile, FilmSeen]]:
    if len(set(order)) < len(order) or not set(order) <= set(range(1, len(pairs) + 1)):
        raise EditRefused(
            f"{', '.join(map(str, order))} is no order of {len(pairs)} films.",
            hint="Give each position once, as “aftercase parts” numbers them.",
        )
    return [pairs[place - 1] for place in order]


def _size_bytes(path: Path) -> int:
    try:
        return path.stat().st_size
    except OSError:
        return 0  # opening it says what is wrong
