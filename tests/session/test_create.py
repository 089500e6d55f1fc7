from __future__ import annotations

import hashlib
import json
from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import av
import numpy as np
import pytest

from aftercase.document.guides import guide_named
from aftercase.errors import (
    AlreadyThere,
    EditRefused,
    NameUnknown,
    RecordingMissing,
    RecordingRefused,
)
from aftercase.media import tablecache
from aftercase.media.watch import Watch, WorkCancelled
from aftercase.model.base import NewId
from aftercase.model.case import window_of
from aftercase.model.review import Remark, Review
from aftercase.model.rules import review_problems
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


@pytest.fixture
def scene_film(tmp_path: Path) -> Callable[..., Path]:
    """Make a film of a wide scene that drifts by, so that one film goes on where another ended."""

    def make(
        name: str, first: int, n_frames: int = 30, *, scene: int = 1, width_px: int = 128,
        rate: int = 25, codec: str = "libx264",
    ) -> Path:  # fmt: skip
        path = tmp_path / name
        path.parent.mkdir(parents=True, exist_ok=True)
        wide = np.random.default_rng(scene).uniform(20, 230, (4, 60))
        field = np.kron(wide, np.ones((24, 32))).astype(np.uint8)
        with av.open(str(path), "w") as container:
            stream = container.add_stream(codec, rate=rate)
            stream.width, stream.height, stream.pix_fmt = width_px, 96, "yuv420p"
            for number in range(n_frames):
                left = 2 * (first + number)
                grey = np.repeat(field[:, left : left + width_px, None], 3, axis=2)
                frame = av.VideoFrame.from_ndarray(np.ascontiguousarray(grey), format="rgb24")
                frame.pts, frame.time_base = number, Fraction(1, rate)
                container.mux(stream.encode(frame))
            container.mux(stream.encode())
        return path

    return make


def test_a_card_s_folder_becomes_one_recording_in_its_own_order(
    tmp_path: Path, scene_film: Callable[..., Path], at: Places, new_id: NewId
) -> None:
    names = [f"card/DCIM/{folder}/REC0001_{part:02d}.MP4"
             for folder, part in (("100MED", 1), ("100MED", 2), ("101MED", 10))]  # fmt: skip
    for place in (2, 0, 1):
        scene_film(names[place], 30 * place)
    (tmp_path / "card/DCIM/100MED/REC0001_01.THM").write_bytes(b"\xff\xd8\xff")
    (tmp_path / "card/DCIM/100MED/._REC0001_01.MP4").write_bytes(b"x")
    told = []
    wanted = Wanted("C1", PHACO, films=(tmp_path / "card",))
    case = new_case(tmp_path / "c", wanted, at, new_id, told=told.append).case
    assert [part.path for part in case.parts] == [Path(name).name for name in names]
    assert [part.end_us for part in case.parts] == [1_200_000, 2_400_000, 3_600_000]
    assert [joint.content.verdict for joint in told[0].joints.joints] == ["for", "for"]
    assert [found.kind for found in told[0].joints.findings] == ["missing-part"]


def test_films_of_two_recordings_are_not_taken_from_a_folder_unasked(
    tmp_path: Path, scene_film: Callable[..., Path], at: Places, new_id: NewId
) -> None:
    for film, scene in ((1, 1), (2, 2)):
        for part in (1, 2):
            scene_film(f"card/REC000{film}_0{part}.MP4", 30 * part, scene=scene)
    wanted = Wanted("C1", PHACO, films=(tmp_path / "card",))
    with pytest.raises(EditRefused, match=r"REC0002_01.MP4” may be of another recording"):
        new_case(tmp_path / "c", wanted, at, new_id)
    assert not (tmp_path / "c").exists()
    chosen = replace(wanted, order=(3, 4))
    case = new_case(tmp_path / "c", chosen, at, new_id).case
    assert [part.path for part in case.parts] == ["REC0002_01.MP4", "REC0002_02.MP4"]
    together = replace(wanted, together=True)
    assert len(new_case(tmp_path / "d", together, at, new_id).case.parts) == 4


def test_a_film_that_lies_twice_in_a_folder_is_taken_once(
    tmp_path: Path, scene_film: Callable[..., Path], at: Places, new_id: NewId
) -> None:
    first = scene_film("card/REC0001_01.MP4", 0)
    scene_film("card/REC0001_02.MP4", 30)
    (tmp_path / "card/backup").mkdir()
    (tmp_path / "card/backup/REC0001_01.MP4").write_bytes(first.read_bytes())
    told = []
    wanted = Wanted("C1", PHACO, films=(tmp_path / "card",))
    case = new_case(tmp_path / "c", wanted, at, new_id, told=told.append).case
    assert len(case.parts) == 2
    assert "the same film" in told[0].left_out[0]


@pytest.mark.parametrize("order", [(1, 1), (0,), (4,)])
def test_an_order_that_is_none_is_refused(
    tmp_path: Path, film: Path, at: Places, new_id: NewId, order: tuple[int, ...]
) -> None:
    with pytest.raises(EditRefused, match="no order"):
        new_case(tmp_path / "c", Wanted("C1", PHACO, films=(film,), order=order), at, new_id)


