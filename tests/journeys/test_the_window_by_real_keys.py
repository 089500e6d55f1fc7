"""The teacher's and the resident's story in a real window, by real key events on a real display."""

import contextlib
import json
import os
import shutil
import subprocess
import sys
import time
from pathlib import Path

import pytest

SAMPLE = Path(__file__).resolve().parents[2] / "sample_media" / "demo.mp4"
PROGRAMS = ("Xvfb", "xdotool")
PATIENCE_S = 40.0


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

    def review(self):
        drafts = sorted((self.home / "data" / "drafts").rglob("*.r*.json"))
        closed = sorted((self.home / "data" / "cases").rglob("reviews/*.json"))
        files = [one for one in (*drafts, *closed) if one.parent.name != "earlier"]
        return json.loads(files[-1].read_text("utf-8")) if files else {}

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


def test_a_teacher_marks_remarks_closes_and_releases_by_keys_alone(hands):
    with hands.program(SAMPLE):
        hands.wait(lambda: list((hands.home / "data" / "cases").glob("*/case.json")))
        time.sleep(3.0)  # the window shows the case when its film is open
        hands.press("Return")
        hands.wait(lambda: len(hands.review()["steps"]) == 1)
        hands.press("space")
        time.sleep(2.0)
        hands.press("Return")
        hands.wait(lambda: len(hands.review()["steps"]) == 2)
        hands.press("0")
        hands.wait(lambda: len(hands.review()["pauses"]) == 1)
        hands.press("r")
        hands.type("- turn the eye less")
        hands.press("ctrl+Return")
        hands.wait(lambda: len(hands.review()["remarks"]) == 1)
        review = hands.review()
    assert [step["step"] for step in review["steps"]] == ["side-port", "viscoelastic-in"]
    assert review["steps"][0]["end_us"] == review["steps"][1]["start_us"] > 0
    [remark] = review["remarks"]
    assert (remark["kind"], remark["text"], remark["starred"]) == (
        "work-on",
        "turn the eye less",
        True,
    )


def test_killed_in_the_middle_it_opens_where_it_was_with_the_open_text(hands):
    with hands.program(SAMPLE) as running:
        hands.wait(lambda: list((hands.home / "data" / "cases").glob("*/case.json")))
        time.sleep(3.0)
        hands.press("Return", "0")
        hands.wait(lambda: len(hands.review()["pauses"]) == 1)
        hands.press("r")
        hands.type("half a thou")
        time.sleep(1.5)  # an open text is on disk within a second
        running.kill()
    [case] = [path.parent for path in (hands.home / "data" / "cases").glob("*/case.json")]
    with hands.program(case):
        time.sleep(4.0)
        hands.press("r")
        hands.type("ght")
        hands.press("Return")
        hands.wait(lambda: len(hands.review()["remarks"]) == 1)
        review = hands.review()
    assert review["remarks"][0]["text"] == "half a thought"
    assert len(review["steps"]) == 1
    assert len(review["pauses"]) == 1
