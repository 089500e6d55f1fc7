"""Boxes of an MP4 file, changed by hand where no program writes them so."""

from __future__ import annotations

import struct
from collections.abc import Callable, Iterator

CONTAINERS = (b"moov", b"trak", b"mdia", b"minf", b"stbl", b"edts")


def boxes(content: bytes) -> Iterator[tuple[bytes, bytes]]:
    """The boxes of a stretch as (kind, body); sizes of 64 bits do not occur in small films."""
    place = 0
    while place < len(content):
        size, kind = struct.unpack_from(">I4s", content, place)
        yield kind, content[place + 8 : place + size]
        place += size


def changed(content: bytes, kind: bytes, change: Callable[[bytes], bytes | None]) -> bytes:
    """The content with each box of a kind changed, or left out where `change` says None."""
    parts = []
    for name, body in boxes(content):
        if name == kind:
            new = change(body)
            if new is None:
                continue
            body = new
        elif name in CONTAINERS:
            body = changed(body, kind, change)
        parts.append(struct.pack(">I4s", len(body) + 8, name) + body)
    return b"".join(parts)


def found(content: bytes, kind: bytes) -> bytes:
    """The body of the first box of a kind."""
    bodies: list[bytes] = []
    changed(content, kind, lambda body: bodies.append(body) or body)
    return bodies[0]


def with_edits(content: bytes, pieces: list[tuple[int, int]], rate: int) -> bytes:
    """A film that shows only some pieces: (first picture, number of pictures)."""
    movie_scale = struct.unpack_from(">I", found(content, b"mvhd"), 12)[0]
    media_scale = struct.unpack_from(">I", found(content, b"mdhd"), 12)[0]
    (_, lead) = struct.unpack_from(">Ii", found(content, b"elst"), 8)
    entries = [
        struct.pack(
            ">IiI",
            n * movie_scale // rate,
            lead + first * media_scale // rate,
            1 << 16,
        )
        for first, n in pieces
    ]
    body = struct.pack(">II", 0, len(entries)) + b"".join(entries)
    return changed(content, b"elst", lambda _: body)


def without(content: bytes, kind: bytes) -> bytes:
    """A film without the boxes of a kind; what lies behind the pictures may move freely."""
    return changed(content, kind, lambda _: None)
