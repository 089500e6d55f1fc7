"""The far side of the reader's process, here in a thread: what it says to each order."""

from __future__ import annotations

import threading
from contextlib import contextmanager
from multiprocessing import Pipe
from multiprocessing.shared_memory import SharedMemory

import pytest

from aftercase.media.reader import RecordingReader
from aftercase.media.serving import (
    Answered,
    Ask,
    Drop,
    Progressed,
    Raised,
    Ready,
    Served,
    Stop,
    picture_with,
)
from aftercase.media.source import (
    Cancel,
    Cancelled,
    Finished,
    Opened,
    OpenRecording,
    PictureAt,
    PicturesIn,
    Shown,
)

RGB_BYTES = 256 * 144 * 3


class Stepping(RecordingReader):
    """A reader whose openings stand still after each step until allowed to go on."""

    allowed = threading.Semaphore(0)

    def __init__(self, progress):
        def stepping(done, total):
            assert self.allowed.acquire(timeout=10)
            progress(done, total)

        super().__init__(stepping)


@contextmanager
def served(make_reader=RecordingReader):
    near, far = Pipe()
    at_work = Served(far, make_reader)
    thread = threading.Thread(target=at_work.work)
    thread.start()
    assert near.recv() == Ready()
    try:
        yield near, at_work
    finally:
        near.send(Stop())
        thread.join()
        near.close()
        far.close()


def answer(pipe):
    """The next report that is more than a sign of life."""
    while isinstance(report := pipe.recv(), Progressed):
        pass
    return report


@pytest.fixture
def path(made):
    return str(made("25_closed").path)


def opened(pipe, path):
    pipe.send(Ask(0, OpenRecording(1, (path,)), None))
    report = answer(pipe)
    assert isinstance(report.response, Opened)
    pipe.send(Drop(0))


def test_nothing_is_made_before_it_is_asked_for(path):
    with served() as (pipe, _):
        opened(pipe, path)
        pipe.send(Ask(1, PicturesIn(2, 0, 80_000), None))
        assert isinstance(answer(pipe).response, Shown)
        assert not pipe.poll(0.3)
        pipe.send(Ask(1, PicturesIn(2, 0, 80_000), None))
        pipe.send(Ask(1, PicturesIn(2, 0, 80_000), None))
        assert isinstance(answer(pipe).response, Shown)
        assert answer(pipe) == Answered(1, Finished(2, 2))


def test_pixels_go_through_the_shared_memory_where_they_fit(path):
    plain = RecordingReader()
    list(plain.answers(OpenRecording(1, (path,))))
    [expected] = plain.answers(PictureAt(2, 0))
    plain.close()
    room, small = (SharedMemory(create=True, size=size) for size in (RGB_BYTES, RGB_BYTES // 9))
    try:
        with served() as (pipe, _):
            opened(pipe, path)
            pipe.send(Ask(1, PictureAt(2, 0), small.name))
            assert answer(pipe) == Answered(1, expected)
            pipe.send(Ask(2, PictureAt(2, 0), room.name))
            report = answer(pipe)
            assert report.shared_bytes == RGB_BYTES
            assert report.response.picture.pixels.rgb == b""
            assert picture_with(report.response, room, report.shared_bytes) == expected
    finally:
        for memory in (room, small):
            memory.close()
            memory.unlink()


def test_a_cancel_is_heard_while_a_recording_is_opened_and_the_rest_waits(path):
    with served(Stepping) as (pipe, _):
        pipe.send(Ask(0, OpenRecording(1, (path,)), None))
        pipe.send(Ask(1, OpenRecording(2, (path,)), None))
        pipe.send(Cancel(1))
        Stepping.allowed.release(1000)
        assert answer(pipe) == Answered(0, Cancelled(1))
        assert isinstance(answer(pipe).response, Opened)


def test_a_fault_of_the_reader_is_reported_with_its_trace():
    with served() as (pipe, _):
        pipe.send(Ask(0, PictureAt(1, 0), None))
        report = answer(pipe)
        assert isinstance(report, Raised)
        assert report.number == 0
        assert "a recording must be opened" in report.trace


def test_memory_is_allowed_for_forty_of_the_recordings_frames(path):
    with served() as (pipe, at_work):
        assert at_work.limit_bytes == 1 << 30
        opened(pipe, path)
        assert at_work.limit_bytes == (1 << 30) + 40 * RGB_BYTES
