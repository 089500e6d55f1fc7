"""The only place that writes files: whole and atomic, or streamed with flush.

Every platform-specific call lives here, and tests put full, read-only and vanished disks in
place of `Disk`. It is one long file so that this rule stays easy to see and to check.
"""

from __future__ import annotations

import contextlib
import errno
import hashlib
import os
import queue
import secrets
import sys
import threading
import time
from collections.abc import Callable, Iterable, Iterator, Mapping
from pathlib import Path
from typing import Final

from aftercase.errors import (
    AlreadyThere,
    DocumentChanged,
    ReadFailed,
    RecordingUnreadable,
    WriteFailed,
)

BLOCK_BYTES: Final = 4 * 1024 * 1024
_BLOCKS_AHEAD: Final = 2
_TELL_EVERY_S: Final = 0.1
TEMPORARY_SUFFIX: Final = ".part-written"
LOCK_NAME: Final = ".lock"
LOCK_WAIT_S: Final = 10.0
LEFTOVER_AGE_S: Final = 3600.0
"""A part-written file that nobody touched for this long was left by a killed program."""

_CANNOT_SYNC_FOLDERS: Final = (errno.EINVAL, errno.ENOTSUP)
_WHAT_TO_DO: Final = {
    errno.ENOSPC: ("The disk is full.", "Make room and save again; nothing was lost."),
    errno.EDQUOT: ("The disk quota is used up.", "Make room and save again; nothing was lost."),
    errno.EROFS: ("The disk is read-only.", "Choose a folder that can be written."),
    errno.EACCES: ("This folder may not be written to.", "Choose another folder."),
    errno.EPERM: ("This folder may not be written to.", "Choose another folder."),
    errno.ENOENT: ("The folder is gone.", "Plug the drive in again, or choose another folder."),
    errno.EIO: ("The drive does not answer.", "Plug the drive in again and save again."),
    errno.EFBIG: ("The disk takes no file this large.", "Choose a disk with another format."),
}  # fmt: skip


class Disk:
    """The calls that touch a disk; tests replace one to let it fail."""

    def write_new(self, path: Path, blocks: Iterable[bytes]) -> None:
        """Write a new file block by block and force it to the disk."""
        with open(path, "xb") as handle:
            for block in blocks:
                handle.write(block)
            handle.flush()
            os.fsync(handle.fileno())

    def replace(self, source: Path, target: Path) -> None:
        """Put `source` in the place of `target`, in one step."""
        os.replace(source, target)

    def sync_folder(self, folder: Path) -> None:
        """Force a folder's entries to the disk, where the platform can."""
        if sys.platform == "win32":  # folders cannot be opened there; replace is durable enough
            return
        descriptor = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(descriptor)
        except OSError as error:
            if error.errno not in _CANNOT_SYNC_FOLDERS:  # some network shares answer so
                raise
        finally:
            os.close(descriptor)

    def remove(self, path: Path) -> None:
        """Delete a file; one that is gone already is fine."""
        path.unlink(missing_ok=True)

    def forget(self, path: Path) -> None:
        """Let a file's pages go, where the platform can, so that it is next read from the disk."""
        if hasattr(os, "posix_fadvise"):
            descriptor = os.open(path, os.O_RDONLY)
            try:
                os.posix_fadvise(descriptor, 0, 0, os.POSIX_FADV_DONTNEED)
            finally:
                os.close(descriptor)

    def keep_time(self, source: Path, target: Path) -> None:
        """Give a copy the time its original was last written to, where the disk lets us."""
        with contextlib.suppress(OSError):
            status = source.stat()
            os.utime(target, ns=(status.st_atime_ns, status.st_mtime_ns))

    def make_folder(self, folder: Path) -> None:
        """Make a folder and those above it."""
        folder.mkdir(parents=True, exist_ok=True)


DISK: Final = Disk()


def digest_of(content: bytes) -> str:
    """Return the SHA-256 of bytes, in hex."""
    return hashlib.sha256(content).hexdigest()


def read_bytes(path: Path) -> bytes | None:
    """Return a file's bytes, or None where there is no file.

    Raises:
        ReadFailed: The disk does not let it be read.
    """
    try:
        return _bytes_of(path)
    except OSError as error:
        raise ReadFailed(
            f"“{path.name}” could not be read: {error.strerror or error}.",
            hint="Look at the file's rights and at its drive, and try again.",
            path=path,
        ) from error


