"""Why a file cannot be opened or shown as a film, from a few of its bytes; nothing is decoded.

Marks of formats are from their public specifications, from memory: ISO/IEC 14496-12 (boxes),
23001-7 (common encryption), 13818-1 (transport and program streams), the ASF and ZIP
specifications, DICOM part 10.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Final

ReadAt = Callable[[int, int], bytes]
"""Given an offset and a length, returns the bytes there; fewer at the file's end."""

HEAD_BYTES: Final = 64 * 1024
_MOST_BOXES: Final = 4096
_HOLDERS: Final = frozenset({b"moov", b"trak", b"mdia", b"minf", b"stbl"})
_TS_PACKET: Final = 188
_PACK: Final = b"\x00\x00\x01\xba"


@dataclass(frozen=True, slots=True)
class Box:
    """A box of an MP4 file: four letters, where it begins, its length as it says."""

    kind: bytes
    start: int
    size: int
    header: int


@dataclass(frozen=True, slots=True)
class Diagnosis:
    """What a file is instead of a readable film.

    Args:
        refused: It is no film at all; else it is one that cannot be read.
        message: What it is, as one sentence.
        hint: What can be saved, and how.
    """

    refused: bool
    message: str
    hint: str


_PROTECTED: Final = Diagnosis(
    False,
    "The film is encrypted, or protected against copying.",
    "Export it without protection where it was recorded; nothing here takes a protection off.",
)
_RESERVED: Final = Diagnosis(
    False,
    "The file holds nothing but zeros: its place was reserved and never filled.",
    "Copy it again from the recorder; if it is the same there, this part was not recorded.",
)
_NO_TABLE: Final = Diagnosis(
    False,
    "The recorder did not finish this file: its pictures are there, the table that says where "
    "each lies was not written.",
    "Change nothing on the card. Put it back into the recorder and switch that on, many finish "
    "the file themselves; else use the repair of the recorder's maker, which needs a whole film "
    "of the same recorder and settings. Then copy the file again.",
)
_KINDS_AT_0: Final = (
    (b"\xff\xd8\xff", "a picture (JPEG)"),
    (b"\x89PNG\r\n", "a picture (PNG)"),
    (b"GIF8", "a picture (GIF)"),
    (b"BM", "a picture (BMP)"),
    (b"II*\x00", "a picture (TIFF)"),
    (b"MM\x00*", "a picture (TIFF)"),
    (b"%PDF", "a document (PDF)"),
    (b"ID3", "sound without pictures"),
    (b"fLaC", "sound without pictures"),
    (b"MZ", "a program"),
    (b"\x7fELF", "a program"),
)
_PACKED_AT_0: Final = (
    (b"PK\x03\x04", "ZIP"),
    (b"PK\x05\x06", "ZIP"),
    (b"7z\xbc\xaf\x27\x1c", "7z"),
    (b"Rar!", "RAR"),
    (b"\x1f\x8b", "gzip"),
)
_PICTURE_BRANDS: Final = frozenset({b"heic", b"heix", b"mif1", b"avif", b"msf1"})
_ASF_HEADER: Final = bytes.fromhex("3026b2758e66cf11a6d900aa0062ce6c")
_ASF_PROTECTION: Final = (
    bytes.fromhex("fbb3112223bdd211b4b700a0c955fc6e"),
    bytes.fromhex("14e68a292226174cb935dae07ee9289c"),
)


def protection(read_at: ReadAt, size_bytes: int) -> Diagnosis | None:
    """Return why a film that opens shows nothing: it is encrypted; None where it is not.

    Args:
        read_at: Reads the file.
        size_bytes: Its size.
    """
    head = read_at(0, HEAD_BYTES)
    if _scrambled_transport(head) or _scrambled_program(head):
        return _PROTECTED
    if head.startswith(_ASF_HEADER) and any(mark in head for mark in _ASF_PROTECTION):
        return _PROTECTED
    if not _is_mp4(head):
        return None
    sheets = (box for box in _walk(read_at, 0, size_bytes) if box.kind == b"stsd")
    entries = (read_at(box.start + box.header + 8, 8)[4:] for box in sheets)
    return _PROTECTED if b"encv" in entries else None


def diagnosis(read_at: ReadAt, size_bytes: int) -> Diagnosis | None:
    """Return why a file could not be opened; None where its bytes do not tell.

    Args:
        read_at: Reads the file.
        size_bytes: Its size, more than 0.

    Example:
        >>> said = diagnosis(lambda start, length: b"%PDF-1.7"[start : start + length], 8)
        >>> said.refused, said.message
        (True, 'The file is no film but a document (PDF).')
    """
    head, tail = read_at(0, HEAD_BYTES), read_at(max(0, size_bytes - HEAD_BYTES), HEAD_BYTES)
    if not any(head) and not any(tail):
        return _RESERVED
    return (
        protection(read_at, size_bytes)
        or _other_kind(head)
        or (_unfinished(read_at, size_bytes) if _is_mp4(head) else None)
        or _text(head)
    )


