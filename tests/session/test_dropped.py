"""Films dropped on the window, as the tasks see them."""

from __future__ import annotations

import pickle
from collections.abc import Callable
from pathlib import Path

import pytest

from aftercase.errors import RecordingMissing
from aftercase.session.opened import open_case
from aftercase.session.places import places
from aftercase.session.tasks.create import Wanted
from aftercase.session.tasks.dropped import look_at_dropped, make_case, pictures_at_ends

Maker = Callable[..., Path]


def test_an_empty_folder_is_refused(tmp_path: Path) -> None:
    with pytest.raises(RecordingMissing):
        look_at_dropped([tmp_path], places())


def test_a_single_film_is_looked_at_at_both_ends_for_the_one_that_follows(film: Path) -> None:
    [seen] = look_at_dropped([film], places()).films
    assert len(seen.head) == len(seen.tail) == 50


def test_dropped_films_are_ordered_by_name_not_by_the_drop(film_maker: Maker) -> None:
    later, earlier = film_maker("REC_02.MP4", 10, first=10), film_maker("REC_01.MP4", 10)
    seen = look_at_dropped([later, earlier], places())
    assert [file.path for file in seen.files] == [earlier, later]


def test_what_comes_back_can_be_sent_to_another_process(film: Path, tmp_path: Path) -> None:
    bad = tmp_path / "BAD.MP4"
    bad.write_bytes(film.read_bytes()[:300])
    seen = look_at_dropped([film, bad], places())
    again = pickle.loads(pickle.dumps(seen))
    assert [fault.message for fault in again.unreadable] == [
        fault.message for fault in seen.unreadable
    ]
    assert again.unreadable[0].path == str(bad)


def test_the_ends_shown_are_the_first_and_last_frame(
    film_maker: Maker, read_number: Callable[[bytes], int]
) -> None:
    films = [film_maker("A.MP4", 30, first=7), film_maker("B.MP4", 30, first=90)]
    ends = pictures_at_ends(films, places())
    assert [(read_number(one.first), read_number(one.last)) for one in ends] == [(7, 36), (90, 119)]


def test_a_made_case_has_ids_of_its_own(film: Path, tmp_path: Path) -> None:
    at = places()
    made = [
        make_case(tmp_path / name, Wanted(name, "cataract-phaco", films=(film,)), at)
        for name in ("case-1", "case-2")
    ]
    ids = {open_case(folder, at).case.id for folder in made}
    assert made == [tmp_path / "case-1", tmp_path / "case-2"]
    assert len(ids) == 2
