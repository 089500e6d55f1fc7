"""The one file that opens recordings; everything about the decoding library stays behind it.

The library's log level is never touched and its log never captured: with decoding threads either
can stop the program for good.
"""

from __future__ import annotations

import os
import stat
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from fractions import Fraction
from typing import TYPE_CHECKING, Any, Final, Literal, Protocol

from aftercase.errors import AftercaseError, RecordingMissing, RecordingRefused, RecordingUnreadable
from aftercase.media.frametable import NO_STAMP, Stamp
from aftercase.media.kinds import (
    ALLOWED_DEMUXERS,
    STILL_CODECS,
    ContainerKind,
    kind_of,
)
from aftercase.media.refusals import (
    refuse_protected,
    refused,
    unreadable,
    why_not_opened,
    why_not_shown,
)
from aftercase.media.seekplan import Entry

if TYPE_CHECKING:
    from av.container import InputContainer
    from av.packet import Packet
    from av.video.frame import VideoFrame
    from av.video.stream import VideoStream

Threads = Literal["AUTO", "NONE"]

_FAULTS_IN_A_ROW: Final = 64
_EPOCH: Final = datetime(1970, 1, 1, tzinfo=UTC)
_OPEN_OPTIONS: Final = {
    "protocol_whitelist": "file",
    "format_whitelist": ",".join(ALLOWED_DEMUXERS),
}


@dataclass(frozen=True, slots=True)
class StreamFacts:
    """What the container says about the picture stream; pictures themselves may say otherwise.

    Args:
        index: Index of the stream in the container.
        codec: Name of the picture coding.
        time_base: Seconds per tick.
        width_px: Width of the decoded picture.
        height_px: Height of the decoded picture.
        pixel_aspect: Width of a pixel over its height; 1 when not said.
        said_rate: Frames per second as said, never trusted for times; None when not said.
        may_split_fields: The two fields of a picture may be two packets.
        may_reorder: Pictures may be shown in another order than they are coded in.
        has_sound: There is a sound stream.
        begun_us: When recording began, as the file says, in microseconds since 1970; recorders
            often write their local time, and the recording's start into each part. None when
            not said.
    """

    index: int
    codec: str
    time_base: Fraction
    width_px: int
    height_px: int
    pixel_aspect: Fraction
    said_rate: Fraction | None
    may_split_fields: bool
    may_reorder: bool
    has_sound: bool
    begun_us: int | None = None


class PacketDamaged(Exception):
    """A packet could not be decoded; the ones after it may be."""


