"""Earlier versions of a file.

Kept are the last ten, one an hour for a day, one a day for thirty days, and every sealed one.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Final

from aftercase import storage

FOLDER: Final = "earlier"
MOST_RECENT: Final = 10
HOURLY_FOR: Final = timedelta(days=1)
DAILY_FOR: Final = timedelta(days=30)

_STAMP = "%Y%m%dT%H%M%S%f"
_NAME = re.compile(r"(.+)\.(\d{8}T\d{12})(\.sealed)?\.json", re.ASCII)


def kept_path(path: Path, at: datetime, *, sealed: bool = False) -> Path:
    """Return where a version of a file is kept."""
    ending = ".sealed.json" if sealed else ".json"
    return path.parent / FOLDER / f"{path.stem}.{at.astimezone(UTC).strftime(_STAMP)}{ending}"


def kept_versions(path: Path) -> list[Path]:
    """Return the kept versions of a file, oldest first."""
    folder = path.parent / FOLDER
    if not folder.is_dir():
        return []
    named = [entry for entry in folder.iterdir() if _is_version_of(entry, path)]
    return sorted(named, key=lambda entry: _moment(entry.name))


def keep_version(path: Path, content: bytes, at: datetime, *, sealed: bool = False) -> Path:
    """Keep a version of a file and drop those that are no longer due.

    Raises:
        WriteFailed: It could not be written.
    """
    target = kept_path(path, at, sealed=sealed)
    storage.write_atomic(target, content)
    versions = {entry: _moment(entry.name) for entry in kept_versions(path)}
    always = {entry for entry in versions if entry.name.endswith(".sealed.json")}
    drop = versions_to_drop(versions.values(), at)
    storage.remove_files([e for e, moment in versions.items() if moment in drop - _of(always)])
    return target


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


def _of(entries: Iterable[Path]) -> set[datetime]:
    return {_moment(entry.name) for entry in entries}


def _is_version_of(entry: Path, path: Path) -> bool:
    match = _NAME.fullmatch(entry.name)
    return match is not None and match.group(1) == path.stem


def _moment(name: str) -> datetime:
    match = _NAME.fullmatch(name)
    if match is None:
        raise ValueError(f"{name} is no kept version")
    return datetime.strptime(match.group(2), _STAMP).replace(tzinfo=UTC)
