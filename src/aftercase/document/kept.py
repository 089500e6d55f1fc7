"""Earlier versions of a file.

Kept are the last ten, one an hour for a day, one a day for thirty days, and every version that was
set aside because the file had changed on disk. Sealed reviews need none: they are never written
again.
"""

from __future__ import annotations

import contextlib
import re
from collections.abc import Collection, Iterable
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Final

from aftercase import storage
from aftercase.errors import WriteFailed

FOLDER: Final = "earlier"
MOST_RECENT: Final = 10
HOURLY_FOR: Final = timedelta(days=1)
DAILY_FOR: Final = timedelta(days=30)

_STAMP = "%Y%m%dT%H%M%S%f"
_SET_ASIDE = ".set-aside"
_NAME = re.compile(rf"(.+)\.(\d{{8}}T\d{{12}})({re.escape(_SET_ASIDE)})?\.json", re.ASCII)


def kept_path(path: Path, at: datetime) -> Path:
    """Return where the version of a file that is replaced at a moment is kept."""
    return path.parent / FOLDER / f"{path.stem}.{at.astimezone(UTC).strftime(_STAMP)}.json"


def kept_versions(path: Path) -> list[Path]:
    """Return the kept versions of a file, oldest first."""
    folder = path.parent / FOLDER
    if not folder.is_dir():
        return []
    named = [entry for entry in folder.iterdir() if _is_version_of(entry, path)]
    return sorted(named, key=lambda entry: _moment(entry.name))


def set_aside(path: Path, content: bytes, at: datetime, *, disk: storage.Disk) -> Path:
    """Keep, for good, a version that could not be written because the file had changed.

    Raises:
        WriteFailed: The disk is full, read-only or gone.
    """
    target = kept_path(path, at).with_suffix(f"{_SET_ASIDE}.json")
    storage.write_atomic(target, content, disk=disk)
    return target


def drop_old(path: Path, now: datetime, *, disk: storage.Disk) -> None:
    """Delete the versions of a file that are no longer due, as far as the disk lets us."""
    versions = {
        _moment(entry.name): entry
        for entry in kept_versions(path)
        if not entry.name.endswith(f"{_SET_ASIDE}.json")
    }
    due = [versions[moment] for moment in versions_to_drop(versions, now)]
    with contextlib.suppress(WriteFailed):  # a version too many does no harm
        storage.remove_files(due, disk=disk)


def versions_to_drop(moments: Iterable[datetime], now: datetime) -> set[datetime]:
    """Return the moments whose versions are no longer kept.

    Args:
        moments: When each version was written.
        now: The present.

    Returns:
        All but the last ten, the last of each hour of the past day, and the last of each day of
        the past thirty.
    """
    ordered = sorted(moments)
    keep = set(ordered[-MOST_RECENT:])
    keep |= _last_of_each([m for m in ordered if now - m <= HOURLY_FOR], "%Y%m%d%H")
    keep |= _last_of_each([m for m in ordered if now - m <= DAILY_FOR], "%Y%m%d")
    return set(ordered) - keep


def _last_of_each(ordered: Collection[datetime], period: str) -> set[datetime]:
    return set({moment.strftime(period): moment for moment in ordered}.values())


def _is_version_of(entry: Path, path: Path) -> bool:
    match = _NAME.fullmatch(entry.name)
    return match is not None and match.group(1) == path.stem


def _moment(name: str) -> datetime:
    match = _NAME.fullmatch(name)
    if match is None:
        raise ValueError(f"{name} is no kept version")
    return datetime.strptime(match.group(2), _STAMP).replace(tzinfo=UTC)
