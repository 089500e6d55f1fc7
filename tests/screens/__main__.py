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

SIZES = {"1280x720": (1280, 720, 1), "1920x1080": (1920, 1080, 1), "2x": (1280, 720, 2)}
THEMES = ("light", "dark")
PAGES = ("closing", "case", "settings", "keys", "new-case", "person", "find-film", "tour")
QUESTIONS = ("step", "event", "drawing", "about-step", "light")
DEMO_FILM_US = 70_000_000


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


def take(size: str, folder: Path) -> None:
    """Take the pictures of one size."""
    from PyQt6.QtWidgets import QApplication

    from aftercase.gui.app import made_window, put_away
    from aftercase.model.base import id_source
    from aftercase.session.people import Person, remember_person
    from aftercase.session.places import places
    from aftercase.session.tasks.demo import make_demo

    application = QApplication([])
    at = places()
    demo = make_demo(Path(tempfile.mkdtemp()) / "demo", at, id_source())
    from aftercase.session.opened import open_case

    [stored] = open_case(demo.case, at).reviews
    remember_person(at, Person(stored.record.reviewer, stored.record.role))
    window = made_window(application, at)
    width, height, _ = SIZES[size]
    window.resize(width, height)
    window.show()
    window.show_given((demo.case,))

    def until(holds: Callable[[], object], within_s: float = 20.0) -> None:
        give_up_s = time.monotonic() + within_s
        while not holds() and time.monotonic() < give_up_s:
            application.processEvents()
            time.sleep(0.002)

    def rest(seconds: float = 0.4) -> None:
        until(lambda: False, seconds)

    def shoot(name: str) -> None:
        rest()
        window.grab().save(str(folder / f"{name}-{size}-{window.theme.name}.png"))

    until(lambda: window.desk is not None and window.player.is_exact)
    for theme in THEMES:
        window.change_settings(theme=theme)
        window.enter("review")
        window.player.go_to(DEMO_FILM_US)
        until(lambda: window.player.is_exact)
        shoot("review")
        window.strip.open_up()
        shoot("review-strip-open")
        window.strip.open_up()
        for question in QUESTIONS:
            window.ask(question)
            shoot(f"ask-{question}")
            window._bench.stop_asking()
        window.enter("replay")
        window.replay("next")
        window.player.rest()
        shoot("replay")
        for page in PAGES:
            window.show_page(page)
            shoot(f"page-{page}")
            window.leave_page()
        window.enter("start")
        shoot("start")
    window.close()
    put_away(application, window)


if __name__ == "__main__":
    if sys.argv[1] == "--one":
        take(sys.argv[2], Path(sys.argv[3]))
    else:
        main(Path(sys.argv[1]))
