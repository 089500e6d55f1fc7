"""Marks made by key on frames whose numbers other programs read, and what comes back of them."""

from __future__ import annotations

import random
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "media"))

from made_films.catalogue import ALL, film_path
from made_films.making import ProgramMissing as ProgramMissing
from made_films.numbered import number_of
from made_films.truth import truth_of
from tests.gui.hands import press, until

from aftercase.gui.window import Window
from aftercase.model.base import id_source
from aftercase.session.tasks.create import Wanted, new_case

KINDS = tuple(ALL)


def wrong_after_reopening(window: Window, kind: str, n_draws: int, folder: Path) -> list[str]:
    """Mark frames drawn at random by key, open the case again, and go to each draw's mark.

    Args:
        window: The window.
        kind: The kind of film.
        n_draws: How many frames are drawn, with repetition: some films have less than a hundred.
        folder: Where the case goes.

    Returns:
        What is wrong, in words: a mark that is not there, or a picture that is not the frame's.
    """
    chance = random.Random(kind)
    case = folder / kind
    new_case(case, Wanted("C1", "practice", films=(film_path(kind),)), window.at, id_source())
    truth = truth_of(kind)
    said = [pair for pair in zip(truth.starts_us, truth.numbers, strict=True) if None not in pair]
    drawn = chance.choices(said, k=n_draws)
    _open(window, case)
    wrong = []
    for us, number in dict.fromkeys(drawn):
        wrong += _looked(window, us, number)
        press(window, "Shift+P")
    until(lambda: window.desk.hand.saving.word == "saved")
    _open(window, case)
    marked = [flag.at_us for flag in window.desk.review.flags]
    if marked != sorted({us for us, _ in drawn}):
        wrong.append(f"marks at {marked}")
    chance.shuffle(drawn)
    for us, number in drawn:
        wrong += _looked(window, us, number)
    return wrong


def _open(window: Window, case: Path) -> None:
    window.open_path(case)
    until(lambda: window.desk is not None and window.player.is_exact)
    window.player.want_full(True)  # the number is read from single pixels


def _looked(window: Window, us: int, number: int) -> list[str]:
    """Go to a frame and return what is wrong with its picture."""
    player = window.player
    player.go_to(us)
    until(lambda: player.is_exact and window.desk.at_us == us)
    shown = number_of(player.shown)
    return [] if shown == number else [f"at {us}: frame {number} is marked, {shown} is shown"]
