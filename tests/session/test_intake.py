"""A card is a folder that is never written to; disks and cards that fail are put in its place."""

from __future__ import annotations

import errno
import hashlib
import os
from collections.abc import Callable, Iterable
from pathlib import Path

import pytest

from aftercase import storage
from aftercase.document.files import read_document
from aftercase.errors import AlreadyThere, EditRefused, IntakeStopped, RecordingMissing
from aftercase.media.watch import Watch, WorkCancelled
from aftercase.model.base import NewId
from aftercase.model.intake import IntakeList
from aftercase.session.places import Places
from aftercase.session.tasks.create import Wanted, new_case
from aftercase.session.tasks.intake import proven_digest, take_in

NAMES = ["DCIM/100MED/REC0001_01.MP4", "DCIM/100MED/REC0001_02.MP4", "DCIM/101MED/REC0001_10.mov"]


@pytest.fixture
def card(tmp_path: Path) -> Path:
    for number, name in enumerate(NAMES):
        film = tmp_path / "card" / name
        film.parent.mkdir(parents=True, exist_ok=True)
        film.write_bytes(os.urandom(3000 + number))
        os.utime(film, (1_000_000_000, 1_700_000_000 + number))
    (tmp_path / "card/DCIM/100MED/REC0001_01.THM").write_bytes(b"x")
    (tmp_path / "card/INDEX.DAT").write_bytes(b"x")
    return tmp_path / "card"


def content_of(folder: Path) -> dict[str, tuple[bytes, int]]:
    return {path.relative_to(folder).as_posix(): (path.read_bytes(), path.stat().st_mtime_ns)
            for path in sorted(folder.rglob("*")) if path.is_file()}  # fmt: skip


def copies_in(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir() if path.name[0] != ".")


def test_films_are_copied_in_order_named_by_the_code_and_proven(card: Path, tmp_path: Path) -> None:
    before = content_of(card)
    taken = take_in([card], tmp_path / "to", "C-031")
    assert [film.name for film in taken.films] == ["C-031-01.MP4", "C-031-02.MP4", "C-031-03.MOV"]
    for film, name in zip(taken.films, NAMES, strict=True):
        assert film.read_bytes() == (card / name).read_bytes()
        assert film.stat().st_mtime == (card / name).stat().st_mtime
    listed = read_document(IntakeList, tmp_path / "to/C-031.intake.json").record
    assert [entry.card_name for entry in listed.films] == NAMES
    assert [entry.sha256 for entry in listed.films] == [
        hashlib.sha256((card / name).read_bytes()).hexdigest() for name in NAMES
    ]
    assert content_of(card) == before
    assert (taken.n_copied, taken.series) == (3, ("REC0001",))


