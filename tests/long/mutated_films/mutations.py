"""What is done to a whole film: pure functions of its bytes and a seeded source of chance."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from random import Random
from typing import Literal

Span = tuple[int, int]

MP4_BOXES_WITH_BOXES = {b"moov", b"trak", b"mdia", b"minf", b"stbl", b"edts", b"moof", b"traf"}
EBML_WITH_ELEMENTS = {
    bytes.fromhex(name) for name in ("18538067", "1f43b675", "1654ae6b", "ae", "e0", "1c53bb6b")
}
TS_PACKET_BYTES = 188


@dataclass(frozen=True)
class Piece:
    """A stretch of a file that its container knows as one thing.

    Args:
        start: Its first byte.
        end: The byte after its last.
        said: Where its own length is said.
        order: Byte order of that.
    """

    start: int
    end: int
    said: Span
    order: Literal["big", "little"] = "big"


@dataclass(frozen=True)
class Whole:
    """A whole film and what is known of its inside.

    Args:
        content: Its bytes.
        pieces: What its container is made of, outer before inner.
        packets: Where the packets of its picture stand.
    """

    content: bytes
    pieces: tuple[Piece, ...]
    packets: tuple[Span, ...]


def pieces_of(content: bytes) -> tuple[Piece, ...]:
    """Return what a film's container is made of, told by how the file begins."""
    if content[4:8] == b"ftyp":
        return tuple(boxes(content, 0, len(content)))
    if content[:4] == b"\x1a\x45\xdf\xa3":
        return tuple(elements(content, 0, len(content)))
    if content[:4] == b"RIFF":
        return tuple(chunks(content, 0, len(content)))
    if content[0] == 0x47:
        starts = range(0, len(content), TS_PACKET_BYTES)
        return tuple(Piece(at, at + TS_PACKET_BYTES, (at + 4, at + 5)) for at in starts)
    return tuple(packs(content))


def boxes(content: bytes, start: int, end: int) -> Iterator[Piece]:
    """Yield the boxes of an MP4 file."""
    while start + 8 <= end:
        size = int.from_bytes(content[start : start + 4], "big")
        yield Piece(start, start + size, (start, start + 4))
        if content[start + 4 : start + 8] in MP4_BOXES_WITH_BOXES:
            yield from boxes(content, start + 8, start + size)
        start += size


def elements(content: bytes, start: int, end: int) -> Iterator[Piece]:
    """Yield the elements of a Matroska file."""
    while start < end:
        said = start + 9 - content[start].bit_length()
        inside = said + 9 - content[said].bit_length()
        marker = 1 << 7 * (inside - said)
        stop = inside + (int.from_bytes(content[said:inside], "big") ^ marker)
        yield Piece(start, stop, (said, inside))
        if content[start:said] in EBML_WITH_ELEMENTS:
            yield from elements(content, inside, stop)
        start = stop


def chunks(content: bytes, start: int, end: int) -> Iterator[Piece]:
    """Yield the chunks of an AVI file."""
    while start + 8 <= end:
        size = int.from_bytes(content[start + 4 : start + 8], "little")
        stop = start + 8 + size + size % 2
        yield Piece(start, stop, (start + 4, start + 8), "little")
        if content[start : start + 4] in (b"RIFF", b"LIST"):
            yield from chunks(content, start + 12, stop)
        start = stop


def packs(content: bytes) -> Iterator[Piece]:
    """Yield what stands between the system start codes of a program stream."""
    starts = [
        at for at in range(len(content) - 3)
        if content[at : at + 3] == b"\0\0\1" and content[at + 3] >= 0xB9
    ]  # fmt: skip
    for start, end in pairwise([*starts, len(content)]):
        yield Piece(start, end, (start + 4, start + 6))


def _flipped(content: bytes, chance: Random, n_bits: int, spans: Sequence[Span]) -> bytes:
    changed = bytearray(content)
    for _ in range(n_bits):
        start, end = chance.choice(spans)
        changed[min(chance.randrange(start, end), len(changed) - 1)] ^= 1 << chance.randrange(8)
    return bytes(changed)


def flip_few(whole: Whole, chance: Random) -> bytes:
    """Turn one to eight bits anywhere."""
    return _flipped(whole.content, chance, chance.randint(1, 8), [(0, len(whole.content))])


