"""Format versions: older ones are upgraded, a newer minor is kept, a newer major is refused."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any, Final

from aftercase.errors import DocumentBroken, DocumentTooNew
from aftercase.model.base import Record
from aftercase.model.case import CASE_FORMAT, CASE_VERSION, Case
from aftercase.model.guide import GUIDE_FORMAT, GUIDE_VERSION, Guide
from aftercase.model.intake import INTAKE_FORMAT, INTAKE_VERSION, IntakeList
from aftercase.model.review import REVIEW_FORMAT, REVIEW_VERSION, Review

Upgrade = Callable[[dict[str, Any]], dict[str, Any]]

FORMATS: Final[Mapping[type[Record], tuple[str, str]]] = {
    Case: (CASE_FORMAT, CASE_VERSION),
    Review: (REVIEW_FORMAT, REVIEW_VERSION),
    Guide: (GUIDE_FORMAT, GUIDE_VERSION),
    IntakeList: (INTAKE_FORMAT, INTAKE_VERSION),
}
"""Format name and current version of each kind of document."""

UPGRADES: Final[Mapping[tuple[str, int], Upgrade]] = {}
"""One step per major version, ``(format, major) -> dict -> dict``; never edited once released."""

_VERSION = re.compile(r"(\d{1,6})\.(\d{1,6})", re.ASCII)


def upgraded(
    kind: type[Record],
    data: dict[str, Any],
    path: Path,
    *,
    upgrades: Mapping[tuple[str, int], Upgrade] = UPGRADES,
) -> dict[str, Any]:
    """Return a file's data in the current major version.

    A newer minor version keeps its number and its unknown fields; an older minor becomes the
    current one, since its fields are all still known.

    Raises:
        DocumentBroken: It is another kind of file, or has no version.
        DocumentTooNew: Its major version is newer than this program's.
    """
    name, current = FORMATS[kind]
    if data.get("format") != name:
        raise DocumentBroken(
            f"This is no {name} file; it says {data.get('format')!r}.",
            hint="Give the file of the right kind.",
            path=path,
        )
    major, minor = _numbers(data.get("version"), path)
    current_major, current_minor = _numbers(current, path)
    if major > current_major:
        raise DocumentTooNew(
            f"This file has format {name} {major}.{minor}; this program reads up to "
            f"{current_major}.x. It was not touched.",
            hint="Open it with a newer version of the program.",
            path=path,
        )
    while major < current_major:
        if (name, major) not in upgrades:
            raise DocumentBroken(
                f"This file has format {name} {major}.{minor}, which was never released.",
                hint="Put an earlier kept version in its place.",
                path=path,
            )
        data = upgrades[(name, major)](data)
        major, minor = major + 1, 0
    return {**data, "version": f"{major}.{max(minor, current_minor)}"}


def _numbers(version: object, path: Path) -> tuple[int, int]:
    match = _VERSION.fullmatch(version) if isinstance(version, str) else None
    if match is None:
        raise DocumentBroken(
            f"This file's version {version!r} is none.",
            hint="Put an earlier kept version in its place.",
            path=path,
        )
    return int(match.group(1)), int(match.group(2))
