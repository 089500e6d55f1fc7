"""The frame table of an open film; one pass over its packets, decoding only where it must."""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator
from contextlib import suppress
from fractions import Fraction
from itertools import islice
from typing import TYPE_CHECKING, Final

import numpy as np

from aftercase.errors import RecordingUnreadable
from aftercase.media.container import Film, PacketDamaged, open_film
from aftercase.media.frametable import (
    NO_STAMP,
    FrameTable,
    PacketTable,
    Stamp,
    counted_table,
    stamped_table,
)
from aftercase.media.kinds import FIELD_CODECS
from aftercase.media.watch import UNWATCHED, Watch

if TYPE_CHECKING:
    from av.video.frame import VideoFrame

_TELL_EVERY: Final = 512
_FIELD_SAMPLE: Final = 40
_ORDER_SAMPLE: Final = 60
_FALLBACK_RATE: Final = Fraction(25)


def indexed_film(
    path: str, *, stream: int | None = None, watch: Watch = UNWATCHED
) -> tuple[Film, FrameTable]:
    """Open a film and return it with its frames.

    Args:
        path: The file.
        stream: The picture stream to take; None to choose. A chosen stream of one picture is a
            cover when there is another stream.
        watch: Told of bytes read.

    Raises:
        RecordingMissing, RecordingRefused, RecordingUnreadable: See `container.open_film`.
        WorkCancelled: As asked by `watch`.
    """
    choice = 0
    while True:
        film = open_film(path, stream=stream, choice=choice)
        try:
            table = frame_table(film, watch)
        except BaseException:
            film.close()
            raise
        choice += 1
        if len(table) > 1 or film.facts.index == stream or choice >= len(film.choices):
            return film, table
        film.close()


def frame_table(film: Film, watch: Watch = UNWATCHED) -> FrameTable:
    """Return the frames of a film that was just opened.

    Raises:
        RecordingUnreadable: There is no frame that can be shown.
    """
    packets = PacketTable.of(_stamps(film, watch))
    step = 1 / (film.facts.said_rate or _FALLBACK_RATE) / film.facts.time_base
    step_ticks = max(1, round(step))
    if not len(packets):
        raise _nothing_shown(film.path)
    believed = not _only_when_decoded(film, packets)
    if not believed or (packets.pts == NO_STAMP).any() or _fields_apart(film, packets):
        order = list(_decoded_numbers(film, len(packets), watch))
        table = counted_table(
            packets, film.facts.time_base, order, step_ticks=step_ticks, believed=believed
        )
    else:
        table = stamped_table(
            packets,
            film.facts.time_base,
            clock_may_restart=film.kind.clock_may_restart,
            step_ticks=step_ticks,
        )
    if not len(table):
        raise _nothing_shown(film.path)
    return table


def _stamps(film: Film, watch: Watch) -> Iterator[Stamp]:
    size_bytes = os.path.getsize(film.path)
    for number, (stamp, _) in enumerate(film.packets()):
        if number % _TELL_EVERY == 0:
            watch.step(max(0, stamp.pos), size_bytes)
        yield stamp
    watch.step(size_bytes, size_bytes)


def _decoded_numbers(film: Film, total: int, watch: Watch) -> Iterator[int]:
    """Yield packet numbers in the order their pictures come out of the decoder."""
    again = open_film(film.path, stream=film.facts.index, threads="NONE")
    try:
        for number, (_, packet) in enumerate(islice(again.packets(), total)):
            if number % _TELL_EVERY == 0:
                watch.step(number, total)
            with suppress(PacketDamaged):
                yield from _numbers_of(again.decode(packet, number))
        with suppress(PacketDamaged):
            yield from _numbers_of(again.rest())
    finally:
        again.close()


def _numbers_of(frames: Iterable[VideoFrame]) -> Iterator[int]:
    return (frame.pts for frame in frames if frame.pts is not None)


def _only_when_decoded(film: Film, packets: PacketTable) -> bool:
    """Claim that the stamps only tell when to decode, though pictures are shown in another order.

    AVI has no others. Some recorders write such stamps into other containers: then they rise from
    packet to packet, and the pictures of the first few dozen come out in another order.
    """
    if not film.facts.may_reorder:
        return False
    if not film.kind.says_when_shown:
        return True
    if (np.diff(packets.pts) < 0).any():
        return False
    order = list(_decoded_numbers(film, min(len(packets), _ORDER_SAMPLE), UNWATCHED))
    return order != sorted(order)


def _fields_apart(film: Film, packets: PacketTable) -> bool:
    """Claim that two packets make one picture, by decoding a few dozen of them."""
    if not (film.facts.may_split_fields and film.facts.codec in FIELD_CODECS):
        return False
    n_fed = min(len(packets), _FIELD_SAMPLE)
    n_decodable = n_fed - int(np.argmax(packets.key))
    n_pictures = sum(1 for _ in _decoded_numbers(film, n_fed, UNWATCHED))
    return 0 < n_pictures * 4 <= n_decodable * 3


def _nothing_shown(path: str) -> RecordingUnreadable:
    return RecordingUnreadable(
        "The film holds no picture that can be shown.",
        hint="Copy it again from the recorder.",
        path=path,
    )
