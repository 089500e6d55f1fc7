"""Make the scrub copies of a case's films."""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial
from pathlib import Path
from types import MappingProxyType

from aftercase.media.scrubbuild import BuiltCopy, Onlooker, build_copy
from aftercase.media.watch import UNWATCHED, Watch
from aftercase.session.caches import (
    cache_folder,
    drop_beyond,
    drop_strangers,
    remember_copies_in,
)
from aftercase.session.locator import films_of
from aftercase.session.opened import OpenedCase, open_case
from aftercase.session.places import Places
from aftercase.session.settings import Settings, read_settings


def copy_films(
    opened: OpenedCase,
    at: Places,
    settings: Settings,
    *,
    onlookers: Mapping[int, Onlooker] = MappingProxyType({}),
    watch: Watch = UNWATCHED,
) -> list[BuiltCopy]:
    """Make what is missing of the scrub copies of a case's films, as the settings allow.

    Copies of films that are no longer the case's are deleted, and the oldest of other cases when
    all together take more than the limit. Films that are not there are passed over.

    Args:
        opened: The case.
        at: The program's folders.
        settings: Whether copies are wanted, and how much they may take.
        onlookers: Who is shown pictures of a part on the way, by the part's number from 0.
        watch: Told of microseconds of film done and in all.

    Returns:
        A copy for each film that is there, in order; none where copies are switched off.

    Raises:
        RecordingRefused, RecordingUnreadable: A film cannot be opened.
        WriteFailed: A copy cannot be written.
        WorkCancelled: As asked by `watch`.
    """
    if not settings.scrub_copies:
        return []
    folder = cache_folder(opened.folder.path, opened.case.id, at)
    remember_copies_in(folder, at)
    parts, films = opened.case.parts, films_of(at.locator, opened.folder.path, opened.case)
    present = [number for number, film in enumerate(films) if film.is_file()]
    built: list[BuiltCopy] = []
    for number in present:
        part = parts[number]
        done_us = sum(parts[one].duration_us for one in present[: len(built)])
        total_us = sum(parts[one].duration_us for one in present)
        built.append(
            build_copy(
                str(films[number]),
                kept_in=folder,
                stream=part.stream,
                has_room=partial(_has_room, settings.scrub_copies_limit_bytes, at, built),
                onlooker=onlookers.get(number),
                watch=_share(watch, done_us, part.duration_us, total_us),
            )
        )
    if len(present) == len(parts):
        drop_strangers(folder, {copy.name for copy in built})
    return built


def copy_films_of(case: Path, at: Places, *, watch: Watch = UNWATCHED) -> list[BuiltCopy]:
    """Make the copies of the case in a folder as the settings of this computer allow.

    Raises:
        AftercaseError: The case cannot be read, or as `copy_films` raises it.
        WorkCancelled: As asked by `watch`.
    """
    return copy_films(open_case(case, at), at, read_settings(at), watch=watch)


def _has_room(limit_bytes: int, at: Places, built: list[BuiltCopy], name: str) -> bool:
    """Make room by dropping other cases' oldest copies, and claim that there is some now."""
    spared = {name, *(copy.name for copy in built)}
    return drop_beyond(limit_bytes, at, spared=spared) < limit_bytes


def _share(watch: Watch, before_us: int, length_us: int, total_us: int) -> Watch:
    """Return who watches the frames of one film, told in microseconds of all."""

    def progress(done: int, total: int) -> None:
        watch.progress(before_us + length_us * done // total, total_us)

    return Watch(progress, watch.cancelled)
