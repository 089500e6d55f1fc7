"""The line under the film: the time of the shown frame, speed, what runs, what comes, saving."""

from __future__ import annotations

from typing import Final

from PyQt6.QtCore import Qt
from PyQt6.QtWidgets import QHBoxLayout, QLabel, QSizePolicy, QWidget

from aftercase.clock import text_of
from aftercase.edit.marking import running, running_step, usual_next
from aftercase.gui.elided import ElidedButton
from aftercase.gui.host import Host
from aftercase.session.actions.table import ACTIONS, keys_of
from aftercase.session.desk import Desk

_SAVING: Final = {"saved": "saved", "saving": "saving…", "not-saved": "NOT SAVED"}


class ClockBar(QWidget):
    """Says in one line where one is."""

    def __init__(self, host: Host, desk: Desk) -> None:
        super().__init__()
        self._host, self._desk = host, desk
        self.setAccessibleName("Where you are")
        self._time = _label("Time of the shown frame")
        self._time.setProperty("role", "heading")
        self._speed = _label("Speed")
        self._runs = _label("What runs")
        self._runs.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self._next = ElidedButton("")
        self._next.setSizePolicy(QSizePolicy.Policy.Maximum, QSizePolicy.Policy.Fixed)
        self._next.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self._next.clicked.connect(self._press_next)
        self._saving = _label("Saving")
        line = QHBoxLayout(self)
        line.setContentsMargins(8, 2, 8, 2)
        line.setSpacing(12)
        for widget, stretch in (
            (self._time, 0),
            (self._speed, 0),
            (self._runs, 1),
            (self._next, 0),
            (self._saving, 0),
        ):
            line.addWidget(widget, stretch)
        self._stops = [
            desk.listen("moment", self.show_moment),
            desk.listen("review", self.show_marks),
            desk.listen("replayed", self.show_marks),
            desk.listen("saving", self.show_saving),
        ]
        self.show_moment()
        self.show_speed()
        self.show_saving()

    def stop(self) -> None:
        """Listen no more."""
        for stop in self._stops:
            stop()

    def show_moment(self) -> None:
        """Show the time of the shown frame and what runs then."""
        self._time.setText(text_of(self._desk.at_us))
        self.show_marks()

    def show_speed(self) -> None:
        """Show whether the film runs, and how fast."""
        player = self._host.player
        word = {"playing": "plays", "resting": "rests"}.get(player.state, player.state)
        self._speed.setText(f"{word} · {player.rate:g}×".replace("-", "−"))

    def show_marks(self) -> None:
        """Show the running step, what else is going on, and what “next step” would begin."""
        desk = self._desk
        review = desk.shown_review
        span = running_step(desk.guide, review, desk.at_us)
        parts = [desk.guide.step_name(span.step) if span else "no step runs"]
        if span is not None and span.takeover == "taken-over":
            parts.append("taken over")
        for there, words in (
            (running(review.pauses, desk.at_us), "nothing in the eye"),
            (running(review.unseen, desk.at_us), "cannot be seen"),
        ):
            if there:
                parts.append(words)
        self._runs.setText(" · ".join(parts))
        self._runs.setToolTip(self._runs.text())
        self._show_next()

    def show_saving(self) -> None:
        """Show whether everything is on disk."""
        state = self._desk.saving.word
        self._saving.setText(_SAVING.get(state, state))
        self._saving.setProperty("role", "warn" if state == "not-saved" else "soft")
        style = self._saving.style()
        if style is not None:
            style.polish(self._saving)

    def _show_next(self) -> None:
        self._next.setVisible(self._desk.replayed is None)
        step = usual_next(self._desk.guide, self._desk.review, self._desk.at_us)
        key = keys_of(_NEXT_STEP, self._host.settings.keys)
        name = step.strip_label if step is not None else "–"
        self._next.say(f"Next: {name}" + (f"  ({key[0]})" if key else ""))
        self._next.setEnabled(step is not None and self._desk.is_draft)
        self._next.setAccessibleName(f"Next step: {step.name if step else 'none'}")

    def _press_next(self) -> None:
        _NEXT_STEP.run(self._host)


_NEXT_STEP: Final = next(action for action in ACTIONS if action.id == "next-step")


def _label(name: str) -> QLabel:
    label = QLabel()
    label.setAccessibleName(name)
    return label
