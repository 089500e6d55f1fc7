from __future__ import annotations

import hashlib
import json
from collections.abc import Callable
from pathlib import Path

import pytest

from aftercase.errors import AlreadyThere, EditRefused, NameUnknown, RecordingRefused
from aftercase.media.watch import Watch, WorkCancelled
from aftercase.model.base import NewId
from aftercase.session.films import open_films
from aftercase.session.opened import open_case
from aftercase.session.places import Places
from aftercase.session.tasks.create import Wanted, new_case
from aftercase.session.tasks.look import picture_at

PHACO = "cataract-phaco"


def test_a_stated_duration_is_enough(tmp_path: Path, at: Places, new_id: NewId) -> None:
    opened = new_case(tmp_path / "c", Wanted("C1", PHACO, duration_us=5_000_000), at, new_id)
    assert opened.case.parts == ()
    assert opened.case.stated_duration_us == 5_000_000
    seen = {path.name for path in (tmp_path / "c").iterdir() if path.name[0] != "."}
    assert seen == {"case.json", "guide.json"}


def test_a_film_is_referenced_and_never_named_by_its_place(
    tmp_path: Path, film: Path, at: Places, new_id: NewId
) -> None:
    opened = new_case(tmp_path / "c", Wanted("C1", PHACO, films=(film,)), at, new_id)
    header = (tmp_path / "c" / "case.json").read_text("utf-8")
    assert opened.case.parts[0].path == "REC0001.MP4"
    assert str(tmp_path) not in header
    with open_films(opened, at) as recording:
        assert recording.end_us == 2_000_000
        assert recording.differences == ()


def test_people_are_not_said_until_somebody_says_so(
    tmp_path: Path, film: Path, at: Places, new_id: NewId
) -> None:
    case = new_case(tmp_path / "c", Wanted("C1", PHACO, films=(film,)), at, new_id).case
    assert (case.eye, case.hand, case.planned_part, case.trainee) == (
        "not-said",
        "not-said",
        "not-said",
        None,
    )


def test_a_copied_film_lies_in_the_case_and_is_proven_equal(
    tmp_path: Path, film: Path, at: Places, new_id: NewId
) -> None:
    wanted = Wanted("C1", PHACO, films=(film,), copy_films=True)
    part = new_case(tmp_path / "c", wanted, at, new_id).case.parts[0]
    copy = tmp_path / "c" / part.path
    assert copy.read_bytes() == film.read_bytes()
    assert part.sha256 == hashlib.sha256(film.read_bytes()).hexdigest()
    film.unlink()
    with open_films(open_case(tmp_path / "c", at), at) as recording:
        assert recording.end_us == 2_000_000


def test_parts_play_as_one_clock(
    tmp_path: Path,
    film_maker: Callable[..., Path],
    at: Places,
    new_id: NewId,
    read_number: Callable[[bytes], int],
) -> None:
    films = (film_maker("A.MP4", 10), film_maker("B.MP4", 15, first=10))
    case = new_case(tmp_path / "c", Wanted("C1", PHACO, films=films), at, new_id).case
    assert [(part.start_us, part.end_us) for part in case.parts] == [
        (0, 400_000),
        (400_000, 1_000_000),
    ]
    for number in (0, 9, 10, 11, 24):  # the number burnt into the picture is the truth
        saved = tmp_path / f"{number}.png"
        found = picture_at(films, number * 40_000, saved)
        assert found.times.start_us == number * 40_000
        assert read_number(saved.read_bytes()) == number


def test_a_film_that_moved_is_found_again_in_the_case_folder(
    tmp_path: Path, film: Path, at: Places, new_id: NewId
) -> None:
    opened = new_case(tmp_path / "c", Wanted("C1", PHACO, films=(film,)), at, new_id)
    film.rename(tmp_path / "c" / film.name)
    with open_films(opened, at) as recording:
        assert not recording.is_missing(0)


