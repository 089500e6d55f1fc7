"""Tasks made up for tests: each does one thing a task may do; reached by name from a process."""

from __future__ import annotations

import os
import signal
import time
from pathlib import Path

from aftercase.errors import WriteFailed
from aftercase.media.watch import Watch

STEPS = 100


def count_up(text: str, *, watch: Watch) -> str:
    for done in range(STEPS + 1):
        watch.step(done, STEPS)
    return text.upper()


def go_on_for_ever(*, watch: Watch) -> None:
    watch.step(1, 2)
    while True:
        watch.step(1, 2)
        time.sleep(0.01)


def never_look_up(*, watch: Watch) -> None:
    watch.step(1, 2)
    while True:
        time.sleep(1)


def fill_the_disk(path: Path, *, watch: Watch) -> None:
    raise WriteFailed("The disk is full.", hint="Make room.", path=path)


def trip(*, watch: Watch) -> None:
    raise KeyError("a fault of our own")


def come_to_nothing_plain(*, watch: Watch) -> object:
    return lambda: None


def be_killed(*, watch: Watch) -> None:
    os.kill(os.getpid(), signal.SIGKILL)


def how_nice(*, watch: Watch) -> int:
    return os.nice(0)


def large(n_bytes: int, *, watch: Watch) -> bytes:
    return bytes(n_bytes)
