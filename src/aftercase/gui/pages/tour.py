"""The five-minute tour on the example case: a band above the film that says what to do next."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Final

from PyQt6.QtCore import Qt, QTimer
from PyQt6.QtWidgets import (
    QDockWidget,
    QFrame,
    QHBoxLayout,
    QMainWindow,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)

from aftercase.document.folder import CASE_FILE
from aftercase.errors import AftercaseError
from aftercase.gui.host import Host
from aftercase.gui.pages.building import button, label, panel, row, say
from aftercase.gui.pages.key_words import shown_keys
from aftercase.gui.pages.tour_steps import LAST_WORDS, TOUR, Before, before
from aftercase.session.actions.table import ACTIONS
from aftercase.session.desk import Desk, Topic, in_words
from aftercase.session.places import Places
from aftercase.session.tasks.dropped import make_example

_TOPICS: Final[tuple[Topic, ...]] = ("review", "moment", "words")
_LOOK_MS: Final = 300
_NAME: Final = "tour"


def example_folder(at: Places) -> Path:
    """Return where the tour's example lies."""
    return at.data / "example"


class TourPage(QWidget):
    """What the tour is, and how it begins: the example is made once, in the background."""

    title = "Five-minute tour"

    def __init__(self, host: Host) -> None:
        super().__init__()
        self._host, self._is_gone = host, False
        self._said = label("", "soft")
        self._begin = button("Begin the tour", self._go)
        column = QVBoxLayout(self)
        words = (
            "An invented session on a practice eye: nobody's operation. You do each thing once, "
            "with the keys you will use. You can leave at any time; what you mark stays in the "
            "example."
        )
        column.addWidget(panel("", label(words), self._said, row(self._begin)))
        column.addStretch(1)

    def stop(self) -> None:
        """Take no notice of what comes back."""
        self._is_gone = True

    def _go(self) -> None:
        case = example_folder(self._host.at) / "case"
        if (case / CASE_FILE).is_file():
            self._made(case)
            return
        self._begin.setEnabled(False)
        say(self._said, "The example is being made; this takes some seconds, once.", "soft")
        self._host.in_background(
            "Making the example", make_example, example_folder(self._host.at), self._host.at,
            done=self._made, failed=self._not_made,
        )  # fmt: skip

    def _made(self, case: Path) -> None:
        if self._is_gone:
            return
        window = self.window()
        if isinstance(window, QMainWindow):
            show_tour(window, self._host, case)
        self._host.leave_page()
        self._host.open_path(case)

    def _not_made(self, fault: AftercaseError) -> None:
        self._host.tell(in_words(fault), "refused")
        if not self._is_gone:
            self._begin.setEnabled(True)
            say(self._said, in_words(fault), "warn")


def show_tour(window: QMainWindow, host: Host, case: Path) -> TourBand:
    """Put the tour's band above the window's rooms, instead of one that is there."""
    for dock in window.findChildren(QDockWidget, _NAME):
        _put_away(window, dock)
    dock = QDockWidget(window)
    dock.setObjectName(_NAME)
    dock.setFeatures(QDockWidget.DockWidgetFeature.NoDockWidgetFeatures)
    dock.setTitleBarWidget(QWidget())
    band = TourBand(host, case, left=lambda: _put_away(window, dock))
    dock.setWidget(band)
    window.addDockWidget(Qt.DockWidgetArea.TopDockWidgetArea, dock)
    return band


def _put_away(window: QMainWindow, dock: QDockWidget) -> None:
    band = dock.widget()
    if isinstance(band, TourBand):
        band.stop()
    window.removeDockWidget(dock)
    dock.setObjectName("")
    dock.deleteLater()


class TourBand(QFrame):
    """One thing to do at a time; it goes on by itself when the desk tells that it was done.

    Args:
        host: The window.
        case: The example's folder; while another case is open the tour waits.
        left: Called when the person leaves the tour.
    """

    def __init__(self, host: Host, case: Path, *, left: Callable[[], object]) -> None:
        super().__init__()
        self._host, self._case = host, case
        self._place = 0
        self._start: Before | None = None
        self._desk: Desk | None = None
        self._stops: list[Callable[[], None]] = []
        self.setProperty("role", "panel")
        self.setAccessibleName("Tour")
        self._count, self._words = label("", "soft"), label("")
        self._count.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Preferred)
        self._skip = button("Skip", self._go_on, "Skip this step of the tour")
        self._leave = button("Leave", left, "Leave the tour")
        for one in (self._skip, self._leave):
            one.setFocusPolicy(Qt.FocusPolicy.TabFocus)  # a click leaves the keys with the film
        across = QHBoxLayout(self)
        across.addWidget(self._count)
        across.addWidget(self._words, 1)
        across.addWidget(self._skip)
        across.addWidget(self._leave)
        self._timer = QTimer(self)
        self._timer.setInterval(_LOOK_MS)
        self._timer.timeout.connect(self.look)
        self._timer.start()
        self.look()

    @property
    def words(self) -> str:
        """What is to be done now."""
        return self._words.text()

    def look(self) -> None:
        """Take note of which case is open now."""
        desk = self._host.desk
        if desk is not None and desk.opened.folder.path != self._case:
            desk = None
        if desk is not self._desk:
            self._listen_no_more()
            self._desk = desk
            if desk is not None:
                self._start = before(desk)
                self._stops = [desk.listen(topic, self._see) for topic in _TOPICS]
        self._show()

    def stop(self) -> None:
        """Listen no more."""
        self._timer.stop()
        self._listen_no_more()

    def _listen_no_more(self) -> None:
        for stop in self._stops:
            stop()
        self._stops = []

    def _see(self) -> None:
        if self._desk is None or self._start is None or self._place >= len(TOUR):
            return
        if TOUR[self._place].is_done(self._start, self._desk):
            self._go_on()

    def _go_on(self) -> None:
        self._place = min(self._place + 1, len(TOUR))
        if self._desk is not None:
            self._start = before(self._desk)
        self._show()

    def _show(self) -> None:
        is_over = self._place >= len(TOUR)
        say(self._count, "" if is_over else f"{self._place + 1} of {len(TOUR)}", "soft")
        self._skip.setVisible(not is_over)
        self._leave.setText("Done" if is_over else "Leave")
        say(self._words, self._present_words())

    def _present_words(self) -> str:
        if self._desk is None:
            return "The tour goes on when the example is open."
        if not self._desk.is_draft:
            return (
                f"{self._desk.review.reviewer} has a finished review of the example. Say who "
                f"reviews ({self._key('person')}) with another code."
            )
        if self._place >= len(TOUR):
            return LAST_WORDS.format(keys=self._key("keys"), closing=self._key("closing"))
        step = TOUR[self._place]
        return step.words.format(key=self._key(step.action))

    def _key(self, action_id: str) -> str:
        action = next(action for action in ACTIONS if action.id == action_id)
        return shown_keys(action, self._host.settings.keys)