class Film:
    """One open file: its picture stream's packets and, one packet in, its pictures.

    Use `open_film`. Not for use by two threads.

    Attributes:
        path: The file, absolute.
        kind: Its container.
        choices: The streams that can be the film, best first; covers are left out.
        facts: Of the stream that is read.
    """

    def __init__(
        self,
        path: str,
        container: InputContainer,
        stream: VideoStream,
        kind: ContainerKind,
        choices: Sequence[VideoStream],
    ) -> None:
        self.path = path
        self.kind = kind
        self.choices = tuple(_facts_of(container, choice) for choice in choices)
        self.facts = _facts_of(container, stream)
        self._container = container
        self._stream = stream
        self._skips = False

    def packets(self) -> Iterator[tuple[Stamp, Packet[VideoStream]]]:
        """Yield packets from where the file stands; unreadable stretches are passed over.

        Raises:
            RecordingUnreadable: Reading makes no more progress.
        """
        import av  # late: `aftercase --help` must stay instant

        faults = 0
        while True:
            try:
                for packet in self._container.demux(self._stream):
                    faults = 0
                    if packet.size:
                        yield _stamp_of(packet), packet
                return
            except IndexError:
                # A packet of a stream that began after the opening: the library cannot name it.
                continue
            except av.FFmpegError as error:
                faults += 1
                if faults >= _FAULTS_IN_A_ROW:
                    raise unreadable(self.path) from error

    def enter(self, entry: Entry) -> bool:
        """Go to a place so that `packets` reads from about there; false when that is refused."""
        import av  # late, as above

        try:
            if entry.by == "byte":
                self._container.seek(entry.value, unsupported_byte_offset=True)
            else:
                self._container.seek(entry.value, stream=self._stream)
        except av.FFmpegError:
            return False
        return True

    def decode(
        self, packet: Packet[VideoStream], number: int | None, *, is_needless: bool = False
    ) -> list[VideoFrame]:
        """Return the pictures that a packet completes, each carrying a packet's number as pts.

        The number rides through the decoder in place of the time stamp. So each picture names
        the packet it came from, whatever the stamps are: equal, missing, or told differently
        after a seek.

        Args:
            packet: The packet.
            number: What its picture is to carry.
            is_needless: Its picture is not wanted: it may stay away where no other leans on it.

        Raises:
            PacketDamaged: The packet cannot be decoded.
        """
        import av  # late, as above

        packet.pts = number
        if is_needless is not self._skips:
            self._skips = is_needless
            self._stream.codec_context.skip_frame = "NONREF" if is_needless else "DEFAULT"
        try:
            return self._stream.codec_context.decode(packet)
        except av.FFmpegError as error:
            raise PacketDamaged from error

    def is_hurt(self, packet: Packet[VideoStream]) -> bool:
        """Claim that the container itself says a packet is damaged, as after lost data."""
        return packet.is_corrupt

    def rest(self) -> list[VideoFrame]:
        """Return the pictures still inside the decoder after the last packet.

        Raises:
            PacketDamaged: They cannot be decoded.
        """
        import av  # late, as above

        try:
            return self._stream.codec_context.decode(None)
        except av.EOFError:
            return []
        except av.FFmpegError as error:
            raise PacketDamaged from error

    def reopened(self, threads: Threads) -> Film:
        """Close the file and return it opened anew, standing at its start; as `open_film`."""
        self.close()
        return open_film(self.path, stream=self.facts.index, threads=threads)

    def close(self) -> None:
        """Close the file; the pictures already handed out stay."""
        self._container.close()


def open_film(
    path: str | os.PathLike[str],
    *,
    stream: int | None = None,
    choice: int = 0,
    threads: Threads = "AUTO",
) -> Film:
    """Open a recording for reading.

    Args:
        path: The file.
        stream: Index of the picture stream; None to choose.
        choice: Which of the picture streams to take, best first; ignored when `stream` is given
            and there is such a stream.
        threads: `NONE` loses no good picture beside a damaged one, and is slower.

    Raises:
        RecordingMissing: There is no such file.
        RecordingRefused: It is not a film of a kind that is opened.
        RecordingUnreadable: It is of such a kind and broken, or holds no pictures.
    """
    absolute = _existing_file(path)
    container, kind = _opened(absolute)
    candidates = _picture_streams(container)
    if not candidates:
        unknown = any(stream.codec_context is None for stream in container.streams.video)
        container.close()
        raise why_not_shown(absolute, coding_unknown=unknown)
    named = [candidate for candidate in candidates if candidate.index == stream]
    chosen = named[0] if named else candidates[min(choice, len(candidates) - 1)]
    from av.stream import Discard  # late, as above

    for other in container.streams:
        if other.index != chosen.index:
            other.discard = Discard.all
    chosen.thread_type = threads
    return Film(absolute, container, chosen, kind, candidates)


def open_container(path: str | os.PathLike[str]) -> tuple[InputContainer, ContainerKind]:
    """Open a recording for reading what is not its picture; close it when done.

    Raises:
        RecordingMissing, RecordingRefused, RecordingUnreadable: See `open_film`.
    """
    return _opened(_existing_file(path))


def library_version() -> str:
    """Return the version of the library that takes files apart into packets."""
    import av  # late, as above

    return ".".join(map(str, av.library_versions["libavformat"]))


