"""A task in a process of its own: its end is told, whatever the end is, and nobody waits."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from functools import partial
from pathlib import Path

import pytest

from aftercase.errors import WorkStopped, WriteFailed
from aftercase.session.background import Outcome, TaskProcess

HERE = Path(__file__).parent
SOON_S = 30.0
AT_ONCE_S = 0.05

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="signals are of another kind there")


@pytest.fixture
def tasks(monkeypatch):
    """The made-up tasks; the process finds their module by the same search path."""
    monkeypatch.syspath_prepend(HERE)
    import made_tasks

    return made_tasks


@pytest.fixture
def begun():
    """Begin tasks that are ended with the test."""
    processes = []

    def begin(*args, **options):
        processes.append(TaskProcess(*args, **options))
        return processes[-1]

    yield begin
    for process in processes:
        process.close()


def wait_until(claim, seconds=SOON_S):
    end = time.monotonic() + seconds
    while not claim():
        assert time.monotonic() < end, "nothing came of it"
        time.sleep(0.01)


def is_running(pid):
    """Claim that a process is there and not merely unburied."""
    try:
        return Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0] != "Z"
    except FileNotFoundError:
        return False


def test_a_result_comes_back_with_all_steps_done(tasks, begun):
    process = begun(tasks.count_up, "done")
    assert process.poll(SOON_S) == Outcome(result="DONE")
    assert process.progress == (100, 100)
    assert process.poll() == Outcome(result="DONE")  # it can be asked again


def test_a_task_may_be_given_some_of_its_arguments_beforehand(tasks, begun):
    assert begun(partial(tasks.count_up, "so")).poll(SOON_S).result == "SO"


def test_nobody_waits_for_a_task_that_goes_on(tasks, begun):
    process = begun(tasks.go_on_for_ever)
    assert process.progress == (0, 0)
    wait_until(lambda: process.progress == (1, 2))
    before = time.perf_counter()
    assert [process.poll() for _ in range(100)] == [None] * 100
    process.cancel()
    assert time.perf_counter() - before < AT_ONCE_S


def test_a_cancelled_task_says_so(tasks, begun):
    process = begun(tasks.go_on_for_ever)
    wait_until(lambda: process.progress == (1, 2))
    process.cancel()
    assert process.poll(SOON_S) == Outcome(is_cancelled=True)


def test_one_that_does_not_listen_is_ended_after_a_while(tasks, begun):
    process = begun(tasks.never_look_up, leave_s=0.2)
    wait_until(lambda: process.progress == (1, 2))
    process.cancel()
    assert process.poll() is None
    wait_until(lambda: process.poll() == Outcome(is_cancelled=True), 5.0)


def test_one_that_was_done_before_it_was_cancelled_has_its_result(tasks, begun):
    process = begun(tasks.count_up, "done")
    wait_until(lambda: process.progress == (100, 100))
    time.sleep(0.1)
    process.cancel()
    assert process.poll(SOON_S).result == "DONE"


def test_a_fault_of_the_world_comes_back_whole(tasks, begun, tmp_path):
    outcome = begun(tasks.fill_the_disk, tmp_path).poll(SOON_S)
    assert isinstance(outcome.fault, WriteFailed)
    assert (outcome.fault.message, outcome.fault.hint) == ("The disk is full.", "Make room.")
    assert outcome.fault.path == str(tmp_path)
    assert outcome.result is None
    assert not outcome.is_cancelled


def test_a_fault_of_our_own_surfaces_once_with_its_trace(tasks, begun):
    process = begun(tasks.trip)
    with pytest.raises(RuntimeError, match=r"(?s)made_tasks\.py.*a fault of our own"):
        process.poll(SOON_S)
    assert process.poll() == Outcome(is_cancelled=True)


def test_a_result_that_cannot_be_sent_is_a_fault_of_our_own(tasks, begun):
    with pytest.raises(RuntimeError, match="pickle"):
        begun(tasks.come_to_nothing_plain).poll(SOON_S)


def test_a_killed_process_is_a_fault_of_the_world(tasks, begun):
    outcome = begun(tasks.be_killed).poll(SOON_S)
    assert isinstance(outcome.fault, WorkStopped)
    assert "memory" in outcome.fault.hint


def test_a_task_is_nice_to_whoever_looks_at_the_film(tasks, begun):
    assert begun(tasks.how_nice).poll(SOON_S).result == os.nice(0) + 10


def test_a_large_result_arrives(tasks, begun):
    outcome = begun(tasks.large, 20_000_000).poll(SOON_S)
    assert len(outcome.result) == 20_000_000


def test_closing_ends_it_at_once(tasks):
    process = TaskProcess(tasks.never_look_up)
    pid = process.pid
    wait_until(lambda: process.progress == (1, 2))
    before = time.perf_counter()
    process.close()
    assert time.perf_counter() - before < 1.0
    assert not is_running(pid)


def test_closing_one_that_has_ended_is_fine(tasks):
    process = TaskProcess(tasks.count_up, "done")
    assert process.poll(SOON_S).result == "DONE"
    process.close()


ASKER = """
import sys, time
sys.path.insert(0, {here!r})
import made_tasks
from aftercase.session.background import TaskProcess

if __name__ == "__main__":
    process = TaskProcess(made_tasks.never_look_up)
    while process.progress != (1, 2):
        time.sleep(0.01)
    print(process.pid, flush=True)
    time.sleep(60)
"""


def test_a_task_does_not_outlive_who_asked_for_it(tmp_path):
    script = tmp_path / "asker.py"
    script.write_text(ASKER.format(here=str(HERE)), encoding="utf-8")
    with subprocess.Popen([sys.executable, script], stdout=subprocess.PIPE, text=True) as asker:
        assert asker.stdout is not None
        pid = int(asker.stdout.readline())
        assert is_running(pid)
        os.kill(asker.pid, signal.SIGKILL)
    wait_until(lambda: not is_running(pid), 5.0)
