"""The reader in its own process answers as the plain one does, and outlives what stops it."""

from __future__ import annotations

import multiprocessing
import os
import signal
import subprocess
import sys
import threading
import time
from multiprocessing.shared_memory import SharedMemory
from pathlib import Path

import pytest

from aftercase.media.process import ReaderProcess
from aftercase.media.reader import RecordingReader
from aftercase.media.source import (
    Cancel,
    Cancelled,
    Failed,
    Finished,
    Opened,
    OpenRecording,
    PictureAt,
    PicturesIn,
    Shown,
    Source,
)

HERE = Path(__file__).parent
SHORT_S = 1.5


@pytest.fixture
def path(made):
    return str(made("25_closed").path)


@pytest.fixture
def process(path):
    source = ReaderProcess()
    [opened] = source.answers(OpenRecording(1, (path,)))
    assert isinstance(opened, Opened)
    yield source
    source.close()


@pytest.fixture
def odd(monkeypatch):
    """Names of the odd moments; the process finds the module by the same search path."""
    monkeypatch.syspath_prepend(HERE)
    import odd_sources

    return odd_sources


@pytest.fixture
def odd_process(odd):
    source = ReaderProcess(stall_s=SHORT_S, make_reader=odd.OddSource)
    list(source.answers(OpenRecording(1, ("film.mp4",))))
    yield source
    source.close()


def child_pid() -> int:
    [child] = multiprocessing.active_children()
    assert child.pid is not None
    return child.pid


def is_gone(pid: int) -> bool:
    """Whether a process has ended, be it that nobody has asked for its exit code yet."""
    try:
        os.kill(pid, 0)
        return Path(f"/proc/{pid}/stat").read_text(encoding="ascii").split(") ")[1][0] == "Z"
    except OSError:
        return True


def soon(claim, within_s=10.0) -> bool:
    limit_s = time.monotonic() + within_s
    while time.monotonic() < limit_s:
        if claim():
            return True
        time.sleep(0.05)
    return False


def later(delay_s, action, *arguments) -> threading.Timer:
    timer = threading.Timer(delay_s, action, arguments)
    timer.start()
    return timer


def test_every_answer_is_the_plain_readers(path, tmp_path):
    requests = [
        OpenRecording(1, (path,)),
        PictureAt(2, 1_000_000),
        PictureAt(3, 1_000_000, 64),
        PicturesIn(4, 400_000, 800_000),
        PicturesIn(5, 400_000, 400_000),
        PictureAt(6, 99_000_000),
        Cancel(7),
        OpenRecording(8, (str(tmp_path / "no.mp4"),)),
        OpenRecording(9, (path, path)),
        PictureAt(10, 4_000_000),
    ]
    plain, apart = RecordingReader(), ReaderProcess()
    sources: list[Source] = [plain, apart]
    expected, answered = (
        [answer for request in requests for answer in source.answers(request)] for source in sources
    )
    plain.close()
    apart.close()
    assert len(expected) == 19
    assert answered == expected


def test_pictures_carry_their_own_numbers(process, read_number):
    *shown, last = process.answers(PicturesIn(2, 400_000, 800_000))
    assert [read_number(answer.picture) for answer in shown] == list(range(10, 20))
    assert last == Finished(2, 10)


def test_large_pictures_of_any_size_arrive_whole(tmp_path, run_ffmpeg):
    """Two sizes in one recording: the second does not fit where the first did."""
    paths = []
    for size in ("640x360", "1280x720"):
        path = tmp_path / f"{size}.mp4"
        run_ffmpeg("-f", "lavfi", "-i", f"testsrc2=s={size}:r=25:d=0.2", path)
        paths.append(str(path))
    plain, apart = RecordingReader(), ReaderProcess()
    answers = [
        [list(source.answers(request)) for request in (OpenRecording(1, tuple(paths)), all_of())]
        for source in (plain, apart)
    ]
    plain.close()
    apart.close()
    assert [len(shown.picture.pixels.rgb) for shown in answers[1][1][:-1]] == (
        [3 * 640 * 360] * 5 + [3 * 1280 * 720] * 5
    )
    assert answers[1] == answers[0]


def all_of() -> PicturesIn:
    return PicturesIn(2, 0, 10**9)


def test_two_ranges_taken_in_turns_do_not_mix(process, read_number):
    first, second = process.answers(PicturesIn(2, 0, 120_000)), process.answers(all_of())
    numbers = [read_number(next(answers).picture) for answers in (first, second) * 3]
    assert numbers == [0, 0, 1, 1, 2, 2]