def test_what_is_whole_is_not_read_again(
    card: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    take_in([card], tmp_path / "to", "C1")
    monkeypatch.setattr(storage, "copy_film", None)
    again = take_in([card], tmp_path / "to", "C1")
    assert (again.n_copied, len(again.films)) == (0, 3)


def test_a_run_that_was_stopped_goes_on_where_it_stopped(card: Path, tmp_path: Path) -> None:
    total = sum((card / name).stat().st_size for name in NAMES)
    told: list[tuple[int, int]] = []
    watch = Watch(lambda done, of: told.append((done, of)), lambda: len(told) > 3)
    with pytest.raises(WorkCancelled):
        take_in([card], tmp_path / "to", "C1", watch=watch)
    whole = [name for name in copies_in(tmp_path / "to") if "intake" not in name]
    assert 0 < len(whole) < 3
    taken = take_in([card], tmp_path / "to", "C1")
    assert taken.n_copied == 3 - len(whole)
    assert copies_in(tmp_path / "to") == [
        "C1-01.MP4", "C1-02.MP4", "C1-03.MOV", "C1.intake.json",
    ]  # fmt: skip
    assert {of for _, of in told} == {total}


def test_a_half_copy_of_a_killed_program_is_begun_anew(card: Path, tmp_path: Path) -> None:
    to = tmp_path / "to"
    to.mkdir()
    half = to / f".0011{storage.TEMPORARY_SUFFIX}"
    half.write_bytes(b"half")
    os.utime(half, (1, 1))
    assert take_in([card], to, "C1").n_copied == 3
    assert not half.exists()


def test_films_that_came_later_are_numbered_on(card: Path, tmp_path: Path) -> None:
    take_in([card], tmp_path / "to", "C1")
    (card / "DCIM/100MED/REC0001_03.MP4").write_bytes(b"new film")
    taken = take_in([card], tmp_path / "to", "C1")
    assert [film.name for film in taken.films] == [
        "C1-01.MP4", "C1-02.MP4", "C1-04.MP4", "C1-03.MOV",
    ]  # fmt: skip
    assert taken.n_copied == 1


def test_a_card_that_is_pulled_out_leaves_what_is_whole(
    card: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    opening = open

    def pulled(path: object, *mode: str, **options: object) -> object:
        if str(path).endswith("_02.MP4"):
            raise OSError(errno.EIO, "Input/output error")
        return opening(path, *mode, **options)  # type: ignore[call-overload]

    monkeypatch.setattr("builtins.open", pulled)
    with pytest.raises(IntakeStopped) as told:
        take_in([card], tmp_path / "to", "C1")
    assert "“REC0001_02.MP4” could not be read" in told.value.message
    assert "2 of 3 are whole: C1-01.MP4" in told.value.message
    assert "same command again" in told.value.hint
    monkeypatch.undo()
    assert take_in([card], tmp_path / "to", "C1").n_copied == 1


def test_a_full_disk_stops_and_says_what_is_whole(
    card: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    writing = storage.Disk.write_new
    written = []

    def full(disk: storage.Disk, path: Path, blocks: Iterable[bytes]) -> None:
        content = b"".join(blocks)
        if len(content) >= 3001:
            raise OSError(errno.ENOSPC, "No space left on device")
        written.append(path)
        writing(disk, path, [content])

    monkeypatch.setattr(storage.Disk, "write_new", full)
    with pytest.raises(IntakeStopped, match="The disk is full") as told:
        take_in([card], tmp_path / "to", "C1")
    assert "1 of 3 are whole" in told.value.message
    assert copies_in(tmp_path / "to") == ["C1-01.MP4", "C1.intake.json"]


def test_a_folder_on_the_card_itself_is_refused(card: Path) -> None:
    before = content_of(card)
    with pytest.raises(EditRefused, match="on the card"):
        take_in([card], card / "copies", "C1")
    assert content_of(card) == before


def test_a_card_that_is_not_there_or_holds_no_film_is_told(tmp_path: Path) -> None:
    (tmp_path / "empty").mkdir()
    for place in ("empty", "gone.mp4"):
        with pytest.raises(RecordingMissing):
            take_in([tmp_path / place], tmp_path / "to", "C1")


def test_a_copy_that_changed_its_size_is_neither_trusted_nor_written_over(
    card: Path, tmp_path: Path
) -> None:
    (copy, *_) = take_in([card], tmp_path / "to", "C1").films
    copy.write_bytes(b"cut")
    with pytest.raises(AlreadyThere):
        take_in([card], tmp_path / "to", "C1")
    assert copy.read_bytes() == b"cut"
    copy.unlink()
    assert take_in([card], tmp_path / "to", "C1").n_copied == 1
    assert copy.stat().st_size == 3000


def test_a_file_that_is_in_the_way_keeps_its_name(card: Path, tmp_path: Path) -> None:
    (tmp_path / "to").mkdir()
    (tmp_path / "to/C1-01.MP4").write_bytes(b"somebody's")
    taken = take_in([card], tmp_path / "to", "C1")
    assert taken.films[0].name == "C1-02.MP4"
    assert (tmp_path / "to/C1-01.MP4").read_bytes() == b"somebody's"


def test_films_of_several_recordings_are_told_by_their_names(card: Path, tmp_path: Path) -> None:
    (card / "DCIM/100MED/REC0002_01.MP4").write_bytes(b"other")
    assert take_in([card], tmp_path / "to", "C1").series == ("REC0001", "REC0002")


def test_films_named_by_hand_are_taken_in_that_order(card: Path, tmp_path: Path) -> None:
    taken = take_in([card / NAMES[1], card / NAMES[0]], tmp_path / "to", "C1")
    assert [entry.card_name for entry in taken.entries] == ["REC0001_02.MP4", "REC0001_01.MP4"]


def test_a_case_made_of_copies_knows_their_sha256_while_they_are_untouched(
    tmp_path: Path, film_maker: Callable[..., Path], at: Places, new_id: NewId
) -> None:
    (tmp_path / "card").mkdir()
    source = film_maker("card/R_1.MP4", 10)
    taken = take_in([tmp_path / "card"], tmp_path / "to", "C1")
    case = new_case(tmp_path / "c", Wanted("C1", "cataract-phaco", films=taken.films), at,
                    new_id).case  # fmt: skip
    assert case.parts[0].sha256 == hashlib.sha256(source.read_bytes()).hexdigest()
    os.utime(taken.films[0], (5, 5))
    assert proven_digest(taken.films[0]) is None
    assert proven_digest(source) is None
