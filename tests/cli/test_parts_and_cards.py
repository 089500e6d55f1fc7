"""From a card to a case, as typed."""

from __future__ import annotations

import json
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def card(tmp_path: Path, film_maker: Callable[..., Path]) -> Path:
    folder = tmp_path / "card/DCIM/100MED"
    folder.mkdir(parents=True)
    for part in (1, 2, 4):
        film_maker(f"card/DCIM/100MED/REC0001_0{part}.MP4", 10, first=10 * part)
    return tmp_path / "card"


def test_a_card_becomes_a_case(run: Run, card: Path, tmp_path: Path) -> None:
    code, told, _ = run("intake", card, "--to", tmp_path / "films", "--code", "C-031", "--json")
    assert code == 0
    copies = json.loads(told)["films"]
    assert [Path(copy).name for copy in copies] == [f"C-031-0{n}.MP4" for n in (1, 2, 3)]
    code, told, _ = run("new", tmp_path / "case", *copies, "--json")
    assert code == 0
    parts = json.loads(told)["case"]["parts"]
    assert [part["path"] for part in parts] == [Path(copy).name for copy in copies]
    assert all(part["sha256"] for part in parts)
    assert parts[-1]["end_us"] == 1_200_000


def test_intake_says_what_is_whole_already(run: Run, card: Path, tmp_path: Path) -> None:
    run("intake", card, "--to", tmp_path / "C1")
    code, told, _ = run("intake", card, "--to", tmp_path / "C1")
    assert code == 0
    assert "0 copied and compared, 3 whole already" in told
    assert "C1-01.MP4  is DCIM/100MED/REC0001_01.MP4" in told


def test_a_code_that_is_none_is_misuse(run: Run, card: Path, tmp_path: Path) -> None:
    code, _, err = run("intake", card, "--to", tmp_path / "no code!")
    assert code == 2
    assert "does not fit" in err


def test_parts_shows_joints_and_what_is_missing(run: Run, card: Path) -> None:
    code, told, _ = run("parts", card)
    assert code == 0
    assert "3 parts, in order by names" in told
    assert "+ name: 2 comes after 1" in told
    assert "look: number 3" in told
    _, told, _ = run("parts", card, "--json", "--order", "3,1")
    data = json.loads(told)
    assert [part["name"][-6:-4] for part in data["parts"]] == ["04", "01"]
    assert data["joints"][0]["name"]["verdict"] == "against"


def test_parts_shows_a_film_that_cannot_be_opened_and_goes_on(run: Run, card: Path) -> None:
    whole = (card / "DCIM/100MED/REC0001_02.MP4").read_bytes()
    cut = whole[: whole.index(b"moov") - 4]
    (card / "DCIM/100MED/REC0001_03.MP4").write_bytes(cut)
    code, told, _ = run("parts", card)
    assert code == 0
    assert "cannot be opened: The recorder did not finish this file" in told
    assert run("new", card / "case", card)[0] == 1
    code, _, err = run("new", card / "case", card, "--order", "1,2")
    assert code == 0, err


def test_a_case_s_parts_are_put_in_order_and_completed(
    run: Run, card: Path, tmp_path: Path
) -> None:
    films = [card / f"DCIM/100MED/REC0001_0{part}.MP4" for part in (2, 1)]
    run("new", tmp_path / "c", *films)
    _, told, _ = run("parts", tmp_path / "c")
    assert "2 parts, in order as given" in told
    assert "- name: 1 does not come after 2" in told
    added = card / "DCIM/100MED/REC0001_04.MP4"
    code, told, _ = run("parts", tmp_path / "c", "--order", "2,1,3", "--add", added)
    assert code == 0
    assert told.splitlines()[:3] == [
        "  1  REC0001_01.MP4  0:00:00.000 to 0:00:00.400",
        "  2  REC0001_02.MP4  0:00:00.400 to 0:00:00.800",
        "  3  REC0001_04.MP4  0:00:00.800 to 0:00:01.200",
    ]
    assert run("check", tmp_path / "c")[0] == 0
    assert run("parts", card, "--add", added)[0] == 2


def test_a_moved_film_is_found_and_a_missing_one_ends_with_one(
    run: Run, card: Path, tmp_path: Path
) -> None:
    run("new", tmp_path / "c", card, "--together")
    shutil.move(card, tmp_path / "archive")
    moved = tmp_path / "archive/DCIM/100MED/REC0001_01.MP4"
    moved.rename(moved.with_name("first.mp4"))
    code, told, _ = run("find", tmp_path / "c", tmp_path / "archive")
    assert code == 0
    assert "REC0001_01.MP4 is" in told
    assert "first.mp4" in told
    moved.with_name("first.mp4").unlink()
    code, told, _ = run("find", tmp_path / "c", tmp_path / "archive", "--json")
    assert code == 1
    assert json.loads(told)["missing"] == ["REC0001_01.MP4"]


def test_positions_that_are_none_are_misuse(run: Run, card: Path) -> None:
    for order in ("", "a", "1;2", "-1"):
        assert run("parts", card, "--order", order)[0] == 2


def test_a_report_shows_no_picture_of_a_film_that_changed_and_says_so(
    run: Run, film: Path, tmp_path: Path
) -> None:
    run("new", tmp_path / "c", film)
    (tmp_path / "t.csv").write_text("start,end,label\n0,1,nucleus\n", "utf-8")
    run("spans", tmp_path / "c", tmp_path / "t.csv")
    film.write_bytes(film.read_bytes() + b"x")
    code, told, err = run("report", tmp_path / "c", "--out", tmp_path / "out")
    assert code == 0, err
    assert "not the film that the case was made from" in told + err


def test_new_says_in_words_how_the_parts_fit_and_where_nothing_was_filmed(
    run: Run, film_maker: Callable[..., Path], tmp_path: Path
) -> None:
    films = [film_maker(f"OR2_20240131_{at}.mp4", 25) for at in ("095800", "100000")]
    code, told, _ = run("new", tmp_path / "c", *films)
    assert code == 0
    assert "2 parts, in order as given" in told
    assert "pause: about 0:01:59.000 between parts 1 and 2" in told
    assert "parts: 2, 0:00:02.000 in all" in told
    code, told, _ = run("new", tmp_path / "d", "--duration", "10")
    assert code == 0
    assert "parts: 0" in told
    assert run("new", tmp_path / "e")[0] == 2
    assert run("new", tmp_path / "e", films[0], "--duration", "10")[0] == 2
