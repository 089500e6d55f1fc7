"""Where what is derived from films is kept, the limit for all copies, and the work beside."""

from __future__ import annotations

import os
import signal
import time
from pathlib import Path

import pytest

from aftercase.errors import DocumentMissing
from aftercase.media import scrub
from aftercase.media.watch import Watch
from aftercase.session.background import TaskProcess
from aftercase.session.caches import (
    cache_folder,
    drop_beyond,
    folders_with_copies,
    kept_copies,
    remember_copies_in,
)
from aftercase.session.copying import copy_films, copy_films_of
from aftercase.session.disks import remote_in
from aftercase.session.films import open_films
from aftercase.session.opened import open_case
from aftercase.session.settings import Settings
from aftercase.session.tasks.create import Wanted, new_case

MOUNTED = r"""
22 1 8:1 / / rw,relatime shared:1 - ext4 /dev/sda1 rw
30 22 0:40 / /mnt/share rw,relatime - cifs //server/share rw
31 30 8:2 / /mnt/share/local\040disk rw - ext4 /dev/sdb1 rw
32 22 0:41 / /home/sam/remote rw - fuse.sshfs sam@host: rw
"""


@pytest.fixture
def case(tmp_path, film_maker, at, new_id, make_case):
    return make_case(tmp_path / "case", film_maker("REC1.MP4", 50), film_maker("REC2.MP4", 30))


@pytest.fixture
def make_case(at, new_id):
    def make(folder, *films):
        new_case(folder, Wanted("C1", "cataract-phaco", films=films), at, new_id)
        return open_case(folder, at)

    return make


@pytest.fixture(autouse=True)
def _short_segments(monkeypatch):
    monkeypatch.setattr(scrub, "SEGMENT_ROWS", 16)


def files_in(folder):
    return sorted(file.name for file in folder.glob("*.scrub"))


def test_a_cache_is_the_cases_own_where_it_can_be_written(case, at):
    assert cache_folder(case.folder.path, case.case.id, at) == case.folder.path / "cache"


def test_a_folder_that_is_not_there_has_its_cache_elsewhere(case, at, tmp_path):
    assert cache_folder(tmp_path / "gone", "abc", at) == at.cache / "cases" / "abc"


def test_a_folder_that_may_not_be_written_has_its_cache_elsewhere(case, at, monkeypatch):
    monkeypatch.setattr(os, "access", lambda *_: False)
    place = cache_folder(case.folder.path, case.case.id, at)
    assert place == at.cache / "cases" / case.case.id


@pytest.mark.parametrize(
    ("folder", "is_remote"),
    [
        ("/", False),
        ("/mnt", False),
        ("/mnt/share", True),
        ("/mnt/share/cases/1", True),
        ("/mnt/shared", False),
        ("/mnt/share/local disk/cases", False),
        ("/home/sam/remote", True),
        ("/home/sam", False),
    ],
)
def test_shares_are_told_from_disks(folder, is_remote):
    assert remote_in(MOUNTED, Path(folder)) is is_remote


def test_a_list_of_mounts_that_is_no_list_names_no_share():
    assert remote_in("", Path("/a")) is False
    assert remote_in("nonsense - \n - cifs\n", Path("/a")) is False


def test_opening_a_cases_films_keeps_their_tables_there(case, at):
    with open_films(case, at) as first:
        starts = first.starts_us().tolist()
    assert len(list((case.folder.path / "cache").glob("*.frames"))) == 2
    told = []
    with open_films(case, at, watch=Watch(lambda *step: told.append(step))) as second:
        assert second.starts_us().tolist() == starts
    assert told == []


def test_copies_are_made_of_every_part_and_told_in_time(case, at):
    told = []
    built = copy_films(case, at, Settings(), watch=Watch(lambda *step: told.append(step)))
    assert [(copy.n_rows, copy.n_new_rows, copy.is_whole) for copy in built] == [
        (50, 50, True),
        (30, 30, True),
    ]
    assert told[0] == (0, 3_200_000)  # 50 and 30 frames at 25 a second
    assert told[-1] == (3_200_000, 3_200_000)
    assert told == sorted(told)
    with open_films(case, at) as recording:
        pictures = list(recording.pictures_in(0, recording.end_us, copy_will_do=True))
    assert all(picture.from_copy for picture in pictures)


def test_switched_off_nothing_is_made(case, at):
    assert copy_films(case, at, Settings(scrub_copies=False)) == []
    assert kept_copies([case.folder.path / "cache"]) == []


def test_a_part_that_is_not_there_is_passed_over_and_its_copy_stays(case, at, tmp_path):
    copy_films(case, at, Settings())
    before = files_in(case.folder.path / "cache")
    (tmp_path / "REC1.MP4").rename(tmp_path / "away.MP4")
    assert [copy.n_rows for copy in copy_films(case, at, Settings())] == [30]
    assert files_in(case.folder.path / "cache") == before


