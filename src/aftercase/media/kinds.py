"""The kinds of recordings that are opened, and how each is entered.

Text formats that name other files (lists, playlists) and picture sequences are not in the table
and are never opened, whatever their file name says.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

SeekBy = Literal["pts", "dts", "byte", "start"]


@dataclass(frozen=True)
class ContainerKind:
    """A container format.

    Args:
        name: The name shown to people.
        demuxers: Names the decoding library gives it.
        seek_by: Which stamp of a key packet leads a seek to that packet.
        clock_may_restart: Stamps may jump or fall within a file, as when such files are joined
            byte by byte or a recorder paused; elsewhere a long step is a long-held frame.
        says_when_shown: False where the container only says when to decode; the times to show
            pictures of a coding that reorders them are then guesses of the library.
    """

    name: str
    demuxers: frozenset[str]
    seek_by: SeekBy = "pts"
    clock_may_restart: bool = False
    says_when_shown: bool = True


# Measured: transport and program streams land one group late when asked by pts; MP4 and Matroska
# land one group early when asked by dts. Bare streams have no stamps to ask by.
KINDS: Final = (
    ContainerKind("MP4", frozenset({"mov", "mp4", "m4a", "3gp", "3g2", "mj2"})),
    ContainerKind("Matroska", frozenset({"matroska", "webm"})),
    ContainerKind("AVI", frozenset({"avi"}), says_when_shown=False),
    ContainerKind("MPEG transport stream", frozenset({"mpegts"}), "dts", True),
    ContainerKind("MPEG program stream", frozenset({"mpeg"}), "dts", True),
    ContainerKind("DV", frozenset({"dv"})),
    ContainerKind("ASF", frozenset({"asf"})),
    ContainerKind("FLV", frozenset({"flv"})),
    ContainerKind("Ogg", frozenset({"ogg"})),
    ContainerKind("MXF", frozenset({"mxf"})),
    ContainerKind("bare H.264 stream", frozenset({"h264"}), "start"),
    ContainerKind("bare HEVC stream", frozenset({"hevc"}), "start"),
    ContainerKind("bare MPEG video stream", frozenset({"mpegvideo"}), "start"),
    ContainerKind("bare MPEG-4 video stream", frozenset({"m4v"}), "start"),
)

ALLOWED_DEMUXERS: Final = tuple(sorted(name for kind in KINDS for name in kind.demuxers))

STILL_CODECS: Final = frozenset({"png", "apng", "bmp", "gif", "tiff", "webp", "jpegls", "ppm"})
"""A stream of these is a cover or a caption picture, not a film."""

FIELD_CODECS: Final = frozenset({"h264", "hevc", "mpeg2video", "vc1"})
"""Codecs that may put the two fields of one picture into two packets."""

_MARKS_AT_4: Final = (b"ftyp", b"moov", b"mdat", b"free", b"skip", b"wide", b"pnot")
_MARKS_AT_0: Final = (
    b"\x1a\x45\xdf\xa3",
    b"RIFF",
    b"\x00\x00\x01\xba",
    b"\x00\x00\x01\xb3",
    b"\x30\x26\xb2\x75",
    b"FLV",
    b"OggS",
    b"\x06\x0e\x2b\x34",
)
_TS_SYNC: Final = 0x47
_TS_PACKET_BYTES: Final = 188


def kind_of(format_name: str) -> ContainerKind | None:
    """Return the kind a demuxer name stands for; None when it is not opened.

    Example:
        >>> kind_of("mov,mp4,m4a,3gp,3g2,mj2").name
        'MP4'
        >>> kind_of("concat") is None
        True
    """
    names = set(format_name.split(","))
    return next((kind for kind in KINDS if kind.demuxers & names), None)


def begins_like_a_film(head: bytes) -> bool:
    """Claim that a file's first bytes are those of a container in the table.

    Tells a film that was not finished from something that never was one; it decides the words
    of a message, not what is opened.

    Example:
        >>> begins_like_a_film(b"\\x00\\x00\\x00\\x20ftypisom")
        True
        >>> begins_like_a_film(b"#EXTM3U")
        False
    """
    transport = len(head) > _TS_PACKET_BYTES and head[0] == head[_TS_PACKET_BYTES] == _TS_SYNC
    return transport or head[4:8] in _MARKS_AT_4 or head.startswith(_MARKS_AT_0)
