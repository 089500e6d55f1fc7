"""From films dropped on the window to a case, at once: nothing is asked."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import count
from pathlib import Path

from aftercase.errors import AlreadyThere, EditRefused
from aftercase.media.watch import UNWATCHED, Watch
from aftercase.model.base import NewId, id_source
from aftercase.session.opened import OpenedCase
from aftercase.session.places import Places
from aftercase.session.settings import Settings, cases_folder_of, read_settings
from aftercase.session.tasks.create import Wanted, new_case
from aftercase.session.tasks.dropped import look_at_dropped


def quick_case(
    films: Sequence[Path], at: Places, new_id: NewId, *, watch: Watch = UNWATCHED
) -> OpenedCase:
    """Make a case of films where cases are kept, with the usual guide and nothing else said.

    Its code is the next free of ``case-1``, ``case-2`` and so on: a date or a film's name can say
    who the patient is.

    Args:
        films: Files, in any order, or folders that hold them.
        at: The program's folders.
        new_id: Source of ids.
        watch: Told of bytes read; may stop the work.

    Raises:
        RecordingMissing, RecordingRefused, RecordingUnreadable: A film cannot be taken.
        EditRefused: The films seem to be of several recordings.
        NameUnknown: The guide that was chosen for new cases is gone.
        WriteFailed: The disk is full, read-only or gone.
        WorkCancelled: As asked by `watch`; nothing is left.
    """
    settings = read_settings(at)
    ordered = _in_order(films, at, watch)
    folder = cases_folder_of(settings, at)
    for number in count(1):
        code = f"case-{number}"
        if not (folder / code).exists():
            try:
                return _made(folder / code, code, settings, ordered, at, new_id, watch)
            except AlreadyThere:  # another window was quicker
                continue
    raise AssertionError("numbers do not end")


def quick_case_at(films: Sequence[Path], at: Places, *, watch: Watch = UNWATCHED) -> Path:
    """Make a case at once, with ids of its own, and return its folder; see `quick_case`."""
    return quick_case(films, at, id_source(), watch=watch).folder.path


def _in_order(films: Sequence[Path], at: Places, watch: Watch) -> tuple[Path, ...]:
    if len(films) == 1 and films[0].is_file():
        return tuple(films)
    seen = look_at_dropped(films, at, watch=watch)
    if seen.unreadable:
        raise seen.unreadable[0]
    others = [found.words for found in seen.joints.findings if found.kind == "another-film"]
    if others:
        listed = "\n".join(f"  - {words}" for words in others)
        raise EditRefused(
            f"These films seem to be of several recordings:\n{listed}",
            hint="Choose those of one case under “New case”.",
        )
    return tuple(file.path for file in seen.files)


def _made(
    path: Path,
    code: str,
    settings: Settings,
    films: tuple[Path, ...],
    at: Places,
    new_id: NewId,
    watch: Watch,
) -> OpenedCase:
    wanted = Wanted(code, settings.default_guide, films=films)
    return new_case(path, wanted, at, new_id, watch=watch)