def test_a_case_can_be_a_stretch_of_its_film(
    tmp_path: Path, film: Path, at: Places, new_id: NewId
) -> None:
    wanted = Wanted("C1", PHACO, films=(film,), from_us=400_000, to_us=1_200_000)
    window = new_case(tmp_path / "c", wanted, at, new_id).case.window
    assert window is not None
    assert (window.start_us, window.end_us) == (400_000, 1_200_000)
    too_long = Wanted("C2", PHACO, films=(film,), to_us=9_000_000)
    with pytest.raises(EditRefused, match="window"):
        new_case(tmp_path / "d", too_long, at, new_id)
    assert not (tmp_path / "d").exists()


def test_a_case_is_never_made_over_another(
    tmp_path: Path, film: Path, at: Places, new_id: NewId
) -> None:
    wanted = Wanted("C1", PHACO, films=(film,))
    new_case(tmp_path / "c", wanted, at, new_id)
    before = (tmp_path / "c" / "case.json").read_bytes()
    with pytest.raises(AlreadyThere):
        new_case(tmp_path / "c", wanted, at, new_id)
    assert (tmp_path / "c" / "case.json").read_bytes() == before


def test_a_text_named_mp4_makes_no_case(tmp_path: Path, at: Places, new_id: NewId) -> None:
    fake = tmp_path / "film.mp4"
    fake.write_text("ffconcat version 1.0\nfile 'other.mp4'\n")
    with pytest.raises(RecordingRefused):
        new_case(tmp_path / "c", Wanted("C1", PHACO, films=(fake,)), at, new_id)
    assert not (tmp_path / "c").exists()


def test_an_unknown_guide_names_those_there_are(tmp_path: Path, at: Places, new_id: NewId) -> None:
    with pytest.raises(NameUnknown) as told:
        new_case(tmp_path / "c", Wanted("C1", "hip", duration_us=1), at, new_id)
    assert PHACO in told.value.hint


def test_a_program_uses_its_own_guide_from_its_folder(
    tmp_path: Path, at: Places, new_id: NewId
) -> None:
    own = json.loads(
        (Path(__file__).parents[2] / "src/aftercase/data/guides/practice.json").read_text("utf-8")
    )
    at.own_guides.mkdir(parents=True)
    (at.own_guides / "ours.json").write_text(json.dumps({**own, "id": "our-drills"}), "utf-8")
    opened = new_case(tmp_path / "c", Wanted("C1", "our-drills", duration_us=1), at, new_id)
    assert opened.guide.id == "our-drills"


def test_reading_uses_the_copy_of_the_guide(tmp_path: Path, at: Places, new_id: NewId) -> None:
    new_case(tmp_path / "c", Wanted("C1", PHACO, duration_us=1), at, new_id)
    copy = tmp_path / "c" / "guide.json"
    copy.write_text(copy.read_text("utf-8").replace("Capsulorhexis", "Capsule, our word"), "utf-8")
    assert open_case(tmp_path / "c", at).guide.step_name("capsulorhexis") == "Capsule, our word"


@pytest.mark.parametrize(
    ("header", "place"),
    [
        ({"technique": "whistling"}, "technique"),
        ({"seat": "thirteen"}, "seat"),
        ({"eye": "third"}, "eye"),
        ({"training_year": "many"}, "training_year"),
    ],
)
def test_a_header_field_that_breaks_its_rule_is_named(
    tmp_path: Path, at: Places, new_id: NewId, header: dict[str, str], place: str
) -> None:
    wanted = Wanted("C1", PHACO, duration_us=1, header=header)
    with pytest.raises(EditRefused, match=place):
        new_case(tmp_path / "c", wanted, at, new_id)


def test_cancelling_a_copy_leaves_nothing(
    tmp_path: Path, film_maker: Callable[..., Path], at: Places, new_id: NewId
) -> None:
    films = (film_maker("A.MP4", 10), film_maker("B.MP4", 10))
    copied = {"steps": 0}

    def cancelled() -> bool:
        copied["steps"] += (tmp_path / "c" / "film").is_dir()
        return copied["steps"] > 1  # after the first film, while the second is copied

    wanted = Wanted("C1", PHACO, films=films, copy_films=True)
    with pytest.raises(WorkCancelled):
        new_case(tmp_path / "c", wanted, at, new_id, watch=Watch(cancelled=cancelled))
    assert [path for path in (tmp_path / "c").rglob("*") if path.is_file()] == []