def _bytes_of(path: Path) -> bytes | None:
    try:
        return path.read_bytes()
    except (FileNotFoundError, NotADirectoryError):
        return None


def write_atomic(path: Path, content: bytes, *, disk: Disk = DISK) -> None:
    """Write a file whole: what was there stays whole until the new one is safely down.

    Raises:
        WriteFailed: The disk is full, read-only or gone; the earlier file is untouched.
    """
    write_all({path: content}, disk=disk)


def write_all(files: Mapping[Path, bytes], *, disk: Disk = DISK) -> None:
    """Write several files or none: all are down under other names before the first is put in place.

    Raises:
        WriteFailed: One could not be written; every earlier file is untouched.
    """
    waiting: dict[Path, Path] = {}
    replaced: dict[Path, bytes | None] = {}
    try:
        for path, content in files.items():
            disk.make_folder(path.parent)
            waiting[path] = _temporary_beside(path)
            disk.write_new(waiting[path], (content,))
        for path, temporary in waiting.items():
            earlier = _bytes_of(path)
            disk.replace(temporary, path)
            replaced[path] = earlier
        for folder in sorted({path.parent for path in files}):
            disk.sync_folder(folder)
    except OSError as error:
        _take_back(waiting, replaced, disk)
        raise _failure("was not written", path, error) from error


def _temporary_beside(path: Path) -> Path:
    """Return a name beside a file; it does not hold the file's name, which may be at its limit."""
    return path.with_name(f".{secrets.token_hex(8)}{TEMPORARY_SUFFIX}")


def _take_back(
    waiting: Mapping[Path, Path], replaced: Mapping[Path, bytes | None], disk: Disk
) -> None:
    """Undo a half-done `write_all` as far as a failing disk still lets us."""
    for temporary in waiting.values():
        with contextlib.suppress(OSError):
            disk.remove(temporary)
    for path, earlier in replaced.items():
        with contextlib.suppress(OSError):
            if earlier is None:
                disk.remove(path)
            else:
                temporary = _temporary_beside(path)
                disk.write_new(temporary, (earlier,))
                disk.replace(temporary, path)


def replace_if_same(
    path: Path,
    content: bytes,
    *,
    expected_digest: str | None,
    keep_as: Path | None = None,
    disk: Disk = DISK,
) -> str:
    """Write a file only if it still is what it was when it was read.

    Args:
        path: The file.
        content: Its new bytes.
        expected_digest: SHA-256 of the bytes that were read; None where there was no file.
        keep_as: Where the bytes that go are kept; both files are written or none.
        disk: The disk's calls.

    Returns:
        SHA-256 of what is there now.

    Raises:
        DocumentChanged: Somebody else wrote it meanwhile; theirs is untouched.
        WriteFailed: The disk is full, read-only or gone; the earlier file is untouched.
    """
    with locked(path.parent, disk=disk):
        earlier = _refuse_changed(path, expected_digest)
        _remove_leftovers(path.parent, disk)
        kept = {} if keep_as is None or earlier is None else {keep_as: earlier}
        write_all({**kept, path: content}, disk=disk)
    return digest_of(content)


def move_if_same(
    source: Path,
    target: Path,
    content: bytes,
    *,
    expected_digest: str | None,
    disk: Disk = DISK,
) -> str:
    """Write a new file that takes over from another, if that one still is what it was.

    Args:
        source: The file that goes.
        target: The file that comes; must not be there yet, and lies in another folder.
        content: Its bytes.
        expected_digest: SHA-256 of the source's bytes; None where there is no such file.
        disk: The disk's calls.

    Returns:
        SHA-256 of the new file.

    Raises:
        DocumentChanged: Somebody else wrote the source meanwhile; nothing was done.
        AlreadyThere: The target is there; nothing was done.
        WriteFailed: The disk is full, read-only or gone; nothing was done.
    """
    with locked(source.parent, disk=disk):
        _refuse_changed(source, expected_digest)
        write_new(target, content, disk=disk)
        with contextlib.suppress(OSError):  # the new file is down; the old one may stay behind it
            disk.remove(source)
    return digest_of(content)


