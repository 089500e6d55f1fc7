"""Kept frame tables: the same frames at the second open, and nothing from a file that is not it."""

from __future__ import annotations

import hashlib
import json
import os
import random
import shutil
from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest

from aftercase.errors import RecordingMissing, RecordingRefused
from aftercase.media.fingerprint import identity_of
from aftercase.media.frametable import PacketTable, stamped_table
from aftercase.media.recording import open_recording
from aftercase.media.tablecache import (
    bond_of,
    known_film,
    move_kept_tables,
    packed_table,
    table_bytes,
    table_in,
)
from aftercase.media.watch import Watch

HOURS_10_AT_60_FPS = 10 * 3600 * 60
MEGABYTE = 1_000_000


@pytest.fixture
def plain(made, tmp_path):
    return shutil.copy(made("25_closed").path, tmp_path / "film.mp4")


@pytest.fixture
def cache(tmp_path):
    return tmp_path / "cache"


@pytest.fixture
def opened(cache):
    """Open a film and tell its frames' starts and whether its packets were read through."""

    def open_it(path):
        told = []
        watch = Watch(progress=lambda done, total: told.append(done))
        with open_recording([path], cache=cache, watch=watch) as recording:
            return recording.starts_us().tolist(), bool(told)

    return open_it


@pytest.fixture
def kept(plain, cache, opened):
    """The file with the table of the plain film."""
    opened(plain)
    (file,) = cache.iterdir()
    return file


def resealed(content: bytes, change) -> bytes:
    """A kept table changed on purpose, its check sum put right."""
    begin = len(b"aftercase frame table\n") + 4
    length = int.from_bytes(content[begin - 4 : begin], "little")
    header = json.loads(content[begin : begin + length])
    change(header)
    head = json.dumps(header).encode()
    body = content[: begin - 4] + len(head).to_bytes(4, "little") + head
    body += content[begin + length : -32]
    return body + hashlib.sha256(body).digest()


def test_nothing_is_kept_without_a_folder(plain, tmp_path):
    with open_recording([plain]):
        assert [file.name for file in tmp_path.iterdir()] == ["film.mp4"]


def test_the_second_open_reads_no_packets_through(plain, opened):
    first, first_read = opened(plain)
    second, second_read = opened(plain)
    assert (first_read, second_read) == (True, False)
    assert second == first


def test_every_kind_of_film_gives_the_same_pictures_with_its_kept_table(film, cache):
    with open_recording([film.path], cache=cache) as fresh:
        starts = fresh.starts_us().tolist()
        some = random.Random(4).sample(starts, min(5, len(starts)))
        wanted = [fresh.picture_at(us) for us in [starts[-1], starts[0], *some]]
    with open_recording([film.path], cache=cache) as again:
        assert again.starts_us().tolist() == starts
        assert again.facts == fresh.facts
        assert [again.picture_at(us) for us in [starts[-1], starts[0], *some]] == wanted


def test_a_moved_film_keeps_its_table(plain, opened, tmp_path):
    opened(plain)
    moved = shutil.move(plain, tmp_path / "elsewhere.mp4")
    assert opened(moved)[1] is False


def test_a_film_written_anew_is_read_anew(plain, opened):
    opened(plain)
    os.utime(plain, ns=(1, 1))
    assert opened(plain)[1] is True


def test_a_film_whose_end_changed_is_read_anew(plain, opened):
    status = os.stat(plain)
    opened(plain)
    with open(plain, "r+b") as file:
        file.seek(-1, os.SEEK_END)
        file.write(b"\x55")
    os.utime(plain, ns=(status.st_atime_ns, status.st_mtime_ns))
    assert opened(plain)[1] is True


