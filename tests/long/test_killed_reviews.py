"""``kill -9`` at random moments of a scripted review: nothing shown as saved is lost."""

import os
import random
import subprocess
import sys
import time
from pathlib import Path

from aftercase.model.base import id_source
from aftercase.model.review import RECORD_LISTS, Review
from aftercase.session.opened import open_case
from aftercase.session.places import places
from aftercase.session.tasks.create import Wanted, new_case

SAMPLE = Path(__file__).resolve().parents[2] / "sample_media" / "demo.mp4"
REVIEWING = Path(__file__).parent / "killed_reviews" / "reviewing.py"
N_KILLS = 100
LONGEST_S = 0.8


def _n_marks(review: Review) -> int:
    return sum(len(getattr(review, name)) for name in RECORD_LISTS)


def test_a_hundred_kills_lose_nothing_that_was_shown_as_saved(tmp_path):
    at, chance = places(), random.Random(9)
    wanted = Wanted("C1", "cataract-phaco", films=(SAMPLE,))
    case = new_case(tmp_path / "case", wanted, at, id_source()).folder.path
    n_shown = 0
    for kill in range(N_KILLS):
        running = subprocess.Popen(
            [sys.executable, str(REVIEWING), str(case)],
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            text=True,
            env=dict(os.environ),
        )
        assert running.stdout.readline().strip() == "ready"
        time.sleep(chance.uniform(0, LONGEST_S))
        running.kill()
        shown = running.stdout.read().splitlines(keepends=True)
        running.wait()
        running.stdout.close()
        whole = [line for line in shown if line.endswith("\n")]
        n_shown += len(whole)
        reviews = [one.record for one in open_case(case, at).reviews]
        if not whole:
            continue
        [on_disk] = reviews
        last = Review.model_validate_json(whole[-1])
        # What was shown last is on disk, or a later state of the same review.
        assert on_disk == last or _follows(on_disk, last), f"kill {kill}"
    assert n_shown > N_KILLS


def _follows(later: Review, earlier: Review) -> bool:
    """Claim that a review is what the next key or two make of an earlier one."""
    return abs(_n_marks(later) - _n_marks(earlier)) <= 2