def _refuse_changed(path: Path, expected_digest: str | None) -> bytes | None:
    """Return a file's bytes, None where there is none, if they are those that were read."""
    found = read_bytes(path)
    if (None if found is None else digest_of(found)) != expected_digest:
        raise DocumentChanged(
            "This file changed on disk since it was read.",
            hint="Open it again; your version was not written.",
            path=path,
        )
    return found


def write_locked(
    path: Path, changed: Callable[[bytes | None], bytes], *, disk: Disk = DISK
) -> None:
    """Write a file from what it says at this moment, without losing what others write to it.

    Args:
        path: The file.
        changed: Given the present bytes (None where there is no file), returns the new ones.
        disk: The disk's calls.

    Raises:
        WriteFailed: The disk is full, read-only or gone; the earlier file is untouched.
    """
    with locked(path.parent, disk=disk):
        _remove_leftovers(path.parent, disk)
        write_atomic(path, changed(read_bytes(path)), disk=disk)


def _remove_leftovers(folder: Path, disk: Disk) -> None:
    """Delete the part-written files that killed programs left in a folder."""
    long_ago = time.time() - LEFTOVER_AGE_S
    for leftover in folder.glob(f".*{TEMPORARY_SUFFIX}"):
        with contextlib.suppress(OSError):
            if leftover.stat().st_mtime < long_ago:
                disk.remove(leftover)


def write_new(path: Path, content: bytes, *, disk: Disk = DISK) -> None:
    """Write a file that must not be there yet.

    Raises:
        AlreadyThere: It is there.
        WriteFailed: The disk is full, read-only or gone.
    """
    try:
        replace_if_same(path, content, expected_digest=None, disk=disk)
    except DocumentChanged as error:
        raise _already_there(path) from error


def remove_files(paths: list[Path], *, disk: Disk = DISK) -> None:
    """Delete files; those that are gone already are fine.

    Raises:
        WriteFailed: One cannot be deleted.
    """
    for path in paths:
        try:
            disk.remove(path)
        except OSError as error:
            raise _failure("was not deleted", path, error) from error


def copy_film(
    source: Path,
    target: Path,
    *,
    progress: Callable[[int], None] | None = None,
    disk: Disk = DISK,
) -> str:
    """Copy a film block by block and compare the copy with the original by reading it back.

    The original is read once. The copy keeps its time, by which parts are put in order.

    Args:
        source: The film.
        target: Where the copy goes; must not be there yet.
        progress: Called with the bytes copied so far, also while a slow disk is waited for;
            raise from it to stop.
        disk: The disk's calls.

    Returns:
        SHA-256 of the film, in hex.

    Raises:
        AlreadyThere: The target is there.
        RecordingUnreadable: The film itself cannot be read.
        WriteFailed: The disk is full, read-only or gone, or the copy differs.
    """
    if target.exists():
        raise _already_there(target)
    temporary = _temporary_beside(target)
    digest = hashlib.sha256()
    try:
        disk.make_folder(target.parent)
        _remove_leftovers(target.parent, disk)
        disk.write_new(temporary, _film_blocks(source, digest.update, progress))
        disk.forget(temporary)
        if _read_back(temporary, progress) != digest.hexdigest():
            raise WriteFailed("The copy differs from the film.", hint="Copy it again.", path=target)
        disk.keep_time(source, temporary)
        disk.replace(temporary, target)
        disk.sync_folder(target.parent)
    except OSError as error:
        raise _failure("was not copied", target, error) from error
    finally:
        with contextlib.suppress(OSError):
            disk.remove(temporary)
    return digest.hexdigest()


def _read_back(copy: Path, progress: Callable[[int], None] | None) -> str:
    """Return the SHA-256 of a copy; its progress stays at all bytes, and can be stopped."""
    size_bytes = copy.stat().st_size
    return file_sha256(copy, progress=progress and (lambda done: progress(size_bytes)))


def _film_blocks(
    film: Path, seen: Callable[[bytes], None], progress: Callable[[int], None] | None
) -> Iterator[bytes]:
    try:
        for block in _blocks(film, progress):
            seen(block)
            yield block
    except OSError as error:
        raise RecordingUnreadable(
            f"“{film.name}” could not be read: {error.strerror or error}.",
            hint="Look at the film and at its drive, and copy it again.",
            path=film,
        ) from error