def _odd_texts_replaced() -> dict[str, Any]:
    """Return what makes the library take texts that are not UTF-8; it always does since 19."""
    import av  # late, as above

    return {} if int(av.__version__.partition(".")[0]) >= 19 else {"metadata_errors": "replace"}


class _Rational(Protocol):
    """The library's rational: a fraction before 19, a type of its own since."""

    @property
    def numerator(self) -> int: ...
    @property
    def denominator(self) -> int: ...


def fraction_of(value: _Rational | None) -> Fraction | None:
    """Return the library's rational as a fraction; None for unset (None, or 0/1 since 19)."""
    return Fraction(value.numerator, value.denominator) if value else None


def _existing_file(path: str | os.PathLike[str]) -> str:
    absolute = os.path.abspath(os.fspath(path))
    try:
        status = os.stat(absolute)
    except OSError as error:
        raise RecordingMissing(
            "The film cannot be found.",
            hint="Connect the drive it is on, or say where it is now.",
            path=absolute,
        ) from error
    if not stat.S_ISREG(status.st_mode):
        raise RecordingRefused(
            "This is not a file.", hint="Give the film files themselves.", path=absolute
        )
    if status.st_size == 0:
        raise RecordingUnreadable(
            "The file is empty.", hint="Copy it again from the recorder.", path=absolute
        )
    return absolute


def _opened(absolute: str) -> tuple[InputContainer, ContainerKind]:
    """Open a file if its content, not its name, is of a kind in the table."""
    import av  # late, as above

    try:
        container = av.open(
            absolute, mode="r", container_options=dict(_OPEN_OPTIONS), **_odd_texts_replaced()
        )
    except av.FFmpegError as error:
        raise why_not_opened(absolute) from error
    kind = kind_of(container.format.name)
    try:
        if kind is None:
            raise refused(absolute)
        refuse_protected(absolute)
    except AftercaseError:
        container.close()
        raise
    return container, kind


def _picture_streams(container: InputContainer) -> list[VideoStream]:
    """Return the streams that can be the film, best first: the default one, then the largest."""
    from av.stream import Disposition  # late, as above

    candidates = [
        stream
        for stream in container.streams.video
        if stream.codec_context is not None
        and not stream.disposition & Disposition.attached_pic
        and stream.codec_context.name not in STILL_CODECS
    ]
    return sorted(
        candidates,
        key=lambda stream: (
            not stream.disposition & Disposition.default,
            -stream.width * stream.height,
            stream.index,
        ),
    )


def _facts_of(container: InputContainer, stream: VideoStream) -> StreamFacts:
    time_base = fraction_of(stream.time_base)
    if time_base is None:
        raise unreadable(container.name)
    progressive = 1
    return StreamFacts(
        index=stream.index,
        codec=stream.codec_context.name,
        time_base=time_base,
        width_px=stream.width,
        height_px=stream.height,
        pixel_aspect=fraction_of(stream.sample_aspect_ratio) or Fraction(1),
        said_rate=fraction_of(stream.average_rate) or fraction_of(stream.guessed_rate),
        may_split_fields=stream.codec_context.field_order != progressive,
        may_reorder=bool(stream.codec_context.has_b_frames),
        has_sound=bool(container.streams.audio),
        begun_us=_begun_us(container.metadata.get("creation_time", "")),
    )


def _begun_us(said: str) -> int | None:
    try:
        moment = datetime.fromisoformat(said)
    except ValueError:
        return None
    since = moment.replace(tzinfo=moment.tzinfo or UTC) - _EPOCH
    return since // timedelta(microseconds=1)


def _stamp_of(packet: Packet[VideoStream]) -> Stamp:
    pts, dts, pos = packet.pts, packet.dts, packet.pos
    return Stamp(  # in the order of its fields: this runs for every packet of a film
        NO_STAMP if pts is None else pts,
        NO_STAMP if dts is None else dts,
        packet.size,
        -1 if pos is None else pos,
        packet.duration or 0,
        packet.is_keyframe,
        packet.is_discard,
    )
