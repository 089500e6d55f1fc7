"""Make the scrub copies of a case's films, here or in a process of its own."""

from __future__ import annotations

import os
from collections.abc import MutableSequence
from contextlib import suppress
from functools import partial
from multiprocessing import get_context
from pathlib import Path
from typing import TYPE_CHECKING

from aftercase.errors import AftercaseError
from aftercase.media.scrubbuild import BuiltCopy, build_copy
from aftercase.media.watch import UNWATCHED, Watch, WorkCancelled
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

if TYPE_CHECKING:
    from multiprocessing.connection import Connection


def copy_films(
    opened: OpenedCase, at: Places, settings: Settings, *, watch: Watch = UNWATCHED
) -> list[BuiltCopy]:
    """Make what is missing of the scrub copies of a case's films, as the settings allow.

    Copies of films that are no longer the case's are deleted, and the oldest of other cases when
    all together take more than the limit. Films that are not there are passed over.

    Args:
        opened: The case.
        at: The program's folders.
        settings: Whether copies are wanted, and how much they may take.
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
    present = [(part, film) for part, film in zip(parts, films, strict=True) if film.is_file()]
    built: list[BuiltCopy] = []
    for part, film in present:
        done_us = sum(one.duration_us for one, _ in present[: len(built)])
        total_us = sum(one.duration_us for one, _ in present)
        built.append(
            build_copy(
                str(film),
                kept_in=folder,
                stream=part.stream,
                has_room=partial(_has_room, settings.scrub_copies_limit_bytes, at, built),
                watch=_share(watch, done_us, part.duration_us, total_us),
            )
        )
    if len(present) == len(parts):
        drop_strangers(folder, {copy.name for copy in built})
    return built


def _has_room(limit_bytes: int, at: Places, built: list[BuiltCopy], name: str) -> bool:
    """Make room by dropping other cases' oldest copies, and claim that there is some now."""
    spared = {name, *(copy.name for copy in built)}
    return drop_beyond(limit_bytes, at, spared=spared) < limit_bytes


def _share(watch: Watch, before_us: int, length_us: int, total_us: int) -> Watch:
    """Return who watches the frames of one film, told in microseconds of all."""

    def progress(done: int, total: int) -> None:
        watch.progress(before_us + length_us * done // total, total_us)

    return Watch(progress, watch.cancelled)


class CopyingProcess:
    """A process that makes a case's scrub copies and ends with whoever started it.

    Args:
        case: The case folder.
        at: The program's folders.
    """

    def __init__(self, case: Path, at: Places) -> None:
        context = get_context("spawn")
        self._far = context.RawArray("q", 2)
        self._connection, theirs = context.Pipe()
        self._process = context.Process(
            target=_serve, args=(theirs, self._far, case, at), daemon=True
        )
        self._process.start()
        theirs.close()

    @property
    def pid(self) -> int | None:
        """The process's number."""
        return self._process.pid

    @property
    def progress_us(self) -> tuple[int, int]:
        """Microseconds of film done, and in all; both 0 before the first frame."""
        done_us, total_us = self._far
        return done_us, total_us

    def goes_on(self, wait_s: float = 0.0) -> bool:
        """Claim that the work goes on.

        Args:
            wait_s: Seconds to wait for its end at most.

        Raises:
            AftercaseError: The work ended by a fault of the world.
        """
        try:
            if not self._connection.poll(wait_s):
                return True
            raise self._connection.recv()
        except (EOFError, OSError):
            return False

    def close(self) -> None:
        """Stop the work; what is finished stays."""
        self._connection.close()
        self._process.join()
        self._process.close()


def _serve(asker: Connection, far: MutableSequence[int], case: Path, at: Places) -> None:
    """Make the copies; the asker's end of the pipe being closed stops the work."""
    if hasattr(os, "nice"):
        os.nice(10)  # whoever looks at the film goes first

    def progress(done_us: int, total_us: int) -> None:
        far[:] = [done_us, total_us]

    try:
        # Nothing is ever sent from there: what can be read is the end alone.
        watch = Watch(progress, asker.poll)
        copy_films(open_case(case, at), at, read_settings(at), watch=watch)
    except WorkCancelled:
        return
    except AftercaseError as error:
        with suppress(OSError):
            asker.send(error)
