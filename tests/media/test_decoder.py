"""The decoder against made-up films that land in the wrong place, lose pictures or mislabel."""

from dataclasses import dataclass, field
from fractions import Fraction
from types import SimpleNamespace

import pytest

from aftercase.media.container import PacketDamaged
from aftercase.media.decoder import Decoder
from aftercase.media.frametable import PacketTable, Stamp, counted_table, stamped_table
from aftercase.media.kinds import KINDS

MP4 = KINDS[0]


def stamps_of(n, group=10):
    return [Stamp(40 * k, 40 * k, 100 + k, -1, 40, k % group == 0, False) for k in range(n)]


def table_of(stamps):
    return stamped_table(
        PacketTable.of(stamps), Fraction(1, 1000), clock_may_restart=False, step_ticks=40
    )


@dataclass
class MadeUpFilm:
    """Every packet is a picture; what it says is its place in the file."""

    stamps: list
    landing: object = lambda position: position  # where a seek to a position leads
    relabel: object = lambda stamp, first: stamp  # what a packet says after a seek
    output: object = lambda number: [number]  # pictures that packet `number` completes
    damaged: frozenset = frozenset()  # packets that cannot be decoded
    hurt: frozenset = frozenset()  # packets the container calls damaged
    corrupt: frozenset = frozenset()  # packets whose picture the decoder calls damaged
    lost_with_threads: frozenset = frozenset()  # pictures lost while there are threads
    threads: str = "AUTO"
    position: int = 0
    entered: list = field(default_factory=list)
    left_out: list = field(default_factory=list)  # packets whose picture was not wanted
    kind: object = MP4

    def reopened(self, threads):
        self.threads, self.position = threads, 0
        self.entered.append(threads)
        return self

    def enter(self, entry):
        wanted = next(n for n, stamp in enumerate(self.stamps) if stamp.pts >= entry.value)
        self.position = max(0, min(len(self.stamps), self.landing(wanted)))
        self.entered.append(wanted)
        return True

    def packets(self):
        first = self.position
        for place in range(first, len(self.stamps)):
            yield self.relabel(self.stamps[place], place == first), place

    def decode(self, place, number, *, is_needless=False):
        if place in self.damaged:
            raise PacketDamaged
        if is_needless and place % 2:  # no picture leans on an odd one
            self.left_out.append(place)
            return []
        lost = self.lost_with_threads if self.threads == "AUTO" else frozenset()
        offset = None if number is None else number - place
        return [
            SimpleNamespace(
                pts=None if offset is None else n + offset, says=n, is_corrupt=n in self.corrupt
            )
            for n in self.output(place)
            if n not in lost
        ]

    def rest(self):
        return []

    def is_hurt(self, place):
        return place in self.hurt

    def close(self):
        self.position = len(self.stamps)


def says(decoder, row, passing=lambda row, frame: None, n_passing=None):
    frame = decoder.frame(row, passing, n_passing)
    return None if frame is None else frame.says


@pytest.mark.parametrize("shift", [-25, -11, -3, 0, 1, 7, 10, 15, 25, 90])
def test_wherever_a_seek_lands_the_picture_is_right(shift):
    stamps = stamps_of(60)
    film = MadeUpFilm(stamps, landing=lambda position: position + shift)
    decoder = Decoder(film, table_of(stamps))
    for row in (59, 0, 35, 30, 29, 10, 47):
        assert says(decoder, row) == row


def test_a_seek_that_lands_a_group_late_is_repeated_a_key_earlier():
    stamps = stamps_of(60)
    film = MadeUpFilm(stamps, landing=lambda position: position + 10)
    assert says(Decoder(film, table_of(stamps)), 35) == 35
    assert film.entered == [30, 20]


def test_a_key_that_says_its_successors_stamp_after_a_seek_is_passed_over():
    stamps = stamps_of(60)
    film = MadeUpFilm(stamps, relabel=lambda s, first: s._replace(pts=s.pts + 40) if first else s)
    decoder = Decoder(film, table_of(stamps))
    assert [says(decoder, row) for row in (35, 12, 55)] == [35, 12, 55]


def test_pictures_that_come_out_of_stamp_order_are_all_found():
    stamps = stamps_of(30)
    # The decoder gives each pair the wrong way round.
    film = MadeUpFilm(stamps, output=lambda n: [n, n - 1] if n % 2 else [])
    decoder = Decoder(film, table_of(stamps))
    assert [says(decoder, row) for row in range(30)] == list(range(30))