def test_the_copy_of_a_film_that_changed_is_thrown_away(case, at, tmp_path):
    copy_films(case, at, Settings())
    before = files_in(case.folder.path / "cache")
    os.utime(tmp_path / "REC1.MP4", ns=(1, 1))
    assert [copy.n_new_rows for copy in copy_films(case, at, Settings())] == [50, 0]
    after = files_in(case.folder.path / "cache")
    assert len(after) == len(before)
    assert len(set(after) & set(before)) == 2  # of the second film, which is the same


def test_the_oldest_copies_of_all_cases_go_first(case, at, tmp_path, film_maker, make_case):
    others = [make_case(tmp_path / f"c{n}", film_maker(f"O{n}.MP4", 20 + n)) for n in range(3)]
    for number, other in enumerate(others):
        copy_films(other, at, Settings())
        for file in (other.folder.path / "cache").glob("*.scrub"):
            os.utime(file, ns=(number, number))
    copies = kept_copies(folders_with_copies(at))
    assert [copy.built_ns for copy in copies] == [0, 1, 2]
    assert drop_beyond(sum(copy.size_bytes for copy in copies), at) > 0
    assert len(kept_copies(folders_with_copies(at))) == 3
    left = drop_beyond(copies[1].size_bytes + copies[2].size_bytes, at)
    assert left == copies[1].size_bytes + copies[2].size_bytes
    assert drop_beyond(0, at, spared={copies[1].name}) == copies[1].size_bytes
    assert [copy.name for copy in kept_copies(folders_with_copies(at))] == [copies[1].name]


def test_building_drops_others_but_stops_at_the_limit_itself(
    case, at, tmp_path, film_maker, make_case
):
    other = make_case(tmp_path / "other", film_maker("OTHER.MP4", 20))
    copy_films(other, at, Settings())
    limited = Settings(scrub_copies_limit_bytes=1)
    built = copy_films(case, at, limited)
    assert files_in(other.folder.path / "cache") == []
    assert [copy.is_whole for copy in built] == [False, False]
    assert [copy.n_new_rows for copy in built] == [16, 0]
    assert [copy.n_new_rows for copy in copy_films(case, at, limited)] == [0, 0]
    with open_films(case, at) as recording:
        pictures = list(recording.pictures_in(0, recording.end_us, copy_will_do=True))
    assert [picture.from_copy for picture in pictures] == [True] * 16 + [False] * 64


@pytest.mark.parametrize("content", [b"{", b"{}", b'[3, "relative"]'])
def test_a_list_of_folders_that_cannot_be_read_is_begun_anew(content, at, tmp_path):
    (at.state).mkdir(parents=True)
    (at.state / "copies.json").write_bytes(content)
    remember_copies_in(tmp_path, at)
    assert tmp_path in folders_with_copies(at)
    assert kept_copies(folders_with_copies(at)) == []


def wait_until(claim, seconds=30.0):
    end = time.monotonic() + seconds
    while not claim():
        assert time.monotonic() < end, "nothing came of it"
        time.sleep(0.02)


@pytest.fixture
def long_case(at, tmp_path, film_maker, make_case):
    """1,500 frames: six files of a copy of the usual length."""
    return make_case(tmp_path / "long", film_maker("LONG.MP4", 1_500))


def test_copies_are_made_in_a_process_that_may_be_killed(long_case, at):
    cache = long_case.folder.path / "cache"
    work = TaskProcess(copy_films_of, long_case.folder.path, at)
    wait_until(lambda: files_in(cache))
    os.kill(work.pid, signal.SIGKILL)
    assert work.poll(30.0).fault.slug == "work-stopped"
    work.close()
    finished = len(files_in(cache))
    assert finished > 0
    again = TaskProcess(copy_films_of, long_case.folder.path, at)
    [copy] = again.poll(30.0).result
    assert (copy.n_rows, copy.is_whole) == (1_500, True)
    assert again.progress == (60_000_000, 60_000_000)
    again.close()
    assert len(files_in(cache)) == 6


def test_what_was_finished_stays_when_the_work_is_cancelled(long_case, at):
    work = TaskProcess(copy_films_of, long_case.folder.path, at)
    wait_until(lambda: files_in(long_case.folder.path / "cache"))
    work.cancel()
    assert work.poll(30.0).is_cancelled
    work.close()
    assert 0 < len(files_in(long_case.folder.path / "cache")) < 6


def test_a_fault_of_the_world_comes_back_from_the_process(at, tmp_path):
    work = TaskProcess(copy_films_of, tmp_path / "no case", at)
    assert isinstance(work.poll(30.0).fault, DocumentMissing)
    work.close()