def test_a_range_left_half_taken_is_forgotten(process, read_number):
    answers = process.answers(all_of())
    next(answers)
    answers.close()
    [shown] = process.answers(PictureAt(3, 3_000_000))
    assert read_number(shown.picture) == 75


def test_progress_of_the_opening_is_passed_on(path):
    told = []
    source = ReaderProcess(lambda done, total: told.append((done, total)))
    list(source.answers(OpenRecording(1, (path,))))
    source.close()
    size_bytes = os.path.getsize(path)
    assert told[-1] == (size_bytes, size_bytes)


def test_asking_before_opening_is_our_own_fault():
    with pytest.raises(ValueError, match="opened before"):
        list(ReaderProcess().answers(PictureAt(1, 0)))


def test_cancel_stops_a_range_between_two_pictures(process):
    answers = process.answers(all_of())
    next(answers)
    list(process.answers(Cancel(2)))
    assert list(answers) == [Cancelled(2)]
    assert isinstance(next(process.answers(PictureAt(2, 0))), Shown)


def test_cancel_before_the_first_picture_sends_none(process):
    for request in (PicturesIn(6, 0, 4_000_000), PictureAt(6, 0), OpenRecording(6, ("a.mp4",))):
        answers = process.answers(request)
        list(process.answers(Cancel(6)))
        assert list(answers) == [Cancelled(6)]


def test_cancel_from_another_thread_stops_an_opening_that_goes_on(odd_process, odd):
    pid = child_pid()
    answers = odd_process.answers(OpenRecording(2, (odd.ENDLESS,)))
    later(0.3, odd_process.answers, Cancel(2))
    assert list(answers) == [Cancelled(2)]
    assert child_pid() == pid, "stopped in the process, not with it"


def test_cancel_stops_what_gives_no_sign_of_life_too(odd):
    source = ReaderProcess(stall_s=60, make_reader=odd.OddSource)
    list(source.answers(OpenRecording(1, ("film.mp4",))))
    answers = source.answers(PictureAt(2, odd.HANG_US))
    later(0.2, source.answers, Cancel(2))
    begun_s = time.monotonic()
    assert list(answers) == [Cancelled(2)]
    assert time.monotonic() - begun_s < 10
    source.close()


def test_a_killed_process_is_told_with_its_place_and_the_next_picture_comes(
    process, path, read_number
):
    answers = process.answers(all_of())
    for _ in range(3):
        next(answers)
    pid = child_pid()
    os.kill(pid, signal.SIGKILL)
    [failed] = answers
    assert isinstance(failed, Failed)
    assert (failed.request_id, failed.slug, failed.path) == (2, "recording-unreadable", path)
    assert "00:00.120" in failed.message
    assert failed.hint
    [shown] = process.answers(PictureAt(3, 1_000_000))
    assert read_number(shown.picture) == 25
    assert child_pid() != pid


def test_a_process_killed_while_idle_fails_one_request_at_most(process, read_number):
    os.kill(child_pid(), signal.SIGKILL)
    first, second = (next(process.answers(PictureAt(3, 1_000_000))) for _ in range(2))
    assert isinstance(first, Failed)
    assert read_number(second.picture) == 25


def test_a_film_gone_when_it_is_opened_again_is_told(process, path, tmp_path):
    copy = tmp_path / "copy.mp4"
    copy.write_bytes(Path(path).read_bytes())
    list(process.answers(OpenRecording(2, (str(copy),))))
    copy.unlink()
    os.kill(child_pid(), signal.SIGKILL)
    list(process.answers(PictureAt(3, 0)))
    [failed] = process.answers(PictureAt(4, 0))
    assert (failed.request_id, failed.slug, failed.path) == (4, "recording-missing", str(copy))


def test_a_picture_that_kills_the_process_fails_alone(odd_process, odd):
    asked = [0, odd.DIE_US, 1, odd.DIE_US, 2]
    answers = [next(odd_process.answers(PictureAt(2, us))) for us in asked]
    assert [type(answer) for answer in answers] == [Shown, Failed, Shown, Failed, Shown]


def test_a_range_under_way_ends_when_another_request_kills_the_process(odd_process, odd):
    answers = odd_process.answers(PicturesIn(2, 0, 50))
    next(answers)
    list(odd_process.answers(PictureAt(3, odd.DIE_US)))
    assert [type(answer) for answer in answers] == [Failed]
    assert isinstance(next(odd_process.answers(PictureAt(4, 0))), Shown)


