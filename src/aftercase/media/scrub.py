"""The scrub copy: the same frames, small, each decoded on its own, so that any is there at once.

A copy is rows, as the film's frame table has them: row `n` of the copy is frame `n` of the film,
whatever its time. It has no clock of its own that could differ. It lies in files of
`SEGMENT_ROWS` rows each, written whole one after another, so that what is finished stays when the
building is stopped. A film that changed has another `bond`, by which the files are named: the
old ones are no longer found. What lies in a cache folder is not trusted; a row that is not what
was written is passed over and decoded from the film.
"""

from __future__ import annotations

import hashlib
import struct
import zlib
from dataclasses import dataclass, replace
from fractions import Fraction
from pathlib import Path
from typing import Final, NamedTuple

from aftercase.media.fingerprint import Identity
from aftercase.media.picture import Pixels
from aftercase.media.pixels import PixelMaker
from aftercase.media.scrubcodec import SmallPictureReader

COPY_VERSION: Final = 1
"""Raised whenever copies are coded or kept otherwise; earlier ones are then made anew."""

SEGMENT_ROWS: Final = 256
SUFFIX: Final = ".scrub"

_BEGINNING: Final = b"aftercase scrub copy\n"
_CHECK_BYTES: Final = 32
_ROW: Final = struct.Struct("<IIIB")
_TURN_BITS: Final = 0b11
_MIRRORED: Final = 0b100
_DOUBTFUL: Final = 0b1000
_DAMAGED: Final = 0b10000


@dataclass(frozen=True, slots=True)
class SmallFrame:
    """One row of a copy.

    Args:
        coded: The coded picture; empty where the film's frame cannot be decoded.
        turn_deg: See `Pixels`.
        mirrored: See `Pixels`.
        doubtful: See `Picture`.
    """

    coded: bytes
    turn_deg: int = 0
    mirrored: bool = False
    doubtful: bool = False


@dataclass(frozen=True, slots=True)
class CopiedPicture:
    """What a copy shows of a frame; no pixels where the film's frame cannot be decoded."""

    pixels: Pixels | None
    doubtful: bool


class _Row(NamedTuple):
    """Where one coded picture lies in its file, its check sum, and what is known of it."""

    offset: int
    size: int
    check: int
    flags: int


def bond_of(identity: Identity, stream: int, quick_hash: str) -> bytes:
    """Return what a copy is bound to: film, stream, the frames' times and how it is kept."""
    digest = hashlib.sha256(f"{COPY_VERSION} {stream} {quick_hash} ".encode())
    digest.update(identity.digest())
    return digest.digest()


def segment_rows(number: int, n_rows: int) -> range:
    """Return the rows that one file of a copy holds."""
    return range(number * SEGMENT_ROWS, min((number + 1) * SEGMENT_ROWS, n_rows))


