"""Whether a file is still the film a case was made from."""

from __future__ import annotations

import hashlib
import os
from dataclasses import dataclass
from pathlib import Path
from typing import Final, Literal

import numpy as np

from aftercase import storage
from aftercase.errors import RecordingMissing
from aftercase.media.frametable import FrameTable
from aftercase.media.parts import PartFacts
from aftercase.media.watch import UNWATCHED, Watch

ENDS_OR_TIMES_DIFFER: Final = "the first or last megabyte or the times of the frames differ"
_END_BYTES: Final = 1024 * 1024


@dataclass(frozen=True, slots=True)
class Comparison:
    """What can be said of two looks at a film.

    Args:
        verdict: `same` only when SHA-256 agrees; `alike` when nothing known differs.
        changes: What differs, one sentence each.
    """

    verdict: Literal["same", "alike", "changed"]
    changes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Identity:
    """What a film file is recognised by without reading it whole.

    Args:
        size_bytes: Its size.
        mtime_ns: When it was last written, as the file system tells.
        first_sha256: SHA-256 of its first MiB.
        last_sha256: SHA-256 of its last MiB.
    """

    size_bytes: int
    mtime_ns: int
    first_sha256: bytes
    last_sha256: bytes

    def digest(self) -> bytes:
        """Return a SHA-256 that differs where any of it does."""
        numbers = b"".join(n.to_bytes(8, "little") for n in (self.size_bytes, self.mtime_ns))
        return hashlib.sha256(numbers + self.first_sha256 + self.last_sha256).digest()


def identity_of(path: str) -> Identity:
    """Return what a film is recognised by; reads at most two megabytes of it.

    Raises:
        RecordingMissing: The file cannot be read.
    """
    try:
        with open(path, "rb") as file:
            status = os.fstat(file.fileno())
            first = file.read(_END_BYTES)
            file.seek(max(0, status.st_size - _END_BYTES))
            last = file.read(_END_BYTES)
    except OSError as error:
        raise _gone(path) from error
    ends = (hashlib.sha256(end).digest() for end in (first, last))
    return Identity(status.st_size, max(0, status.st_mtime_ns), *ends)


def table_digest(table: FrameTable) -> bytes:
    """Return the SHA-256 of when each frame is shown, counted from the first one."""
    shown = table.shown(table.first_pts)
    times = np.append(shown.starts_us, shown.end_us).astype("<i8")
    return hashlib.sha256(times.tobytes()).digest()


def quick_hash(identity: Identity, table: FrameTable) -> str:
    """Return a hash of a film that took reading at most two megabytes of it.

    It covers the size, the first and last MiB and the frame table. A film that differs in it has
    changed; one that agrees is very likely, but not proven, the same.

    Returns:
        SHA-256 in hexadecimal.
    """
    digest = hashlib.sha256(identity.size_bytes.to_bytes(8, "little"))
    times = hashlib.sha256(table_digest(table)).digest()
    for piece in (identity.first_sha256, identity.last_sha256, times):
        digest.update(piece)
    return digest.hexdigest()


def full_sha256(path: str, watch: Watch = UNWATCHED) -> str:
    """Return the SHA-256 of a whole file in hexadecimal; the only proof that it is unchanged.

    Args:
        path: The file.
        watch: Told of bytes read, also while a slow share is waited for; may stop the work.

    Raises:
        RecordingMissing: The file cannot be read.
        WorkCancelled: As asked by `watch`.
    """
    try:
        size_bytes = os.path.getsize(path)
        return storage.file_sha256(
            Path(path), progress=lambda done_bytes: watch.step(done_bytes, size_bytes)
        )
    except OSError as error:
        raise _gone(path) from error


def same_film(stored: PartFacts, found: PartFacts) -> Comparison:
    """Compare what a case stored about a film with what the file is now."""
    labels = {
        "size_bytes": "the size in bytes",
        "duration_us": "the length in microseconds",
        "width_px": "the width",
        "height_px": "the height",
    }
    changes = [
        f"{label} was {getattr(stored, name)}, now {getattr(found, name)}"
        for name, label in labels.items()
        if getattr(stored, name) != getattr(found, name)
    ]
    if stored.quick_hash and found.quick_hash and stored.quick_hash != found.quick_hash:
        changes.append(ENDS_OR_TIMES_DIFFER)
    proven = stored.sha256 is not None and found.sha256 is not None
    if proven and stored.sha256 != found.sha256:
        changes.append("the content differs (SHA-256)")
    if changes:
        return Comparison("changed", tuple(changes))
    return Comparison("same" if proven else "alike", ())


def _gone(path: str) -> RecordingMissing:
    return RecordingMissing(
        "The film cannot be read.", hint="Connect the drive it is on.", path=path
    )
