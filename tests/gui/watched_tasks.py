"""Long work in a window of its own process, watched: ``watched_tasks.py TASK FOLDER``.

A process that is new has loaded nothing yet: what is loaded late holds up this window as it does a
person's. Prints how long the window did not answer at most, and what it did then, as JSON.
"""

from __future__ import annotations

import json
import os
import shutil
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

if __name__ == "__main__":
    os.environ |= {
        "QT_QPA_PLATFORM": "offscreen",
        "AFTERCASE_HOME": str(Path(sys.argv[-1], "home")),
    }
    sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from PyQt6.QtWidgets import QApplication, QPushButton
from tests.conftest import make_film
from tests.gui.films_at_length import lengthened
from tests.gui.hands import press, type_text, until
from tests.gui.stalls import StallWatch

from aftercase.document.folder import new_review, write_review
from aftercase.gui.app import made_window, put_away
from aftercase.gui.window import Window
from aftercase.model.base import id_source
from aftercase.model.review import Event, Goal, InstrumentSpan, Remark, Review, StepSpan
from aftercase.session.opened import OpenedCase
from aftercase.session.people import Person, remember_person
from aftercase.session.places import Places, places
from aftercase.session.recents import remember_case
from aftercase.session.settings import change_settings
from aftercase.session.tasks.create import Wanted, new_case

SAMPLE = Path(__file__).resolve().parents[2] / "sample_media" / "demo.mp4"
S = 1_000_000
LONG_S = 120.0
A_LATER_TIMER_S = 0.8
"""What begins when nothing was pressed for a while has begun by then."""

new_id = id_source()


@dataclass(frozen=True)
class Watched:
    """A task that is watched.

    Attributes:
        prepare: Lays out what it needs, before there is a window; returns it.
        ready: Brings the window to where it begins, not watched.
        do: Does it, to its end, watched.
        small_copies: Whether small copies of films are made meanwhile, which takes some seconds.
    """

    prepare: Callable[[Path, Places], Path]
    do: Callable[[Window, Path], None]
    ready: Callable[[Window, Path], None] = lambda window, made: None
    small_copies: bool = False


# What is laid out -----------------------------------------------------------------------------


def a_case(folder: Path, at: Places, **header: object) -> OpenedCase:
    remember_person(at, Person("T01"))
    wanted = Wanted("C1", "cataract-phaco", films=(SAMPLE,), header=header)
    return new_case(folder / "case", wanted, at, new_id)


def case_of_a_long_film_without_table(folder: Path, at: Places) -> Path:
    film = lengthened(SAMPLE, 6, folder / "film.mp4")
    case = new_case(folder / "case", Wanted("C1", "practice", films=(film,)), at, new_id)
    for cache in (case.folder.path / "cache", at.cache):
        shutil.rmtree(cache, ignore_errors=True)
    return case.folder.path


def reviewed_case(folder: Path, at: Places) -> Path:
    """A case with two hundred marks of its teacher's."""
    case = a_case(folder, at)
    steps, instruments = case.guide.steps[:14], case.guide.instruments[:10]
    review = Review(
        id=new_id(),
        case=case.case.id,
        reviewer="T01",
        steps=tuple(
            StepSpan(id=new_id(), step=step.id, start_us=10 * n * S, end_us=10 * (n + 1) * S)
            for n, step in enumerate(steps)
        ),
        instruments=tuple(
            InstrumentSpan(
                id=new_id(), instrument=one.id, hand="main",
                start_us=(15 * turn + n) * S, end_us=(15 * turn + n + 1) * S,
            )
            for turn in range(10)
            for n, one in enumerate(instruments)
        ),
        events=tuple(
            Event(id=new_id(), at_us=3 * n * S, kind=case.guide.events[n % 5].id) for n in range(40)
        ),
        remarks=tuple(
            Remark(id=new_id(), at_us=3 * n * S, kind="work-on", text=f"remark {n}", starred=n < 5)
            for n in range(46)
        ),
    )  # fmt: skip
    write_review(case.folder, new_review(case.folder, review), review)
    return case.folder.path


def case_with_earlier_goals(folder: Path, at: Places) -> Path:
    for number in range(5):
        wanted = Wanted(
            f"E{number}", "cataract-phaco", duration_us=60 * S, header={"trainee": "R1"}
        )
        earlier = new_case(folder / f"earlier-{number}", wanted, at, new_id)
        goals = (Goal(id=new_id(), act=f"goal {number}"),)
        review = Review(id=new_id(), case=earlier.case.id, reviewer="T01", goals=goals)
        write_review(earlier.folder, new_review(earlier.folder, review), review)
        remember_case(at, earlier.folder.path, wanted.code)
    return a_case(folder, at, trainee="R1").folder.path


