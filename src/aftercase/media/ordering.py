"""The order of a recording's files by their names and times; nothing is opened here.

Names are read by a table of patterns. A recorder that cuts a recording into parts either counts
the parts behind the recording's name (``REC0001_02``) or before its number (``GX020123``), or
counts files on and on (``00002.MTS``).
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import PurePosixPath
from typing import Final, Literal

By = Literal["name", "time", "letters"]

# fmt: off
FILM_ENDINGS: Final = frozenset({
    ".mp4", ".m4v", ".mov", ".3gp", ".mts", ".m2ts", ".m2t", ".ts", ".mpg", ".mpeg", ".vob",
    ".mod", ".tod", ".avi", ".divx", ".mkv", ".webm", ".wmv", ".asf", ".dv", ".mxf", ".flv",
    ".ogv", ".264", ".h264", ".265", ".hevc", ".m2v",
})
# fmt: on
"""Endings of film files; recorders put previews, captions and lists of other endings beside."""

_STAMP: Final = re.compile(
    r"(?<!\d)((?:19|20)\d\d)[-_.]?(\d\d)[-_.]?(\d\d)[-_.T ]{0,3}"
    r"([0-2]\d)[-_.h]?([0-5]\d)[-_.m]?([0-5]\d)(?!\d)"
)
_PART_BEHIND: Final = re.compile(r"(?P<series>.*?\d.*?)[-_ .]+\(?(?P<part>\d{1,4})\)?")
_PART_BEFORE: Final = re.compile(r"(?P<letters>[A-Za-z]{2})(?P<part>\d{2})(?P<film>\d{4})")
_COUNTED_ON: Final = re.compile(r"(?P<series>.*?)[-_ .(]*(?P<part>\d{1,9})\)?")
_FAR_APART: Final = 1000
_DIGITS: Final = re.compile(r"(\d+)")


@dataclass(frozen=True, slots=True)
class NameRead:
    """What a file's name says.

    Args:
        series: What all parts of a recording share; their folder is no part of it.
        part: Number of the part; None where the name has none.
        begun_us: Time in the name, in microseconds since 1970 by the recorder's own clock; None
            where there is none.
        counted_on: The number counts the recorder's files, not the parts of one recording.
    """

    series: str
    part: int | None
    begun_us: int | None = None
    counted_on: bool = False


@dataclass(frozen=True, slots=True)
class Listed:
    """A file as a folder lists it.

    Args:
        name: Its name with the folders above it, divided by ``/``.
        begun_us: When it was begun, in microseconds since 1970; None where not known.
    """

    name: str
    begun_us: int | None = None


def is_film_name(name: str) -> bool:
    """Claim that a file is a film by its name; hidden files and previews are none.

    Example:
        >>> is_film_name("DCIM/100MED/REC0001.MP4"), is_film_name("DCIM/._REC0001.MP4")
        (True, False)
    """
    path = PurePosixPath(name)
    hidden = any(folder.startswith(".") for folder in path.parts)
    return path.suffix.lower() in FILM_ENDINGS and not hidden


def read_names(names: Sequence[str]) -> list[NameRead]:
    """Read the names of files that lie together; some can only be understood beside the others.

    Example:
        >>> [read.part for read in read_names(["REC0001_01.MP4", "REC0001_02.MP4"])]
        [1, 2]
        >>> [read.part for read in read_names(["GX010123.MP4", "GX020123.MP4"])]
        [1, 2]
        >>> [read.part for read in read_names(["GX010123.MP4", "GX010124.MP4"])]
        [10123, 10124]
    """
    stems = [PurePosixPath(name).stem for name in names]
    films = Counter(
        (match["letters"].upper(), match["film"])
        for stem in {stem.upper() for stem in stems}
        if (match := _PART_BEFORE.fullmatch(stem))
    )
    parts_before = any(count > 1 for count in films.values())
    return [_read(stem, parts_before) for stem in stems]


def natural_key(name: str) -> list[tuple[int, int | str]]:
    """Return a key that sorts names as people count: 2 before 10, letters without regard to case.

    Example:
        >>> sorted(["b10", "B2", "a"], key=natural_key)
        ['a', 'B2', 'b10']
    """
    pieces = _DIGITS.split(name.casefold())
    return [
        (0, int(piece)) if place % 2 else (1, piece) for place, piece in enumerate(pieces) if piece
    ]


def ordered(files: Sequence[Listed]) -> tuple[list[int], By]:
    """Return the positions of files in the order they were recorded, and what decided it.

    Numbers in names decide where every name has one of its own, else times where every file has
    one of its own, else the letters of the names.

    Example:
        >>> ordered([Listed("R_10.MP4"), Listed("R_2.MP4")])
        ([1, 0], 'name')
        >>> ordered([Listed("b.MP4", 5), Listed("a.MP4", 9)])
        ([0, 1], 'time')
        >>> ordered([])
        ([], 'letters')
    """
    reads = read_names([file.name for file in files])
    keys = [_name_key(file.name, read) for file, read in zip(files, reads, strict=True)]
    places = range(len(files))
    if all(read.part is not None for read in reads) and _all_differ(map(str, keys)):
        return sorted(places, key=lambda place: keys[place]), "name" if files else "letters"
    times = [
        file.begun_us if file.begun_us is not None else read.begun_us
        for file, read in zip(files, reads, strict=True)
    ]
    known = [us for us in times if us is not None]
    if len(known) == len(files) and _all_differ(map(str, known)):
        return sorted(places, key=lambda place: known[place]), "time"
    return sorted(places, key=lambda place: natural_key(files[place].name)), "letters"


def _all_differ(texts: Iterable[str]) -> bool:
    seen = list(texts)
    return len(set(seen)) == len(seen)


def _name_key(name: str, read: NameRead) -> tuple[list[tuple[int, int | str]], ...]:
    """Return a key by folder, series and part; a count that goes on runs through the folders."""
    folder = natural_key(PurePosixPath(name).parent.as_posix())
    part = natural_key(str(read.part or 0))
    return folder, natural_key(read.series), part


def _read(stem: str, parts_before: bool) -> NameRead:
    begun_us, rest = _without_stamp(stem)
    match = _PART_BEFORE.fullmatch(stem) if parts_before else None
    if match:
        return NameRead(match["letters"].upper() + match["film"], int(match["part"]))
    if begun_us is not None:
        number = _COUNTED_ON.fullmatch(rest)
        series = _trimmed(number["series"] if number else rest)
        return NameRead(series, int(number["part"]) if number else None, begun_us)
    if match := _PART_BEHIND.fullmatch(stem):
        return NameRead(_trimmed(match["series"]), int(match["part"]))
    if match := _COUNTED_ON.fullmatch(stem):
        return NameRead(_trimmed(match["series"]), int(match["part"]), counted_on=True)
    return NameRead(_trimmed(stem), None)


def _trimmed(series: str) -> str:
    return series.strip(" -_.(").upper()


def _without_stamp(stem: str) -> tuple[int | None, str]:
    """Return the time that stands in a name, and the name without it."""
    match = _STAMP.search(stem)
    if match is None:
        return None, stem
    try:
        moment = datetime.strptime("".join(match.groups()), "%Y%m%d%H%M%S").replace(tzinfo=UTC)
    except ValueError:
        return None, stem
    return int(moment.timestamp()) * 1_000_000, stem[: match.start()] + stem[match.end() :]


def missing_parts(reads: Sequence[NameRead]) -> Iterator[tuple[int, list[int]]]:
    """Yield the numbers left out between neighbours of a series, with the later one's position.

    Where a count starts anew, as at a change of the recorder's folder, nothing is missing, nor
    between numbers so far apart that they count something else.

    Example:
        >>> reads = read_names(["REC0001_01.MP4", "REC0001_04.MP4"])
        >>> list(missing_parts(reads))
        [(1, [2, 3])]
    """
    present = {(read.series, read.part) for read in reads}
    for place in range(1, len(reads)):
        before, after = reads[place - 1], reads[place]
        if before.part is None or after.part is None or before.series != after.series:
            continue
        if after.part - before.part > _FAR_APART:
            continue
        between = range(before.part + 1, after.part)
        if numbers := [part for part in between if (before.series, part) not in present]:
            yield place, numbers
