"""What covers the picture when nobody has been there for a while, and asks who reviews."""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import Final, cast

from PyQt6.QtCore import QEvent, QObject, Qt, QTimer
from PyQt6.QtWidgets import QApplication, QFrame, QHBoxLayout, QVBoxLayout, QWidget

from aftercase.gui.host import Host
from aftercase.gui.pages.building import label, panel, tab_stops
from aftercase.gui.pages.person_page import PersonForm
from aftercase.session.people import Person, asked_after

_LOOK_MS: Final = 1000
_WIDEST_PX: Final = 560
_SIGNS_OF_LIFE: Final = frozenset(
    {
        QEvent.Type.KeyPress,
        QEvent.Type.MouseButtonPress,
        QEvent.Type.MouseMove,
        QEvent.Type.Wheel,
        QEvent.Type.TouchBegin,
        QEvent.Type.TouchUpdate,
        QEvent.Type.TabletMove,
        QEvent.Type.TabletPress,
    }
)


class Cover(QFrame):
    """Lies over the whole window, menus and keys too, until somebody says who they are.

    Args:
        window: The window.
        idle_minutes: Minutes without a key or pointer; 0 for never.
        now: Seconds of a clock that only goes on.
    """

    def __init__(
        self, window: QWidget, idle_minutes: int, *, now: Callable[[], float] = time.monotonic
    ) -> None:
        super().__init__(window)
        self.idle_minutes = idle_minutes
        self._window, self._now = window, now
        self._seen_s = now()
        self._asking: QWidget | None = None
        self.setProperty("role", "panel")
        self.setAccessibleName("The picture is covered")
        self.setAcceptDrops(True)  # and takes none: nothing falls through
        self._column = QVBoxLayout(self)
        self.hide()
        window.installEventFilter(self)
        application = QApplication.instance()
        assert application is not None
        application.installEventFilter(self)
        self._timer = QTimer(self)
        self._timer.setInterval(_LOOK_MS)
        self._timer.timeout.connect(self.look)
        self._timer.start()

    @property
    def is_down(self) -> bool:
        """Claim that the picture is covered."""
        return self._asking is not None

    def look(self) -> None:
        """Cover the picture if nobody has been there for long enough."""
        if not self.is_down and asked_after(self._now() - self._seen_s, self.idle_minutes):
            self.cover()

    def cover(self) -> None:
        """Rest the film, cover the window, and ask who reviews."""
        host = self._host
        host.player.rest()
        form = PersonForm(host.at, host.person, self._answered)
        self._asking = _centred(
            panel(
                "Who reviews?",
                label(
                    f"Nobody used the program for {self.idle_minutes} minutes, so the picture is "
                    "covered. Everything is as it was.",
                    "soft",
                ),
                form,
            )
        )
        self._column.addWidget(self._asking)
        self.setGeometry(self._window.rect())
        self.show()
        self.raise_()
        form.take_focus()

    def lift(self) -> None:
        """Show the picture again."""
        self._seen_s = self._now()
        asking, self._asking = self._asking, None
        self.hide()
        if asking is not None:
            self._column.removeWidget(asking)
            asking.deleteLater()

    @property
    def _host(self) -> Host:
        return cast("Host", self._window)

    def _answered(self, person: Person) -> None:
        if person != self._host.person:
            self._host.be(person)
        self.lift()

    def event(self, event: QEvent | None) -> bool:
        """Keep the window's keys from answering while the picture is covered."""
        if event is not None and event.type() == QEvent.Type.ShortcutOverride:
            event.accept()
            return True
        return super().event(event)

    def focusNextPrevChild(self, next: bool) -> bool:  # noqa: N802 - Qt's names
        """Let Tab go round inside the cover."""
        inside = tab_stops(self)
        now = QApplication.focusWidget()
        if inside:
            place = inside.index(now) if now in inside else -1
            step = 1 if next else -1
            reason = Qt.FocusReason.TabFocusReason
            inside[(place + step) % len(inside)].setFocus(reason)
        return True

    def eventFilter(self, watched: QObject | None, event: QEvent | None) -> bool:  # noqa: N802
        """Take note of every sign of life, and of the window's size."""
        if event is not None:
            if event.type() in _SIGNS_OF_LIFE:
                self._seen_s = self._now()
            elif event.type() == QEvent.Type.Resize and watched is self._window:
                self.setGeometry(self._window.rect())
        return False


def _centred(inner: QFrame) -> QWidget:
    """Return a panel in the middle of an empty place."""
    inner.setMaximumWidth(_WIDEST_PX)
    place = QWidget()
    across = QHBoxLayout(place)
    across.addStretch(1)
    across.addWidget(inner, 100, Qt.AlignmentFlag.AlignVCenter)
    across.addStretch(1)
    return place
