"""Scans of cases: kept in blocks, gone on with, stale, torn, and on disks that fail."""

from __future__ import annotations

import errno
import signal
import subprocess
import sys
import time
from dataclasses import replace

import numpy as np
import pytest
from tests.eye_films import drawn_eye, film_of

from aftercase.document.files import write_document
from aftercase.edit.header import change_header
from aftercase.errors import RecordingChanged, RecordingMissing, WriteFailed
from aftercase.media.decoder import Decoder
from aftercase.media.recording import open_recording
from aftercase.media.watch import Watch, WorkCancelled
from aftercase.model.case import Window
from aftercase.session import scans
from aftercase.session.copying import copy_films
from aftercase.session.opened import open_case
from aftercase.session.scans import ScanSettings, kept_scan, scan_case, scan_films
from aftercase.session.settings import read_settings
from aftercase.session.tasks.create import Wanted, new_case
from aftercase.storage import Disk

N = 60
FRAME_US = 200_000
BLOCK = 16
N_BLOCKS = 4

KILLED = """
import sys, time
from pathlib import Path
from aftercase.session import scans
from aftercase.session.copying import copy_films
from aftercase.session.opened import open_case
from aftercase.session.places import places
look = scans.looked_at
def slowly(*given):
    time.sleep(0.02)
    return look(*given)
scans.looked_at, scans.BLOCK_ROWS = slowly, 16
scans.scan_case(open_case(Path(sys.argv[1]), places()), places())
"""


@pytest.fixture(scope="session")
def eye_film(tmp_path_factory):
    """Twelve seconds of an eye at five frames a second; a bar crosses for five of them."""
    path = tmp_path_factory.mktemp("eyes") / "EYE.MP4"
    return film_of(path, lambda n: drawn_eye([170.0] * (20 <= n < 45), number=n), N)


@pytest.fixture(autouse=True)
def _small_blocks(monkeypatch):
    monkeypatch.setattr(scans, "BLOCK_ROWS", BLOCK)


@pytest.fixture
def case(tmp_path, eye_film, at, new_id):
    """A case of that film; returns its folder."""
    wanted = Wanted("C1", "cataract-phaco", films=(eye_film,))
    return new_case(tmp_path / "c", wanted, at, new_id).folder.path


@pytest.fixture(scope="session")
def whole(eye_film):
    """The rows of a pass over the film that nothing interrupts."""
    return scan_films((eye_film,)).rows


def kept(case):
    return sorted((case / "cache").glob("*.scan"))


def scanned(case, at, **given):
    return scan_case(open_case(case, at), at, **given)


def stopping_after(case, n_blocks):
    """A watch that stops the work once so many blocks lie there."""
    return Watch(cancelled=lambda: len(kept(case)) >= n_blocks)


def test_a_case_without_a_film_says_so(case_of, at):
    with pytest.raises(RecordingMissing):
        scanned(case_of(), at)


def test_before_the_first_pass_nothing_is_kept_and_nothing_is_stale(case, at):
    found = kept_scan(open_case(case, at), at)
    assert (len(found.rows), found.is_whole, found.is_stale) == (0, False, False)


def test_every_frame_has_a_row_at_its_own_start(case, at, whole):
    scan = scanned(case, at)
    assert scan.rows["at_us"].tolist() == [n * FRAME_US for n in range(N)]
    assert (scan.every, scan.end_us, scan.n_kept, scan.was_stale) == (1, N * FRAME_US, 0, False)
    assert scan.rows.tobytes() == whole.tobytes()
    assert len(kept(case)) == N_BLOCKS


def test_scanning_twice_looks_once_and_gives_the_same_numbers(case, at, monkeypatch):
    first = scanned(case, at)
    monkeypatch.setattr(scans, "looked_at", None)  # a look would fail now
    again = scanned(case, at)
    assert again.rows.tobytes() == first.rows.tobytes()
    assert again.n_kept == N
    found = kept_scan(open_case(case, at), at)
    assert found.rows.tobytes() == first.rows.tobytes()
    assert (found.is_whole, found.is_stale) == (True, False)


