"""From a case folder to a desk: the header is read at once, the film opens meanwhile."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Final

from PyQt6.QtCore import QObject, pyqtSignal

from aftercase.document.files import Stored
from aftercase.media.frameclock import FrameClock
from aftercase.media.playback import Player
from aftercase.model.base import NewId
from aftercase.model.case import window_of
from aftercase.model.review import Review
from aftercase.session.desk import Desk
from aftercase.session.films import changed_parts, opening_of
from aftercase.session.opened import OpenedCase, draft_of, open_case
from aftercase.session.people import PLACEHOLDER, Person
from aftercase.session.places import Places
from aftercase.session.saver import SaveState
from aftercase.session.settings import Settings

NOBODY_YET: Final = PLACEHOLDER


class Opening(QObject):
    """Opens one case after the other; the one asked for last wins.

    Args:
        player: Where the film goes.
        at: The program's folders.
        new_id: Source of ids.
    """

    ready = pyqtSignal(object, str)
    """A desk is ready; with it words on what is not at hand, empty where all is."""

    def __init__(self, player: Player, at: Places, new_id: NewId) -> None:
        super().__init__()
        self._player, self._at, self._new_id = player, at, new_id
        self._waiting: OpenedCase | None = None
        self._make: Callable[[OpenedCase, FrameClock], Desk] | None = None

    @property
    def is_under_way(self) -> bool:
        """Claim that a film is being opened."""
        return self._waiting is not None

    def open(
        self,
        path: Path,
        person: Person | None,
        settings: Settings,
        on_saving: Callable[[SaveState], None],
    ) -> OpenedCase:
        """Read a case and begin to open its film.

        Raises:
            DocumentMissing, DocumentBroken, DocumentTooNew: The case cannot be read.
        """
        opened = open_case(path, self._at)
        who = person or NOBODY_YET

        def desk(case: OpenedCase, frames: FrameClock) -> Desk:
            stored: Stored[Review] = draft_of(case, who.code, who.role, self._new_id)
            return Desk(case, stored, frames, self._new_id, settings, on_saving=on_saving)

        self._waiting, self._make = opened, desk
        window = window_of(opened.case)
        self._player.set_bounds(window.start_us, window.end_us)
        if opened.case.parts:
            self._player.open(opening_of(opened, self._at))
        else:
            self._finish(None, "This case has no film, only a stated duration.")
        return opened

    def look(self) -> None:
        """See whether the film has opened; called whenever the player's state changed."""
        if self._waiting is None or self._player.state in ("empty", "opening"):
            return
        fault = self._player.fault
        if self._player.frames is None:
            self._finish(None, fault.message if fault else "The film cannot be opened.")
        elif changed_parts(self._player.differences):
            # Never shown: marks would seem to lie on other pictures.
            self._player.empty()
            self._finish(None, "This is not the film that the case was made from (Ctrl+F).")
        else:
            self._finish(self._player.frames, "")

    def _finish(self, frames: FrameClock | None, words: str) -> None:
        opened, self._waiting = self._waiting, None
        assert opened is not None
        assert self._make is not None
        end_us = window_of(opened.case).end_us
        clock = frames if frames is not None else FrameClock.without_film(end_us)
        self.ready.emit(self._make(opened, clock), words)