def flip_many(whole: Whole, chance: Random) -> bytes:
    """Turn a bit in each of some hundred bytes."""
    n_bits = len(whole.content) // chance.randint(50, 1000) + 1
    return _flipped(whole.content, chance, n_bits, [(0, len(whole.content))])


def flip_heads(whole: Whole, chance: Random) -> bytes:
    """Turn bits in the first bytes of the container's pieces, where lengths and kinds stand."""
    heads = [(piece.start, min(piece.end, piece.start + 24)) for piece in whole.pieces]
    return _flipped(whole.content, chance, chance.randint(1, 12), heads)


def flip_packet_heads(whole: Whole, chance: Random) -> bytes:
    """Turn bits in the first bytes of the coded pictures, where their form is said."""
    heads = [(start, min(start + 16, end)) for start, end in whole.packets]
    return _flipped(whole.content, chance, chance.randint(1, 12), heads)


def cut_end(whole: Whole, chance: Random) -> bytes:
    """Leave the end out, as a power loss does."""
    return whole.content[: chance.randrange(1, len(whole.content))]


def cut_middle(whole: Whole, chance: Random) -> bytes:
    """Leave a stretch out of the middle."""
    start, end = _stretch(whole, chance)
    return whole.content[:start] + whole.content[end:]


def zero(whole: Whole, chance: Random) -> bytes:
    """Zero a stretch, as an unwritten block of a card."""
    start, end = _stretch(whole, chance)
    return whole.content[:start] + bytes(end - start) + whole.content[end:]


def overwrite(whole: Whole, chance: Random) -> bytes:
    """Put chance bytes in place of a stretch."""
    start, end = _stretch(whole, chance)
    return whole.content[:start] + chance.randbytes(end - start) + whole.content[end:]


def _stretch(whole: Whole, chance: Random) -> Span:
    start = chance.randrange(len(whole.content))
    return start, min(len(whole.content), start + chance.randint(1, len(whole.content) // 5))


def swap_packets(whole: Whole, chance: Random) -> bytes:
    """Let some coded pictures change places; nothing else moves."""
    content = whole.content
    for _ in range(chance.randint(1, 6)):
        content = _swapped(content, *sorted(chance.sample(whole.packets, 2)))
    return content


def swap_pieces(whole: Whole, chance: Random) -> bytes:
    """Let some of the container's pieces change places."""
    content = whole.content
    for _ in range(chance.randint(1, 4)):
        first, second = sorted((p.start, p.end) for p in chance.sample(whole.pieces, 2))
        if first[1] <= second[0]:
            content = _swapped(content, first, second)
    return content


def _swapped(content: bytes, first: Span, second: Span) -> bytes:
    (a, b), (c, d) = first, second
    return content[:a] + content[c:d] + content[b:c] + content[a:b] + content[d:]


def double_piece(whole: Whole, chance: Random) -> bytes:
    """Write one of the container's pieces a second time, behind itself or elsewhere."""
    piece, after = chance.choice(whole.pieces), chance.choice(whole.pieces)
    copy = whole.content[piece.start : piece.end]
    return whole.content[: after.end] + copy + whole.content[after.end :]


def drop_pieces(whole: Whole, chance: Random) -> bytes:
    """Leave one to three of the container's pieces out."""
    content = whole.content
    for piece in sorted(chance.sample(whole.pieces, 3), key=lambda p: -p.start)[
        : chance.randint(1, 3)
    ]:
        content = content[: piece.start] + content[piece.end :]
    return content


def resize_piece(whole: Whole, chance: Random) -> bytes:
    """Let some of the container's pieces say a wrong length."""
    changed = bytearray(whole.content)
    for _ in range(chance.randint(1, 3)):
        piece = chance.choice(whole.pieces)
        start, end = piece.said
        size = int.from_bytes(changed[start:end], piece.order)
        most = (1 << 8 * (end - start)) - 1
        wrong = chance.choice(
            (0, 1, 7, size - 1, size + 1, size * 2, chance.randint(0, most), most)
        )
        changed[start:end] = (wrong & most).to_bytes(end - start, piece.order)
    return bytes(changed)


Mutation = Callable[[Whole, Random], bytes]

MUTATIONS: dict[str, Mutation] = {
    function.__name__: function
    for function in (
        flip_few,
        resize_piece,
        cut_end,
        swap_packets,
        flip_heads,
        zero,
        swap_pieces,
        flip_many,
        double_piece,
        overwrite,
        drop_pieces,
        flip_packet_heads,
        cut_middle,
    )
}  # fmt: skip
