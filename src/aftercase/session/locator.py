"""Where films lie on this computer; a case never holds an absolute path."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path

from aftercase import storage
from aftercase.errors import RecordingMissing
from aftercase.model.case import Case, Part
from aftercase.model.rules import unsafe_path


def remember(locator: Path, case_id: str, films: Mapping[str, Path]) -> None:
    """Remember where the parts of a case lie.

    Args:
        locator: The locator file.
        case_id: The case.
        films: Part id to file.

    Raises:
        WriteFailed: The locator could not be written.
    """
    storage.write_locked(locator, lambda found: _with_films(found, case_id, films))


def _with_films(found: bytes | None, case_id: str, films: Mapping[str, Path]) -> bytes:
    known = _entries(found)
    known.setdefault(case_id, {}).update(
        {part: str(path.absolute()) for part, path in films.items()}
    )
    return (json.dumps(known, ensure_ascii=False, indent=2, sort_keys=True) + "\n").encode()


def film_of(locator: Path, case_folder: Path, case: Case, part: Part) -> Path:
    """Return the file of a part: where it was remembered, else by its name in the case folder.

    Raises:
        RecordingMissing: It is in neither place.
    """
    remembered = _entries(storage.read_bytes(locator)).get(case.id, {}).get(part.id)
    inside = None if unsafe_path(part.path) else case_folder / part.path
    for candidate in (Path(remembered) if remembered else None, inside):
        if candidate is not None and candidate.is_file():
            return candidate
    raise RecordingMissing(
        f"The film “{part.path}” is not where it was.",
        hint="Plug in its drive, or put the film into the case folder.",
        path=remembered or inside,
    )


def films_of(locator: Path, case_folder: Path, case: Case) -> list[Path]:
    """Return the expected file of every part, in order, whether it is there or not."""
    remembered = _entries(storage.read_bytes(locator)).get(case.id, {})
    return [Path(remembered.get(part.id) or case_folder / part.path) for part in case.parts]


def _entries(found: bytes | None) -> dict[str, dict[str, str]]:
    """Return the remembered places; a locator that cannot be read is as good as an empty one."""
    try:
        entries = json.loads(found or b"{}")
    except ValueError:
        return {}
    if not isinstance(entries, dict):
        return {}
    return {
        case: {part: place for part, place in parts.items() if isinstance(place, str)}
        for case, parts in entries.items()
        if isinstance(parts, dict)
    }
