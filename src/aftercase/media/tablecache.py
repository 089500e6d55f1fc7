"""Frame tables kept in a cache folder, so that a film's packets are read once and not at each open.

A kept table belongs to the file it was made from, as it was then, and to the version of the
library that read it. What lies in a cache folder is not trusted: a table that is damaged, foreign
or contradicts itself is passed over and made anew.
"""

from __future__ import annotations

import hashlib
import json
from contextlib import suppress
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import islice
from pathlib import Path
from typing import Any, Final

import numpy as np

from aftercase import storage
from aftercase.errors import ReadFailed, RecordingMissing, WriteFailed
from aftercase.media.container import Film, library_version, open_film
from aftercase.media.fingerprint import Identity, identity_of
from aftercase.media.frametable import FrameTable, PackedPackets
from aftercase.media.indexing import indexed_film
from aftercase.media.packed import WIDTHS, Column, Packed, packed_column, rests_of, sound_rise
from aftercase.media.seekplan import entry_by_key
from aftercase.media.watch import UNWATCHED, Watch

TABLE_VERSION: Final = 1
"""Raised whenever a table is worked out otherwise than before; earlier ones are then made anew."""

_BEGINNING: Final = b"aftercase frame table\n"
_LENGTH_BYTES: Final = 4
_CHECK_BYTES: Final = 32
_MOST_PACKETS: Final = 2**26
_TRIED_PACKETS: Final = 16
"""Packets read after a trial seek to find the key it was meant for."""


@dataclass(frozen=True, slots=True, eq=False)
class KnownFilm:
    """An open film with its frames and what it is recognised by."""

    film: Film
    table: FrameTable
    identity: Identity


def known_film(
    path: str,
    *,
    stream: int | None = None,
    kept_in: Path | None = None,
    watch: Watch = UNWATCHED,
) -> KnownFilm:
    """Open a film, with the kept frame table if there is one that fits; else one is made and kept.

    Args:
        path: The file.
        stream: The picture stream to take; None to choose.
        kept_in: The cache folder; None to keep nothing. One that cannot be written is no fault.
        watch: Told of bytes read while a table is made.

    Raises:
        RecordingMissing, RecordingRefused, RecordingUnreadable: See `container.open_film`.
        WorkCancelled: As asked by `watch`.
    """
    try:
        identity = identity_of(path)
    except RecordingMissing:
        open_film(path).close()  # tells better what lies there instead of a film
        raise
    place = None if kept_in is None else _place(kept_in, identity, stream)
    if kept_in is not None:
        # The stream that is asked for by its number is mostly the one that was chosen before.
        for one in dict.fromkeys((stream, None)):
            kept = _film_with_kept_table(path, identity, _place(kept_in, identity, one), stream)
            if kept is not None:
                return kept
    film, table = indexed_film(path, stream=stream, watch=watch)
    table = packed_table(table)
    if place is not None:
        with suppress(WriteFailed):  # the next open takes longer; nothing is lost
            storage.write_atomic(place, table_bytes(table, film.facts.index, bond_of(identity)))
    return KnownFilm(film, table, identity)


def move_kept_tables(path: str, kept_in: Path, to: Path) -> None:
    """Move what is kept of a film from one cache folder into another, as far as disks let us.

    Raises:
        RecordingMissing: The file cannot be read.
    """
    for kept in sorted(kept_in.glob(f"{_name_begin(identity_of(path))}-*.frames")):
        with suppress(ReadFailed, WriteFailed):  # the next open takes longer; nothing is lost
            content = storage.read_bytes(kept)
            if content is not None:
                storage.write_atomic(to / kept.name, content)
                storage.remove_files([kept])


def packed_table(table: FrameTable) -> FrameTable:
    """Return a table in little memory; the same frames, the same packets."""
    *of_packets, rank, rows, ticks, _ = map(packed_column, _columns_of(table))
    packets = PackedPackets(*of_packets)
    return replace(table, packets=packets, rank=rank, rows=rows, ticks=ticks)


def bond_of(identity: Identity) -> str:
    """Return what a kept table is bound to, as text: the film, and what worked the table out."""
    return f"{identity.digest().hex()} {library_version()} {TABLE_VERSION}"


def table_bytes(table: FrameTable, stream: int, bond: str) -> bytes:
    """Return the table of a film's stream as the content of a file."""
    columns = [packed_column(column) for column in _columns_of(table)]
    header = {
        "bond": bond,
        "stream": stream,
        "time_base": [table.time_base.numerator, table.time_base.denominator],
        "end_tick": table.end_tick,
        "n_segments": table.n_segments,
        "stamped": table.stamped,
        "columns": [[c.base, c.rise, c.over, c.unit, c.width, len(c)] for c in columns],
    }
    head = json.dumps(header, sort_keys=True).encode()
    rests = (column.rests.tobytes() for column in columns if column.width)
    content = b"".join([_BEGINNING, len(head).to_bytes(_LENGTH_BYTES, "little"), head, *rests])
    return content + hashlib.sha256(content).digest()


