"""What holds for every test: an own home, no thread left behind, no unexpected log."""

from __future__ import annotations

import itertools
import logging
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest

BESIDE = Path(__file__).resolve().parents[2] / "shared" / "data"
THREAD_GRACE_S = 2.0

_numbers = itertools.count()


@pytest.fixture(autouse=True)
def _own_home(
    tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch
) -> None:  # fmt: skip
    """Every test has program folders of its own, which do not exist yet."""
    home = tmp_path_factory.getbasetemp() / "homes" / str(next(_numbers))
    monkeypatch.setenv("AFTERCASE_HOME", str(home))


@pytest.fixture(autouse=True)
def _no_thread_left() -> Iterator[None]:
    """A thread that a test started and that goes on after it fails the test."""
    before = set(threading.enumerate())
    yield
    for thread in set(threading.enumerate()) - before:
        thread.join(THREAD_GRACE_S)
        if thread.is_alive():
            pytest.fail(f"the thread {thread.name} was left running")


class _Loud(logging.Handler):
    def __init__(self) -> None:
        super().__init__(logging.WARNING)
        self.said: list[str] = []

    def emit(self, record: logging.LogRecord) -> None:
        self.said.append(f"{record.name}: {record.getMessage()}")


@pytest.fixture(autouse=True)
def _no_unexpected_log(request: pytest.FixtureRequest) -> Iterator[None]:
    """A logged warning fails the test; one that expects logs takes `caplog`."""
    loud = _Loud()
    logging.getLogger().addHandler(loud)
    yield
    logging.getLogger().removeHandler(loud)
    if loud.said and "caplog" not in request.fixturenames:
        pytest.fail("logged unexpectedly: " + "; ".join(loud.said))


@pytest.fixture(scope="session")
def shared_data() -> Path:
    """The folder of data sets that lies beside the checkout and is not part of it."""
    if not BESIDE.is_dir():
        pytest.skip("no folder shared/data beside the checkout")
    return BESIDE
