"""What was being typed when the program ended is offered back."""

from __future__ import annotations

import os
import random
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from aftercase import storage
from aftercase.errors import WriteFailed
from aftercase.session.places import places
from aftercase.session.recovery import OpenText, Recovery

HERE = Path(__file__).parent
CASE = "c" * 26
KILLS = 12
WITHIN_S = 1.0


@pytest.fixture
def recovery_of(at):
    """Make the recovery of a reviewer; all are closed with the test."""
    made = []

    def make(reviewer="T01", case=CASE):
        made.append(Recovery(at, case, reviewer))
        return made[-1]

    yield make
    for one in made:
        one.close()


def files(at):
    return sorted((at.state / "recovery").rglob("*.json"))


def line(text, *, reviewer="T01", field="line"):
    return OpenText(CASE, reviewer, field, 40_000, "work-on", text)


def type_into(recovery, text, field="line"):
    recovery.keep(field, text, at_us=40_000, kind="work-on")


def test_at_first_nothing_is_left(recovery_of, at):
    recovery = recovery_of()
    assert recovery.left == ()
    assert recovery.close().word == "saved"
    assert files(at) == []


def test_a_text_that_was_open_is_offered_the_next_time(recovery_of):
    first = recovery_of()
    type_into(first, "turn the pro")
    type_into(first, "turn the probe — slowly")
    type_into(first, "why?", "remark/1")
    first.close()
    assert set(recovery_of().left) == {
        line("turn the probe — slowly"),
        line("why?", field="remark/1"),
    }


def test_what_was_kept_as_a_remark_is_not_offered(recovery_of, at):
    recovery = recovery_of()
    type_into(recovery, "turn the probe")
    recovery.clear("line")
    recovery.clear("never typed in")
    recovery.close()
    assert files(at) == []


def test_a_text_that_was_emptied_is_not_offered(recovery_of, at):
    recovery = recovery_of()
    type_into(recovery, "t")
    type_into(recovery, " ")
    recovery.close()
    assert files(at) == []


def test_a_text_that_was_offered_stays_until_it_is_answered(recovery_of, at):
    first = recovery_of()
    type_into(first, "turn the probe")
    first.close()
    second = recovery_of()
    type_into(second, "another text in the same field")
    second.close()
    third = recovery_of()
    assert {one.text for one in third.left} == {"turn the probe", "another text in the same field"}
    for one in third.left:
        third.answer(one)
    assert third.left == ()
    third.close()
    assert files(at) == []


def test_texts_of_others_and_of_other_cases_are_not_offered(recovery_of):
    for reviewer, case in (("T02", CASE), ("T0", CASE), ("T01", "d" * 26)):
        other = recovery_of(reviewer, case)
        type_into(other, "not yours")
        other.close()
    assert recovery_of().left == ()


def test_what_was_typed_before_anybody_said_who_they_are_is_offered_to_whoever_comes(recovery_of):
    nobody = recovery_of("me")
    type_into(nobody, "turn the probe")
    nobody.close()
    assert recovery_of("T01").left == (line("turn the probe", reviewer="me"),)


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"{",
        b"[]",
        b'{"case": "c", "reviewer": "T01"}',
        b'{"case":"c","reviewer":"T01","field":"line","at_us":"0","kind":"","text":"x"}',
        b'{"case":"c","reviewer":"T01","field":"line","at_us":true,"kind":"","text":"x"}',
    ],
)
def test_what_cannot_be_read_is_passed_over(content, recovery_of, at):
    folder = at.state / "recovery" / CASE
    folder.mkdir(parents=True)
    (folder / "T01.0.json").write_bytes(content)
    assert recovery_of().left == ()


def test_a_full_disk_is_told_and_the_next_key_tries_again(recovery_of, monkeypatch):
    recovery = recovery_of()

    def full(path, content):
        raise WriteFailed("The disk is full.", hint="Make room.")

    with monkeypatch.context() as patched:
        patched.setattr(storage, "write_atomic", full)
        type_into(recovery, "turn the probe")
        assert recovery.wait(5.0).word == "not-saved"
    type_into(recovery, "turn the probe s")
    assert recovery.wait(5.0).word == "saved"
    recovery.close()
    assert [one.text for one in recovery_of().left] == ["turn the probe s"]


@pytest.mark.skipif(sys.platform == "win32", reason="there is no kill -9 there")
def test_after_a_kill_the_text_is_at_most_a_second_old(at):
    chance = random.Random(9)
    ages_s = []
    for _ in range(KILLS):
        killed_s, typed = _killed_while_typing(chance.uniform(0.05, 0.5))
        left = _left_texts()
        assert [one.text for one in left] == [f"turn the probe {one.at_us}" for one in left]
        # What was handed in after the text that is on the disk was lost.
        found = max((one.at_us for one in left), default=-1)
        lost_s = [typed_s for number, typed_s in typed.items() if number > found]
        ages_s.append(killed_s - min(lost_s) if lost_s else 0.0)
        for file in files(places()):
            file.unlink()
    print(f"{KILLS} kills: the oldest text lost was {max(ages_s) * 1000:.0f} ms old")
    assert max(ages_s) < WITHIN_S


def _left_texts():
    recovery = Recovery(places(), CASE, "T01")
    recovery.close()
    return recovery.left


def _killed_while_typing(wait_s):
    """Return when a typing program was killed, and what it had handed in by when."""
    with subprocess.Popen(
        [sys.executable, HERE / "typing_away.py"], stdout=subprocess.PIPE, text=True
    ) as program:
        assert program.stdout is not None
        first = program.stdout.readline()
        time.sleep(wait_s)
        killed_s = time.monotonic()
        os.kill(program.pid, signal.SIGKILL)
        rest = program.stdout.read().splitlines()
    whole = [entry.split() for entry in [first, *rest] if len(entry.split()) == 2]
    return killed_s, {int(number): float(typed_s) for number, typed_s in whole}
