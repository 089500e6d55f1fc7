"""The hand that measures: what it points at, where it aims, which place it has chosen."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

from aftercase.gui.film.view import FilmView
from aftercase.model.picture import PicturePoint
from aftercase.session.desk import Desk
from aftercase.session.pointing import (
    Pointing,
    into,
    why_no_point,
    with_moved,
    with_point,
    without_last,
)
from aftercase.session.verbs import pointing as verbs


class MeasuringHand:
    """Points at the film; of what is kept already every change is an edit.

    Args:
        desk: The case on the desk.
        film: The film view that is pointed at.
        changed: Called after each change of what is pointed at, aimed at or chosen.
    """

    def __init__(self, desk: Desk, film: FilmView, changed: Callable[[], None]) -> None:
        self._desk, self._film, self._changed = desk, film, changed
        self.pointing: Pointing | None = None
        """What is pointed at; None while a tool is chosen."""
        self.chosen: int | None = None
        """Number of the place that the arrow keys move; None where they move the cross."""
        self._towards: PicturePoint | None = None
        self._links = (
            (film.pointed, self._point),
            (film.aimed, self._aim),
            (film.dragged, self._drag),
            (film.taken_back, self.take_back),
        )
        for signal, slot in self._links:
            signal.connect(slot)

    def stop(self) -> None:
        """Let go of the film."""
        for signal, slot in self._links:
            signal.disconnect(slot)
        self._desk.hand.end_merging()
        self._film.ask_for_points(False)

    def take(self, pointing: Pointing | None) -> None:
        """Take something up to point at it; None to put it down."""
        self._desk.hand.end_merging()
        self.pointing, self._towards, self.chosen = pointing, None, None
        label = "" if pointing is None else pointing.tool.label
        self._film.ask_for_points(pointing is not None, label)
        self._changed()

    def see_moment(self) -> None:
        """Take note of another frame: what the cross aimed at belonged to the one before."""
        self._towards = None
        self._changed()

    def see_review(self) -> None:
        """Take note of a changed review; a record that is gone is no longer changed."""
        now = self.pointing
        if now is not None and now.record_id:
            there = verbs.record_of(self._desk, now.record_id)
            if there is None:
                self.take(None)
                return
            self.pointing = replace(there, into=now.into)
        self._changed()

    def show(self, now: Pointing) -> verbs.ReadOut:
        """Show on the film what is pointed at, and return what it comes to."""
        at_us = self._desk.at_us
        read = verbs.read_out(self._desk, self._ahead(now))
        handles = now.shown_on(at_us)
        numbers = [number for number, _ in handles]
        self._film.show_points(
            read.drawings if now.is_on(at_us) and not now.record_id else (),
            tuple(place for _, place in handles),
            numbers.index(self.chosen) if self.chosen in numbers else None,
        )
        return read

    # Pointing -----------------------------------------------------------------------------

    def take_back(self) -> None:
        """Take the last place back."""
        now = self.pointing
        if now is not None and now.places:
            self._put_once(without_last(now))

    def choose(self, way: int) -> None:
        """Choose the next place, or the one before, to move it with the arrow keys; 0 for none."""
        handles = self.pointing.shown_on(self._desk.at_us) if self.pointing is not None else ()
        numbers = [number for number, _ in handles]
        self._desk.hand.end_merging()
        self._towards = None
        if not way or not numbers:
            self.chosen = None
        elif self.chosen in numbers:
            self.chosen = numbers[(numbers.index(self.chosen) + way) % len(numbers)]
        else:
            self.chosen = numbers[0 if way > 0 else -1]
        self._changed()

    def nudge(self, deed: str, *, fine: bool) -> None:
        """Move the chosen place by a step of the cross; steps in a row are undone as one."""
        now, number = self.pointing, self.chosen
        if now is not None and number is not None and number < len(now.places):
            share = self._film.place_beside(now.places[number], deed, fine=fine)
            self._put(with_moved(now, number, share))

    def _ahead(self, now: Pointing) -> Pointing:
        """Return what is pointed at as if the cross had been set where it is."""
        place = self._towards
        if place is None or now.record_id or why_no_point(now, place):
            return now
        return with_point(now, place)

    def _point(self, place: PicturePoint) -> None:
        now = self.pointing
        if now is None:
            return
        if why := why_no_point(now, place):
            self._towards = None
            self._desk.tell(why, "refused")
            self._changed()
        else:
            self._put_once(with_point(now, place))

    def _aim(self, place: PicturePoint) -> None:
        if self.pointing is not None:
            self._towards = place
            self._changed()

    def _drag(self, handle: int, place: PicturePoint, is_over: bool) -> None:
        """Move a place; one drag is undone as one."""
        now = self.pointing
        handles = now.shown_on(self._desk.at_us) if now is not None else ()
        if now is None or handle >= len(handles):
            return
        self._towards = None
        self._put(with_moved(now, handles[handle][0], (place.x, place.y)))
        if is_over:
            self._desk.hand.end_merging()

    # Saying -------------------------------------------------------------------------------

    def say(self, name: str, said: Any) -> None:
        """Say something of it; typing in a row is undone as one."""
        if self.pointing is not None:
            fields: dict[str, Any] = {name: said}
            self._put(replace(self.pointing, **fields))

    def say_by_key(self, name: str, said: Any) -> None:
        """Say something of it that is undone by itself."""
        self._desk.hand.end_merging()
        self.say(name, said)
        self._desk.hand.end_merging()

    def say_from(self, word: str) -> None:
        """Say where its size comes from."""
        if self.pointing is not None:
            self._put_once(verbs.with_size_from(self._desk, self.pointing, word))

    def turn_to(self, word: str) -> None:
        """Set the next places for something else."""
        if self.pointing is not None:
            self._put_once(into(self.pointing, word))

    def _put_once(self, after: Pointing) -> None:
        """Let this be what is pointed at, in a step that is undone by itself."""
        self._towards, self.chosen = None, None
        self._desk.hand.end_merging()
        self._put(after)
        self._desk.hand.end_merging()

    def _put(self, after: Pointing) -> None:
        """Let this be what is pointed at; of what is kept it is an edit."""
        before = self.pointing
        if before is None:
            return
        if not before.record_id:
            self.pointing = after
        elif verbs.change(self._desk, before, after):
            self.pointing = replace(self.pointing or after, into=after.into)
        self._changed()
