"""``kill -9`` at random moments of a scripted review: nothing shown as saved is lost."""

import os
import random
import signal
import subprocess
import sys
import time
from pathlib import Path

from aftercase.model.base import id_source
from aftercase.session.opened import open_case
from aftercase.session.places import places
from aftercase.session.tasks.create import Wanted, new_case

SAMPLE = Path(__file__).resolve().parents[2] / "sample_media" / "demo.mp4"
REVIEWING = Path(__file__).parent / "killed_reviews" / "reviewing.py"
N_KILLS = 100
MOST_EDITS, LONGEST_S = 12, 0.1
"""A kill comes after so many edits at most, and so long after the last of them."""

ONE_WHILE_OPENING = 10
"""One kill of so many comes while the window still opens."""

OPENING_S = 2.0


def killed(case, number, chance, log):
    """Review until killed; return what was said of it, line by line."""
    running = subprocess.Popen(
        [sys.executable, str(REVIEWING), str(case), str(number)],
        stdout=subprocess.PIPE,
        stderr=log,
        text=True,
        env=dict(os.environ),
    )
    if number % ONE_WHILE_OPENING == 0:
        said = ""
        time.sleep(chance.uniform(0, OPENING_S))
    else:
        said, n_edits = "", chance.randrange(MOST_EDITS + 1)
        while said.count("\nmade") < n_edits or not said:
            said += running.stdout.readline()
        time.sleep(chance.uniform(0, LONGEST_S))
    running.kill()
    said += running.stdout.read()
    running.wait()
    running.stdout.close()
    assert running.returncode == -signal.SIGKILL, f"it ended by itself, see {log.name}"
    whole = said[: said.rfind("\n") + 1]
    return [tuple(line.split()) for line in whole.splitlines()]


def test_a_hundred_kills_lose_nothing_that_was_shown_as_saved(tmp_path):
    at, chance = places(), random.Random(9)
    wanted = Wanted("C1", "cataract-phaco", films=(SAMPLE,))
    case = new_case(tmp_path / "case", wanted, at, id_source()).folder.path
    before, n_made, n_shown, n_under_way = "None", 0, 0, 0
    with (tmp_path / "log").open("w", encoding="utf-8") as log:
        for number in range(N_KILLS):
            said = killed(case, number, chance, log)
            on_disk = digest_on_disk(case, at)
            if not said:
                assert on_disk == before, f"kill {number}: only opened, and yet changed"
                continue
            assert said[0] == ("opened", before), f"kill {number}: the disk's was not opened"
            versions, shown = versions_of(said)
            assert on_disk in versions, f"kill {number}: the disk has what was never made"
            there, last = last_place(versions, on_disk), max(shown, default=0)
            assert there >= last, (
                f"kill {number}: {there} is on the disk, {last} was shown as saved"
            )
            before = on_disk
            n_made += len(versions) - 1
            n_shown += len(shown)
            n_under_way += there < len(versions) - 1
    print(f"{n_made} edits, {n_shown} shown as saved; {n_under_way} kills while one was saved")
    assert n_shown > N_KILLS
    assert n_under_way > 0, "no kill came while something was being saved"


def digest_on_disk(case, at):
    reviews = open_case(case, at).reviews
    assert len(reviews) <= 1
    return reviews[0].digest if reviews else "None"


def versions_of(said):
    """Return what was made, in order, and the places of those that were shown as saved.

    Undo makes an earlier version again; what is shown is the one that was made last by then.
    """
    versions, shown = [], set()
    for word, digest in said:
        if word == "shows":
            shown.add(last_place(versions, digest))
        else:
            versions.append(digest)
    return versions, shown


def last_place(versions, digest):
    """Return the last place of a version; undo makes an earlier one again."""
    return len(versions) - 1 - versions[::-1].index(digest)
