"""Where films lie on this computer; a case never holds an absolute path."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path

from aftercase import storage
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


def films_of(locator: Path, case_folder: Path, case: Case) -> list[Path]:
    """Return the file of every part, in order: where it was remembered, else in the case folder.

    A film that is in neither place is given as it was remembered.
    """
    remembered = _entries(storage.read_bytes(locator)).get(case.id, {})
    return [_film_of(remembered.get(part.id), case_folder, part) for part in case.parts]


def _film_of(remembered: str | None, case_folder: Path, part: Part) -> Path:
    inside = case_folder / (Path(part.path).name if unsafe_path(part.path) else part.path)
    if remembered is None or (inside.is_file() and not Path(remembered).is_file()):
        return inside
    return Path(remembered)


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
