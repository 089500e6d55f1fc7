"""Dropping a film is enough: a case is made at once, and nothing in it says who the patient is."""

from __future__ import annotations

import shutil
from fractions import Fraction

import pytest

from aftercase.errors import EditRefused, NameUnknown, RecordingRefused
from aftercase.media.watch import Watch, WorkCancelled
from aftercase.model.base import NOT_SAID
from aftercase.model.case import Case
from aftercase.session.films import open_films
from aftercase.session.opened import open_case
from aftercase.session.settings import change_settings
from aftercase.session.tasks import quick_case as module
from aftercase.session.tasks.quick_case import quick_case, quick_case_at

PATIENT = "MILLER_Ann_1951-02-03"


def test_one_film_becomes_the_first_case(film, at, new_id):
    opened = quick_case([film], at, new_id)
    assert opened.folder.path == at.data / "cases" / "case-1"
    assert (opened.case.code, opened.case.guide.id) == ("case-1", "cataract-phaco")
    with open_films(opened, at) as recording:
        assert len(recording.starts_us()) == 50


def test_each_further_case_has_the_next_number_that_is_free(film, at, new_id):
    folders = [quick_case([film], at, new_id).folder.path for _ in range(3)]
    assert [folder.name for folder in folders] == ["case-1", "case-2", "case-3"]
    shutil.rmtree(folders[1])
    assert quick_case([film], at, new_id).case.code == "case-2"
    assert quick_case([film], at, new_id).case.code == "case-4"


def test_nothing_but_guide_and_film_is_said(film, at, new_id):
    said = quick_case([film], at, new_id).case.model_dump()
    plain = Case(id="a" * 26, code="x", guide={"id": "x", "guide_version": "1.0"}).model_dump()
    different = {name for name, value in said.items() if value != plain.get(name)}
    assert different <= {"id", "code", "guide", "parts", "setting"}
    assert said["setting"] in (NOT_SAID, "patient")


def test_the_folder_and_the_code_do_not_say_what_the_film_is_called(film_maker, at, new_id):
    opened = quick_case([film_maker(f"{PATIENT}.MP4", 10)], at, new_id)
    assert PATIENT not in str(opened.folder.path)
    assert PATIENT not in opened.case.code


def test_where_cases_go_and_their_guide_can_be_chosen(film, at, new_id, tmp_path):
    change_settings(at, cases_folder=str(tmp_path / "mine"), default_guide="practice")
    opened = quick_case([film], at, new_id)
    assert opened.folder.path == tmp_path / "mine" / "case-1"
    assert opened.case.guide.id == "practice"


def test_films_of_one_recording_are_parts_in_the_order_they_were_made(film_maker, at, new_id):
    later, earlier = film_maker("REC_02.MP4", 10, first=10), film_maker("REC_01.MP4", 10)
    opened = quick_case([later, earlier], at, new_id)
    assert [part.path for part in opened.case.parts] == ["REC_01.MP4", "REC_02.MP4"]


def test_a_cards_folder_is_taken_whole(film_maker, at, new_id, tmp_path):
    (tmp_path / "card").mkdir()
    for number in (1, 2):
        film = film_maker(f"REC_0{number}.MP4", 10, first=10 * number)
        film.rename(tmp_path / "card" / film.name)
    assert len(quick_case([tmp_path / "card"], at, new_id).case.parts) == 2


def test_films_of_several_recordings_are_asked_about(film_maker, at, new_id):
    films = [film_maker("A.MP4", 20), film_maker("B.MP4", 20, first=100, rate=Fraction(30))]
    with pytest.raises(EditRefused, match="several recordings") as refused:
        quick_case(films, at, new_id)
    assert "New case" in refused.value.hint
    assert not (at.data / "cases").exists()


def test_what_is_no_film_makes_no_case(film, at, new_id, tmp_path):
    text = tmp_path / "notes.mp4"
    text.write_text("no film", encoding="utf-8")
    with pytest.raises(RecordingRefused):
        quick_case([film, text], at, new_id)
    assert not (at.data / "cases").exists()


def test_a_guide_that_is_gone_is_named(film, at, new_id):
    change_settings(at, default_guide="our-own")
    with pytest.raises(NameUnknown, match="our-own"):
        quick_case([film], at, new_id)


def test_stopped_in_the_middle_nothing_is_left(film, at, new_id):
    with pytest.raises(WorkCancelled):
        quick_case([film], at, new_id, watch=Watch(cancelled=lambda: True))
    assert not (at.data / "cases").exists()


def test_another_window_may_be_quicker(film, at, new_id, monkeypatch):
    make = module.new_case

    def overtaken(path, *args, **options):
        if path.name == "case-1" and not path.exists():
            make(path, *args, **options)
        return make(path, *args, **options)

    monkeypatch.setattr(module, "new_case", overtaken)
    assert quick_case([film], at, new_id).case.code == "case-2"


def test_a_process_makes_one_with_ids_of_its_own(film, at):
    ids = {open_case(quick_case_at([film], at), at).case.id for _ in range(2)}
    assert len(ids) == 2
