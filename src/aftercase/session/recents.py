"""The cases opened last at this computer: their folders and codes, nothing else of them."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from aftercase import storage
from aftercase.document.folder import CASE_FILE
from aftercase.errors import ReadFailed
from aftercase.session.jsonfiles import bytes_of, object_in
from aftercase.session.places import Places

MOST: Final = 100


@dataclass(frozen=True)
class Recent:
    """A case that was opened here.

    Attributes:
        path: Its folder.
        code: Its code when it was last opened.
    """

    path: Path
    code: str

    @property
    def is_there(self) -> bool:
        """Claim that the folder is still there; on a slow share the answer may take a while."""
        return (self.path / CASE_FILE).is_file()


def recent_cases(at: Places) -> tuple[Recent, ...]:
    """Return the cases opened last, newest first; their folders may be gone.

    A list that cannot be read is as good as an empty one.
    """
    with suppress(ReadFailed):
        return _recents_in(storage.read_bytes(_file(at)))
    return ()


def remember_case(at: Places, path: Path, code: str) -> None:
    """Put a case first on the list.

    Raises:
        WriteFailed: It cannot be remembered.
    """
    opened = Recent(path.absolute(), code)
    _change(at, lambda known: [opened, *(one for one in known if one.path != opened.path)])


def forget_case(at: Places, path: Path) -> None:
    """Take a case off the list; its folder stays as it is.

    Raises:
        WriteFailed: The list cannot be written.
    """
    _change(at, lambda known: [one for one in known if one.path != path.absolute()])


def _change(at: Places, changed: Callable[[tuple[Recent, ...]], list[Recent]]) -> None:
    def with_change(found: bytes | None) -> bytes:
        return _listed(changed(_recents_in(found))[:MOST])

    storage.write_locked(_file(at), with_change)


def _listed(recents: Iterable[Recent]) -> bytes:
    return bytes_of({"cases": [{"folder": str(one.path), "code": one.code} for one in recents]})


def _recents_in(content: bytes | None) -> tuple[Recent, ...]:
    entries = object_in(content).get("cases")
    return tuple(
        Recent(Path(entry["folder"]), entry["code"])
        for entry in (entries if isinstance(entries, list) else ())
        if isinstance(entry, dict)
        and isinstance(entry.get("folder"), str)
        and isinstance(entry.get("code"), str)
    )


def _file(at: Places) -> Path:
    return at.state / "recents.json"
