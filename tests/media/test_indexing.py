"""Opening films whose reading or decoding fails on the way, and fields in packets of their own."""

from fractions import Fraction
from types import SimpleNamespace

import av
import pytest

from aftercase.errors import RecordingUnreadable
from aftercase.media import indexing
from aftercase.media.container import PacketDamaged, open_film
from aftercase.media.frametable import Stamp
from aftercase.media.indexing import frame_table, indexed_film
from aftercase.media.kinds import KINDS
from aftercase.media.seekplan import Entry
from aftercase.media.watch import Watch, WorkCancelled


class Failing:
    """A container that fails `n_faults` times before each packet, and at every seek."""

    def __init__(self, container, n_faults):
        self.container, self.n_faults, self.left = container, n_faults, n_faults

    def demux(self, stream):
        while True:
            if self.left:
                self.left -= 1
                raise av.error.InvalidDataError(1, "damaged")
            self.left = self.n_faults
            yield next(self.reading(stream))

    def reading(self, stream):
        if not hasattr(self, "_reading"):
            self._reading = self.container.demux(stream)
        return self._reading

    def seek(self, *args, **kwargs):
        raise av.error.PermissionError(1, "no")

    def close(self):
        self.container.close()


@pytest.fixture
def plain_film(made):
    film = open_film(made("25_closed").path, threads="NONE")
    yield film
    film.close()


def test_unreadable_stretches_are_passed_over(plain_film):
    plain_film._container = Failing(plain_film._container, 3)
    packets = plain_film.packets()
    assert [next(packets)[0].size > 0 for _ in range(50)] == [True] * 50


def test_a_film_that_cannot_be_read_any_further_is_unreadable(plain_film):
    plain_film._container = Failing(plain_film._container, 10_000)
    with pytest.raises(RecordingUnreadable):
        list(plain_film.packets())


@pytest.mark.parametrize("entry", [Entry(0, "pts", 0), Entry(0, "byte", 0)])
def test_a_refused_seek_is_told(plain_film, entry):
    plain_film._container = Failing(plain_film._container, 0)
    assert not plain_film.enter(entry)


def test_an_emptied_decoder_has_no_rest(plain_film):
    plain_film.rest()
    assert plain_film.rest() == []


def test_a_packet_of_noise_is_damaged(plain_film):
    packet = av.Packet(b"\x00\x00\x10\x00" + b"\xff" * 60)
    packet.stream = plain_film._stream
    with pytest.raises(PacketDamaged):
        plain_film.decode(packet, 0)


def test_counting_pictures_can_be_stopped(made):
    told = []

    def stop_when_decoding():
        told.append(True)
        return len(told) > 2

    with pytest.raises(WorkCancelled):
        indexed_film(str(made("bare_stream").path), watch=Watch(cancelled=stop_when_decoding))


class Fields:
    """A film of 25 pictures a second with each field in a packet of its own."""

    path = __file__
    kind = KINDS[0]
    facts = SimpleNamespace(
        index=0,
        codec="h264",
        may_split_fields=True,
        may_reorder=False,
        said_rate=Fraction(25),
        time_base=Fraction(1, 1000),
    )

    def packets(self):
        for number in range(100):
            yield Stamp(20 * number, 20 * number, 10, -1, 20, number == 0, False), number

    def decode(self, packet, number):
        return [SimpleNamespace(pts=number - 1)] if number % 2 else []

    def rest(self):
        return []

    def close(self):
        pass


def test_fields_in_packets_of_their_own_are_one_frame_each_pair(monkeypatch):
    monkeypatch.setattr(indexing, "open_film", lambda *args, **kwargs: Fields())
    table = frame_table(Fields())
    assert len(table) == 50
    assert table.shown(0).starts_us.tolist() == [40_000 * k for k in range(50)]
