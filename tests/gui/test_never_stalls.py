"""The window answers all the time, whatever goes on in the background."""

import json
import subprocess
import sys
import time
from pathlib import Path

import pytest
from tests.gui.hands import let_go_on
from tests.gui.stalls import STALL_S, StallWatch
from tests.gui.watched_tasks import TASKS

PROGRAM = Path(__file__).with_name("watched_tasks.py")
N_TRIES = 3
"""What we hold up, we hold up each time; what a busy computer does, it does now and then."""


def watched(task, folder):
    """Return how long a new window did not answer at most during a task, and what it did then."""
    folder.mkdir()
    command = [sys.executable, str(PROGRAM), task, str(folder)]
    done = subprocess.run(command, capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    said = json.loads(done.stdout.splitlines()[-1])
    return said["longest_s"], said["doing"]


@pytest.mark.parametrize("task", TASKS)
def test_the_window_answers_within_a_fifth_of_a_second_during(task, tmp_path):
    stalls = []
    for attempt in range(N_TRIES):
        stalls.append(watched(task, tmp_path / str(attempt)))
        if stalls[-1][0] < STALL_S:
            return
    longest_s, doing = min(stalls)
    pytest.fail(f"the window did not answer for {longest_s:.2f} s while it did:\n{doing}")


def a_long_thought():
    time.sleep(1.5 * STALL_S)


def test_the_watch_sees_a_stall_and_what_was_done_meanwhile(qapp):
    with StallWatch() as watch:
        let_go_on()
        a_long_thought()
        let_go_on()
    assert 1.5 * STALL_S <= watch.longest_s < 5 * STALL_S
    assert "a_long_thought" in watch.doing