def checked_case(folder: Path, at: Places) -> Path:
    case = a_case(folder, at, identity_checked_by="T01")
    remember_case(at, case.folder.path, "C1")
    return case.folder.path


def two_films(folder: Path, at: Places) -> Path:
    films = folder / "films"
    films.mkdir()
    for number in (1, 2):
        make_film(films / f"REC0001_{number:02d}.MP4", 1000, first=1000 * (number - 1))
    return films


# What is done ---------------------------------------------------------------------------------


def open_case(window: Window, case: Path) -> None:
    window.open_path(case)
    until(lambda: window.desk is not None and window.player.is_exact, LONG_S)


def open_and_finish(window: Window, case: Path) -> None:
    open_case(window, case)
    until(lambda: not window.busy.is_busy, LONG_S)


def drop(window: Window, folder: Path) -> None:
    window.new_from((folder,))
    until(lambda: window.desk is not None and window.player.is_exact, LONG_S)


def write_report(window: Window, case: Path) -> None:
    press(window, "Ctrl+R")
    until(lambda: "The report is written" in window._words.text(), LONG_S)


def hand_over(window: Window, case: Path) -> None:
    for deed, state in (("seal", "sealed"), ("release", "released")):
        window.use(deed)
        until(lambda state=state: window.desk.review.state == state)
        until(lambda: window.desk.hand.saving.word == "saved")


def mark(window: Window, case: Path) -> None:
    press(window, "Return", "H", "A", "Shift+Right", "G", "B", "E", "A", "R")
    type_text(window, "- the left hand drifts")
    press(window, "Return", "Shift+Right", "H", "A", "0", "U")


def wait_for_the_still(window: Window, case: Path) -> None:
    window.enter("start")
    until(lambda: [row for row in window._start.cases.rows if row.still is not None], LONG_S)


def make_case_of_several(window: Window, films: Path) -> None:
    press(window, "Ctrl+N")
    page = window._sheet.page
    page.add_films((films,))
    until(lambda: len(page.order.films) == 2 and not window.busy.is_busy, LONG_S)
    [make] = [one for one in page.findChildren(QPushButton) if one.text() == "Make the case"]
    make.setFocus()
    press(window, "Space")
    until(lambda: window.desk is not None and window.player.is_exact, LONG_S)


def replay(window: Window, case: Path) -> None:
    hand_over(window, case)
    press(window, "Ctrl+3", "Down", "Down", "Up", "Ctrl+2", "Ctrl+1")


def play(window: Window, case: Path) -> None:
    """Play fast while small copies are made: both want this computer."""
    window.open_path(case)
    until(lambda: window.desk is not None and window.player.is_exact, LONG_S)
    window.player.play(4.0)
    until(lambda: not window.busy.is_busy, LONG_S)


TASKS = {
    "the frame table of a film": Watched(case_of_a_long_film_without_table, open_case),
    "opening a case": Watched(reviewed_case, open_case),
    "a case of a dropped film": Watched(
        lambda folder, at: lengthened(SAMPLE, 6, folder / "film.mp4"), drop
    ),
    "a new case of several films": Watched(two_films, make_case_of_several),
    "small copies while the film plays": Watched(reviewed_case, play, small_copies=True),
    "goals of earlier cases": Watched(case_with_earlier_goals, open_and_finish),
    "a still for the start page": Watched(checked_case, wait_for_the_still),
    "the first marks": Watched(lambda *of: a_case(*of).folder.path, mark, open_and_finish),
    "the report": Watched(reviewed_case, write_report, open_and_finish),
    "handing over": Watched(reviewed_case, hand_over, open_and_finish),
    "replaying": Watched(reviewed_case, replay, open_and_finish),
}


def main(name: str, folder: Path) -> None:
    task, at = TASKS[name], places()
    change_settings(at, scrub_copies=task.small_copies)
    made = task.prepare(folder, at)
    application = QApplication([])
    window = made_window(application, at)
    window.show()
    window.show_given(())
    until(lambda: not window._start.is_looking)
    task.ready(window, made)
    with StallWatch() as watch:
        task.do(window, made)
        later_s = time.monotonic() + A_LATER_TIMER_S
        until(lambda: time.monotonic() > later_s)
    window.busy.stop_all()
    window.close()
    put_away(application, window)
    print(json.dumps({"longest_s": watch.longest_s, "doing": watch.doing}))


if __name__ == "__main__":
    main(sys.argv[1], Path(sys.argv[2]))