def n_segments(n_rows: int) -> int:
    """Return how many files a copy has."""
    return -(-n_rows // SEGMENT_ROWS)


def segment_path(folder: Path, bond: bytes, number: int) -> Path:
    """Return where one file of a copy lies."""
    return folder / f"{name_of(bond)}-{number:05d}{SUFFIX}"


def name_of(bond: bytes) -> str:
    """Return what the names of a copy's files begin with."""
    return bond.hex()[:24]


def copy_name(file: Path) -> str:
    """Return the name of the copy that a file belongs to, from the file's own name."""
    return file.name.partition("-")[0]


def segment_bytes(bond: bytes, number: int, frames: list[SmallFrame]) -> bytes:
    """Return the content of one file of a copy."""
    offset = 0
    rows = []
    for frame in frames:
        rows.append(_ROW.pack(offset, len(frame.coded), zlib.crc32(frame.coded), _flags_of(frame)))
        offset += len(frame.coded)
    head = b"".join([_BEGINNING, bond, struct.pack("<II", number, len(rows)), *rows])
    return b"".join([head, hashlib.sha256(head).digest(), *(frame.coded for frame in frames)])


class ScrubCopy:
    """The copy of one part, as far as it is built; it grows while it is read.

    Args:
        folder: The cache folder.
        bond: See `bond_of`.
        n_rows: Frames of the film.
        pixel_aspect: Width of a film's pixel over its height.
    """

    def __init__(self, folder: Path, bond: bytes, n_rows: int, pixel_aspect: Fraction) -> None:
        self._folder = folder
        self._bond = bond
        self._n_rows = n_rows
        self._pixel_aspect = pixel_aspect
        self._heads: dict[int, list[_Row]] = {}
        self._reader: SmallPictureReader | None = None
        self._maker: PixelMaker | None = None

    def picture(self, row: int, max_side_px: int | None = None) -> CopiedPicture | None:
        """Return a frame's picture from the copy; None where the copy does not have it."""
        place = self._place(row)
        if place is None:
            return None
        doubtful = bool(place.flags & _DOUBTFUL)
        if place.flags & _DAMAGED:
            return CopiedPicture(None, doubtful)
        pixels = self._pixels(row // SEGMENT_ROWS, place, max_side_px)
        return None if pixels is None else CopiedPicture(pixels, doubtful)

    def has(self, row: int) -> bool:
        """Claim that the copy has a frame, as far as its files' heads tell."""
        return self._place(row) is not None

    def missing(self) -> list[int]:
        """Return the numbers of the files that are not there yet, or are not what was written."""
        return [n for n in range(n_segments(self._n_rows)) if self._head(n) is None]

    def _place(self, row: int) -> _Row | None:
        rows = self._head(row // SEGMENT_ROWS)
        return None if rows is None else rows[row % SEGMENT_ROWS]

    def _head(self, number: int) -> list[_Row] | None:
        """Return the rows of one file, read at first need."""
        if number not in self._heads:
            n_rows = len(segment_rows(number, self._n_rows))
            rows = _rows_in(
                segment_path(self._folder, self._bond, number), self._bond, number, n_rows
            )
            if rows is None:
                return None
            self._heads[number] = rows
        return self._heads[number]

    def _pixels(self, number: int, place: _Row, max_side_px: int | None) -> Pixels | None:
        coded = _read(segment_path(self._folder, self._bond, number), place.offset, place.size)
        if zlib.crc32(coded) != place.check:
            self._heads.pop(number, None)
            return None
        if self._reader is None or self._maker is None:
            self._reader, self._maker = SmallPictureReader(), PixelMaker()
        frame = self._reader.frame(coded)
        if frame is None:
            return None
        pixels = self._maker.pixels(frame, self._pixel_aspect, max_side_px)
        turn_deg = 90 * (place.flags & _TURN_BITS)
        return replace(pixels, turn_deg=turn_deg, mirrored=bool(place.flags & _MIRRORED))


def _flags_of(frame: SmallFrame) -> int:
    return (
        frame.turn_deg // 90
        | _MIRRORED * frame.mirrored
        | _DOUBTFUL * frame.doubtful
        | _DAMAGED * (not frame.coded)
    )


def _rows_in(path: Path, bond: bytes, number: int, n_rows: int) -> list[_Row] | None:
    """Return where the rows of a file lie; None unless it is whole and bound to that."""
    length = len(_BEGINNING) + len(bond) + 8 + n_rows * _ROW.size
    content = _read(path, 0, length + _CHECK_BYTES)
    head, check = content[:length], content[length:]
    begin = len(head) - n_rows * _ROW.size
    expected = b"".join([_BEGINNING, bond, struct.pack("<II", number, n_rows)])
    if head[:begin] != expected or hashlib.sha256(head).digest() != check:
        return None
    first = length + _CHECK_BYTES
    rows = [_Row(*row) for row in _ROW.iter_unpack(head[begin:])]
    return [row._replace(offset=first + row.offset) for row in rows]


def _read(path: Path, offset: int, size: int) -> bytes:
    """Return a stretch of a file; empty where there is none."""
    try:
        with open(path, "rb") as file:
            file.seek(offset)
            return file.read(size)
    except OSError:
        return b""
