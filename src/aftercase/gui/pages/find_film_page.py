"""Where a moved film lies now: told by a person, proven by its content."""

from __future__ import annotations

from pathlib import Path

from PyQt6.QtWidgets import QVBoxLayout, QWidget

from aftercase.clock import text_of
from aftercase.errors import AftercaseError
from aftercase.gui.host import Host
from aftercase.gui.pages.building import DropPlace, button, emptied, label, panel, row, say
from aftercase.gui.pages.film_chooser import choose_films, choose_folder
from aftercase.session.desk import in_words
from aftercase.session.locator import films_of
from aftercase.session.tasks.find import FoundAgain, find_films


class FindFilmPage(QWidget):
    """The case's films, which of them are here, and where to look for the others."""

    title = "Find the film"

    def __init__(self, host: Host) -> None:
        super().__init__()
        desk = host.desk
        assert desk is not None, "the films belong to a case"
        self._host, self._desk = host, desk
        self._is_gone = False
        self._parts = QVBoxLayout()
        self._said = label("")
        self._buttons = [
            button("A film…", lambda: choose_films(self, self.look_in), "Choose the film's file"),
            button(
                "A folder…",
                lambda: choose_folder(self, "Where to look for the film", self.look_in),
                "Choose a folder to look in",
            ),
        ]
        place = DropPlace("Drop the film, or a folder to look in", self.look_in)
        inner = QVBoxLayout(place)
        inner.addWidget(
            panel(
                "Where is it now?",
                label(
                    "Drop the film here, or a folder or drive to look in, with all folders in "
                    "it. The content decides, not the name: marks never land on another film.",
                    "soft",
                ),
                row(*self._buttons),
                self._said,
            )
        )
        inner.setContentsMargins(0, 0, 0, 0)
        column = QVBoxLayout(self)
        column.addWidget(panel(f"Films of case {desk.case.code}", self._parts))
        column.addWidget(place)
        column.addStretch(1)
        self._show_parts()

    def look_in(self, places: tuple[Path, ...]) -> None:
        """Look for the films in files and folders."""
        for one in self._buttons:
            one.setEnabled(False)
        say(self._said, "Looking…", "soft")
        self._host.in_background(
            "Looking for the film", find_films, self._desk.opened.folder.path, places,
            self._host.at, done=self._found, failed=self._not_found,
        )  # fmt: skip

    def stop(self) -> None:
        """Take no notice of what comes back."""
        self._is_gone = True

    def _found(self, result: FoundAgain) -> None:
        words, all_here = found_words(result)
        self._host.tell(words, "done" if result.found else "refused")
        if self._is_gone:
            return
        self._ready(words, "" if result.found else "warn")
        if result.found and all_here:
            self._host.leave_page()
            self._host.open_path(self._desk.opened.folder.path)

    def _not_found(self, fault: AftercaseError) -> None:
        self._host.tell(in_words(fault), "refused")
        if not self._is_gone:
            where = f" ({fault.path})" if fault.path else ""
            self._ready(f"{in_words(fault)}{where}", "warn")

    def _ready(self, words: str, role: str) -> None:
        for one in self._buttons:
            one.setEnabled(True)
        say(self._said, words, "warn" if role == "warn" else "")
        self._show_parts()

    def _show_parts(self) -> None:
        emptied(self._parts)
        case = self._desk.case
        if not case.parts:
            self._parts.addWidget(label("This case has no film, only a stated duration."))
        films = films_of(self._host.at.locator, self._desk.opened.folder.path, case)
        for part, film in zip(case.parts, films, strict=True):
            length = f"{part.path}, {text_of(part.duration_us)}, {part.size_bytes:,} bytes"
            here = film.is_file()
            self._parts.addWidget(label(length))
            words = f"here: {film}" if here else f"not here; it was {film}"
            self._parts.addWidget(label(words, "soft" if here else "warn"))


def found_words(result: FoundAgain) -> tuple[str, bool]:
    """Return what became of looking in words, and whether all films are here now.

    Example:
        >>> found_words(FoundAgain((("a.mp4", Path("/card/b.mp4")),), ()))
        ('a.mp4 is /card/b.mp4. It is the same film.', True)
        >>> found_words(FoundAgain((), ("a.mp4",)))
        ('a.mp4 is not among these. No file there has its content.', False)
    """
    same = "It is the same film." if len(result.found) == 1 else "They are the same films."
    words = [f"{name} is {path}." for name, path in result.found]
    words += [same] if result.found else []
    words += [f"{name} is not among these." for name in result.missing]
    words += ["No file there has its content."] if len(result.missing) == 1 else []
    words += ["No files there have their content."] if len(result.missing) > 1 else []
    return " ".join(words), not result.missing