def unknown_coding(tag: str) -> Diagnosis:
    """Return what is said of a film whose picture coding has no decoder here."""
    named = f" (“{tag}”)" if tag else ""
    return Diagnosis(
        False,
        f"The film's pictures are coded in a way that is not known here{named}.",
        "Export it from the recorder as MP4 with H.264, or ask its maker for a converter.",
    )


def coding_tag(read_at: ReadAt, size_bytes: int) -> str:
    """Return the four letters that name a film's picture coding in MP4; empty elsewhere."""
    tag, pictures = b"", False
    for box in _walk(read_at, 0, size_bytes) if _is_mp4(read_at(0, 16)) else ():
        if box.kind == b"hdlr":
            pictures = read_at(box.start + box.header + 8, 4) == b"vide"
        elif box.kind == b"stsd" and pictures:
            tag = tag or read_at(box.start + box.header + 12, 4)
    return tag.decode("latin-1") if tag.isalnum() else ""


def _is_mp4(head: bytes) -> bool:
    return head[4:8] in (b"ftyp", b"moov", b"mdat", b"free", b"skip", b"wide", b"pnot")


def boxes(read_at: ReadAt, start: int, end: int) -> Iterator[Box]:
    """Yield the boxes of a stretch of a file, one after the other; a broken one ends it."""
    for _ in range(_MOST_BOXES):
        header = read_at(start, 16)
        if start + 8 > end or len(header) < 8:
            return
        size, length = int.from_bytes(header[:4]), 8
        if size == 1:
            size, length = int.from_bytes(header[8:16]), 16
        elif size == 0:  # up to the end of the file
            size = end - start
        if size < length or not header[4:8].isascii():
            return
        yield Box(header[4:8], start, size, length)
        start += size


def _walk(read_at: ReadAt, start: int, end: int, deep: int = 0) -> Iterator[Box]:
    """Yield boxes and those inside the ones that lead to the description of the pictures."""
    for box in boxes(read_at, start, end):
        yield box
        if box.kind in _HOLDERS and deep < len(_HOLDERS):
            inside_end = min(end, box.start + box.size)
            yield from _walk(read_at, box.start + box.header, inside_end, deep + 1)


def _unfinished(read_at: ReadAt, size_bytes: int) -> Diagnosis | None:
    found = list(boxes(read_at, 0, size_bytes))
    kinds = {box.kind for box in found}
    last = found[-1] if found else None
    if last is not None and last.start + last.size > size_bytes:
        return Diagnosis(
            False,
            f"The file is cut short: it says it has {last.start + last.size} bytes or more, "
            f"{size_bytes} are here.",
            "Copy it again from the card and compare the sizes; if the card's own file is as "
            "short, put the card back into the recorder, many finish the file themselves.",
        )
    return _NO_TABLE if b"moov" not in kinds else None


def _other_kind(head: bytes) -> Diagnosis | None:
    for mark, name in _PACKED_AT_0:
        if head.startswith(mark):
            locked = name == "ZIP" and len(head) > 6 and bool(head[6] & 1)
            secret = ", locked with a password" if locked else ""
            return _no_film(f"a packed file ({name}){secret}", "Unpack it and give the films.")
    if head[128:132] == b"DICM":
        return _no_film("a DICOM object", "Export the film from the archive as MP4.")
    if head[4:8] == b"ftyp" and head[8:12] in _PICTURE_BRANDS:
        return _no_film("a picture (HEIF)")
    return next((_no_film(name) for mark, name in _KINDS_AT_0 if head.startswith(mark)), None)


def _text(head: bytes) -> Diagnosis | None:
    begun = head[:512]
    try:
        text = begun.decode("utf-8")
    except UnicodeDecodeError as error:
        if error.start < len(begun) - 3:  # else a letter is cut at the end
            return None
        text = begun[: error.start].decode("utf-8")
    plain = all(sign.isprintable() or sign in "\r\n\t\ufeff" for sign in text)
    hint = "Give the recorder's own film files; lists, playlists and pages are refused."
    return _no_film("a text", hint) if plain else None


def _no_film(what: str, hint: str = "Give the recorder's own film file.") -> Diagnosis:
    return Diagnosis(True, f"The file is no film but {what}.", hint)


def _scrambled_transport(head: bytes) -> bool:
    """Claim that most packets of a transport stream say that they are scrambled."""
    for offset in (0, 4):  # cameras put a clock of four bytes before each packet
        step = _TS_PACKET + offset
        packets = [head[at : at + 4] for at in range(offset, len(head) - 3, step)]
        if len(packets) > 2 and all(packet[0] == 0x47 for packet in packets):
            scrambled = sum(1 for packet in packets if packet[3] & 0x80)
            return 2 * scrambled > len(packets)
    return False


def _scrambled_program(head: bytes) -> bool:
    """Claim that a picture packet of a program stream says that it is scrambled."""
    if not head.startswith(_PACK):
        return False
    pieces = head.split(b"\x00\x00\x01")
    return any(
        0xE0 <= piece[0] <= 0xEF and piece[3] & 0xC0 == 0x80 and piece[3] & 0x30
        for piece in pieces
        if len(piece) > 3
    )
