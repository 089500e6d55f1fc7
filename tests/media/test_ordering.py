"""Names of recorders are common practice, from memory: no published list of them is known."""

from __future__ import annotations

import itertools
import random

import pytest

from aftercase.media.ordering import Listed, is_film_name, missing_parts, ordered, read_names

IN_ORDER = {
    "parts counted behind": ["REC0001_01.MP4", "REC0001_02.MP4", "REC0001_10.MP4"],
    "parts counted before": ["GX010123.MP4", "GX020123.MP4", "GX010124.MP4", "GX020124.MP4"],
    "the first part has other letters": ["MVI_0001.MOV", "MVI_0002.MOV"],
    "numbers alone": ["00001.MTS", "00002.MTS", "00010.MTS"],
    "a card's tree": [
        "DCIM/100MEDIA/REC_0998.MP4",
        "DCIM/100MEDIA/REC_0999.MP4",
        "DCIM/101MEDIA/REC_0001.MP4",
    ],
    "a deep tree": ["PRIVATE/AVCHD/BDMV/STREAM/00000.MTS", "PRIVATE/AVCHD/BDMV/STREAM/00001.MTS"],
    "a disc's parts": ["VTS_01_1.VOB", "VTS_01_2.VOB", "VTS_01_3.VOB"],
    "times in names": ["OR2_2024-01-31 09-58-00.mp4", "OR2_2024-01-31 10-02-00.mp4"],
    "times run together": ["20231231235900.mp4", "20240101000300.mp4"],
    "copies in brackets": ["film (1).mp4", "film (2).mp4", "film (10).mp4"],
    "letters": ["first.mp4", "second.mp4"],
}


@pytest.mark.parametrize("case", IN_ORDER)
def test_files_come_in_the_order_they_were_recorded(case: str) -> None:
    names = IN_ORDER[case]
    for shuffled in itertools.permutations(names):
        order, _ = ordered([Listed(name) for name in shuffled])
        assert [shuffled[place] for place in order] == names


def test_no_file_and_one_file_are_in_order() -> None:
    assert ordered([]) == ([], "letters")
    assert ordered([Listed("film.mp4")]) == ([0], "letters")


def test_times_decide_where_names_do_not_count() -> None:
    files = [Listed("left.mp4", 30), Listed("back.mp4", 20), Listed("a.mp4", 10)]
    assert ordered(files) == ([2, 1, 0], "time")
    assert ordered([*files[:2], Listed("a.mp4")])[1] == "letters"
    assert ordered([Listed("b.mp4", 5), Listed("a.mp4", 5)]) == ([1, 0], "letters")


def test_numbers_in_names_decide_before_times_which_copying_changes() -> None:
    files = [Listed("R_1.mp4", 90), Listed("R_2.mp4", 10)]
    assert ordered(files) == ([0, 1], "name")


def test_two_files_of_one_number_are_not_put_in_order_by_it() -> None:
    files = [Listed("R_2.mp4", 20), Listed("R_02.mp4", 10)]
    assert ordered(files) == ([1, 0], "time")


def test_order_does_not_depend_on_how_files_were_listed() -> None:
    names = [f"DCIM/{folder}XYZ/REC{n:04d}_{part:02d}.MP4" for folder in (100, 101)
             for n in (7, 8) for part in range(1, 12)]  # fmt: skip
    shuffled = names.copy()
    random.Random(3).shuffle(shuffled)
    order, by = ordered([Listed(name) for name in shuffled])
    assert [shuffled[place] for place in order] == names
    assert by == "name"


@pytest.mark.parametrize(
    ("names", "missing"),
    [
        ([], []),
        (["REC_1.MP4"], []),
        (["REC_1.MP4", "REC_2.MP4"], []),
        (["REC0001_01.MP4", "REC0001_04.MP4"], [(1, [2, 3])]),
        (["GX010123.MP4", "GX030123.MP4"], [(1, [2])]),
        (["REC0001_01.MP4", "REC0002_03.MP4"], []),
        (["DCIM/100A/R_9999.MP4", "DCIM/101A/R_0001.MP4"], []),
        (["a.mp4", "c.mp4"], []),
        (["R_1.mp4", "R_999999999.mp4"], []),
        (["R_1.mp4", "R_3.mp4", "R_2.mp4"], []),
    ],
)
def test_a_missing_part_is_a_number_left_out(names: list[str], missing: list[object]) -> None:
    assert list(missing_parts(read_names(names))) == missing


def test_one_number_of_each_film_reads_as_a_part_only_if_a_film_has_two() -> None:
    alone = read_names(["GX010123.MP4", "GX010124.MP4"])
    assert [read.series for read in alone] == ["GX", "GX"]
    together = read_names(["GX010123.MP4", "GX020123.MP4", "GX010124.MP4"])
    assert [read.series for read in together] == ["GX0123", "GX0123", "GX0124"]


@pytest.mark.parametrize("stem", ["20241331_250000", "IMG_99999999_123456", "19"])
def test_digits_that_are_no_date_are_no_time(stem: str) -> None:
    assert read_names([f"{stem}.mp4"])[0].begun_us is None


def test_a_time_in_a_name_is_seconds_since_1970() -> None:
    # 2024-01-31 09:58:00 UTC by `date -u -d … +%s`
    assert read_names(["OR2_20240131_095800.mp4"])[0].begun_us == 1_706_695_080 * 1_000_000


@pytest.mark.parametrize(
    ("name", "is_one"),
    [
        ("REC0001.MP4", True),
        ("a/b/00000.mts", True),
        ("._REC0001.MP4", False),
        (".Trashes/REC0001.MP4", False),
        ("REC0001.THM", False),
        ("REC0001.LRV", False),
        ("INDEX.XML", False),
        ("no ending", False),
    ],
)
def test_films_are_told_by_their_names(name: str, is_one: bool) -> None:
    assert is_film_name(name) is is_one
