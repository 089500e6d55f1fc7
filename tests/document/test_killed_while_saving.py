"""A program that is killed while it saves loses nothing it has reported as saved."""

from __future__ import annotations

import os
import random
import select
import signal
import sys
import time

import pytest

from aftercase.document import kept
from aftercase.document.files import Stored, read_document, write_document
from aftercase.edit import records
from aftercase.model.review import InstrumentSpan, Review
from aftercase.storage import TEMPORARY_SUFFIX

KILLS = 200
LONGEST_WAIT_S = 0.012

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="there is no fork there")


def some_id(number):
    return f"id{number:024d}"


def edit_number(review):
    """Return the number of the edit a review came from; it is written into its last span."""
    return int(review.instruments[-1].note)


def save_for_ever(path, report):
    """Edit and save, and report each edit's number after its save came back."""
    stored = read_document(Review, path)
    number = edit_number(stored.record)
    while True:
        number += 1
        last = stored.record.instruments[-1].id
        stored = write_document(stored, records.change(stored.record, last, note=str(number)))
        os.write(report, f"{number}\n".encode())


def killed_while_saving(path, wait_s):
    """Let another process save, kill it some time after its first save, return what it reported."""
    reading, writing = os.pipe()
    child = os.fork()
    if child == 0:
        try:
            save_for_ever(path, writing)
        finally:
            os._exit(1)
    os.close(writing)
    select.select([reading], [], [], 30)
    time.sleep(wait_s)
    os.kill(child, signal.SIGKILL)
    _, status = os.waitpid(child, 0)
    with os.fdopen(reading, "rb") as pipe:
        reported = pipe.read().split()
    assert os.WTERMSIG(status) == signal.SIGKILL, "it ended by itself"
    return int(reported[-1])


def test_200_kills_leave_200_readable_reviews_none_older_than_the_last_edit_reported(tmp_path):
    path = tmp_path / "T1.r1.json"
    spans = tuple(
        InstrumentSpan(
            id=some_id(n), instrument="knife", start_us=n * 10, end_us=n * 10 + 9, note="0"
        )
        for n in range(150)
    )
    review = Review(id=some_id(1000), case=some_id(1001), reviewer="T1", instruments=spans)
    write_document(Stored(path, review, None), review)
    chance = random.Random(200)
    ahead = 0
    for _ in range(KILLS):
        reported = killed_while_saving(path, chance.uniform(0, LONGEST_WAIT_S))
        found = edit_number(read_document(Review, path).record)
        assert found in (reported, reported + 1)
        ahead += found - reported
    for version in kept.kept_versions(path):
        read_document(Review, version)
    halves = len(list(tmp_path.rglob(f"*{TEMPORARY_SUFFIX}")))
    print(f"{KILLS} kills at edit {found}: {ahead} saved but not reported, {halves} half files")
    assert halves > 0, "no kill hit a save while it was writing"
