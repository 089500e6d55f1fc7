"""How much is decoded to find a frame, against the least a bare decoder needs for it."""

from __future__ import annotations

import random

import av
import pytest

from aftercase.media.container import Film
from aftercase.media.decoder import Decoder
from aftercase.media.indexing import indexed_film

N_SEEKS = 40
MOST_TIMES_THE_LEAST = 1.15
FILMS = [
    "25_closed",
    "2997_long_groups",
    "ms_rounding",
    "open_group_h264",
    "open_group_hevc_ts",
    "ts_late",
    "program_stream",
    "mpeg2_interlaced",
    "camcorder_interlaced",
    "fragmented",
    "keys_claimed",
    "intra_refresh",
    "intra_refresh_ts",
    "vp8_hidden_pictures",
]


class Bare:
    """A bare decoder that is handed the right packets: from the last key shown no later on."""

    def __init__(self, path, stream):
        self.path, self.stream = str(path), stream
        with av.open(self.path) as container:
            packets = [p for p in container.demux(container.streams[stream]) if p.size]
            self.stamps = [(packet.pts, packet.is_keyframe) for packet in packets]

    def n_decoded(self, pts):
        """Packets decoded from the last key that leads to the picture."""
        keys = [n for n, (stamp, key) in enumerate(self.stamps) if key and stamp <= pts]
        for first in sorted(keys, key=lambda n: self.stamps[n][0], reverse=True):
            found = self._n_from(first, pts)
            if found is not None:
                return found
        raise AssertionError("the bare decoder does not deliver the picture")

    def _n_from(self, first, pts):
        with av.open(self.path) as container:
            stream = container.streams[self.stream]
            stream.thread_type = "AUTO"
            for number, packet in enumerate(container.demux(stream)):
                if number < first:
                    continue
                for frame in stream.decode(packet):
                    if frame.pts == pts:
                        return number - first + (1 if packet.size else 0)
        return None


@pytest.mark.parametrize("name", FILMS)
def test_seeking_decodes_little_more_than_it_must(made, monkeypatch, name):
    film = made(name)
    opened, table = indexed_film(str(film.path))
    n_decoded = 0
    plainly = Film.decode

    def counted(self, packet, number, **how):
        nonlocal n_decoded
        n_decoded += 1
        return plainly(self, packet, number, **how)

    monkeypatch.setattr(Film, "decode", counted)
    bare, decoder, chance = Bare(film.path, film.stream), Decoder(opened, table), random.Random(23)
    least = 0
    for row in chance.choices(range(len(table)), k=N_SEEKS):
        assert decoder.frame(row) is not None
        least += bare.n_decoded(int(table.ticks[row]))
    decoder.close()
    assert n_decoded <= MOST_TIMES_THE_LEAST * least
