"""The worker: what is newest wins, what is found waits in a bounded queue, nothing gets stuck."""

from __future__ import annotations

import multiprocessing
import os
import signal
import threading
import time
from functools import partial
from pathlib import Path

import pytest
from made_source import MISSING, MadeSource, number_in

from aftercase.media.pictureworker import (
    REST_S,
    Broken,
    Open,
    PictureWorker,
    Run,
    Show,
)
from aftercase.media.process import ReaderProcess
from aftercase.media.source import (
    Cancel,
    Failed,
    Finished,
    Opened,
    OpenRecording,
    PictureAt,
    PicturesIn,
    Prepare,
    Shown,
)

HERE = Path(__file__).parent
FILM = Open(OpenRecording(7, ("film.mp4",)))


class SlowSource(MadeSource):
    """Each exact picture takes until it is let go, or cancelled; tells when one begins."""

    def __init__(self, progress):
        super().__init__(progress)
        self.begun = threading.Semaphore(0)
        self.let_go = threading.Event()

    def _shown(self, request_id, row):
        self.begun.release()
        while not self.let_go.is_set() and request_id not in self._cancelled:
            time.sleep(0.001)
        return super()._shown(request_id, row)


@pytest.fixture
def started():
    """Makes workers on threads, and closes them."""
    workers = []

    def start(make_source=MadeSource, **options):
        sources = []

        def made(progress):
            sources.append(make_source(progress))
            return sources[0]

        worker = PictureWorker(made, **options)
        workers.append(worker)
        return worker, sources[0]

    yield start
    for worker in workers:
        worker.close()


def next_of(worker, within_s=10.0):
    """Return what is found next, waiting for it."""
    give_up_s = time.monotonic() + within_s
    while (found := worker.take()) is None:
        assert time.monotonic() < give_up_s, "nothing was found"
        time.sleep(0.001)
    return found


def stays_empty(worker, for_s=0.1):
    time.sleep(for_s)
    return worker.peek() is None


def synchronous(**options):
    """A worker without a thread, with a film open, and its source."""
    source = MadeSource(**options)
    worker = PictureWorker(lambda progress: source, threaded=False)
    worker.order(FILM)
    all_found(worker)
    source.asked.clear()
    return worker, source


def all_found(worker):
    found = []
    while worker.work() or worker.peek():
        while (one := worker.take()) is not None:
            found.append(one)
    return found


def test_without_an_order_there_is_nothing_to_do():
    worker, _ = synchronous()
    assert not worker.work()
    assert (worker.peek(), worker.take()) == (None, None)


def test_an_order_is_answered_under_its_number():
    worker, _ = synchronous()
    number = worker.order(Show(400_000, None))
    [found] = all_found(worker)
    assert (found.number, found.is_last, number_in(found.response.picture)) == (number, True, 10)


def test_a_run_comes_in_order_and_ends():
    worker, _ = synchronous()
    worker.order(Run(400_000, 560_000, None, every=2))
    found = all_found(worker)
    assert [number_in(one.response.picture) for one in found[:-1]] == [10, 12]
    assert [one.is_last for one in found] == [False, False, True]
    assert isinstance(found[-1].response, Finished)


def test_a_run_may_begin_with_a_quick_picture():
    worker, source = synchronous()
    worker.order(Run(2_400_000, 2_480_000, None, quick_first=True))
    found = all_found(worker)
    assert [number_in(one.response.picture) for one in found[:-1]] == [50, 60, 61]
    source.at_hand = {60}
    worker.order(Run(2_400_000, 2_480_000, None, quick_first=True))
    assert [number_in(one.response.picture) for one in all_found(worker)[:-1]] == [60, 61]


def test_a_quick_picture_comes_before_the_exact_one():
    worker, _ = synchronous()
    worker.order(Show(2_400_000, None, "near"))
    found = all_found(worker)
    assert [(number_in(one.response.picture), one.is_last) for one in found] == [
        (50, False), (60, True)
    ]  # fmt: skip