def test_an_empty_folder_has_no_film(tmp_path: Path, at: Places, new_id: NewId) -> None:
    (tmp_path / "card").mkdir()
    with pytest.raises(RecordingMissing, match="no film in this folder"):
        new_case(tmp_path / "c", Wanted("C1", PHACO, films=(tmp_path / "card",)), at, new_id)


def test_parts_of_other_size_rate_and_codec_play_as_one_clock(
    tmp_path: Path, scene_film: Callable[..., Path], at: Places, new_id: NewId
) -> None:
    films = (
        scene_film("a.mp4", 0, 25),
        scene_film("b.mp4", 25, 30, width_px=96, rate=30),
        scene_film("c.avi", 55, 50, rate=50, codec="mpeg4"),
    )
    opened = new_case(tmp_path / "c", Wanted("C1", PHACO, films=films), at, new_id)
    assert [part.start_us for part in opened.case.parts] == [0, 1_000_000, 2_000_000]
    with open_films(opened, at) as recording:
        assert recording.differences == ()
        assert len(recording.starts_us()) == 25 + 30 + 50
        assert recording.end_us == 3_000_000
        sizes = [recording.picture_at(us).pixels.width_px for us in (0, 1_000_000, 2_000_000)]
        assert sizes == [128, 96, 128]
        assert recording.next_frame(1_000_000).start_us == 1_033_334  # a thirtieth, by ceiling


def test_one_film_serves_two_cases_and_neither_reaches_into_the_other(
    tmp_path: Path, film: Path, at: Places, new_id: NewId
) -> None:
    right = Wanted("C1", PHACO, films=(film,), to_us=800_000)
    left = Wanted("C2", PHACO, films=(film,), from_us=800_000)
    cases = [new_case(tmp_path / wanted.code, wanted, at, new_id).case for wanted in (right, left)]
    assert cases[0].parts[0].quick_hash == cases[1].parts[0].quick_hash
    assert cases[0].parts[0].id != cases[1].parts[0].id
    windows = [window_of(case) for case in cases]
    assert (windows[0].end_us, windows[1].start_us, windows[1].end_us) == (
        800_000, 800_000, 2_000_000,
    )  # fmt: skip
    for case, outside_us in zip(cases, (900_000, 700_000), strict=True):
        remark = Remark(id=new_id(), kind="question", text="x", at_us=outside_us)
        review = Review(
            id=new_id(), case=case.id, reviewer="T01", role="teacher", remarks=(remark,)
        )
        problems = review_problems(review, case, guide_named(PHACO, at.own_guides))
        assert [problem.place for problem in problems] == ["remarks/0"]
        assert "outside" in problems[0].what


def test_a_stretch_of_a_film_is_not_copied_with_what_lies_outside_it(
    tmp_path: Path, film: Path, at: Places, new_id: NewId
) -> None:
    wanted = Wanted("C1", PHACO, films=(film,), to_us=800_000, copy_films=True)
    with pytest.raises(EditRefused, match="outside"):
        new_case(tmp_path / "c", wanted, at, new_id)
    assert not (tmp_path / "c").exists()


def test_copying_reads_a_film_once(
    tmp_path: Path, film: Path, at: Places, new_id: NewId, monkeypatch: pytest.MonkeyPatch
) -> None:
    film.write_bytes(film.read_bytes() + bytes(9_000_000))  # much longer than its header
    read: dict[str, int] = {}

    def counted(path: object, *mode: str, **options: object) -> object:
        file = opening(path, *mode, **options)  # type: ignore[call-overload]
        if str(path) == str(film):
            reading = file.read

            def read_and_count(*size: int) -> bytes:
                piece = reading(*size)
                read["bytes"] = read.get("bytes", 0) + len(piece)
                return piece

            return _Counted(file, read_and_count)
        return file

    opening = open
    monkeypatch.setattr("builtins.open", counted)
    new_case(tmp_path / "c", Wanted("C1", PHACO, films=(film,), copy_films=True), at, new_id)
    header_bytes = 200_000
    assert film.stat().st_size <= read["bytes"] <= film.stat().st_size + header_bytes


def test_the_packets_of_films_are_read_once_for_the_case_and_all_later_looks(
    tmp_path: Path,
    film_maker: Callable[..., Path],
    at: Places,
    new_id: NewId,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    films = (film_maker("R_1.MP4", 10), film_maker("R_2.MP4", 10, first=10))
    indexed: list[str] = []

    def noted(path: str, **options: object) -> object:
        indexed.append(Path(path).name)
        return indexing(path, **options)  # type: ignore[arg-type]

    indexing = tablecache.indexed_film
    monkeypatch.setattr(tablecache, "indexed_film", noted)
    opened = new_case(tmp_path / "c", Wanted("C1", PHACO, films=films), at, new_id)
    for _ in range(2):
        open_films(opened, at).close()
    assert indexed == ["R_1.MP4", "R_2.MP4"]


class _Counted:
    """A file whose reading is counted."""

    def __init__(self, file: object, read: Callable[..., bytes]) -> None:
        self._file, self.read = file, read

    def __getattr__(self, name: str) -> object:
        return getattr(self._file, name)

    def __enter__(self) -> _Counted:
        return self

    def __exit__(self, *_: object) -> None:
        self._file.close()  # type: ignore[attr-defined]