def test_a_damaged_table_is_made_anew_wherever_the_damage_is(plain, opened, kept):
    whole = kept.read_bytes()
    true_starts, _ = opened(plain)
    for place in range(0, len(whole), len(whole) // 40):
        kept.write_bytes(whole[:place] + bytes([whole[place] ^ 1]) + whole[place + 1 :])
        assert opened(plain) == (true_starts, True)
        assert kept.read_bytes() == whole
    for length in (0, 10, len(whole) - 1):
        kept.write_bytes(whole[:length])
        assert opened(plain) == (true_starts, True)


@pytest.mark.parametrize(
    "change",
    [
        lambda header: header.update(bond="another film"),
        lambda header: header.update(columns=header["columns"][:-1]),
        lambda header: header.update(time_base=[1, 0]),
        lambda header: header.update(time_base=[-1, 25]),
        lambda header: header.update(end_tick=-5),
        lambda header: header.update(columns=None),
        lambda header: header["columns"][4].__setitem__(0, 2**70),
        lambda header: header["columns"][4].__setitem__(0, 5),  # ranks beyond the last
        lambda header: header["columns"][5].__setitem__(0, -9),  # packets before the first
        lambda header: header["columns"][6].__setitem__(1, -(10**9)),  # ticks that fall
        lambda header: header["columns"][7].__setitem__(1, 10**9),  # keys beyond the last
        lambda header: header["columns"][0].__setitem__(5, 2**40),
        lambda header: header["columns"][0].__setitem__(4, 3),
        lambda header: header["columns"][0].__setitem__(2, 0),
    ],
)
def test_a_table_that_contradicts_itself_is_refused(plain, kept, change):
    bond = bond_of(identity_of(str(plain)))
    whole = kept.read_bytes()
    assert table_in(resealed(whole, lambda header: None), bond) is not None
    assert table_in(resealed(whole, change), bond) is None


def test_a_table_of_another_stream_choice_is_another_table(made, cache):
    two = made("two_films").path
    own = known_film(str(two), kept_in=cache)
    named = known_film(str(two), stream=0, kept_in=cache)
    again = known_film(str(two), kept_in=cache)
    for known in (own, named, again):
        known.film.close()
    assert [k.film.facts.index for k in (own, named, again)] == [1, 0, 1]
    assert len(list(cache.iterdir())) == 2


def test_the_stream_that_was_chosen_is_known_by_its_number_too(plain, cache, kept):
    told = []
    known = known_film(
        str(plain), stream=0, kept_in=cache, watch=Watch(lambda *at: told.append(at))
    )
    known.film.close()
    assert told == []
    assert list(cache.iterdir()) == [kept]


def test_what_is_kept_moves_into_another_folder(plain, cache, kept, opened, tmp_path):
    move_kept_tables(str(plain), cache, tmp_path / "case" / "cache")
    assert list(cache.glob("*.frames")) == []
    assert [path.name for path in (tmp_path / "case/cache").glob("*.frames")] == [kept.name]
    move_kept_tables(str(plain), cache, tmp_path / "case" / "cache")  # nothing is there any more


def test_a_cache_that_cannot_be_written_is_no_fault(plain, tmp_path):
    occupied = tmp_path / "a file, no folder"
    occupied.write_bytes(b"")
    with open_recording([plain], cache=occupied) as recording:
        assert len(recording.table(0)) > 0


def test_what_is_no_film_is_told_as_without_a_cache(tmp_path, cache):
    with pytest.raises(RecordingMissing):
        open_recording([tmp_path / "no.mp4"], cache=cache)
    with pytest.raises(RecordingRefused, match="not a file"):
        open_recording([tmp_path], cache=cache)
    assert not cache.exists()


@pytest.fixture(scope="module")
def ten_hours():
    """Ten hours at 60 a second, B-frames, keys 2 s apart, sizes and gaps by chance."""
    n = HOURS_10_AT_60_FPS
    chance = np.random.default_rng(10)
    number = np.arange(n)
    shown = number + np.array([0, 1, -1])[number % 3]
    size = chance.integers(2_000, 60_000, n)
    packets = PacketTable(
        pts=shown * 1_500 + 1_500,
        dts=number * 1_500,
        size=size,
        pos=np.cumsum(size + chance.integers(0, 2_000, n)),
        duration=np.full(n, 1_500),
        key=number % 120 == 0,
        discard=np.zeros(n, dtype=np.bool_),
    )
    return stamped_table(packets, Fraction(1, 90_000), clock_may_restart=False, step_ticks=1_500)


def test_ten_hours_at_sixty_a_second_take_less_than_50_megabytes(ten_hours):
    packed = packed_table(ten_hours)
    columns = (packed.rank, packed.rows, packed.ticks, packed.keys)
    packets = (packed.packets.pts, packed.packets.dts, packed.packets.size, packed.packets.pos)
    shown = packed.shown(packed.first_pts)
    held_bytes = sum(column.nbytes for column in (*columns, *packets, shown.starts_us))
    content = table_bytes(packed, 0, "bond")
    assert len(packed) == HOURS_10_AT_60_FPS
    assert held_bytes < 50 * MEGABYTE
    assert len(content) < 50 * MEGABYTE
    again, stream = table_in(content, "bond")
    assert stream == 0
    assert np.array_equal(again.rows, ten_hours.rows)
    assert np.array_equal(again.shown(0).starts_us, ten_hours.shown(0).starts_us)


def test_a_table_of_no_frames_is_refused(ten_hours):
    empty = replace(ten_hours, rows=np.array([], np.int64), ticks=np.array([], np.int64))
    assert table_in(table_bytes(empty, 0, "bond"), "bond") is None