def test_a_quick_picture_that_is_the_exact_one_is_enough():
    worker, source = synchronous()
    worker.order(Show(2_000_000, None, "near"))
    [found] = all_found(worker)
    assert (number_in(found.response.picture), found.is_last) == (50, True)
    assert len(source.requests(PictureAt)) == 1


@pytest.mark.parametrize(("copied", "number"), [({60}, True), (set(), False)])
def test_a_copy_alone_will_do_where_it_is_asked_for(copied, number):
    worker, source = synchronous()
    source.copied = copied
    worker.order(Show(2_400_000, None, "copy", quick_alone=True))
    [found] = all_found(worker)
    assert (number_in(found.response.picture), found.response.picture.from_copy) == (60, number)


def test_a_failure_is_the_last_answer():
    worker, source = synchronous()
    source.failing = {60}
    worker.order(Show(2_400_000, None))
    [found] = all_found(worker)
    assert isinstance(found.response, Failed)
    assert found.is_last


def test_neighbours_are_prepared_only_after_the_picture_is_found():
    worker, source = synchronous()
    worker.order(Show(2_400_000, 960, n_behind=8, n_ahead=4))
    worker.work()
    assert worker.peek() is not None
    assert source.requests(Prepare) == []
    all_found(worker)
    [prepare] = source.requests(Prepare)
    assert (prepare.us, prepare.n_behind, prepare.n_ahead, prepare.max_side_px) == (
        2_400_000, 8, 4, 960
    )  # fmt: skip


def test_a_newer_order_takes_the_place_of_what_was_found_and_not_yet_taken():
    worker, source = synchronous()
    worker.order(Run(0, 400_000, None))
    for _ in range(4):
        worker.work()
    newest = worker.order(Show(800_000, None))
    found = all_found(worker)
    assert [(one.number, number_in(one.response.picture)) for one in found] == [(newest, 20)]
    assert len(source.requests(Cancel)) == 1


def test_told_to_stand_it_finds_nothing_more():
    worker, _ = synchronous()
    worker.order(Run(0, 400_000, None))
    worker.work()
    worker.stand()
    assert all_found(worker) == []


def test_no_more_is_found_while_the_queue_is_full():
    source = MadeSource()
    worker = PictureWorker(lambda progress: source, threaded=False, queue_bytes=30)
    worker.order(FILM)
    worker.work()
    worker.take()
    worker.order(Run(0, 4_000_000, None))
    while worker.work():
        pass
    assert source.n_decoded == 10
    worker.take()
    assert not worker.work()
    assert source.n_decoded == 11


def test_opening_tells_how_far_it_is_over_all_parts():
    shares = []

    class Told(MadeSource):
        def _opened(self, request):
            for done in (0, 50, 100, 20, 100):
                self._progress(done, 100)
                shares.append(worker.opening_share)
            self._progress(0, 0)  # a frame decoded on the way tells nothing of an opening
            return super()._opened(request)

    worker = PictureWorker(Told, threaded=False)
    assert worker.opening_share == 0.0
    worker.order(Open(OpenRecording(1, ("a.mp4", "b.mp4"))))
    worker.work()
    assert shares == [0.0, 0.25, 0.5, 0.6, 1.0]


def test_ids_are_its_own_and_never_used_twice():
    worker, source = synchronous()
    for _ in range(3):
        worker.order(Show(2_400_000, None, "near", n_ahead=1))
        all_found(worker)
    ids = [request.request_id for request in source.asked]
    assert len(set(ids)) == len(ids) == 9


# On its thread ----------------------------------------------------------------------------


def test_it_tells_when_something_is_found(started):
    worker, _ = started()
    woken = threading.Event()
    worker.on_found(woken.set)
    worker.order(FILM)
    assert woken.wait(10)
    assert isinstance(next_of(worker).response, Opened)


def test_a_newer_order_ends_the_decoding_under_way(started):
    worker, source = started(SlowSource)
    worker.order(FILM)
    next_of(worker)
    worker.order(Show(400_000, None))
    assert source.begun.acquire(timeout=10)
    newest = worker.order(Show(800_000, None))
    assert source.begun.acquire(timeout=10), "the first was let go of"
    source.let_go.set()
    found = next_of(worker)
    assert (found.number, number_in(found.response.picture)) == (newest, 20)
    assert stays_empty(worker)


