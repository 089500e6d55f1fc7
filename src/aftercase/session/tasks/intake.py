"""Copy the films of a card into a folder, named by the case's code, and prove each copy.

Nothing on the card is ever changed. What is whole stands in a list beside the copies, written as
soon as a copy was compared; a second run goes on from there.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial
from itertools import count
from pathlib import Path, PurePosixPath
from typing import Final

from aftercase import storage
from aftercase.document.codec import decoded, encoded
from aftercase.document.files import read_document
from aftercase.errors import (
    AftercaseError,
    AlreadyThere,
    EditRefused,
    IntakeStopped,
    RecordingMissing,
    RecordingUnreadable,
    WriteFailed,
)
from aftercase.media.ordering import Listed, ordered, read_names
from aftercase.media.watch import UNWATCHED, Watch
from aftercase.model.intake import IntakeList, TakenFilm
from aftercase.session.tasks.parts import FilmFile, gather_films

LIST_ENDING: Final = ".intake.json"


@dataclass(frozen=True)
class TakenIn:
    """What was copied from a card.

    Attributes:
        films: The copies, in the order the films were recorded.
        entries: What the list says of each.
        n_copied: How many were copied now; the others were whole already.
        series: What the names of the films begin with; more than one where they may be of
            several recordings.
    """

    films: tuple[Path, ...]
    entries: tuple[TakenFilm, ...]
    n_copied: int
    series: tuple[str, ...]


@dataclass(frozen=True)
class _OnCard:
    """A film on the card as its folder lists it."""

    file: FilmFile
    size_bytes: int
    changed_us: int


def take_in(card: Sequence[Path], folder: Path, code: str, *, watch: Watch = UNWATCHED) -> TakenIn:
    """Copy the films of a card into a folder; each copy is read back and compared.

    A film that cannot be read does not keep the others from being copied.

    Args:
        card: The card's folder, or films of it in order.
        folder: Where the copies go.
        code: The case's code; the copies are named by it.
        watch: Told of bytes copied; may stop the work, what is whole stays.

    Raises:
        RecordingMissing: There is no card, or no film on it.
        EditRefused: The folder lies on the card.
        AlreadyThere: A copy that is listed as whole has another size now.
        DocumentBroken, DocumentTooNew: The list of an earlier run cannot be read.
        IntakeStopped: Not every film could be copied; the message names those that are whole.
        WorkCancelled: As asked by `watch`.
    """
    _refuse_inside(folder, card)
    films = _on_card(card)
    list_file = folder / f"{code}{LIST_ENDING}"
    total = sum(film.size_bytes for film in films)
    entries: list[TakenFilm] = []
    failures: list[AftercaseError] = []
    done = n_copied = 0
    for film in films:
        known = _read_list(list_file, code)
        entry = _whole_already(film, folder, known)
        try:
            if entry is None:
                entry = _copied(film, folder, known, partial(_step, watch, done, total))
                storage.write_locked(list_file, partial(_with_entry, list_file, code, entry))
                n_copied += 1
            entries.append(entry)
        except RecordingUnreadable as error:
            failures.append(error)
        except WriteFailed as error:
            failures.append(error)
            break
        done += film.size_bytes
    if failures:
        raise _stopped(failures, entries, len(films))
    paths = tuple(folder / entry.name for entry in entries)
    return TakenIn(paths, tuple(entries), n_copied, _series(films))


def _refuse_inside(folder: Path, card: Sequence[Path]) -> None:
    for place in card:
        if place.is_dir() and folder.resolve().is_relative_to(place.resolve()):
            raise EditRefused(
                "The folder to copy into lies on the card.",
                hint="Give a folder on another disk.",
                path=folder,
            )


def _series(films: Sequence[_OnCard]) -> tuple[str, ...]:
    reads = read_names([film.file.name for film in films])
    return tuple(sorted({read.series for read in reads if read.part is not None}))


def proven_digest(film: Path) -> str | None:
    """Return a copy's SHA-256 as a list beside it says, if the copy was not written to since."""
    try:
        status = film.stat()
        lists = sorted(film.parent.glob(f"*{LIST_ENDING}"))
    except OSError:
        return None
    entries = [entry for path in lists for entry in _entries_of(path)]
    here = (film.name, status.st_size, status.st_mtime_ns // 1000)
    known = {(entry.name, entry.size_bytes, entry.changed_us): entry.sha256 for entry in entries}
    return known.get(here)


def _on_card(card: Sequence[Path]) -> list[_OnCard]:
    """Return the films in the order recorded, as far as names and times of files tell it."""
    gathered = gather_films(card)
    found = []
    for file in gathered.files:
        try:
            status = file.path.stat()
        except OSError as error:
            raise RecordingMissing(
                "The film cannot be found.", hint="Plug the card in again.", path=file.path
            ) from error
        found.append(_OnCard(file, status.st_size, status.st_mtime_ns // 1000))
    if gathered.by_hand:
        return found
    order, _ = ordered([Listed(film.file.name, film.changed_us) for film in found])
    return [found[place] for place in order]


def _read_list(path: Path, code: str) -> IntakeList:
    if not path.exists():
        return IntakeList(code=code)
    return read_document(IntakeList, path).record


def _entries_of(path: Path) -> tuple[TakenFilm, ...]:
    try:
        return read_document(IntakeList, path).record.films
    except AftercaseError:
        return ()


def _with_entry(path: Path, code: str, entry: TakenFilm, found: bytes | None) -> bytes:
    known = IntakeList(code=code) if found is None else decoded(IntakeList, found, path)
    others = [other for other in known.films if other.name != entry.name]
    films = sorted([*others, entry], key=lambda film: film.name)
    return encoded(known.changed(films=tuple(films)))


def _whole_already(film: _OnCard, folder: Path, known: IntakeList) -> TakenFilm | None:
    """Return the entry of a film that an earlier run copied and compared."""
    for entry in known.films:
        if _facts(entry) != (film.file.name, film.size_bytes, film.changed_us):
            continue
        copy = folder / entry.name
        if not copy.exists():
            return None
        if copy.stat().st_size != entry.size_bytes:
            raise AlreadyThere(
                "This copy was whole and has another size now.",
                hint="Look at what changed it; move it away to have the film copied again.",
                path=copy,
            )
        return entry
    return None


def _facts(entry: TakenFilm) -> tuple[str, int, int]:
    return entry.card_name, entry.size_bytes, entry.changed_us


def _copied(film: _OnCard, folder: Path, known: IntakeList, progress: partial[None]) -> TakenFilm:
    """Copy a film under the next free name, or its earlier name where the copy is gone."""
    earlier = {_facts(entry): entry.name for entry in known.films}
    facts = (film.file.name, film.size_bytes, film.changed_us)
    name = earlier.get(facts) or _free_name(film, folder, known)
    digest = storage.copy_film(film.file.path, folder / name, progress=progress)
    return TakenFilm(
        card_name=film.file.name,
        name=name,
        size_bytes=film.size_bytes,
        changed_us=film.changed_us,
        sha256=digest,
    )


def _free_name(film: _OnCard, folder: Path, known: IntakeList) -> str:
    """Return the case's code with the first number that no copy has, whatever its ending."""
    used = {PurePosixPath(entry.name).stem for entry in known.films}
    if folder.is_dir():
        used |= {path.stem for path in folder.iterdir()}
    numbers = (f"{known.code}-{number:02d}" for number in count(1))
    ending = PurePosixPath(film.file.name).suffix.upper()
    return next(name for name in numbers if name not in used) + ending


def _step(watch: Watch, before: int, total: int, done: int) -> None:
    watch.step(before + done, total)


def _stopped(
    failures: Sequence[AftercaseError], whole: Sequence[TakenFilm], count_of_films: int
) -> IntakeStopped:
    said = "\n".join(f"  - {failure.message}" for failure in failures)
    names = ", ".join(f"{entry.name} ({entry.card_name})" for entry in whole) or "none"
    return IntakeStopped(
        f"Not every film was copied:\n{said}\n{len(whole)} of {count_of_films} are whole: {names}.",
        hint=f"{failures[-1].hint} Then run the same command again; what is whole is not copied "
        "again. Keep the card as it is until then.",
        path=failures[-1].path,
    )