def file_sha256(path: Path, *, progress: Callable[[int], None] | None = None) -> str:
    """Return the SHA-256 of a whole file in hex, reading it block by block.

    Args:
        path: The file.
        progress: Called with the bytes read so far, also while a slow disk is waited for; raise
            from it to stop.

    Raises:
        OSError: It cannot be read.
    """
    digest = hashlib.sha256()
    for block in _blocks(path, progress):
        digest.update(block)
    return digest.hexdigest()


def _blocks(path: Path, progress: Callable[[int], None] | None) -> Iterator[bytes]:
    """Yield a file's blocks, read ahead in a thread: a share that stalls can be left.

    A thread that is caught in a stalled read ends when that read does; it holds nothing but the
    open file.
    """
    ahead: queue.Queue[bytes | OSError] = queue.Queue(_BLOCKS_AHEAD)
    left = threading.Event()
    reading = threading.Thread(target=_read_ahead, args=(path, ahead, left), daemon=True)
    reading.start()
    done = 0
    try:
        while True:
            try:
                block = ahead.get(timeout=_TELL_EVERY_S)
            except queue.Empty:
                block = None
                if not reading.is_alive() and ahead.empty():
                    raise OSError(errno.EIO, "reading stopped") from None
            if isinstance(block, OSError):
                raise block
            if block == b"":
                return
            if block is not None:
                done += len(block)
                yield block
            if progress is not None:
                progress(done)
    finally:
        left.set()


def _read_ahead(path: Path, ahead: queue.Queue[bytes | OSError], left: threading.Event) -> None:
    """Put a file's blocks into a queue, an empty one at its end, until nobody takes them."""

    def put(block: bytes | OSError) -> None:
        while not left.is_set():
            with contextlib.suppress(queue.Full):
                return ahead.put(block, timeout=_TELL_EVERY_S)

    try:
        with open(path, "rb") as file:
            while not left.is_set() and (block := file.read(BLOCK_BYTES)):
                put(block)
            put(b"")
    except OSError as error:
        put(error)


@contextlib.contextmanager
def locked(folder: Path, *, wait_s: float = LOCK_WAIT_S, disk: Disk = DISK) -> Iterator[None]:
    """Hold a folder's lock, so that two programs do not check and write at the same moment.

    The folder is made if it is not there. On shares that know no locks the check before each
    write is what remains.

    Raises:
        WriteFailed: Somebody holds it longer than `wait_s`, or the folder cannot be written.
    """
    try:
        disk.make_folder(folder)
        descriptor = os.open(folder / LOCK_NAME, os.O_RDWR | os.O_CREAT, 0o666)
    except OSError as error:
        raise _failure("cannot be written in", folder, error) from error
    try:
        _wait_for_lock(descriptor, folder, wait_s)
        yield
    finally:
        os.close(descriptor)


def _wait_for_lock(descriptor: int, folder: Path, wait_s: float) -> None:
    give_up_at = time.monotonic() + wait_s
    try:
        while not _took_lock(descriptor):
            if time.monotonic() > give_up_at:
                raise WriteFailed(
                    "Another program is writing in this folder.",
                    hint="Wait a moment and save again.",
                    path=folder,
                )
            time.sleep(0.01)
    except OSError as error:
        raise _failure("cannot be written in", folder, error) from error


if sys.platform == "win32":
    import msvcrt

    def _took_lock(descriptor: int) -> bool:
        os.lseek(descriptor, 0, os.SEEK_SET)
        try:
            msvcrt.locking(descriptor, msvcrt.LK_NBLCK, 1)
        except OSError:
            return False
        return True

else:
    import fcntl

    _NO_LOCKS_HERE: Final = (errno.ENOLCK, errno.ENOTSUP, errno.EINVAL, errno.ENOSYS)

    def _took_lock(descriptor: int) -> bool:
        try:
            fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            return False
        except OSError as error:
            if error.errno in _NO_LOCKS_HERE:
                return True
            raise
        return True


def _already_there(path: Path) -> AlreadyThere:
    return AlreadyThere("This file is there already.", hint="Choose another name.", path=path)


def _failure(what: str, path: Path, error: OSError) -> WriteFailed:
    known = _WHAT_TO_DO.get(error.errno or 0)
    reason, hint = known or (f"{error.strerror or error}.", "Look at the folder and save again.")
    return WriteFailed(f"“{path.name}” {what}. {reason}", hint=hint, path=path)