def table_in(content: bytes, bond: str) -> tuple[FrameTable, int] | None:
    """Return the table and stream a file holds; None unless whole, sound and bound to that."""
    begin = len(_BEGINNING) + _LENGTH_BYTES
    body = memoryview(content)[:-_CHECK_BYTES]
    if content[: len(_BEGINNING)] != _BEGINNING or content[len(body) :] != _check(body):
        return None
    end = begin + int.from_bytes(content[len(_BEGINNING) : begin], "little")
    try:
        header = json.loads(content[begin:end])
        if header["bond"] != bond:
            return None
        table = _table_of(header, body[end:])
        return (table, int(header["stream"])) if _is_sound(table) else None
    except (ValueError, TypeError, LookupError, OverflowError, ArithmeticError):
        return None


def _check(body: memoryview) -> bytes:
    return hashlib.sha256(body).digest()


def _columns_of(table: FrameTable) -> tuple[Column, ...]:
    packets = table.packets
    orders = (table.rank, table.rows, table.ticks, table.keys)
    return (packets.pts, packets.dts, packets.size, packets.pos, *orders)


def _table_of(header: dict[str, Any], rests: memoryview) -> FrameTable:
    """Return the table that a header and the bytes after it describe."""
    columns = []
    for base, rise, over, unit, width, n_rows in header["columns"]:
        if width not in WIDTHS or not 0 <= n_rows <= _MOST_PACKETS:
            raise ValueError
        columns.append(Packed(*sound_rise(base, rise, over, unit), rests_of(rests, width, n_rows)))
        rests = rests[width * n_rows :]
    pts, dts, size, pos, rank, rows, ticks, keys = columns
    return FrameTable(
        packets=PackedPackets(pts, dts, size, pos),
        time_base=Fraction(*header["time_base"]),
        rank=rank,
        rows=rows,
        ticks=ticks,
        end_tick=int(header["end_tick"]),
        keys=np.asarray(keys),
        n_segments=int(header["n_segments"]),
        stamped=bool(header["stamped"]),
    )


def _is_sound(table: FrameTable) -> bool:
    """Claim that a table does not contradict itself."""
    packets, rank, rows = table.packets, np.asarray(table.rank), np.asarray(table.rows)
    ticks, keys, n_packets = np.asarray(table.ticks), table.keys, len(table.packets)
    columns = (packets.dts, packets.size, packets.pos, rank)
    return bool(
        len(rows) > 0
        and all(len(column) == n_packets for column in columns)
        and len(ticks) == len(rows)
        and table.time_base > 0
        and ((rank >= -1) & (rank < n_packets)).all()
        and ((rows >= 0) & (rows < n_packets)).all()
        and (np.diff(rank[rows], prepend=-1) > 0).all()
        and (np.diff(ticks) >= 0).all()
        and table.end_tick > ticks[-1]
        and (np.diff(keys, prepend=-1) > 0).all()
        and (keys < n_packets).all()
    )


def _place(folder: Path, identity: Identity, stream: int | None) -> Path:
    """Return where the table of a film is kept; films are told apart by content, not by name."""
    chosen = "own" if stream is None else str(stream)
    return folder / f"{_name_begin(identity)}-{chosen}.frames"


def _name_begin(identity: Identity) -> str:
    return identity.digest().hex()[:24]


def _film_with_kept_table(
    path: str, identity: Identity, place: Path, wanted: int | None
) -> KnownFilm | None:
    """Return a film opened with its kept table, of the wanted stream; None where that fails."""
    try:
        content = storage.read_bytes(place)
    except ReadFailed:
        return None
    kept = None if content is None else table_in(content, bond_of(identity))
    if kept is None:
        return None
    table, stream = kept
    if wanted not in (None, stream):
        return None
    film = open_film(path, stream=stream)
    fits = film.facts.index == stream and film.facts.time_base == table.time_base
    if fits and _finds_its_way(film, table):
        return KnownFilm(film, table, identity)
    film.close()
    return None


def _finds_its_way(film: Film, table: FrameTable) -> bool:
    """Claim that seeking in a film leads somewhere although it was not read through before.

    Some files without an index can only be entered where they have been read: their packets
    are then read at each open. Tried with the last key.
    """
    last = len(table.keys) - 1
    entry = entry_by_key(table, last, film.kind.seek_by)
    if last < 1 or entry.by == "start":
        return True
    if not film.enter(entry):
        return False
    read = {(stamp.pts, stamp.size) for stamp, _ in islice(film.packets(), _TRIED_PACKETS)}
    lasts = table.keys[max(1, last - 1) :].tolist()
    return any((table.packets.pts[key], table.packets.size[key]) in read for key in lasts)
