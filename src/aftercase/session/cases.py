"""Looking through cases near at hand: those opened here, and those that lie beside one."""

from __future__ import annotations

import os
import time
from collections.abc import Callable, Iterable, Iterator
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from aftercase.document.files import Stored
from aftercase.document.folder import CASE_FILE
from aftercase.errors import AftercaseError
from aftercase.media.watch import UNWATCHED, Watch
from aftercase.model.review import Review
from aftercase.session.opened import OpenedCase, open_case
from aftercase.session.places import Places
from aftercase.session.recents import recent_cases

WITHIN_S: Final = 10.0
"""How long it may take to look through cases; those that are left then are named as such."""

_NO_TIME: Final = "There was no time left to look at it."


@dataclass(frozen=True)
class Skipped:
    """A case folder that was not looked at, and why, in a sentence."""

    path: Path
    why: str


def cases_near(here: Path | None, at: Places) -> tuple[Path, ...]:
    """Return the folders of other cases: those opened here last, then those beside this one.

    Args:
        here: A case folder, which is left out; None for the recent cases alone.
        at: The program's folders.
    """
    recent = [one.path for one in recent_cases(at)]
    beside = sorted(_cases_in(here.absolute().parent)) if here is not None else []
    left_out = None if here is None else here.absolute()
    return tuple(path for path in dict.fromkeys([*recent, *beside]) if path != left_out)


def look_through(
    folders: Iterable[Path],
    at: Places,
    seen: Callable[[OpenedCase], object],
    *,
    watch: Watch = UNWATCHED,
    within_s: float = WITHIN_S,
    now: Callable[[], float] = time.monotonic,
) -> tuple[Skipped, ...]:
    """Open one case after the other; what cannot be read is passed over.

    Args:
        folders: Case folders.
        at: The program's folders.
        seen: Called with each case that could be read.
        watch: Told of folders looked at; may stop the work.
        within_s: Seconds after which no further folder is opened.
        now: The time, in seconds.

    Returns:
        The folders that were passed over, each with why.

    Raises:
        WorkCancelled: As asked by `watch`.
    """
    every, skipped = tuple(folders), []
    end_s = now() + within_s
    for done, folder in enumerate(every):
        watch.step(done, len(every))
        if now() > end_s:
            skipped += [Skipped(path, _NO_TIME) for path in every[done:]]
            break
        try:
            opened = open_case(folder, at)
        except AftercaseError as fault:
            skipped.append(Skipped(folder, fault.message))
            continue
        seen(opened)
    return tuple(skipped)


def released_of(opened: OpenedCase) -> tuple[Stored[Review], ...]:
    """Return the newest released review of each person, by code; a later draft hides none."""
    newest: dict[str, Stored[Review]] = {}
    released = [stored for stored in opened.reviews if stored.record.state == "released"]
    for stored in sorted(released, key=lambda one: one.record.revision):
        newest[stored.record.reviewer] = stored
    return tuple(newest[code] for code in sorted(newest))


def _cases_in(folder: Path) -> Iterator[Path]:
    """Yield the case folders that lie in a folder; one that cannot be read has none."""
    with suppress(OSError), os.scandir(folder) as entries:
        for entry in entries:
            path = Path(entry.path)
            if (path / CASE_FILE).is_file():
                yield path