@pytest.mark.parametrize("n_blocks", [1, 2, 3])
def test_a_pass_that_was_stopped_goes_on_and_ends_with_the_same_bytes(
    case, at, whole, tmp_path, n_blocks
):
    with pytest.raises(WorkCancelled):
        scanned(case, at, watch=stopping_after(case, n_blocks))
    assert len(kept(case)) == n_blocks
    found = kept_scan(open_case(case, at), at)
    assert (len(found.rows), found.is_whole) == (n_blocks * BLOCK, False)
    scan = scanned(case, at)
    assert scan.n_kept == n_blocks * BLOCK
    assert scan.rows.tobytes() == whole.tobytes()
    resumed = [file.read_bytes() for file in kept(case)]
    for file in kept(case):
        file.unlink()
    scanned(case, at)
    assert [file.read_bytes() for file in kept(case)] == resumed


def test_progress_is_told_up_to_the_end_and_from_where_an_earlier_pass_came(case, at):
    told = []
    with pytest.raises(WorkCancelled):
        scanned(case, at, watch=stopping_after(case, 2))
    scanned(case, at, watch=Watch(lambda done, total: told.append((done, total))))
    assert told[0] == (2 * BLOCK * FRAME_US, N * FRAME_US)
    assert [done for done, _ in told] == sorted(done for done, _ in told)
    assert {total for _, total in told} == {N * FRAME_US}


@pytest.mark.skipif(sys.platform == "win32", reason="nothing is killed like that there")
def test_a_pass_that_was_killed_goes_on_after_its_last_whole_block(case, at, whole):
    child = subprocess.Popen([sys.executable, "-c", KILLED, str(case)])
    try:
        until = time.monotonic() + 60
        while len(kept(case)) < 2 and child.poll() is None and time.monotonic() < until:
            time.sleep(0.005)
    finally:
        child.kill()
    assert child.wait() == -signal.SIGKILL, "it ended by itself"
    n_there = len(kept(case))
    assert 2 <= n_there < N_BLOCKS
    scan = scanned(case, at)
    assert scan.n_kept == n_there * BLOCK
    assert scan.rows.tobytes() == whole.tobytes()


@pytest.mark.parametrize(
    "settings", [ScanSettings(per_second=2.5), ScanSettings(longest_side_px=240)]
)
def test_other_settings_make_a_scan_stale_and_the_next_pass_says_so(case, at, settings):
    scanned(case, at)
    assert kept_scan(open_case(case, at), at, settings).is_stale
    scan = scanned(case, at, settings=settings)
    assert (scan.was_stale, scan.n_kept) == (True, 0)
    found = kept_scan(open_case(case, at), at, settings)
    assert (found.is_whole, found.is_stale) == (True, False)
    assert kept_scan(open_case(case, at), at).is_stale
    assert not scanned(case, at, settings=settings).was_stale


def test_half_as_many_pictures_are_every_second_frame(case, at):
    scan = scanned(case, at, settings=ScanSettings(per_second=2.5))
    assert scan.every == 2
    assert scan.rows["at_us"].tolist() == [n * FRAME_US for n in range(0, N, 2)]


def test_only_the_cases_own_stretch_is_looked_at_and_another_one_is_stale(case, at):
    scanned(case, at)
    opened = open_case(case, at)
    stretch = Window(start_us=10 * FRAME_US, end_us=30 * FRAME_US)
    write_document(opened.stored_case, change_header(opened.case, window=stretch))
    assert kept_scan(open_case(case, at), at).is_stale
    scan = scanned(case, at)
    assert scan.was_stale
    assert scan.rows["at_us"].tolist() == [n * FRAME_US for n in range(10, 30)]
    assert scan.end_us == 30 * FRAME_US


def test_a_film_that_is_another_one_now_is_refused_and_what_was_kept_stays(
    case, at, eye_film, tmp_path
):
    scanned(case, at)
    before = [file.read_bytes() for file in kept(case)]
    other = film_of(tmp_path / "other.mp4", lambda n: drawn_eye(number=n + 1), N)
    first = eye_film.read_bytes()
    try:
        eye_film.write_bytes(other.read_bytes())
        with pytest.raises(RecordingChanged):
            scanned(case, at)
    finally:
        eye_film.write_bytes(first)
    assert [file.read_bytes() for file in kept(case)] == before


