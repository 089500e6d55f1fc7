"""A person's sitting at the window: a film is gone through, and everything done that a review has.

Film time counts where it is played, at whatever speed, forward or back; what is jumped over does
not.
"""

from __future__ import annotations

import random
import time
from itertools import cycle

from PyQt6.QtCore import QEvent, QPointF, Qt
from PyQt6.QtGui import QMouseEvent
from PyQt6.QtWidgets import QApplication
from tests.gui.hands import let_go_on, press, type_text, until

from aftercase.clock import text_of
from aftercase.gui.window import Window

S = 1_000_000
FAST_S, BACK_S, TWICE_S, PLAIN_S = 60, 10, 3, 1
"""Seconds of film of a round: at 4x, 4x backwards, 2x and 1x."""

N_PLACES = 100
DEED_EVERY_US = 6 * S
SLOWLY_S = 2
FASTEST, SLOWEST = 4.0, 0.25
MARKS = (
    ("Return",), ("0",), ("0",), ("T",), ("T",), ("X",), ("X",), ("Shift+P",),
    ("H", "A"), ("H", "B"), ("G", "C"), ("E", "A"), ("E", "B"), ("S", "C"),
    ("R", "- the left hand drifts", "Return"), ("R", "+ calm, and well centred", "Ctrl+Return"),
)  # fmt: skip
LOOKS = (
    ("Right", "Right", "Right", "Left", "Left"), ("Shift+Right", "Ctrl+Left", "Ctrl+Right"),
    ("PgUp", "PgUp", "PgDown"), ("Home", "Right"), ("End", "Left"),
    ("Ctrl+=", "Ctrl+=", "Ctrl+0"), ("Ctrl+Up", "Ctrl+Up", "W", "Ctrl+Down", "W", "Ctrl+Home"),
)  # fmt: skip
CHANGES = (
    (".", "Shift+E"), (",", "."), (".", "F2", "Escape"), ("/",), (".", "Del", "U"),
    ("D", "R", "2", "Left", "Return", "Down", "Return", "Escape"), ("A", "Escape"), ("F",),
)  # fmt: skip
ELSEWHERE = (
    ("Ctrl+1", "Ctrl+2"), ("Ctrl+3", "Down", "Down", "Up", "Ctrl+2"), ("C", "Escape"),
    ("Ctrl+E", "Escape"), ("Ctrl+,", "Escape"), ("F1", "Escape"), ("Ctrl+P", "Escape"),
    ("Ctrl+N", "Escape"), ("Ctrl+O", "Escape"),
)  # fmt: skip


class Sitting:
    """One person before one window, case after case.

    Attributes:
        played_us: Film time that was played.
        n_pictures: Pictures that were shown while it played.
        n_marks: Marks that were made, undone ones too.
    """

    def __init__(self, window: Window, chance: random.Random) -> None:
        self._window, self._chance = window, chance
        self._elsewhere = cycle(ELSEWHERE)
        self.begin_to_count()

    def begin_to_count(self) -> None:
        """Count from now."""
        self.played_us = self.n_pictures = self.n_marks = 0

    def warm_up(self) -> None:
        """Do everything once, and fill what has a limit of its own.

        That is the reader's pictures (192 MB), by going to many places, and those that wait for
        their turn in the window (64 MB), by playing so slowly that decoding runs ahead.
        """
        self.do_a_round()
        for _ in range(N_PLACES):
            self._go_to_a_time()
        self._play(SLOWEST, SLOWLY_S * S, "Space")

    def go_through(self, film_us: int) -> None:
        """Play so much film, in rounds."""
        end_us = self.played_us + film_us
        while self.played_us < end_us:
            self.do_a_round()

    def do_a_round(self) -> None:
        """Play on while marking, play back, look closely, change, undo, and go elsewhere."""
        self._play(FASTEST, FAST_S * S, "Space")
        self._play(FASTEST, BACK_S * S, "Backspace")
        self._play(2.0, TWICE_S * S, "Space")
        self._play(1.0, PLAIN_S * S, "Space")
        self._press(*self._chance.choice(LOOKS))
        self._go_to_a_time()
        self._drag_along_the_strip()
        self._press(*self._chance.choice(CHANGES))
        self._press("U", "U", "Shift+U", "U")
        self._press(*next(self._elsewhere))
        self._settle()

    def _play(self, rate: float, film_us: int, key: str) -> None:
        """Play so much film, or to its end, and mark meanwhile."""
        player = self._window.player
        while abs(player.rate) != rate:
            press(self._window, "]" if abs(player.rate) < rate else "[")
        press(self._window, key)
        end_us, deed_us = self.played_us + film_us, self.played_us + DEED_EVERY_US
        before_us, before = player.at_us, player.shown
        until(lambda: player.state != "playing" or player.is_exact or player.at_us != before_us)
        while player.state == "playing" and self.played_us < end_us:
            let_go_on()
            time.sleep(0.001)
            self.n_pictures += player.shown is not before
            self.played_us += abs(player.at_us - before_us)
            before_us, before = player.at_us, player.shown
            if self.played_us > deed_us and key == "Space":
                deed_us += DEED_EVERY_US
                self._press(*self._chance.choice(MARKS))
                self.n_marks += 1
                before_us = player.at_us
        if player.state == "playing":
            press(self._window, "Space")
        self._settle()

    def _go_to_a_time(self) -> None:
        desk = self._window.desk
        us = self._chance.randrange(*desk.bounds_us)
        press(self._window, "Ctrl+T", "Ctrl+A")
        type_text(self._window, text_of(us))
        press(self._window, "Return")
        until(lambda: desk.at_us == desk.frames.frame_at(desk.at_us).start_us)
        self._settle()

    def _drag_along_the_strip(self) -> None:
        strip = self._window.strip
        y_px = strip.height() - 3
        ends_px = [self._chance.randrange(strip.width() // 4, strip.width()) for _ in range(2)]
        self._pointer(QEvent.Type.MouseButtonPress, ends_px[0], y_px)
        for share in range(1, 21):
            x_px = ends_px[0] + (ends_px[1] - ends_px[0]) * share / 20
            self._pointer(QEvent.Type.MouseMove, x_px, y_px)
            let_go_on()
        self._pointer(QEvent.Type.MouseButtonRelease, ends_px[1], y_px)
        self._settle()

    def _pointer(self, kind: QEvent.Type, x_px: float, y_px: float) -> None:
        strip, left = self._window.strip, Qt.MouseButton.LeftButton
        at, is_move = QPointF(x_px, y_px), kind == QEvent.Type.MouseMove
        held = Qt.MouseButton.NoButton if kind == QEvent.Type.MouseButtonRelease else left
        QApplication.sendEvent(
            strip,
            QMouseEvent(
                kind, at, strip.mapToGlobal(at), Qt.MouseButton.NoButton if is_move else left,
                held, Qt.KeyboardModifier.NoModifier,
            ),
        )  # fmt: skip

    def _press(self, *words: str) -> None:
        for word in words:
            (type_text if " " in word else press)(self._window, word)

    def _settle(self) -> None:
        """Wait until the exact picture is shown and everything is saved."""
        window = self._window
        if window.room != "start":
            until(lambda: window.player.is_exact or window.player.state == "playing")
        until(lambda: window.desk.hand.saving.word == "saved")
