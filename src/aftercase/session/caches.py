"""Where what is derived from films is kept, and how much of it.

Frame tables and scrub copies lie in the case's own ``cache`` folder where that is on a disk of
this computer and may be written to, else in the user's cache. All of it may be deleted at any
time. The folders that hold copies are remembered, so that one limit counts for all cases.
"""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from pathlib import Path

from aftercase import storage
from aftercase.document.folder import CACHE
from aftercase.media.scrub import SUFFIX, copy_name
from aftercase.session.disks import is_local, is_writable
from aftercase.session.places import Places


@dataclass(frozen=True)
class KeptCopy:
    """One film's scrub copy on disk.

    Attributes:
        name: What its files' names begin with.
        files: Its files.
        size_bytes: What they take.
        built_ns: When the last of them was written.
    """

    name: str
    files: tuple[Path, ...]
    size_bytes: int
    built_ns: int


def cache_folder(case_folder: Path, case_id: str, at: Places) -> Path:
    """Return where what is derived from a case's films is kept; the folder need not be there."""
    if is_local(case_folder) and is_writable(case_folder):
        return case_folder / CACHE
    return at.cache / "cases" / case_id


def remember_copies_in(folder: Path, at: Places) -> None:
    """Remember that a folder holds scrub copies.

    Raises:
        WriteFailed: It cannot be remembered.
    """
    if folder not in folders_with_copies(at):
        storage.write_locked(_list_file(at), lambda found: _listed([*_folders_in(found), folder]))


def folders_with_copies(at: Places) -> list[Path]:
    """Return the folders that were remembered; some may be gone, or on an unplugged drive."""
    return _folders_in(storage.read_bytes(_list_file(at)))


def kept_copies(folders: Iterable[Path]) -> list[KeptCopy]:
    """Return the scrub copies in some folders, the one built longest ago first."""
    copies = []
    for folder in folders:
        files = defaultdict(list)
        for file in folder.glob(f"*{SUFFIX}"):
            files[copy_name(file)].append(file)
        copies += [_kept_copy(name, tuple(sorted(some))) for name, some in files.items()]
    return sorted(copies, key=lambda copy: (copy.built_ns, copy.name))


def drop_beyond(limit_bytes: int, at: Places, *, spared: Collection[str] = ()) -> int:
    """Delete the oldest copies until all together take no more than a limit.

    Args:
        limit_bytes: The limit.
        at: The program's folders.
        spared: Names of copies that are not deleted whatever their age.

    Returns:
        Bytes that the copies still there take; above the limit only by those spared.

    Raises:
        WriteFailed: A file cannot be deleted.
    """
    copies = kept_copies(folders_with_copies(at))
    held_bytes = sum(copy.size_bytes for copy in copies)
    for copy in copies:
        if held_bytes <= limit_bytes:
            break
        if copy.name not in spared:
            storage.remove_files(list(copy.files))
            held_bytes -= copy.size_bytes
    return held_bytes


def drop_strangers(folder: Path, known: Collection[str]) -> None:
    """Delete the copies in a case's folder that belong to none of its films as they are now.

    Raises:
        WriteFailed: A file cannot be deleted.
    """
    strangers = [copy for copy in kept_copies([folder]) if copy.name not in known]
    storage.remove_files([file for copy in strangers for file in copy.files])


def _kept_copy(name: str, files: tuple[Path, ...]) -> KeptCopy:
    found = [file.stat() for file in files]
    size_bytes = sum(status.st_size for status in found)
    return KeptCopy(name, files, size_bytes, max(status.st_mtime_ns for status in found))


def _list_file(at: Places) -> Path:
    return at.state / "copies.json"


def _listed(folders: Iterable[Path]) -> bytes:
    known = sorted({str(folder.absolute()) for folder in folders})
    return (json.dumps(known, ensure_ascii=False, indent=2) + "\n").encode()


def _folders_in(content: bytes | None) -> list[Path]:
    """Return the remembered folders; a list that cannot be read is as good as an empty one."""
    try:
        known = json.loads(content or b"[]")
    except ValueError:
        return []
    return (
        [Path(name) for name in known if isinstance(name, str)] if isinstance(known, list) else []
    )
