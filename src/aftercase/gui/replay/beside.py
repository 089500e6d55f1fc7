"""A step of this case beside the same step of an earlier one, in step from its start."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Final

from PyQt6.QtCore import Qt
from PyQt6.QtGui import QKeySequence, QShortcut
from PyQt6.QtWidgets import QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from aftercase.gui.host import Host
from aftercase.gui.pages.building import label
from aftercase.gui.replay.onetime import OneTime
from aftercase.gui.replay.side import Side
from aftercase.gui.start.looking import Looking
from aftercase.model.review import Review
from aftercase.session.desk import Desk
from aftercase.session.earlier import EarlierSpan, earlier_spans, spans_in

_SLOWLY: Final = 0.25
_LOOKING: Final = "Looking for earlier cases…"
_NO_OTHER: Final = (
    "No earlier case of this trainee with this step is known here. A case is known once it was "
    "opened, or where it lies beside this one, its trainee is said, and its review is released."
)
_NOTE: Final = "Both begin where the step begins. Duration is not quality."


class BesidePage(QWidget):
    """Two spans of one step side by side; both go on together.

    Args:
        host: The window.
        desk: The case on the desk.
        review: The review whose span of the step is shown.
        step: The step.
        start_us: Where the span begins that is shown first.
    """

    def __init__(self, host: Host, desk: Desk, review: Review, step: str, start_us: int) -> None:
        super().__init__()
        self.title = f"{desk.guide.step_name(step)}, side by side"
        together = OneTime()
        self.sides = tuple(
            Side(host, name, together, self._rest) for name in ("This case", "The other case")
        )
        folder = desk.opened.folder.path
        own = spans_in(folder, desk.case, review, step)
        shown = next((n for n, span in enumerate(own) if span.start_us == start_us), 0)
        self._looking = Looking(self, self._take_earlier, lambda: None)
        self._lay_out()
        self.sides[0].offer(own, "", shown)
        self.sides[1].offer((), _LOOKING)
        self._looking.begin([partial(earlier_spans, host.at, folder, desk.case.trainee, step)])

    def stop(self) -> None:
        """Let both films go."""
        self._looking.stop()
        for side in self.sides:
            side.stop()

    def _lay_out(self) -> None:
        films = QHBoxLayout()
        for side in self.sides:
            films.addWidget(side, 1)
        buttons = QHBoxLayout()
        self._play_button = self._button("Play or rest both", "Space", lambda: self._toggle(1.0))
        for button in (
            self._play_button,
            self._button("Slowly", "Shift+Space", lambda: self._toggle(_SLOWLY)),
            self._button("Both from the start", "Home", self._from_start),
            self._button("One frame back", "Left", lambda: self._step(-1)),
            self._button("One frame on", "Right", lambda: self._step(1)),
        ):
            buttons.addWidget(button)
        whole = QVBoxLayout(self)
        whole.addLayout(films, 1)
        whole.addLayout(buttons)
        whole.addWidget(label(_NOTE, "soft"))
        self.setFocusProxy(self._play_button)

    def _button(self, words: str, key: str, run: Callable[[], None]) -> QPushButton:
        button = QPushButton(f"{words} ({key})")
        QShortcut(
            QKeySequence(key),
            self,
            lambda: run(),
            context=Qt.ShortcutContext.WidgetWithChildrenShortcut,
        )
        button.clicked.connect(lambda: run())
        return button

    def _take_earlier(self, found: tuple[EarlierSpan, ...]) -> None:
        self.sides[1].offer(found, _NO_OTHER)

    @property
    def _playable(self) -> list[Side]:
        return [side for side in self.sides if side.has_film]

    def _rest(self) -> None:
        for side in self.sides:
            side.player.rest()

    def _toggle(self, rate: float) -> None:
        if any(side.player.state == "playing" for side in self.sides):
            self._rest()
            return
        if all(side.is_over for side in self._playable):
            self._from_start()
        for side in self._playable:
            if not side.is_over:
                side.player.play(rate)

    def _from_start(self) -> None:
        self._rest()
        for side in self._playable:
            side.go_into(0)

    def _step(self, n_frames: int) -> None:
        """Step the side that lasts longer, and go as far into the step on the other."""
        self._rest()
        longest_first = sorted(self._playable, key=lambda side: -side.length_us)
        for side in longest_first[:1]:
            side.player.step(n_frames)
        for side in longest_first[1:]:
            side.go_into(longest_first[0].into_us)
