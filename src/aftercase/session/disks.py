"""Whether a folder is on a disk of this computer, and may be written to."""

from __future__ import annotations

import os
import sys
from pathlib import Path
from typing import Final

# File systems of Linux whose files lie on another computer.
_REMOTE: Final = frozenset(
    {"9p", "afs", "ceph", "cifs", "davfs", "glusterfs", "lustre", "ncpfs", "nfs", "nfs4", "smb3"}
    | {"smbfs", "fuse.sshfs", "fuse.rclone", "fuse.davfs2", "fuse.gvfsd-fuse", "fuse.glusterfs"}
)  # fmt: skip
_MOUNTED: Final = Path("/proc/self/mountinfo")


def is_writable(folder: Path) -> bool:
    """Claim that files may be put into a folder that is there."""
    return folder.is_dir() and os.access(folder, os.W_OK | os.X_OK)


def is_local(folder: Path) -> bool:
    """Claim that a folder is on a disk of this computer.

    Where the system does not say (macOS has no ready call for it), it counts as local.
    """
    return _is_local(folder.resolve())


def remote_in(mounted: str, folder: Path) -> bool:
    """Claim that a folder is on a remote file system, by Linux's list of what is mounted where.

    Example:
        >>> listed = "36 35 0:40 / /mnt/share rw - cifs //server/share rw"
        >>> remote_in(listed, Path("/mnt/share/cases")), remote_in(listed, Path("/home"))
        (True, False)
    """
    best, is_remote = -1, False
    for line in mounted.splitlines():
        before, _, after = line.partition(" - ")
        fields, kind = before.split(), after.split()[:1]
        if len(fields) < 5 or not kind:
            continue
        place = Path(fields[4].replace("\\040", " "))
        if folder.is_relative_to(place) and len(place.parts) >= best:
            best, is_remote = len(place.parts), kind[0] in _REMOTE
    return is_remote


if sys.platform == "win32":
    import ctypes

    _DRIVE_REMOTE: Final = 4

    def _is_local(folder: Path) -> bool:
        is_share = folder.drive.startswith("\\\\")
        kind = ctypes.windll.kernel32.GetDriveTypeW(folder.anchor)
        return not is_share and kind != _DRIVE_REMOTE

else:

    def _is_local(folder: Path) -> bool:
        try:
            mounted = _MOUNTED.read_text(encoding="utf-8", errors="surrogateescape")
        except OSError:
            return True
        return not remote_in(mounted, folder)
