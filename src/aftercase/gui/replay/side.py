"""One side of two that are looked at together: a film held to a span of a step."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from PyQt6.QtCore import Qt
from PyQt6.QtWidgets import QComboBox, QSizePolicy, QVBoxLayout, QWidget

from aftercase.clock import text_of
from aftercase.errors import AftercaseError
from aftercase.gui.film.view import FilmView
from aftercase.gui.host import Host
from aftercase.gui.pages.building import label, say
from aftercase.gui.replay.onetime import Beginning, OneTime
from aftercase.gui.screening import Screening
from aftercase.media.playback import Player
from aftercase.session.desk import in_words
from aftercase.session.earlier import EarlierSpan
from aftercase.session.films import opening_of
from aftercase.session.opened import open_case

_LEAST_FILM_PX = (240, 180)


class Side(QWidget):
    """A film with a player of its own, and the spans it can show.

    Args:
        host: The window.
        name: What it shows, in words.
        together: The time that both sides go by.
        changed: Called when another span is shown.
    """

    def __init__(
        self, host: Host, name: str, together: OneTime, changed: Callable[[], None]
    ) -> None:
        super().__init__()
        self._host, self._changed = host, changed
        beginning = Beginning()
        self.player = Player(sound=beginning, now=together)
        together.add(self.player, beginning)
        self.span: EarlierSpan | None = None
        self._spans: tuple[EarlierSpan, ...] = ()
        self._film = FilmView(host.theme)
        self._film.setAccessibleName(name)
        self._film.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        # As large as there is room for: the words and keys below it must stay in sight.
        self._film.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Ignored)
        self._film.setMinimumSize(*_LEAST_FILM_PX)
        self._screening = Screening(self.player, self._film)
        self._screening.shown.connect(self._show_time)
        self._screening.state_changed.connect(self._show_fault)
        self._choice = QComboBox()
        self._choice.setAccessibleName(f"{name}: which span")
        self._choice.setSizeAdjustPolicy(
            QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon
        )
        self._choice.activated.connect(lambda place: self._show(self._spans[place]))
        self._head, self._time = label(name, "heading"), label(" ")
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        for widget in (self._choice, self._head):
            column.addWidget(widget)
        column.addWidget(self._film, 1)
        column.addWidget(self._time)

    @property
    def has_film(self) -> bool:
        """Claim that there is something to play."""
        return self.span is not None and self.player.frames is not None

    @property
    def into_us(self) -> int:
        """How far into the step the shown frame is."""
        return self.player.at_us - self.span.start_us if self.span is not None else 0

    @property
    def length_us(self) -> int:
        """How long the span is; 0 where there is none."""
        return self.span.end_us - self.span.start_us if self.span is not None else 0

    @property
    def is_over(self) -> bool:
        """Claim that the span's last frame is shown."""
        frames = self.player.frames
        return frames is not None and self.player.at_us >= frames.start_of(
            self.player.bounds_us[1] - 1
        )

    def offer(self, spans: Sequence[EarlierSpan], nothing: str, place: int = 0) -> None:
        """Offer these spans and show one of them; where there is none, say so.

        Args:
            spans: The spans.
            nothing: What to say where there is none.
            place: Which of them is shown.
        """
        self._spans = tuple(spans)
        self._choice.clear()
        for span in spans:
            self._choice.addItem(
                f"{span.case_code} at {text_of(span.start_us)[:-4]} ({span.reviewer})"
            )
        self._choice.setVisible(len(spans) > 1)
        if spans:
            self._choice.setCurrentIndex(place)
            self._show(self._spans[place])
        else:
            say(self._head, nothing, "soft")

    def go_into(self, into_us: int) -> None:
        """Go so far into the step."""
        if self.span is not None:
            self.player.go_to(self.span.start_us + into_us)

    def stop(self) -> None:
        """Let the film go."""
        self._screening.stop()
        self.player.close()

    def _show(self, span: EarlierSpan) -> None:
        self.span = span
        long = text_of(span.end_us - span.start_us)
        times = f"{text_of(span.start_us)[:-4]} to {text_of(span.end_us)[:-4]}, {long} in all"
        say(self._head, f"Case {span.case_code}: {times}", "heading")
        try:
            opened = open_case(span.folder, self._host.at)
        except AftercaseError as fault:
            self._time.setText(in_words(fault))
            return
        self._film.show_over((), opened.case.masks)
        self.player.set_bounds(span.start_us, span.end_us)
        if opened.case.parts:
            self.player.open(opening_of(opened, self._host.at))
        else:
            self._time.setText("This case has no film, only a stated duration.")
        self._changed()

    def _show_fault(self) -> None:
        if self.player.fault is not None:
            self._time.setText(in_words(self.player.fault))

    def _show_time(self) -> None:
        if self.has_film and self.player.fault is None:
            self._time.setText(f"{text_of(self.into_us)} into the step")