def test_reading_on_does_not_enter_again():
    stamps = stamps_of(60)
    film = MadeUpFilm(stamps)
    decoder = Decoder(film, table_of(stamps))
    assert [says(decoder, row) for row in range(60)] == list(range(60))
    assert film.entered == [0]


def test_what_is_before_the_pictures_asked_for_may_be_left_out():
    stamps = stamps_of(30)
    film, passed = MadeUpFilm(stamps), []
    decoder = Decoder(film, table_of(stamps))
    assert says(decoder, 17, lambda row, frame: passed.append(row), n_passing=4) == 17
    assert film.left_out == [11]
    assert passed == [10, 12, 13, 14, 15, 16]
    assert [says(decoder, row, n_passing=0) for row in (18, 19, 23, 21)] == [18, 19, 23, 21]


def test_nothing_is_left_out_when_all_are_to_pass_or_some_were_lost():
    stamps = stamps_of(30)
    film = MadeUpFilm(stamps)
    assert says(Decoder(film, table_of(stamps)), 9) == 9
    hurt = MadeUpFilm(stamps, hurt=frozenset({2}))
    decoder = Decoder(hurt, table_of(stamps))
    assert [says(decoder, row, n_passing=0) for row in (3, 8)] == [3, 8]
    assert film.left_out == []
    assert hurt.left_out == [1]  # before the damage was met


def test_pictures_on_the_way_are_handed_over():
    stamps = stamps_of(30)
    passed = []
    decoder = Decoder(MadeUpFilm(stamps), table_of(stamps))
    says(decoder, 25, lambda row, frame: passed.append((row, frame.says)))
    assert passed == [(row, row) for row in range(20, 25)]


def test_a_picture_lost_by_threads_is_found_without_them():
    stamps = stamps_of(40)
    film = MadeUpFilm(stamps, lost_with_threads=frozenset({14}))
    decoder = Decoder(film, table_of(stamps))
    assert [says(decoder, row) for row in range(40)] == list(range(40))
    assert film.threads == "NONE"


def test_a_damaged_picture_is_none_and_shifts_no_other():
    stamps = stamps_of(40)
    film = MadeUpFilm(stamps, damaged=frozenset({14, 39}))
    decoder = Decoder(film, table_of(stamps))
    expected = [None if row in (14, 39) else row for row in range(40)]
    assert [says(decoder, row) for row in range(40)] == expected
    entered = len(film.entered)
    assert says(decoder, 14) is None
    assert len(film.entered) == entered  # not tried again


def test_unknown_packets_after_a_seek_give_no_pictures():
    stamps = stamps_of(40)
    film = MadeUpFilm(
        stamps, relabel=lambda s, first: s._replace(size=1) if s.pts == 15 * 40 else s
    )
    decoder = Decoder(film, table_of(stamps))
    assert [says(decoder, row) for row in (14, 15, 16)] == [14, None, 16]


def test_a_refused_seek_reads_from_the_start():
    stamps = stamps_of(40)
    film = MadeUpFilm(stamps)
    film.enter = lambda entry: False
    decoder = Decoder(film, table_of(stamps))
    assert says(decoder, 33) == 33
    assert film.entered == ["AUTO"]


def test_the_two_fields_of_a_picture_come_as_one_frame():
    stamps = stamps_of(40)
    table = counted_table(
        PacketTable.of(stamps), Fraction(1, 1000), list(range(0, 40, 2)), step_ticks=80
    )
    film = MadeUpFilm(stamps, output=lambda n: [n - 1] if n % 2 else [])
    decoder = Decoder(film, table)
    assert [says(decoder, row) for row in (19, 0, 7)] == [38, 0, 14]


def test_leading_pictures_after_an_entry_are_dropped_and_found_by_the_key_before():
    # Packet 3 is a key shown at 200; packets 4 and 5 come after it but are shown before it.
    shown = [0, 40, 80, 200, 120, 160, 240]
    stamps = [
        Stamp(pts, 40 * n, 100 + n, -1, 40, n in (0, 3), False) for n, pts in enumerate(shown)
    ]
    film, passed = MadeUpFilm(stamps), []
    film.enter = lambda entry: setattr(film, "position", entry.key) or True
    decoder = Decoder(film, table_of(stamps))
    assert says(decoder, 6, lambda row, frame: passed.append(row)) == 6
    assert passed == [5]
    assert [says(decoder, row) for row in (3, 4)] == [4, 5]
