"""A day of eight cases, a quarter of an hour of film each, in one window: nothing piles up.

Film is played mostly at 4x, so that two hours of it pass in somewhat over half an hour. Only what
is played counts, not what is jumped over. It begins with the reader's and the window's stores of
pictures full: they have limits of their own, and are to be had.
"""

from __future__ import annotations

import random
import shutil
import time
from pathlib import Path

import pytest
from tests.gui.films_at_length import lengthened
from tests.gui.hands import until
from tests.gui.left_behind import counted, held_mb, on_linux
from tests.gui.sitting import S, Sitting

from aftercase.session.tasks.create import Wanted, new_case

SAMPLE = Path(__file__).resolve().parents[2] / "sample_media" / "demo.mp4"
N_CASES, N_TIMES, SAMPLE_S = 8, 6, 156
N_OPENINGS = 2
"""Each case is left and opened again half way."""

TWO_HOURS_US = 2 * 3600 * S
MOST_GROWN_MB = 150.0
COPIED_S = 900.0


@pytest.fixture
def folders(at, new_id, tmp_path):
    """Cases of a quarter of an hour of film: one to warm up with, and those of the day."""
    film = lengthened(SAMPLE, N_TIMES, tmp_path / "film.mp4")
    cases = []
    for number in range(N_CASES + 1):
        wanted = Wanted(f"C{number}", "cataract-phaco", films=(film,))
        cases.append(new_case(tmp_path / wanted.code, wanted, at, new_id).folder.path)
    return cases


@on_linux
def test_two_hours_of_film_end_with_the_memory_they_began_with(window, folders):
    sitting = Sitting(window, random.Random(2))
    first, *day = folders
    put_on_desk(window, first)
    for folder in day:  # small copies of the same film; made anew they would take most of the time
        shutil.copytree(first / "cache", folder / "cache", dirs_exist_ok=True)
    sitting.warm_up()
    sitting.begin_to_count()
    start_mb = told("start", sitting)
    for folder in day:
        for _ in range(N_OPENINGS):
            put_on_desk(window, folder)
            sitting.go_through(N_TIMES * SAMPLE_S * S // N_OPENINGS)
        end_mb = told(folder.name, sitting)
    assert sitting.played_us >= TWO_HOURS_US
    assert end_mb - start_mb < MOST_GROWN_MB


def put_on_desk(window, folder):
    window.open_path(folder)
    until(lambda: window.desk is not None and window.player.is_exact)
    until(lambda: not window.busy.is_busy, COPIED_S)
    window.film.setFocus()


def told(words, sitting):
    """Say what is held now, and return it in all."""
    counts, held = counted(), held_mb()
    print(
        f"{words} at {time.strftime('%X')}: {sitting.played_us / S:.0f} s of film played,",
        f"{sitting.n_pictures} pictures, {sitting.n_marks} marks,",
        {name: f"{mb:.0f} MB" for name, mb in held.items()},
        counts,
        flush=True,
    )
    return sum(held.values())