def cut_off(content):
    return content[: len(content) // 2]


def flipped(content):
    return content[:-100] + bytes([content[-100] ^ 1]) + content[-99:]


def renamed(content):
    return content.replace(b"aftercase-scan 1", b"aftercase-scan 9", 1)


@pytest.mark.parametrize(
    "torn",
    [cut_off, flipped, renamed, lambda content: b"", lambda content: b"\n\n\xff" * 99],
    ids=["cut off", "one bit", "another version", "empty", "rubbish"],
)
def test_a_block_that_is_not_what_was_written_is_measured_anew(case, at, whole, torn):
    scanned(case, at)
    second = kept(case)[1]
    second.write_bytes(torn(second.read_bytes()))
    found = kept_scan(open_case(case, at), at)
    assert (len(found.rows), found.is_whole, found.is_stale) == (BLOCK, False, False)
    scan = scanned(case, at)
    assert (scan.n_kept, scan.was_stale) == (BLOCK, False)
    assert scan.rows.tobytes() == whole.tobytes()
    assert kept_scan(open_case(case, at), at).is_whole


def test_a_block_of_other_pictures_is_measured_anew_however_sound_it_is(case, at, whole):
    scanned(case, at)
    first, second = kept(case)[:2]
    second.write_bytes(first.read_bytes())
    scan = scanned(case, at)
    assert scan.n_kept == BLOCK
    assert scan.rows.tobytes() == whole.tobytes()


@pytest.mark.parametrize(("number", "said"), [(errno.ENOSPC, "full"), (errno.EROFS, "read-only")])
def test_a_disk_that_takes_no_more_is_named_and_finished_blocks_stay(
    case, at, whole, monkeypatch, number, said
):
    write_new = Disk.write_new

    def failing(self, path, blocks):
        if path.parent.name == "cache" and kept(case):
            raise OSError(number, "as said")
        write_new(self, path, blocks)

    with monkeypatch.context() as patched:
        patched.setattr(Disk, "write_new", failing)
        with pytest.raises(WriteFailed, match=said):
            scanned(case, at)
    assert len(kept(case)) == 1
    assert scanned(case, at).rows.tobytes() == whole.tobytes()


def test_a_bare_film_is_scanned_and_nothing_is_kept_of_it(eye_film, whole):
    scan = scan_films((eye_film,))
    assert scan.rows.tobytes() == whole.tobytes()
    assert sorted(eye_film.parent.iterdir()) == [eye_film]


def test_the_eye_is_on_every_picture_of_the_film(whole):
    assert (whole["limbus_confidence"] >= 0.5).mean() > 0.98
    assert np.isfinite(whole["ring_seen"]).all()


def copies_of(case, eye_film):
    """How many of the film's frames the case's scrub copy has."""
    with open_recording((eye_film,), cache=case / "cache") as recording:
        return sum(
            recording.picture_at(us, max_side_px=160, copy_will_do=True).from_copy
            for us in recording.starts_us().tolist()
        )


def test_copies_made_in_the_same_pass_are_whole_and_change_no_number(case, at, whole, eye_film):
    scan = scanned(case, at, copies=read_settings(at))
    assert scan.rows.tobytes() == whole.tobytes()
    assert copies_of(case, eye_film) == N
    assert len(kept(case)) == N_BLOCKS


def test_a_pass_with_copies_decodes_the_film_once(case, at, monkeypatch):
    decoded = []
    frame = Decoder.frame
    monkeypatch.setattr(
        Decoder, "frame", lambda self, row, *more: decoded.append(row) or frame(self, row, *more)
    )
    scanned(case, at, copies=read_settings(at))
    assert sorted(decoded) == list(range(N))


def test_a_pass_with_copies_that_was_stopped_goes_on_with_or_without_them(
    case, at, whole, eye_film
):
    for copies in (read_settings(at), None):
        with pytest.raises(WorkCancelled):
            scanned(case, at, copies=read_settings(at), watch=stopping_after(case, 2))
        scan = scanned(case, at, copies=copies)
        assert scan.n_kept == 2 * BLOCK
        assert scan.rows.tobytes() == whole.tobytes()
        for file in kept(case):
            file.unlink()


def test_where_copies_are_there_or_not_wanted_the_pass_decodes_for_itself(case, at, whole):
    off = replace(read_settings(at), scrub_copies=False)
    assert scanned(case, at, copies=off).rows.tobytes() == whole.tobytes()
    for file in kept(case):
        file.unlink()
    copy_films(open_case(case, at), at, read_settings(at))
    assert scanned(case, at, copies=read_settings(at)).rows.tobytes() == whole.tobytes()
