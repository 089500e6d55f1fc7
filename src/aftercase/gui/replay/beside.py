"""A step of this case beside the same step of an earlier one, in step from its start."""

from __future__ import annotations

from typing import Final

from PyQt6.QtCore import Qt
from PyQt6.QtWidgets import (
    QComboBox,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from aftercase.clock import text_of
from aftercase.errors import AftercaseError
from aftercase.gui.film.view import FilmView
from aftercase.gui.host import Host
from aftercase.gui.screening import Screening
from aftercase.media.playback import Player
from aftercase.session.desk import Desk, in_words
from aftercase.session.earlier import EarlierSpan, earlier_spans, spans_of_step
from aftercase.session.films import opening_of
from aftercase.session.opened import open_case

_FRAME: Final = 1


class _Side(QWidget):
    """One film with its own player, held to a span of a step."""

    def __init__(self, host: Host, name: str) -> None:
        super().__init__()
        self._host = host
        self.player = Player()
        self.film = FilmView(host.theme)
        self.film.setAccessibleName(name)
        self._screening = Screening(self.player, self.film)
        self._screening.shown.connect(self._show_time)
        self._screening.state_changed.connect(self._opened)
        self._span: EarlierSpan | None = None
        self._head, self._time = QLabel(), QLabel()
        self._head.setProperty("role", "heading")
        self._head.setWordWrap(True)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self._head)
        column.addWidget(self.film, 1)
        column.addWidget(self._time)

    def show_span(self, span: EarlierSpan) -> None:
        """Open the film a span is of and rest at the span's start."""
        self._span = span
        self._head.setText(
            f"Case {span.case_code}: {text_of(span.start_us)[:-4]} to {text_of(span.end_us)[:-4]}, "
            f"{text_of(span.end_us - span.start_us)} in all"
        )
        try:
            opened = open_case(span.folder, self._host.at)
        except AftercaseError as fault:
            self._time.setText(in_words(fault))
            return
        self.film.show_over((), opened.case.masks)
        self.player.set_bounds(span.start_us, span.end_us)
        self.player.open(opening_of(opened, self._host.at))

    def stop(self) -> None:
        """Let the film go."""
        self._screening.stop()
        self.player.close()

    def _opened(self) -> None:
        if self.player.fault is not None:
            self._time.setText(in_words(self.player.fault))

    def _show_time(self) -> None:
        if self._span is not None:
            self._time.setText(f"{text_of(self.player.at_us - self._span.start_us)} into the step")


class BesidePage(QWidget):
    """Two spans of one step side by side; both go on together.

    Args:
        host: The window.
        desk: The case on the desk.
        step: The step.
    """

    def __init__(self, host: Host, desk: Desk, step: str) -> None:
        super().__init__()
        self.title = f"{desk.guide.step_name(step)}, side by side"
        self._own = spans_of_step(desk.opened.folder.path, desk.case, desk.opened.reviews, step)
        self._others = earlier_spans(host.at, desk.opened.folder.path, step)
        self._sides = (_Side(host, "This case"), _Side(host, "The other case"))
        self._choices = tuple(
            self._choice(side, spans, name)
            for side, spans, name in (
                (self._sides[0], self._own, "Span of this case"),
                (self._sides[1], self._others, "Span of another case"),
            )
        )
        films = QHBoxLayout()
        for side, choice in zip(self._sides, self._choices, strict=True):
            column = QVBoxLayout()
            column.addWidget(choice)
            column.addWidget(side, 1)
            films.addLayout(column, 1)
        buttons = QHBoxLayout()
        for label, key, run in (
            ("Play or rest both (Space)", "Space", self._toggle),
            ("Both from the start (Home)", "Home", self._from_start),
            ("One frame back (Left)", "Left", lambda: self._step(-_FRAME)),
            ("One frame on (Right)", "Right", lambda: self._step(_FRAME)),
        ):
            button = QPushButton(label)
            button.setShortcut(key)
            button.clicked.connect(run)
            buttons.addWidget(button)
        note = QLabel("Both begin where the step begins. Duration is not quality.")
        note.setProperty("role", "soft")
        whole = QVBoxLayout(self)
        whole.addLayout(films, 1)
        whole.addLayout(buttons)
        whole.addWidget(note)
        self.setMinimumHeight(420)
        for side, spans in zip(self._sides, (self._own, self._others), strict=True):
            if spans:
                side.show_span(spans[0])

    def stop(self) -> None:
        """Let both films go."""
        for side in self._sides:
            side.stop()

    def _choice(self, side: _Side, spans: tuple[EarlierSpan, ...], name: str) -> QComboBox:
        box = QComboBox()
        box.setAccessibleName(name)
        box.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        for span in spans:
            box.addItem(f"{span.case_code} at {text_of(span.start_us)[:-4]} ({span.reviewer})")
        if not spans:
            box.addItem("No other case with this step is known here")
        box.setEnabled(len(spans) > 1)
        box.activated.connect(lambda place: side.show_span(spans[place]))
        return box

    def _toggle(self) -> None:
        plays = any(side.player.state == "playing" for side in self._sides)
        for side in self._sides:
            side.player.rest() if plays else side.player.play(1.0)

    def _from_start(self) -> None:
        for side in self._sides:
            side.player.rest()
            if side.player.frames is not None:
                side.player.go_to(side.player.bounds_us[0])

    def _step(self, n_frames: int) -> None:
        for side in self._sides:
            side.player.step(n_frames)


def beside_page(host: Host, desk: Desk, step: str) -> BesidePage:
    """Return the page that lays a step beside an earlier one."""
    return BesidePage(host, desk, step)
