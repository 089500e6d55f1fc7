"""What the window's parts may use of the window."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any, Protocol

from PyQt6.QtWidgets import QWidget

from aftercase.errors import AftercaseError
from aftercase.gui.theme import Theme
from aftercase.session.desk import Tone
from aftercase.session.people import Person
from aftercase.session.places import Places
from aftercase.session.positions import Spot
from aftercase.session.settings import Settings
from aftercase.session.stage import Stage


class Host(Stage, Protocol):
    """The window as its pages and panels see it."""

    @property
    def at(self) -> Places:
        """The program's folders."""

    @property
    def theme(self) -> Theme:
        """The colours."""

    @property
    def settings(self) -> Settings:
        """What the person chose."""

    @property
    def person(self) -> Person | None:
        """Who reviews; None while nobody said."""

    def be(self, person: Person | None) -> None:
        """Let somebody else review from now on."""

    def change_settings(self, **choices: Any) -> None:
        """Choose something anew, at once and for next time."""

    def open_path(self, case: Path, spot: Spot | None = None) -> None:
        """Open a case folder and show it, at a spot where one is given."""

    def new_from(self, films: tuple[Path, ...]) -> None:
        """Make a case from films at once and show it."""

    def in_background(
        self,
        title: str,
        function: Callable[..., Any],
        *args: Any,
        done: Callable[[Any], None] = lambda result: None,
        failed: Callable[[AftercaseError], None] | None = None,
    ) -> None:
        """Run a task in a process of its own, with progress and cancel in the window.

        Args:
            title: What is done, in words.
            function: A module-level task that takes ``watch=``.
            args: Its arguments, plain enough to be sent to a process.
            done: Called with its result, on the window's thread.
            failed: Called with a fault of the world; told in words where left out.
        """

    def tell(self, text: str, tone: Tone = "done") -> None:
        """Say something to the person."""

    def show_widget(self, page: QWidget) -> None:
        """Show a made page over the room."""

    def take_film_focus(self) -> None:
        """Give the keys back to the film."""

    def leave_page(self) -> None:
        """Close the page that is open over the room."""
