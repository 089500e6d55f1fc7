"""Files are written whole or not at all, on disks that are full, read-only or gone."""

from __future__ import annotations

import errno
import hashlib
import io
import multiprocessing
import os
import sys
import threading
import time
from pathlib import Path

import pytest

from aftercase import storage
from aftercase.errors import (
    AftercaseError,
    AlreadyThere,
    DocumentChanged,
    ReadFailed,
    RecordingUnreadable,
    WriteFailed,
)
from aftercase.storage import (
    Disk,
    copy_film,
    digest_of,
    file_sha256,
    locked,
    move_if_same,
    read_bytes,
    remove_files,
    replace_if_same,
    write_all,
    write_atomic,
    write_locked,
    write_new,
)

FULL, READ_ONLY, GONE, NO_ANSWER = errno.ENOSPC, errno.EROFS, errno.ENOENT, errno.EIO
FAULTS = {"full": FULL, "read-only": READ_ONLY, "gone": GONE, "no-answer": NO_ANSWER}
SAID = {FULL: "full", READ_ONLY: "read-only", GONE: "gone", NO_ANSWER: "does not answer"}


class FailingDisk(Disk):
    """A disk whose call number `at` fails, 0-based, and those after it too if it is `broken`.

    A failing write leaves half of the content behind, as a disk does that fills up.
    """

    def __init__(self, at: int, number: int, *, broken: bool = False) -> None:
        self.at, self.number, self.broken, self.calls = at, number, broken, 0

    def _fails(self) -> bool:
        self.calls += 1
        return self.calls > self.at if self.broken else self.calls == self.at + 1

    def _error(self) -> OSError:
        return OSError(self.number, os.strerror(self.number))

    def _call(self, call, *args):
        if self._fails():
            raise self._error()
        return call(*args)

    def write_new(self, path, blocks):
        if self._fails():
            content = b"".join(blocks)
            path.write_bytes(content[: len(content) // 2])
            raise self._error()
        super().write_new(path, blocks)

    def replace(self, source, target):
        self._call(super().replace, source, target)

    def sync_folder(self, folder):
        self._call(super().sync_folder, folder)

    def remove(self, path):
        self._call(super().remove, path)

    def make_folder(self, folder):
        self._call(super().make_folder, folder)


def failing_at_each_call(number, act, *, broken=False):
    """Let each disk call of an act fail in turn; yield after each failure, end when none is left.

    The act is given the disk and must set everything up anew.
    """
    for at in range(50):
        disk = FailingDisk(at, number, broken=broken)
        fault = None
        try:
            act(disk)
        except AftercaseError as error:
            fault = error
        if disk.calls <= at:
            assert fault is None
            return
        yield at, fault
    raise AssertionError("an act with 50 disk calls")


def part_written(folder: Path) -> list[Path]:
    return list(folder.rglob(f"*{storage.TEMPORARY_SUFFIX}"))


def test_a_file_that_is_not_there_reads_as_none(tmp_path):
    assert read_bytes(tmp_path / "a.json") is None
    assert read_bytes(tmp_path / "no" / "folder" / "a.json") is None
    (tmp_path / "file").write_bytes(b"")
    assert read_bytes(tmp_path / "file" / "a.json") is None


def test_an_empty_file_reads_as_empty_not_as_none(tmp_path):
    write_atomic(tmp_path / "a", b"")
    assert read_bytes(tmp_path / "a") == b""


def test_a_file_that_cannot_be_read_says_so(tmp_path):
    (tmp_path / "case.json").mkdir()
    with pytest.raises(ReadFailed, match=r"case\.json.* could not be read") as caught:
        read_bytes(tmp_path / "case.json")
    assert caught.value.path == str(tmp_path / "case.json")
    assert caught.value.hint


def test_writing_makes_missing_folders(tmp_path):
    write_atomic(tmp_path / "a" / "b" / "c.json", b"new")
    assert (tmp_path / "a" / "b" / "c.json").read_bytes() == b"new"


def test_writing_no_file_at_all_does_nothing(tmp_path):
    write_all({})
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("broken", [False, True], ids=["once", "from-then-on"])
@pytest.mark.parametrize("number", FAULTS.values(), ids=FAULTS)
def test_a_failing_disk_leaves_the_earlier_file_whole_and_says_what_happened(
    tmp_path, number, broken
):
    path = tmp_path / "case.json"

    def act(disk):
        for leftover in part_written(tmp_path):
            leftover.unlink()
        path.write_bytes(b"earlier")
        write_atomic(path, b"the new content", disk=disk)

    failed = 0
    for at, fault in failing_at_each_call(number, act, broken=broken):
        failed += 1
        assert isinstance(fault, WriteFailed), at
        assert fault.slug == "write-failed"
        assert SAID[number] in fault.message
        assert fault.hint
        assert fault.path == str(path)
        # Only where the disk fails for good between putting in place and syncing is it the new.
        whole = (b"earlier", b"the new content") if broken and at == 3 else (b"earlier",)
        assert path.read_bytes() in whole
        if not broken:
            assert part_written(tmp_path) == []
    assert failed == 4  # folder, write, replace, sync


@pytest.mark.parametrize("number", FAULTS.values(), ids=FAULTS)
def test_several_files_are_written_all_or_none(tmp_path, number):
    before = {tmp_path / "a.json": b"old a", tmp_path / "sub" / "b.json": b"old b"}
    new_one = tmp_path / "sub" / "c.json"
    after = dict.fromkeys((*before, new_one), b"new")

    def act(disk):
        for path, content in before.items():
            path.parent.mkdir(exist_ok=True)
            path.write_bytes(content)
        new_one.unlink(missing_ok=True)
        write_all(after, disk=disk)

    failed = 0
    for at, fault in failing_at_each_call(number, act):
        failed += 1
        assert isinstance(fault, WriteFailed), at
        assert {path: path.read_bytes() for path in before} == before, at
        assert not new_one.exists()
        assert part_written(tmp_path) == []
    assert failed == 11  # three folders, three writes, three replaced, two folders synced
    assert {path.read_bytes() for path in after} == {b"new"}


def test_the_file_that_failed_is_the_one_named(tmp_path):
    (tmp_path / "b.json").mkdir()
    with pytest.raises(WriteFailed) as caught:
        write_all({tmp_path / "a.json": b"a", tmp_path / "b.json": b"b"})
    assert caught.value.path == str(tmp_path / "b.json")
    assert not (tmp_path / "a.json").exists()
    assert part_written(tmp_path) == []


@pytest.mark.skipif(not hasattr(os, "geteuid"), reason="rights are another matter here")
def test_a_folder_without_rights_says_so(tmp_path):
    if os.geteuid() == 0:
        pytest.skip("root may write everywhere")
    tmp_path.chmod(0o500)
    with pytest.raises(WriteFailed, match="may not be written to"):
        write_atomic(tmp_path / "a", b"a")


def test_shares_that_cannot_sync_a_folder_are_no_fault(tmp_path, monkeypatch):
    real = os.fsync

    def fsync(descriptor):
        if Path(f"/proc/self/fd/{descriptor}").is_dir():
            raise OSError(errno.EINVAL, "Invalid argument")
        real(descriptor)

    monkeypatch.setattr(os, "fsync", fsync)
    write_atomic(tmp_path / "a", b"a")
    assert (tmp_path / "a").read_bytes() == b"a"


def test_a_folder_that_cannot_be_synced_because_its_drive_is_gone_is_a_fault(tmp_path, monkeypatch):
    write_atomic(tmp_path / "a", b"earlier")
    real = os.fsync

    def fsync(descriptor):
        if Path(f"/proc/self/fd/{descriptor}").is_dir():
            raise OSError(errno.EIO, "Input/output error")
        real(descriptor)

    monkeypatch.setattr(os, "fsync", fsync)
    with pytest.raises(WriteFailed, match="does not answer"):
        write_atomic(tmp_path / "a", b"a")
    assert (tmp_path / "a").read_bytes() == b"earlier"


def test_a_disk_that_fails_in_an_unknown_way_is_quoted(tmp_path):
    with pytest.raises(WriteFailed, match=os.strerror(errno.ELOOP)):
        write_atomic(tmp_path / "a", b"a", disk=FailingDisk(1, errno.ELOOP))


ODD_NAMES = [
    "a name with  spaces.json",
    "Grauer Star rechts äöüß.json",
    "白内障手術.json",
    "100%.json",
    "#1 (copy) [2].json",
    "*?.json",
    ".hidden",
    "é́.json",
    "x" * 200,
    "x" * 255,
    "ä" * 127,
    "%20",
]


@pytest.mark.skipif(sys.platform == "win32", reason="stars are no file names there")
@pytest.mark.parametrize("name", ODD_NAMES)
def test_any_name_that_the_disk_takes_can_be_written_and_written_over(tmp_path, name):
    path = tmp_path / name
    digest = replace_if_same(path, b"one", expected_digest=None)
    replace_if_same(path, b"two", expected_digest=digest)
    assert path.read_bytes() == b"two"
    assert {entry.name for entry in tmp_path.iterdir()} == {name, storage.LOCK_NAME}


def test_a_name_that_the_disk_does_not_take_is_refused(tmp_path):
    with pytest.raises(AftercaseError):
        replace_if_same(tmp_path / ("x" * 256), b"one", expected_digest=None)
    assert part_written(tmp_path) == []


def test_a_changed_file_is_not_written_over(tmp_path):
    path = tmp_path / "a.json"
    digest = replace_if_same(path, b"mine", expected_digest=None)
    path.write_bytes(b"theirs")
    with pytest.raises(DocumentChanged) as caught:
        replace_if_same(path, b"mine again", expected_digest=digest)
    assert path.read_bytes() == b"theirs"
    assert caught.value.path == str(path)


def test_a_file_that_went_or_came_meanwhile_counts_as_changed(tmp_path):
    path = tmp_path / "a.json"
    digest = replace_if_same(path, b"mine", expected_digest=None)
    path.unlink()
    with pytest.raises(DocumentChanged):
        replace_if_same(path, b"new", expected_digest=digest)
    path.write_bytes(b"theirs")
    with pytest.raises(DocumentChanged):
        replace_if_same(path, b"new", expected_digest=None)
    assert path.read_bytes() == b"theirs"


def test_the_digest_returned_is_that_of_the_file(tmp_path):
    path = tmp_path / "a.json"
    digest = replace_if_same(path, b"mine", expected_digest=None)
    assert digest == hashlib.sha256(path.read_bytes()).hexdigest() == digest_of(b"mine")


@pytest.mark.parametrize("number", FAULTS.values(), ids=FAULTS)
def test_the_version_that_goes_is_kept_together_with_the_new_one_or_not_at_all(tmp_path, number):
    path, kept = tmp_path / "a.json", tmp_path / "earlier" / "a.1.json"

    def act(disk):
        path.write_bytes(b"earlier")
        kept.unlink(missing_ok=True)
        replace_if_same(
            path, b"new", expected_digest=digest_of(b"earlier"), keep_as=kept, disk=disk
        )

    for at, fault in failing_at_each_call(number, act):
        assert isinstance(fault, WriteFailed), at
        assert path.read_bytes() == b"earlier"
        assert not kept.exists()
        assert part_written(tmp_path) == []
    assert (path.read_bytes(), kept.read_bytes()) == (b"new", b"earlier")


def test_a_new_file_is_not_written_over_an_old_one(tmp_path):
    write_new(tmp_path / "a", b"first")
    with pytest.raises(AlreadyThere):
        write_new(tmp_path / "a", b"second")
    assert (tmp_path / "a").read_bytes() == b"first"


def test_a_file_that_takes_over_from_another_leaves_only_itself(tmp_path):
    draft, closed = tmp_path / "drafts" / "a.json", tmp_path / "reviews" / "a.json"
    write_atomic(draft, b"draft")
    digest = move_if_same(draft, closed, b"closed", expected_digest=digest_of(b"draft"))
    assert not draft.exists()
    assert digest == digest_of(closed.read_bytes()) == digest_of(b"closed")


def test_nothing_takes_over_from_a_changed_file(tmp_path):
    draft, closed = tmp_path / "drafts" / "a.json", tmp_path / "reviews" / "a.json"
    write_atomic(draft, b"theirs")
    with pytest.raises(DocumentChanged):
        move_if_same(draft, closed, b"closed", expected_digest=digest_of(b"mine"))
    assert draft.read_bytes() == b"theirs"
    assert not closed.exists()


@pytest.mark.parametrize("number", FAULTS.values(), ids=FAULTS)
def test_on_a_failing_disk_one_of_the_two_files_is_always_there(tmp_path, number):
    draft, closed = tmp_path / "drafts" / "a.json", tmp_path / "reviews" / "a.json"

    def act(disk):
        closed.unlink(missing_ok=True)
        write_atomic(draft, b"draft")
        move_if_same(draft, closed, b"closed", expected_digest=digest_of(b"draft"), disk=disk)

    for _, fault in failing_at_each_call(number, act):
        if fault is None:  # only the removal of the draft failed
            assert closed.read_bytes() == b"closed"
        else:
            assert not closed.exists()
        assert draft.read_bytes() == b"draft"
    assert closed.read_bytes() == b"closed"


def test_a_file_is_written_from_what_it_says_at_that_moment(tmp_path):
    path = tmp_path / "places.json"
    write_locked(path, lambda found: (found or b"") + b"a")
    write_locked(path, lambda found: (found or b"") + b"b")
    assert path.read_bytes() == b"ab"


def test_deleting_what_is_gone_already_is_fine(tmp_path):
    (tmp_path / "a").write_bytes(b"")
    remove_files([tmp_path / "a", tmp_path / "b"])
    assert list(tmp_path.iterdir()) == []


def test_a_file_that_cannot_be_deleted_is_named(tmp_path):
    with pytest.raises(WriteFailed, match="was not deleted") as caught:
        remove_files([tmp_path / "a"], disk=FailingDisk(0, READ_ONLY))
    assert caught.value.path == str(tmp_path / "a")


def test_what_killed_programs_left_is_removed_and_what_is_being_written_stays(tmp_path):
    old = tmp_path / f".0123456789abcdef{storage.TEMPORARY_SUFFIX}"
    young = tmp_path / f".fedcba9876543210{storage.TEMPORARY_SUFFIX}"
    old.write_bytes(b"half")
    young.write_bytes(b"half")
    two_hours_ago = young.stat().st_mtime - 7200
    os.utime(old, (two_hours_ago, two_hours_ago))
    replace_if_same(tmp_path / "a", b"a", expected_digest=None)
    assert part_written(tmp_path) == [young]


def test_who_waits_too_long_for_a_folder_is_told(tmp_path):
    with (
        locked(tmp_path),
        pytest.raises(WriteFailed, match="Another program is writing"),
        locked(tmp_path, wait_s=0.05),
    ):
        pass
    with locked(tmp_path, wait_s=0.05):
        pass  # free again


@pytest.mark.skipif(sys.platform == "win32", reason="locks are another call there")
def test_a_share_without_locks_is_written_without_them(tmp_path, monkeypatch):
    import fcntl

    def flock(descriptor, what):
        raise OSError(errno.ENOLCK, "No locks available")

    monkeypatch.setattr(fcntl, "flock", flock)
    replace_if_same(tmp_path / "a", b"a", expected_digest=None)
    with pytest.raises(DocumentChanged):
        replace_if_same(tmp_path / "a", b"b", expected_digest=digest_of(b"c"))
    assert (tmp_path / "a").read_bytes() == b"a"


@pytest.mark.skipif(sys.platform == "win32", reason="locks are another call there")
def test_a_lock_that_fails_for_another_reason_is_a_fault(tmp_path, monkeypatch):
    import fcntl

    def flock(descriptor, what):
        raise OSError(errno.EIO, "Input/output error")

    monkeypatch.setattr(fcntl, "flock", flock)
    with pytest.raises(WriteFailed, match="does not answer"):
        replace_if_same(tmp_path / "a", b"a", expected_digest=None)
    assert not (tmp_path / "a").exists()


def test_the_hash_of_a_film_is_read_block_by_block(tmp_path, monkeypatch):
    monkeypatch.setattr(storage, "BLOCK_BYTES", 1000)
    (tmp_path / "op.mp4").write_bytes(b"x" * 2500)
    seen = []
    digest = file_sha256(tmp_path / "op.mp4", progress=seen.append)
    assert (digest, seen) == (hashlib.sha256(b"x" * 2500).hexdigest(), [1000, 2000, 2500])


def _race(path: Path, writer: int, times: int, results) -> None:
    done = refused = 0
    for number in range(times):
        found = read_bytes(path)
        content = (found or b"") + f"{writer}:{number}\n".encode()
        time.sleep(0.001)  # so that the other often writes in between
        try:
            replace_if_same(
                path, content, expected_digest=None if found is None else digest_of(found)
            )
            done += 1
        except DocumentChanged:
            refused += 1
    results.put((writer, done, refused))


def test_of_two_programs_racing_on_one_file_no_update_is_lost(tmp_path):
    path, times = tmp_path / "race.txt", 150
    context = multiprocessing.get_context("fork" if sys.platform != "win32" else "spawn")
    results = context.Queue()
    racers = [context.Process(target=_race, args=(path, n, times, results)) for n in range(2)]
    for racer in racers:
        racer.start()
    told = [results.get(timeout=60) for _ in racers]
    for racer in racers:
        racer.join()
    results.close()
    results.join_thread()
    lines = path.read_text().splitlines()
    for writer, done, refused in told:
        assert done + refused == times
        assert sum(line.startswith(f"{writer}:") for line in lines) == done
    assert len(set(lines)) == len(lines)
    assert sum(refused for _, _, refused in told) > 0
    assert part_written(tmp_path) == []


def test_a_film_is_copied_whole_and_its_hash_returned(tmp_path, monkeypatch):
    monkeypatch.setattr(storage, "BLOCK_BYTES", 1000)
    film, target, seen = tmp_path / "op.mp4", tmp_path / "case" / "film" / "op.mp4", []
    film.write_bytes(os.urandom(2500))
    digest = copy_film(film, target, progress=seen.append)
    assert target.read_bytes() == film.read_bytes()
    assert digest == hashlib.sha256(film.read_bytes()).hexdigest()
    assert seen[:3] == [1000, 2000, 2500]
    assert set(seen[3:]) == {2500}  # while it is read back


def test_a_copy_keeps_the_time_its_film_was_written(tmp_path):
    film = tmp_path / "op.mp4"
    film.write_bytes(b"film")
    os.utime(film, (1_000_000_000, 1_234_567_890))
    copy_film(film, tmp_path / "copy.mp4")
    assert (tmp_path / "copy.mp4").stat().st_mtime == 1_234_567_890


class StalledShare:
    """Files of a share that answers two blocks and then nothing until it is let go on."""

    def __init__(self, monkeypatch, name):
        self.goes_on = threading.Event()
        self.n_reads = 0
        opening = open

        def opened(path, *mode, **options):
            file = opening(path, *mode, **options)
            return self._slow(file) if Path(path).name == name else file

        monkeypatch.setattr("builtins.open", opened)

    def _slow(self, file):
        share = self

        class Slow(io.BufferedReader):
            def read(self, *size):
                share.n_reads += 1
                if share.n_reads > 2:
                    share.goes_on.wait()
                return super().read(*size)

        return Slow(file.detach())


def test_a_share_that_stalls_is_told_of_and_can_be_left(tmp_path, monkeypatch):
    monkeypatch.setattr(storage, "BLOCK_BYTES", 1000)
    (tmp_path / "op.mp4").write_bytes(os.urandom(5000))
    share = StalledShare(monkeypatch, "op.mp4")
    seen = []

    class Left(Exception):
        pass

    def progress(done):
        seen.append(done)
        if seen.count(2000) > 2:  # told again and again that nothing comes
            raise Left

    with pytest.raises(Left):
        copy_film(tmp_path / "op.mp4", tmp_path / "copy.mp4", progress=progress)
    assert [entry.name for entry in tmp_path.iterdir()] == ["op.mp4"]
    share.goes_on.set()


def test_a_share_that_comes_back_is_read_on(tmp_path, monkeypatch):
    monkeypatch.setattr(storage, "BLOCK_BYTES", 1000)
    content = os.urandom(5000)
    (tmp_path / "op.mp4").write_bytes(content)
    share = StalledShare(monkeypatch, "op.mp4")
    told = []

    def progress(done):
        told.append(done)
        if told.count(2000) > 2:
            share.goes_on.set()

    digest = file_sha256(tmp_path / "op.mp4", progress=progress)
    assert digest == hashlib.sha256(content).hexdigest()
    assert told[-1] == 5000


def test_reading_fails_in_the_thread_that_asked(tmp_path):
    with pytest.raises(FileNotFoundError):
        file_sha256(tmp_path / "gone.mp4")


def test_an_empty_film_is_copied_too(tmp_path):
    (tmp_path / "empty").write_bytes(b"")
    assert copy_film(tmp_path / "empty", tmp_path / "copy") == hashlib.sha256(b"").hexdigest()
    assert (tmp_path / "copy").read_bytes() == b""


def test_a_copy_is_not_written_over_a_file(tmp_path):
    (tmp_path / "film").write_bytes(b"new")
    (tmp_path / "target").write_bytes(b"old")
    with pytest.raises(AlreadyThere):
        copy_film(tmp_path / "film", tmp_path / "target")
    assert (tmp_path / "target").read_bytes() == b"old"


@pytest.mark.parametrize("number", FAULTS.values(), ids=FAULTS)
def test_a_copy_that_fails_leaves_no_half_film(tmp_path, number):
    film, target = tmp_path / "op.mp4", tmp_path / "copy" / "op.mp4"
    film.write_bytes(b"film" * 100)

    def act(disk):
        target.unlink(missing_ok=True)
        copy_film(film, target, disk=disk)

    faults = list(failing_at_each_call(number, act))
    assert len(faults) == 5  # folder, write, replace, sync, and clearing up
    for at, fault in faults[:4]:
        assert isinstance(fault, WriteFailed), at
        assert SAID[number] in fault.message
    assert part_written(tmp_path) == []


@pytest.mark.parametrize("at", range(3))
def test_a_copy_is_not_there_until_it_was_compared(tmp_path, at):
    (tmp_path / "op.mp4").write_bytes(b"film" * 100)
    with pytest.raises(WriteFailed):
        copy_film(tmp_path / "op.mp4", tmp_path / "copy.mp4", disk=FailingDisk(at, FULL))
    assert [entry.name for entry in tmp_path.iterdir()] == ["op.mp4"]


class LyingDisk(Disk):
    """A disk that writes one byte wrong and says all is well."""

    def write_new(self, path, blocks):
        content = bytearray(b"".join(blocks))
        content[-1] ^= 1
        super().write_new(path, [bytes(content)])


def test_a_copy_that_differs_is_found_out_and_removed(tmp_path):
    (tmp_path / "op.mp4").write_bytes(b"film" * 100)
    with pytest.raises(WriteFailed, match="differs"):
        copy_film(tmp_path / "op.mp4", tmp_path / "copy.mp4", disk=LyingDisk())
    assert [entry.name for entry in tmp_path.iterdir()] == ["op.mp4"]


def test_a_film_that_cannot_be_read_is_the_one_named(tmp_path):
    with pytest.raises(RecordingUnreadable) as caught:
        copy_film(tmp_path / "gone.mp4", tmp_path / "copy.mp4")
    assert caught.value.path == str(tmp_path / "gone.mp4")
    assert list(tmp_path.iterdir()) == []


def test_a_copy_that_is_stopped_leaves_nothing(tmp_path):
    class Stopped(Exception):
        pass

    def stop(done_bytes):
        raise Stopped

    (tmp_path / "op.mp4").write_bytes(b"film")
    with pytest.raises(Stopped):
        copy_film(tmp_path / "op.mp4", tmp_path / "copy.mp4", progress=stop)
    assert [entry.name for entry in tmp_path.iterdir()] == ["op.mp4"]
