"""Several documents that only make sense together are written together, or none of them is."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import ExitStack
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from aftercase import storage
from aftercase.document import kept
from aftercase.document.codec import encoded
from aftercase.document.files import Stored
from aftercase.errors import DocumentChanged
from aftercase.model.base import Record


def write_together(
    changes: Sequence[tuple[Stored[Any], Record]],
    *,
    now: datetime | None = None,
    disk: storage.Disk = storage.DISK,
) -> None:
    """Write documents over the versions they were read from, and keep those versions.

    Args:
        changes: Each document as it was read, with what it says now.
        now: The present, for naming the kept versions.
        disk: The disk's calls.

    Raises:
        DocumentChanged: One changed on disk since it was read; nothing was written.
        WriteFailed: The disk is full, read-only or gone; nothing was written.
    """
    moment = now or datetime.now(UTC)
    files: dict[Path, bytes] = {}
    with ExitStack() as held:
        for folder in sorted({stored.path.parent for stored, _ in changes}):
            held.enter_context(storage.locked(folder, disk=disk))
        for stored, record in changes:
            found = storage.read_bytes(stored.path)
            if found is None or storage.digest_of(found) != stored.digest:
                raise DocumentChanged(
                    "This file changed on disk since it was read.",
                    hint="Try again; nothing was written.",
                    path=stored.path,
                )
            files[kept.kept_path(stored.path, moment)] = found
            files[stored.path] = encoded(record)
        storage.write_all(files, disk=disk)
    for stored, _ in changes:
        kept.drop_old(stored.path, moment, disk=disk)
