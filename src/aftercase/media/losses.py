"""Where a recording's pictures suffered."""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import groupby

from aftercase.media.decoder import Decoder
from aftercase.media.frametable import ShownTimes
from aftercase.media.indexing import indexed_film
from aftercase.media.watch import UNWATCHED, Watch

_TELL_EVERY = 64


@dataclass(frozen=True, slots=True)
class Loss:
    """Frames one after the other that suffered alike, shown in `[start_us, end_us)`.

    Args:
        start_us: Where the first of them appears.
        end_us: Where the last of them is replaced.
        n_frames: How many they are.
        lost: They cannot be decoded at all; else they are doubtful, see `picture.Picture`.
    """

    start_us: int
    end_us: int
    n_frames: int
    lost: bool


def losses_met(decoder: Decoder, times: ShownTimes) -> list[Loss]:
    """Return, in order, the losses that decoding has met so far; empty where it met none."""
    suffered = [(row, True) for row in decoder.lost_rows()]
    suffered += [(row, False) for row in decoder.doubtful_rows()]
    shown = [(row, lost) for row, lost in sorted(suffered) if row < len(times)]
    return list(_stretches(shown, times))


def losses_of(
    path: str | os.PathLike[str], *, stream: int | None = None, watch: Watch = UNWATCHED
) -> list[Loss]:
    """Return all losses of one file on a clock that starts with it, by decoding all of it.

    Args:
        path: The file.
        stream: Its picture stream; None to choose.
        watch: Told of frames decoded; may stop the work.

    Raises:
        RecordingMissing, RecordingRefused, RecordingUnreadable: See `container.open_film`.
        WorkCancelled: As asked by `watch`.
    """
    film, table = indexed_film(os.fspath(path), stream=stream, watch=watch)
    decoder = Decoder(film, table)
    try:
        for row in range(len(table)):
            if row % _TELL_EVERY == 0:
                watch.step(row, len(table))
            decoder.frame(row)
        watch.step(len(table), len(table))
        return losses_met(decoder, table.shown(table.first_pts))
    finally:
        decoder.close()


def _stretches(suffered: Iterable[tuple[int, bool]], times: ShownTimes) -> Iterator[Loss]:
    numbered = enumerate(suffered)
    for (_, lost), group in groupby(numbered, key=lambda item: (item[1][0] - item[0], item[1][1])):
        rows = [row for _, (row, _) in group]
        yield Loss(times.start_us(rows[0]), times.stop_us(rows[-1]), len(rows), lost)
