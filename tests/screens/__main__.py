"""Take a picture of every room and page, without a screen: ``python tests/screens FOLDER``.

Two sizes and double pixels, light and dark; they are made to be looked at. Patterns after the
folder take only those whose names match: ``python tests/screens FOLDER 'ask-*' '*-2x-dark'``.
"""

from __future__ import annotations

import argparse
import os
import subprocess
import sys
import tempfile
from pathlib import Path

SIZES = {"1280x720": (1280, 720, 1), "1920x1080": (1920, 1080, 1), "2x": (1280, 720, 2)}
THEMES = ("light", "dark")


def main() -> None:
    """Take all pictures, each size in a program of its own: a scale cannot be changed later."""
    parser = argparse.ArgumentParser(prog="tests/screens", description=__doc__)
    parser.add_argument("folder", type=Path, help="where the pictures go")
    parser.add_argument("wanted", nargs="*", help="patterns of the pictures that are wanted")
    parser.add_argument("--size", choices=SIZES, help="only this size")
    parser.add_argument("--inside", action="store_true", help=argparse.SUPPRESS)
    chosen = parser.parse_args()
    chosen.folder.mkdir(parents=True, exist_ok=True)
    if chosen.inside:
        take(chosen.size, chosen.folder, tuple(chosen.wanted))
        return
    for size in [chosen.size] if chosen.size else SIZES:
        take_elsewhere(size, chosen.folder, chosen.wanted)


def take_elsewhere(size: str, folder: Path, wanted: list[str]) -> None:
    """Take the pictures of one size in a program of its own."""
    with tempfile.TemporaryDirectory() as home:
        environment = {
            **os.environ,
            "QT_QPA_PLATFORM": "offscreen",
            "QT_SCALE_FACTOR": str(SIZES[size][2]),
            "AFTERCASE_HOME": home,
        }
        command = [sys.executable, __file__, str(folder), *wanted, "--size", size, "--inside"]
        subprocess.run(command, env=environment, check=True)


def take(size: str, folder: Path, wanted: tuple[str, ...]) -> None:
    """Take the pictures of one size in this program."""
    from camera import Camera
    from example import made_example
    from pictures import SITTINGS, TEACHER, take_pictures
    from PyQt6.QtWidgets import QApplication

    from aftercase.gui.app import made_window, put_away
    from aftercase.session.people import remember_person
    from aftercase.session.places import places

    application = QApplication([])
    at = places()
    case = made_example(at)
    remember_person(at, TEACHER)
    window = made_window(application, at)
    width_px, height_px, _ = SIZES[size]
    window.resize(width_px, height_px)
    window.show()
    window.show_given((case,))
    camera = Camera(application, window, folder, size, wanted)
    camera.wait_for_film()
    camera.until(lambda: not window.busy.is_busy)
    for sitting in SITTINGS:
        take_pictures(camera, sitting, THEMES)
    window.close()
    put_away(application, window)


if __name__ == "__main__":
    main()
