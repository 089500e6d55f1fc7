from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from aftercase.errors import RecordingChanged, RecordingMissing
from aftercase.media.watch import Watch, WorkCancelled
from aftercase.model.base import NewId
from aftercase.session.films import open_films
from aftercase.session.opened import open_case
from aftercase.session.places import Places
from aftercase.session.tasks.create import Wanted, new_case
from aftercase.session.tasks.find import find_films

Films = Callable[..., Path]


@pytest.fixture
def case(tmp_path: Path, film_maker: Films, at: Places, new_id: NewId) -> Path:
    (tmp_path / "card").mkdir()
    films = (film_maker("card/R_1.MP4", 10), film_maker("card/R_2.MP4", 12, first=10))
    return new_case(tmp_path / "c", Wanted("C1", "cataract-phaco", films=films), at,
                    new_id).folder.path  # fmt: skip


def end_us(case: Path, at: Places) -> int:
    with open_films(open_case(case, at), at) as recording:
        assert not any(recording.is_missing(part) for part in range(len(recording.facts)))
        return recording.end_us


def test_moved_and_renamed_films_are_found_by_content_and_the_case_stays(
    case: Path, tmp_path: Path, at: Places
) -> None:
    header = (case / "case.json").read_bytes()
    new = tmp_path / "archive/2024"
    new.mkdir(parents=True)
    (tmp_path / "card/R_1.MP4").rename(new / "b")
    (tmp_path / "card/R_2.MP4").rename(new / "a.film")
    looked = find_films(case, [tmp_path / "archive"], at)
    assert looked.found == (("R_1.MP4", new / "b"), ("R_2.MP4", new / "a.film"))
    assert looked.missing == ()
    assert end_us(case, at) == 880_000
    assert (case / "case.json").read_bytes() == header


def test_what_is_not_found_is_named(case: Path, tmp_path: Path, at: Places) -> None:
    (tmp_path / "card/R_2.MP4").unlink()
    looked = find_films(case, [tmp_path / "card"], at)
    assert [name for name, _ in looked.found] == ["R_1.MP4"]
    assert looked.missing == ("R_2.MP4",)


def test_a_changed_film_of_the_same_name_is_refused_with_what_changed(
    case: Path, tmp_path: Path, film_maker: Films, at: Places
) -> None:
    film_maker("card/R_1.MP4", 11)
    with pytest.raises(RecordingChanged) as told:
        find_films(case, [tmp_path / "card"], at)
    assert "the length in microseconds was 400000, now 440000" in told.value.message
    assert told.value.path == str(tmp_path / "card/R_1.MP4")


def test_a_changed_twin_does_not_hide_the_film_itself(
    case: Path, tmp_path: Path, film_maker: Films, at: Places
) -> None:
    (tmp_path / "z").mkdir()
    (tmp_path / "card/R_1.MP4").rename(tmp_path / "z/R_1.MP4")
    film_maker("card/R_1.MP4", 11)
    looked = find_films(case, [tmp_path / "card", tmp_path / "z"], at)
    assert dict(looked.found)["R_1.MP4"] == tmp_path / "z/R_1.MP4"


def test_a_named_file_that_is_another_film_is_refused(
    case: Path, film_maker: Films, at: Places
) -> None:
    with pytest.raises(RecordingChanged):
        find_films(case, [film_maker("other.mp4", 40)], at)


def test_a_place_that_is_not_there_is_told(case: Path, tmp_path: Path, at: Places) -> None:
    with pytest.raises(RecordingMissing):
        find_films(case, [tmp_path / "nowhere"], at)


def test_looking_can_be_stopped(case: Path, tmp_path: Path, at: Places) -> None:
    with pytest.raises(WorkCancelled):
        find_films(case, [tmp_path / "card"], at, watch=Watch(cancelled=lambda: True))


def test_files_of_another_size_are_not_opened(
    case: Path, tmp_path: Path, film_maker: Films, at: Places, monkeypatch: pytest.MonkeyPatch
) -> None:
    for number in range(5):
        film_maker(f"card/X{number}.MP4", 20 + number)
    opened: list[str] = []

    def noted(paths: list[Path], **options: object) -> object:
        opened.extend(path.name for path in paths)
        return opening(paths, **options)  # type: ignore[arg-type]

    from aftercase.session.tasks import find

    opening = find.open_recording
    monkeypatch.setattr(find, "open_recording", noted)
    find_films(case, [tmp_path / "card"], at)
    assert opened == ["R_1.MP4", "R_2.MP4"]


def test_opening_a_case_whose_film_changed_is_refused_with_the_list(
    case: Path, tmp_path: Path, film_maker: Films, at: Places
) -> None:
    film_maker("card/R_1.MP4", 11)
    with pytest.raises(RecordingChanged) as told:
        open_films(open_case(case, at), at)
    assert "length in microseconds was 400000" in told.value.message
    assert "aftercase find" in told.value.hint


def test_another_film_of_the_same_length_is_refused_too(
    case: Path, tmp_path: Path, film_maker: Films, at: Places
) -> None:
    film_maker("card/R_1.MP4", 10, first=90)
    with pytest.raises(RecordingChanged):
        open_films(open_case(case, at), at)


def test_a_film_that_is_proven_the_same_is_taken_whatever_else_is_stored(
    tmp_path: Path, film: Path, at: Places, new_id: NewId
) -> None:
    wanted = Wanted("C1", "cataract-phaco", films=(film,), copy_films=True)
    new_case(tmp_path / "c", wanted, at, new_id)
    header = json.loads((tmp_path / "c/case.json").read_text("utf-8"))
    header["parts"][0]["quick_hash"] = "0" * 64  # as if another reader had worked it out
    (tmp_path / "c/case.json").write_text(json.dumps(header), "utf-8")
    assert end_us(tmp_path / "c", at) == 2_000_000
    header["parts"][0]["sha256"] = "0" * 64
    (tmp_path / "c/case.json").write_text(json.dumps(header), "utf-8")
    with pytest.raises(RecordingChanged):
        open_films(open_case(tmp_path / "c", at), at)


def test_a_renamed_film_whose_times_are_read_otherwise_is_found_by_its_sha256(
    tmp_path: Path, film: Path, at: Places, new_id: NewId
) -> None:
    wanted = Wanted("C1", "cataract-phaco", films=(film,), copy_films=True)
    new_case(tmp_path / "c", wanted, at, new_id)
    header = json.loads((tmp_path / "c/case.json").read_text("utf-8"))
    header["parts"][0]["quick_hash"] = "0" * 64
    (tmp_path / "c/case.json").write_text(json.dumps(header), "utf-8")
    (tmp_path / "c/film/01-REC0001.MP4").unlink()
    assert find_films(tmp_path / "c", [film], at).found == (("film/01-REC0001.MP4", film),)
