"""Marks made by key come back on the same frame, read off the picture's own burnt-in number."""

import random
import sys
from pathlib import Path

import pytest

MEDIA = Path(__file__).parents[1] / "media"


def _catalogue():
    sys.path.insert(0, str(MEDIA))
    from made_films.catalogue import ALL, film_path  # beside the media tests
    from made_films.numbered import number_of

    return ALL, film_path, number_of


ALL, film_path, number_of = _catalogue()
EVERY = [name for name, made in ALL.items() if getattr(made, "losses", range(1)) == range(1)]


@pytest.mark.parametrize("name", EVERY)
def test_marks_made_by_key_come_back_on_their_frames(name, window, until, press, tmp_path):
    """A share of the hundred marks on each kind of film; all kinds together have far more."""
    try:
        film = film_path(name)
    except Exception as missing:  # a program that makes films is missing
        pytest.skip(str(missing))
    from aftercase.session.tasks.create import Wanted, new_case

    ids = window._opening._new_id
    case = new_case(tmp_path / "case", Wanted("C1", "practice", films=(film,)), window.at, ids)
    window.open_path(case.folder.path)
    until(lambda: window.desk is not None and window.player.is_exact)
    chance = random.Random(name)
    frames = window.desk.frames
    seen = {}
    for _ in range(4):
        us = frames.stepped(frames.start_us, chance.randrange(len(frames)))
        window.player.go_to(us)
        until(lambda us=us: window.player.is_exact and window.desk.at_us == us)
        if window.player.shown.damaged:
            continue
        press(window, "Shift+P")
        seen[us] = number_of(_full(window, until))
    until(lambda: window.desk.hand.saving.word == "saved")
    window.open_path(case.folder.path)
    until(lambda: window.desk is not None and window.player.is_exact)
    flags = [flag.at_us for flag in window.desk.review.flags]
    assert flags == sorted(seen)
    for at_us in flags:
        window.player.go_to(at_us)
        until(lambda at_us=at_us: window.player.is_exact and window.desk.at_us == at_us)
        assert number_of(_full(window, until)) == seen[at_us]


def _full(window, until):
    """Return the shown frame at full size: its number is read from single pixels."""
    window.player.want_full(True)
    until(lambda: window.player.is_exact and window.player.shown.pixels.width_px > 0)
    return window.player.shown
