"""Making a case: films in order with a look at each joint, guide, code, stretch of the film."""

from __future__ import annotations

from pathlib import Path

from PyQt6.QtWidgets import QCheckBox, QVBoxLayout, QWidget

from aftercase.errors import AftercaseError
from aftercase.gui.host import Host
from aftercase.gui.pages.building import button, label, panel, row, say
from aftercase.gui.pages.case_part import CasePart
from aftercase.gui.pages.film_order import FilmOrder, film_words, findings_elsewhere
from aftercase.gui.pages.films_part import FilmDeeds, FilmsPart
from aftercase.gui.pages.joint_view import JointsView
from aftercase.session.desk import in_words
from aftercase.session.tasks.dropped import (
    FilmEnds,
    look_at_dropped,
    make_case,
    pictures_at_ends,
)
from aftercase.session.tasks.parts import PartsSeen


class NewCasePage(QWidget):
    """A new case.

    Args:
        host: The window.
        films: Files and folders to begin with.
    """

    title = "New case"

    def __init__(self, host: Host, films: tuple[Path, ...] = ()) -> None:
        super().__init__()
        self._host = host
        self._order = FilmOrder()
        self._ends: dict[Path, FilmEnds] = {}
        self._n_looking, self._is_making, self._is_gone = 0, False, False
        self._films = FilmsPart(FilmDeeds(self.add_films, self.move_film, self.drop_film))
        self._case = CasePart(host)
        self._leave_out = QCheckBox("Leave these out")
        self._leave_out.setAccessibleName("Leave out the files that cannot be opened")
        self._leave_out.toggled.connect(lambda on: self._show_state())
        self._bad, self._looks = label("", "warn"), label("", "warn")
        self._joints = JointsView()
        self._fault = label("", "warn")
        self._make = button("Make the case", self._begin)
        column = QVBoxLayout(self)
        for part in (
            self._films, self._bad, self._leave_out, self._looks, self._joints,
            panel("The case", self._case), self._fault,
        ):  # fmt: skip
            column.addWidget(part)
        column.addLayout(row(self._make))
        column.addStretch(1)
        self._show()
        self.setFocusProxy(self._films.add_button)
        if films:
            self.add_films(films)

    def add_films(self, places: tuple[Path, ...]) -> None:
        """Look at files and folders, and put their films behind those that are there."""
        if not places:
            return
        self._n_looking += 1
        self._show_state()
        self._host.in_background(
            "Looking at the films", look_at_dropped, places, self._host.at,
            done=self._take_seen, failed=self._take_fault,
        )  # fmt: skip

    def move_film(self, by: int) -> None:
        """Move the present film earlier (-1) or later (1)."""
        place = self._films.place
        self._order = self._order.moved(place, by)
        self._show()
        self._films.go_to(place + by)

    def drop_film(self) -> None:
        """Leave the present film out."""
        place = self._films.place
        if place >= 0:
            self._order = self._order.without(place)
            self._show()
            self._films.go_to(place)

    def stop(self) -> None:
        """Take no notice of what comes back."""
        self._is_gone = True

    @property
    def order(self) -> FilmOrder:
        """The films as they stand."""
        return self._order

    def _take_seen(self, seen: PartsSeen) -> None:
        if self._is_gone:
            return
        self._n_looking -= 1
        self._order = self._order.joined(seen)
        self._leave_out.setChecked(False)
        self._show()
        self._fetch_pictures()

    def _take_fault(self, fault: AftercaseError) -> None:
        self._host.tell(in_words(fault), "refused")
        if not self._is_gone:
            self._n_looking -= 1
            self._show_state()

    def _fetch_pictures(self) -> None:
        films = [file.path for file, _ in self._order.films]
        missing = tuple(film for film in films if film not in self._ends)
        if len(films) < 2 or not missing:
            return

        def take(ends: tuple[FilmEnds, ...]) -> None:
            if not self._is_gone:
                self._ends.update(zip(missing, ends, strict=True))
                self._joints.show_order(self._order, self._ends)

        self._host.in_background(
            "Fetching pictures of the joints", pictures_at_ends, missing, self._host.at, done=take
        )

    def _show(self) -> None:
        films = self._order.films
        self._films.show_films([film_words(place, *films[place]) for place in range(len(films))])
        self._joints.show_order(self._order, self._ends)
        self._joints.setVisible(len(films) > 1)
        looks = [*findings_elsewhere(self._order.joints), *self._order.left_out]
        say(self._looks, "\n".join(f"Look: {words}" for words in looks), "warn")
        self._show_state()

    def _show_state(self) -> None:
        bad = self._order.unreadable
        say(self._bad, "\n".join(["These cannot be opened:", *bad]) if bad else "", "warn")
        self._leave_out.setVisible(bool(bad))
        self._films.say_looking(self._n_looking > 0)
        decided = not bad or self._leave_out.isChecked()
        ready = bool(self._order.films) and decided and not self._n_looking
        self._make.setEnabled(ready and not self._is_making)
        self._make.setText("The case is being made…" if self._is_making else "Make the case")

    def _begin(self) -> None:
        films = tuple(file.path for file, _ in self._order.films)
        try:
            wanted, folder = self._case.wanted(films)
        except AftercaseError as fault:
            say(self._fault, in_words(fault), "warn")
            return
        say(self._fault, "")
        self._is_making = True
        self._show_state()
        self._host.in_background(
            f"Making {wanted.code}", make_case, folder, wanted, self._host.at,
            done=self._made, failed=self._not_made,
        )  # fmt: skip

    def _made(self, folder: Path) -> None:
        if self._is_gone:
            self._host.tell(f"The case is made: {folder}")
            return
        self._host.leave_page()
        self._host.open_path(folder)

    def _not_made(self, fault: AftercaseError) -> None:
        self._host.tell(in_words(fault), "refused")
        if not self._is_gone:
            self._is_making = False
            say(self._fault, in_words(fault), "warn")
            self._show_state()
