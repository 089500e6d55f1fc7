"""Case after case in one window: what was put away is gone; the two hours are in tests/long."""

import random

import pytest
from tests.gui.conftest import SAMPLE
from tests.gui.hands import until
from tests.gui.left_behind import counted, on_linux
from tests.gui.sitting import FAST_S, S, Sitting

from aftercase.session.settings import change_settings
from aftercase.session.tasks.create import Wanted, new_case

N_OPENINGS = 5


@pytest.fixture
def two_cases(at, new_id, tmp_path):
    change_settings(at, scrub_copies=False)  # they take longer than all the rest
    return [
        new_case(tmp_path / code, Wanted(code, "practice", films=(SAMPLE,)), at, new_id).folder.path
        for code in ("C1", "C2")
    ]


def put_on_desk(window, folder):
    window.open_path(folder)
    until(lambda: window.desk is not None and window.player.is_exact)
    until(lambda: not window.busy.is_busy)


@on_linux
def test_a_case_that_was_put_away_leaves_nothing_behind(two_cases, window):
    for folder in two_cases:
        put_on_desk(window, folder)
    before = counted()
    for number in range(N_OPENINGS):
        put_on_desk(window, two_cases[number % 2])
        window.show_page("case")
        window.leave_page()
        window.enter("replay")
    window.enter("review")
    until(lambda: True)
    assert counted() == before
    assert before["cases"] == before["rooms of cases"] == 1


@on_linux
def test_a_round_of_all_that_a_review_takes_leaves_nothing_behind(two_cases, window):
    """A minute of film at 4x, marked, undone, dragged along; pages and rooms; and once more."""
    put_on_desk(window, two_cases[0])
    sitting = Sitting(window, random.Random(1))
    sitting.do_a_round()
    assert sitting.played_us > FAST_S * S
    put_on_desk(window, two_cases[0])
    before = counted()
    sitting.do_a_round()
    put_on_desk(window, two_cases[0])
    assert counted() == before
