"""Put the parts of a case in another order, or add one that was missing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from aftercase.document.folder import CASE_FILE
from aftercase.document.together import write_together
from aftercase.edit.partorder import PartOrder, placed, reordered_case, reordered_review
from aftercase.errors import EditRefused, ReviewClosed
from aftercase.media.parts import PartFacts
from aftercase.media.recording import Recording
from aftercase.media.seen import as_shown, see_film
from aftercase.media.watch import UNWATCHED, Watch
from aftercase.model.base import NewId
from aftercase.model.case import Case, Part
from aftercase.session.caches import cache_folder
from aftercase.session.films import open_films, part_of
from aftercase.session.locator import films_of, remember
from aftercase.session.opened import OpenedCase, open_case
from aftercase.session.places import Places
from aftercase.session.tasks.parts import FilmFile, Gathered


@dataclass(frozen=True)
class Rearranged:
    """A case after its parts were put in another order.

    Attributes:
        case: The header now.
        reviewers: Whose drafts moved along; drafts on other computers do not.
    """

    case: Case
    reviewers: tuple[str, ...]


def is_case(path: Path) -> bool:
    """Claim that a folder is the folder of a case."""
    return (path / CASE_FILE).is_file()


def films_of_case(path: Path, at: Places) -> Gathered:
    """Return the films of a case in order, for looking them over.

    Raises:
        AftercaseError: The case cannot be read.
    """
    opened = open_case(path, at)
    paths = films_of(at.locator, path, opened.case)
    names = [part.path for part in opened.case.parts]
    files = [FilmFile(film, name) for film, name in zip(paths, names, strict=True)]
    return Gathered(tuple(files), by_hand=True)


def rearrange_parts(
    path: Path,
    order: Sequence[int],
    added: Sequence[Path],
    at: Places,
    new_id: NewId,
    *,
    watch: Watch = UNWATCHED,
) -> Rearranged:
    """Put a case's parts in another order; every mark of every draft here moves by its frame.

    Args:
        path: The case folder.
        order: Positions from 1, each once; added films count on behind the parts. Empty to put
            the added films at the end.
        added: Films that were missing.
        at: The program's folders.
        new_id: Source of ids.
        watch: Told of bytes read; may stop the work.

    Raises:
        ReviewClosed: A review is sealed or released; its times cannot follow.
        EditRefused: The order is none, there is no film, or a span would come apart.
        RecordingMissing: A film is not at hand: its frames are needed.
        RecordingChanged, RecordingRefused, RecordingUnreadable: A film cannot be used.
        DocumentChanged, WriteFailed: Nothing was written.
        WorkCancelled: As asked by `watch`.
    """
    opened = open_case(path, at)
    count = len(opened.case.parts) + len(added)
    wanted = tuple(order) or tuple(range(1, count + 1))
    _refuse_unfit(opened, wanted, count)
    new_parts = {film: _new_part(film, opened, new_id, at, watch) for film in added}
    with open_films(opened, at, watch=watch) as recording:
        before = _seen_again(opened.case.parts, recording, watch)
        frame_starts = _frame_starts(before, recording)
    pool = (*before, *new_parts.values())
    after = placed([pool[place - 1] for place in wanted])
    moves = PartOrder(before, after, frame_starts)
    drafts = [stored for stored in opened.reviews if stored.record.state == "draft"]
    case = reordered_case(opened.case, moves)
    changes = [(stored, reordered_review(stored.record, moves)) for stored in drafts]
    remember(at.locator, case.id, {part.id: film for film, part in new_parts.items()})
    write_together([(opened.stored_case, case), *changes])
    return Rearranged(case, tuple(stored.record.reviewer for stored in drafts))


def _refuse_unfit(opened: OpenedCase, order: tuple[int, ...], count: int) -> None:
    if not opened.case.parts:
        raise EditRefused("This case has no film, only a stated duration.")
    if sorted(order) != list(range(1, count + 1)):
        raise EditRefused(
            f"{', '.join(map(str, order))} is no order of {count} parts.",
            hint="Give each position once; no part of a case can be left out.",
        )
    closed = [stored for stored in opened.reviews if stored.record.state != "draft"]
    if closed:
        raise ReviewClosed(
            f"{closed[0].record.reviewer}'s review of this case is {closed[0].record.state}: "
            "its times are those of the present order, and it is never written again.",
            hint="Make a new case from the films in the right order and review that; this one "
            "stays as it is.",
            path=closed[0].path,
        )


def _new_part(film: Path, opened: OpenedCase, new_id: NewId, at: Places, watch: Watch) -> Part:
    cache = cache_folder(opened.folder.path, opened.case.id, at)
    seen = see_film(film, film.name, ends=False, cache=cache, watch=watch)
    return part_of(seen.facts, new_id(), film.name, None)


def _seen_again(parts: tuple[Part, ...], recording: Recording, watch: Watch) -> tuple[Part, ...]:
    """Return parts with how they are shown, where the case was made before that was kept."""
    return tuple(
        _with_turn(part, as_shown(recording, place, watch)) if part.shown_turn_deg is None else part
        for place, part in enumerate(parts)
    )


def _with_turn(part: Part, seen: PartFacts) -> Part:
    return part.changed(shown_turn_deg=seen.shown_turn_deg, shown_mirrored=seen.shown_mirrored)


def _frame_starts(parts: tuple[Part, ...], recording: Recording) -> tuple[list[int], ...]:
    starts_us = recording.starts_us()
    return tuple(
        starts_us[(starts_us >= part.start_us) & (starts_us < part.end_us)].tolist()
        for part in parts
    )
