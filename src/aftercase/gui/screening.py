"""The film on the screen: the player's pictures go to the film view, frame by frame."""

from __future__ import annotations

from typing import Final

from PyQt6.QtCore import QObject, Qt, QTimer, pyqtSignal

from aftercase.gui.film.view import FilmView
from aftercase.media.playback import Player
from aftercase.session.desk import in_words

_TICK_MS: Final = 4
"""A quarter of a frame at 60 a second: no frame waits longer for its turn."""


class Screening(QObject):
    """Ticks the player while something moves, and shows what it has.

    Args:
        player: The player.
        film: Where its pictures go.
    """

    shown = pyqtSignal()
    """Another frame is on the screen."""

    state_changed = pyqtSignal()
    """The player opens, plays, rests or has failed."""

    _woken = pyqtSignal()

    def __init__(self, player: Player, film: FilmView) -> None:
        super().__init__()
        self._player, self._film = player, film
        self._before: tuple[object, ...] = ()
        self._timer = QTimer(self)
        self._timer.setTimerType(Qt.TimerType.PreciseTimer)
        self._timer.setInterval(_TICK_MS)
        self._timer.timeout.connect(self.tick)
        self._woken.connect(self.tick)  # from the worker's thread: queued by Qt
        player.on_woken(self._woken.emit)
        self._is_over = False
        self._links = (
            (film.size_changed, player.set_size),
            (film.full_size_wanted, player.want_full),
            (film.rest_wanted, player.rest),
        )
        for signal, slot in self._links:
            signal.connect(slot)

    def tick(self) -> None:
        """Let the player go on, and show what changed."""
        if self._is_over:  # the worker woke it just before it was stopped
            return
        if self._player.tick():
            self._show()
        if self._player.state == "playing":
            if not self._timer.isActive():
                self._timer.start()
        else:
            self._timer.stop()

    def stop(self) -> None:
        """Tick no more, and leave the film alone: it may be gone before the player is."""
        if self._is_over:
            return
        self._is_over = True
        for signal, slot in self._links:
            signal.disconnect(slot)
        self._timer.stop()
        self._player.on_woken(lambda: None)

    def _show(self) -> None:
        player = self._player
        instead = in_words(player.fault) if player.fault is not None else ""
        self._film.show_picture(player.shown, is_exact=player.is_exact, instead=instead)
        self.shown.emit()
        state = (player.state, player.rate, player.is_looping, player.fault)
        if state != self._before:
            self._before = state
            self.state_changed.emit()
