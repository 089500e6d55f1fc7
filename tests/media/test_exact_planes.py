"""The planes of every decoded frame against those of the ffmpeg program, bit by bit.

The program may be of another version (Debian's is 5.1) than the library that is read with; for
all the codings here their output is defined to the bit and is the same, damaged films aside.
"""

from __future__ import annotations

import random
from pathlib import Path

import pytest
from made_films.catalogue import ALL, Kind, film_path
from made_films.making import base
from made_films.planes import planes_md5

from aftercase.media.decoder import Decoder
from aftercase.media.indexing import indexed_film

WHOLE = [
    name
    for name, made in ALL.items()
    if not (isinstance(made, Kind) and (made.hurt or made.converted))
]
DAMAGED = [("damaged_middle", "base"), ("ts_hole", "ts_hole")]
GROUP_LENGTH = 25


def source_of(name: str) -> Path:
    """The film as it was before it was damaged."""
    return base() if name == "base" else film_path(name).parent / "before.ts"


def every_frame(path: Path) -> list[tuple[int, str | None, bool]]:
    """Start, planes and whether they are called doubtful, of every frame in order."""
    opened, table = indexed_film(str(path))
    decoder = Decoder(opened, table)
    frames = [decoder.frame(row) for row in range(len(table))]
    starts = table.shown(table.first_pts).starts_us.tolist()
    planes = [None if frame is None else planes_md5(frame) for frame in frames]
    doubtful = [decoder.is_doubtful(row) for row in range(len(table))]
    decoder.close()
    return list(zip(starts, planes, doubtful, strict=True))


@pytest.fixture
def decoder(film):
    opened, table = indexed_film(str(film.path))
    decoder = Decoder(opened, table)
    yield decoder
    decoder.close()


@pytest.mark.parametrize("film", WHOLE, indirect=True)
def test_all_planes_are_those_the_other_program_decodes(film, decoder, truth_of):
    frames = [decoder.frame(row) for row in range(len(decoder))]
    delivered = [planes_md5(frame) for frame in frames if frame is not None]
    assert delivered == list(truth_of(film).planes_md5)
    assert decoder.doubtful_rows() == []


@pytest.mark.parametrize("film", WHOLE, indirect=True)
def test_planes_found_by_seeking_are_the_same(film, decoder, truth_of):
    expected = truth_of(film).planes_md5
    chance = random.Random(22)
    for row in chance.choices(range(len(expected)), k=20):
        assert planes_md5(decoder.frame(row)) == expected[row]


@pytest.mark.parametrize(("hurt", "whole"), DAMAGED)
def test_what_is_not_called_doubtful_is_as_before_the_damage(hurt, whole):
    """The same film before it was damaged says what each picture has to be."""
    before = {start: md5 for start, md5, _ in every_frame(source_of(whole))}
    after = every_frame(film_path(hurt))
    first = min(start for start, _, _ in after)
    assert first == 0
    wrong = {start for start, md5, _ in after if md5 != before[start]}
    told = {start for start, md5, doubtful in after if doubtful or md5 is None}
    assert wrong
    assert wrong <= told
    assert len(told) <= GROUP_LENGTH
