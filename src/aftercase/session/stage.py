"""What an action may use: the case on the desk, the player, and the window's few abilities."""

from __future__ import annotations

from typing import Literal, Protocol

from aftercase.media.playback import Player
from aftercase.session.desk import Desk

Room = Literal["start", "review", "replay"]
"""The rooms of the window."""

Page = Literal[
    "closing", "case", "settings", "keys", "tour", "new-case", "open-case", "find-film", "person"
]
"""What opens over a room, and is left by Escape."""

Question = Literal[
    "step", "not-needed", "hand-main", "hand-second", "event", "about-step", "time", "drawing",
    "light", "place", "about-mark", "adopt", "measure", "eye-lies",
]  # fmt: skip
"""What can be asked beside the film while it goes on."""

Ability = Literal[
    "full-screen", "closer", "farther", "whole-picture", "sound", "open-strip", "strip-in",
    "strip-out", "strip-whole", "report", "seal", "release", "correct", "save-again",
]  # fmt: skip
"""What the window does by itself."""


class Stage(Protocol):
    """The window as actions see it."""

    @property
    def desk(self) -> Desk | None:
        """The case on the desk; None while there is none."""

    @property
    def player(self) -> Player:
        """The player."""

    @property
    def room(self) -> Room:
        """The room that is shown."""

    def enter(self, room: Room) -> None:
        """Show a room."""

    def show_page(self, page: Page) -> None:
        """Show a page over the room."""

    def ask(self, question: Question) -> None:
        """Ask something beside the film."""

    def open_line(self, kind: str | None = None) -> None:
        """Open the line that remarks are typed in, with a kind where one was chosen."""

    def use(self, ability: Ability) -> None:
        """Do what only the window can."""

    def replay(self, deed: str) -> None:
        """Do something in the replay room."""
