"""Documents on disk: read with what they were, written only over what was read."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Generic

from aftercase import storage
from aftercase.document import kept
from aftercase.document.codec import Document, broken, decoded, encoded
from aftercase.errors import DocumentChanged, DocumentMissing
from aftercase.model.guide import Guide
from aftercase.model.guide_rules import problems as guide_problems


@dataclass(frozen=True)
class Stored(Generic[Document]):
    """A document as it is on disk.

    Attributes:
        path: Its file.
        record: What the file says.
        digest: SHA-256 of the file's bytes in hex; None while there is no file.
    """

    path: Path
    record: Document
    digest: str | None


def read_document(kind: type[Document], path: Path) -> Stored[Document]:
    """Read a case, review or guide.

    Raises:
        DocumentMissing: There is no such file.
        DocumentBroken: It cannot be read; place and fault are named.
        DocumentTooNew: It was written by a newer program.
    """
    content = storage.read_bytes(path)
    if content is None:
        raise DocumentMissing(
            "There is no such file.", hint="Look at its name and where it lies.", path=path
        )
    return Stored(path, decoded(kind, content, path), storage.digest_of(content))


def read_guide(path: Path) -> Stored[Guide]:
    """Read a guide and refuse one whose parts do not fit together.

    Raises:
        DocumentMissing: There is no such file.
        DocumentBroken: File, place and fault are named.
    """
    stored = read_document(Guide, path)
    if faults := guide_problems(stored.record):
        raise broken(faults, path)
    return stored


def write_document(
    stored: Stored[Document],
    record: Document,
    *,
    now: datetime | None = None,
    disk: storage.Disk = storage.DISK,
) -> Stored[Document]:
    """Write a document over the version it was read from, and keep that version.

    Args:
        stored: The document as it was read or last written.
        record: What it says now.
        now: The present, for naming the kept version.
        disk: The disk's calls.

    Raises:
        DocumentChanged: The file changed on disk; it is untouched, and this version is kept
            beside it.
        WriteFailed: The disk is full, read-only or gone; the earlier file is whole.
    """
    content = encoded(record)
    if storage.digest_of(content) == stored.digest:
        return Stored(stored.path, record, stored.digest)
    moment = now or datetime.now(UTC)
    with mine_set_aside(stored.path, content, moment, disk):
        digest = storage.replace_if_same(
            stored.path,
            content,
            expected_digest=stored.digest,
            keep_as=kept.kept_path(stored.path, moment),
            disk=disk,
        )
    kept.drop_old(stored.path, moment, disk=disk)
    return Stored(stored.path, record, digest)


@contextmanager
def mine_set_aside(path: Path, content: bytes, now: datetime, disk: storage.Disk) -> Iterator[None]:
    """Keep what could not be written because the file had changed, and say where it is.

    Raises:
        DocumentChanged: As raised inside, with the name of the kept version.
    """
    try:
        yield
    except DocumentChanged as error:
        mine = kept.set_aside(path, content, now, disk=disk)
        error.hint = f"Open it again; your version is kept as {mine.name} in {mine.parent}."
        raise