def test_a_stall_is_told_in_time_and_the_next_picture_comes(odd_process, odd):
    pid = child_pid()
    begun_s = time.monotonic()
    [failed] = odd_process.answers(PictureAt(2, odd.HANG_US))
    assert SHORT_S <= time.monotonic() - begun_s < SHORT_S + 5
    assert failed.slug == "recording-unreadable"
    assert "too long" in failed.message
    assert is_gone(pid)
    assert isinstance(next(odd_process.answers(PictureAt(3, 0))), Shown)


def test_an_opening_without_a_sign_of_life_is_told(odd_process, odd):
    [failed] = odd_process.answers(OpenRecording(2, (odd.HANGING,)))
    assert (failed.slug, failed.path) == ("recording-unreadable", odd.HANGING)


def test_progress_counts_as_life(odd_process, odd):
    begun_s = time.monotonic()
    [opened] = odd_process.answers(OpenRecording(2, (odd.SLOW,)))
    assert time.monotonic() - begun_s > SHORT_S
    assert isinstance(opened, Opened)


def test_a_fault_of_the_readers_own_is_raised_here(odd_process, odd):
    pid = child_pid()
    with pytest.raises(RuntimeError, match="made up for a test"):
        list(odd_process.answers(PictureAt(2, odd.FAIL_US)))
    assert isinstance(next(odd_process.answers(PictureAt(3, 0))), Shown)
    assert child_pid() == pid


def test_a_film_that_asks_for_too_much_memory_is_told():
    """Its fragment says 50 million frames; opening it takes 1.2 GB."""
    film = HERE.parent / "corpus" / "films" / "too-many-frames.mp4"
    source = ReaderProcess()
    [failed] = source.answers(OpenRecording(1, (str(film),)))
    source.close()
    assert "memory" in failed.message
    assert failed.path == str(film)


def test_closing_leaves_no_process_thread_or_memory(tmp_path, run_ffmpeg, monkeypatch):
    rooms = []

    def noted(*arguments, **options):
        rooms.append(SharedMemory(*arguments, **options))
        return rooms[-1]

    monkeypatch.setattr("aftercase.media.process.SharedMemory", noted)
    path = tmp_path / "large.mp4"
    run_ffmpeg("-f", "lavfi", "-i", "testsrc2=s=640x360:r=25:d=0.2", path)
    before = set(threading.enumerate())
    source = ReaderProcess()
    list(source.answers(OpenRecording(1, (str(path),))))
    list(source.answers(all_of()))
    pid = child_pid()
    source.close()
    assert is_gone(pid)
    assert multiprocessing.active_children() == []
    assert set(threading.enumerate()) == before
    [room] = rooms
    with pytest.raises(FileNotFoundError):
        SharedMemory(room.name)
    source.close()


def test_closing_ends_a_stuck_process(odd):
    source = ReaderProcess(stall_s=0.2, make_reader=odd.OddSource)
    source.start()
    pid = child_pid()
    os.kill(pid, signal.SIGSTOP)
    source.close()
    assert is_gone(pid)


ASKER = """
import multiprocessing, sys
from odd_sources import HANG_US, OddSource
from aftercase.media.process import ReaderProcess
from aftercase.media.source import OpenRecording, PictureAt
if __name__ == "__main__":
    source = ReaderProcess(make_reader=OddSource)
    list(source.answers(OpenRecording(1, ("film.mp4",))))
    print(multiprocessing.active_children()[0].pid, flush=True)
    us = HANG_US if sys.argv[1] == "busy" else 0
    list(source.answers(PictureAt(2, us)))
    print("answered", flush=True)
    sys.stdin.read()
"""


@pytest.mark.parametrize("state", ["idle", "busy"])
def test_the_process_ends_when_its_asker_is_killed(tmp_path, state):
    script = tmp_path / "asker.py"
    script.write_text(ASKER, encoding="utf-8")
    environment = {**os.environ, "PYTHONPATH": str(HERE)}
    with subprocess.Popen(
        [sys.executable, str(script), state],
        env=environment,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        text=True,
    ) as asker:
        pid = int(asker.stdout.readline())
        if state == "idle":
            asker.stdout.readline()
        else:
            time.sleep(0.5)
        assert not is_gone(pid)
        asker.kill()
        assert soon(lambda: is_gone(pid))
