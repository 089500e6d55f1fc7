"""A review that goes on until it is killed: ``reviewing.py CASE SEED``.

It says on one line each, by the digest that the review's file has or will have: what it
``opened``, what was ``made`` (before that can be on the disk), and what the window ``shows`` as
saved.
"""

import os
import random
import sys
import time
from collections.abc import Iterator
from pathlib import Path

os.environ["QT_QPA_PLATFORM"] = "offscreen"
sys.path.insert(0, str(Path(__file__).resolve().parents[3]))

from PyQt6.QtWidgets import QApplication, QLabel
from tests.gui.hands import press, type_text, until

from aftercase import storage
from aftercase.document.codec import encoded
from aftercase.gui.app import made_window
from aftercase.model.review import Review
from aftercase.session.places import places
from aftercase.session.saver import Saver

DEEDS = (
    ("Return",),
    ("0",),
    ("T",),
    ("X",),
    ("Shift+P",),
    ("H", "A"),
    ("E", "B"),
    ("U",),
    ("Shift+U",),
    ("R", "- the left hand drifts", "Ctrl+Return"),
)
LONGEST_REST_S = 0.1
WAYS_ON = (("Right",), ("Left",), ("Shift+Right",), ("Ctrl+Right",), ("PgUp",))


def say(word: str, digest: str | None) -> None:
    print(word, digest, flush=True)


def digest_of(review: Review) -> str:
    return storage.digest_of(encoded(review))


def tell_what_is_made() -> None:
    """Say what is to be saved before it is handed in, so that the disk can never know more."""
    save = Saver.save

    def saying(saver: Saver, document: object) -> None:
        if isinstance(document, Review):
            say("made", digest_of(document))
        save(saver, document)

    Saver.save = saying


def deeds(chance: random.Random) -> Iterator[tuple[str, ...]]:
    """Mark and move on, for ever."""
    while True:
        yield chance.choice(DEEDS)
        yield chance.choice(WAYS_ON)


def main(case: Path, seed: int) -> None:
    application = QApplication([])
    tell_what_is_made()
    window = made_window(application, places())
    window.show()
    window.show_given((case,))
    until(lambda: window.desk is not None and window.player.is_exact)
    say("opened", window.desk.hand.stored.digest)
    [saving] = [one for one in window.findChildren(QLabel) if one.accessibleName() == "Saving"]
    opened, chance = window.desk.review, random.Random(seed)
    for deed in deeds(chance):
        for word in deed:
            (type_text if " " in word else press)(window, word)
        rested_s = time.monotonic() + chance.uniform(0, LONGEST_REST_S)
        until(lambda rested_s=rested_s: time.monotonic() > rested_s)
        if saving.text() == "saved" and window.desk.review is not opened:
            say("shows", digest_of(window.desk.review))


if __name__ == "__main__":
    main(Path(sys.argv[1]), int(sys.argv[2]))
