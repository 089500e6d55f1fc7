"""Take a picture of every room and page: ``python tests/screens FOLDER``, without a screen.

Two sizes and double pixels, light and dark; they are made to be looked at.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from aftercase.session.places import Places

SIZES = {"1280x720": (1280, 720, 1), "1920x1080": (1920, 1080, 1), "2x": (1280, 720, 2)}
THEMES = ("light", "dark")
PAGES = ("closing", "case", "settings", "keys", "new-case", "person", "find-film", "tour")
QUESTIONS = ("step", "event", "drawing", "about-step", "light")
DEMO_FILM_US = 70_000_000
ANSWERS = (
    ("understood", ""),
    ("understood", "I saw it on the second look."),
    ("not-yet", "From which hour on should I take the new grip? I held on because the flap lay "
     "flat until three o'clock, and every grip before had pulled it outward a little."),
)  # fmt: skip


def main(folder: Path) -> None:
    """Take all pictures, each size in a program of its own: a scale cannot be changed later."""
    folder.mkdir(parents=True, exist_ok=True)
    for size, (_, _, scale) in SIZES.items():
        environment = {
            **os.environ,
            "QT_QPA_PLATFORM": "offscreen",
            "QT_SCALE_FACTOR": str(scale),
            "AFTERCASE_HOME": tempfile.mkdtemp(),
        }
        subprocess.run(
            [sys.executable, __file__, "--one", size, str(folder)], env=environment, check=True
        )


class Camera:
    """Takes pictures of the window."""

    def __init__(self, application: Any, window: Any, folder: Path, size: str) -> None:
        self.application, self.window = application, window
        self._folder, self._size = folder, size

    def until(self, holds: Callable[[], object], within_s: float = 20.0) -> None:
        """Let the program go on until something holds."""
        give_up_s = time.monotonic() + within_s
        while not holds() and time.monotonic() < give_up_s:
            self.application.processEvents()
            time.sleep(0.002)

    def shoot(self, name: str, rest_s: float = 0.4) -> None:
        """Take a picture of the window as it is after a short rest."""
        self.until(lambda: False, rest_s)
        file = f"{name}-{self._size}-{self.window.theme.name}.png"
        self.window.grab().save(str(self._folder / file))

    def open(self) -> None:
        """Wait for the film of the case."""
        self.until(lambda: self.window.desk is not None and self.window.player.is_exact)


def take(size: str, folder: Path) -> None:
    """Take the pictures of one size."""
    from PyQt6.QtWidgets import QApplication

    from aftercase.gui.app import made_window, put_away
    from aftercase.session.people import Person, remember_person
    from aftercase.session.places import places

    application = QApplication([])
    at = places()
    case = _example(at)
    teacher, trainee = Person("T01", "teacher"), Person("R07", "trainee")
    remember_person(at, teacher)
    window = made_window(application, at)
    width, height, _ = SIZES[size]
    window.resize(width, height)
    window.show()
    window.show_given((case,))
    camera = Camera(application, window, folder, size)
    camera.open()
    for theme in THEMES:
        window.change_settings(theme=theme)
        _teachers_pictures(camera)
    window.be(trainee)
    camera.open()
    for theme in THEMES:
        window.change_settings(theme=theme)
        _residents_pictures(camera)
    window.close()
    put_away(application, window)


def _example(at: Places) -> Path:
    """Make the example case, an earlier one of the same resident, and the resident's answers."""
    from aftercase.document.codec import decoded
    from aftercase.document.folder import new_review, write_review
    from aftercase.edit.review import release
    from aftercase.model.base import id_source
    from aftercase.model.review import Closing, Origin, Reply, Review
    from aftercase.session.opened import open_case
    from aftercase.session.sample import FILM, REVIEW, sample_file
    from aftercase.session.tasks.create import Wanted, new_case
    from aftercase.session.tasks.demo import make_demo

    new_id = id_source()
    case = make_demo(Path(tempfile.mkdtemp()) / "demo", at, new_id).case
    opened = open_case(case, at)
    source = sample_file(REVIEW)
    said = decoded(Review, source.read_bytes(), source)
    wanted = Wanted("PE-009", "cataract-phaco", films=(sample_file(FILM),),
                    header={"trainee": opened.case.trainee})  # fmt: skip
    earlier = new_case(case.parent / "earlier", wanted, at, new_id)
    theirs = release(said.changed(id=new_id(), case=earlier.case.id, remarks=(), closing=Closing()))
    write_review(earlier.folder, new_review(earlier.folder, theirs), theirs)
    replies = tuple(
        Reply(
            id=new_id(),
            to=Origin(case=opened.case.id, reviewer="T01", revision=1, id=remark.id),
            at_us=remark.at_us,
            watched=True,
            understood=understood,
            text=text,
            asks=text.endswith("?"),
        )
        for remark, (understood, text) in zip(said.remarks, ANSWERS, strict=False)
    )
    late_us = 800_000
    steps = tuple(
        span.changed(id=new_id(), start_us=span.start_us + late_us, taken_over_us=None,
                     given_back_us=None)
        for span in said.steps[:-2]
    )  # fmt: skip
    own = Review(
        id=new_id(), case=opened.case.id, reviewer="R07", role="trainee", state="released",
        steps=steps, replies=replies,
    )  # fmt: skip
    write_review(opened.folder, new_review(opened.folder, own), own)
    return case


def _teachers_pictures(camera: Camera) -> None:
    window, shoot = camera.window, camera.shoot
    window.enter("review")
    window.player.go_to(DEMO_FILM_US)
    camera.until(lambda: window.player.is_exact)
    shoot("review")
    window.strip.open_up()
    shoot("review-strip-open")
    window.strip.open_up()
    for question in QUESTIONS:
        window.ask(question)
        shoot(f"ask-{question}")
        window._bench.stop_asking()
    for page in PAGES:
        window.show_page(page)
        shoot(f"page-{page}")
        window.leave_page()
    window.enter("start")
    camera.until(lambda: window._start._replies.isVisible())
    shoot("start")
    _press(window._start, "Read all in full")
    shoot("page-replies")
    window.leave_page()


def _residents_pictures(camera: Camera) -> None:
    window, shoot = camera.window, camera.shoot
    window.enter("replay")
    for _ in range(3):
        window.replay("next")
    camera.until(lambda: window.player.at_us > 38_000_000)
    window.player.rest()
    shoot("replay")
    window.replay("before")
    shoot("replay-before-the-case")
    window.replay("before")
    window.replay("both")
    shoot("page-both-sides")
    window.leave_page()
    for _ in range(3):
        window.replay("next")
    window.replay("beside")
    sides = window._sheet.page.sides
    camera.until(lambda: all(side.has_film and side.player.is_exact for side in sides))
    shoot("page-beside")
    window.leave_page()


def _press(place: Any, text: str) -> None:
    from PyQt6.QtWidgets import QPushButton

    for button in place.findChildren(QPushButton):
        if button.text() == text:
            button.click()


if __name__ == "__main__":
    if sys.argv[1] == "--one":
        take(sys.argv[2], Path(sys.argv[3]))
    else:
        main(Path(sys.argv[1]))
