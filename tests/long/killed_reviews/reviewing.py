"""A review that goes on until it is killed: ``reviewing.py CASE`` prints what is shown as saved."""

import os
import sys
import time
from pathlib import Path

os.environ["QT_QPA_PLATFORM"] = "offscreen"

from PyQt6.QtCore import QEvent, Qt
from PyQt6.QtGui import QKeyEvent
from PyQt6.QtWidgets import QApplication

from aftercase.gui.app import made_window
from aftercase.session.places import places

KEYS = (
    (Qt.Key.Key_Return, ""),
    (Qt.Key.Key_Right, ""),
    (Qt.Key.Key_0, "0"),
    (Qt.Key.Key_Right, ""),
    (Qt.Key.Key_X, "x"),
    (Qt.Key.Key_Right, ""),
    (Qt.Key.Key_T, "t"),
    (Qt.Key.Key_Right, ""),
    (Qt.Key.Key_U, "u"),
)


def main(case: Path) -> None:
    """Press keys for ever; after each, print the review's digest once the window says saved."""
    application = QApplication([])
    window = made_window(application, places())
    window.show()
    window.show_given((case,))

    def until(holds) -> None:
        give_up_s = time.monotonic() + 20
        while not holds() and time.monotonic() < give_up_s:
            application.processEvents()
            time.sleep(0.0005)

    until(lambda: window.desk is not None and window.player.is_exact)
    print("ready", flush=True)
    place = 0
    while True:
        key, text = KEYS[place % len(KEYS)]
        place += 1
        modifiers = Qt.KeyboardModifier.NoModifier
        for kind in (QEvent.Type.ShortcutOverride, QEvent.Type.KeyPress, QEvent.Type.KeyRelease):
            QApplication.sendEvent(window.film, QKeyEvent(kind, key, modifiers, text))
        application.processEvents()
        if window.desk.saving.word == "saved" and window.desk.hand.saving.word == "saved":
            print(window.desk.review.model_dump_json(), flush=True)


if __name__ == "__main__":
    main(Path(sys.argv[1]))