def test_while_a_hand_drags_exact_pictures_wait_until_it_rests(started):
    worker, source = started()
    worker.order(FILM)
    next_of(worker)
    for us in (2_400_000, 4_400_000, 6_400_000):
        worker.order(Show(us, None, "near", waits=True))
        assert next_of(worker).response.picture.nearby
    begun_s = time.monotonic()
    found = next_of(worker)
    assert number_in(found.response.picture) == 160
    assert time.monotonic() - begun_s > REST_S / 2
    assert source.n_decoded == 1


def test_while_a_hand_drags_nothing_is_prepared_even_where_the_picture_is_exact(started):
    worker, source = started()
    source.at_hand = {50, 100, 150}
    worker.order(FILM)
    next_of(worker)
    for row in (50, 100, 150):
        worker.order(Show(40_000 * row, None, "near", waits=True, n_behind=8))
        assert number_in(next_of(worker).response.picture) == row
        time.sleep(REST_S / 6)
    assert source.requests(Prepare) == []
    until_s = time.monotonic() + 10
    while not source.requests(Prepare) and time.monotonic() < until_s:
        time.sleep(REST_S / 6)
    assert [prepare.us for prepare in source.requests(Prepare)] == [6_000_000]


def test_a_fault_of_the_readers_own_is_found_and_the_thread_goes_on(started):
    worker, source = started()
    source.breaking = {60}
    worker.order(FILM)
    next_of(worker)
    worker.order(Show(2_400_000, None))
    found = next_of(worker)
    assert isinstance(found.response, Broken)
    assert isinstance(found.response.error, ValueError)
    worker.order(Show(2_440_000, None))
    assert number_in(next_of(worker).response.picture) == 61


def test_opening_something_else_ends_an_opening_that_goes_on(started, monkeypatch):
    monkeypatch.syspath_prepend(HERE)
    import odd_sources

    worker, _ = started(partial(ReaderProcess, make_reader=odd_sources.OddSource))
    worker.order(Open(OpenRecording(1, (odd_sources.ENDLESS,))))
    time.sleep(1.0)
    newest = worker.order(Open(OpenRecording(2, ("film.mp4",))))
    found = next_of(worker, 20)
    assert (found.number, type(found.response)) == (newest, Opened)


def test_closing_ends_the_thread_within_two_seconds_even_where_reading_hangs(monkeypatch):
    monkeypatch.syspath_prepend(HERE)
    import odd_sources

    worker = PictureWorker(partial(ReaderProcess, make_reader=odd_sources.OddSource))
    worker.order(FILM)
    next_of(worker, 20)
    worker.order(Show(odd_sources.HANG_US, None))
    time.sleep(0.2)
    begun_s = time.monotonic()
    worker.close()
    assert time.monotonic() - begun_s < 2.0
    assert not [thread for thread in threading.enumerate() if thread.name == "pictures"]
    assert multiprocessing.active_children() == []


def test_closing_what_never_worked_starts_nothing():
    source = MadeSource()
    PictureWorker(lambda progress: source).close()
    assert source.is_closed


def test_a_reader_that_is_killed_is_survived(started, made, read_number):
    worker, _ = started(ReaderProcess)
    worker.order(Open(OpenRecording(1, (str(made("25_closed").path),))))
    next_of(worker, 20)
    [child] = multiprocessing.active_children()
    os.kill(child.pid, signal.SIGKILL)
    worker.order(Show(400_000, None))
    assert isinstance(next_of(worker, 20).response, Failed)
    worker.order(Show(800_000, None))
    found = next_of(worker, 20)
    assert isinstance(found.response, Shown)
    assert read_number(found.response.picture) == 20


def test_a_missing_film_is_answered(started):
    worker, source = started()
    worker.order(Open(OpenRecording(1, (MISSING,))))
    assert next_of(worker).response.slug == "recording-missing"
    assert source.requests(PicturesIn) == []
