"""How a complication went: when its first sign was there, when it was seen, what was done."""

from __future__ import annotations

from functools import partial
from itertools import pairwise
from typing import Final

from PyQt6.QtWidgets import QGridLayout, QLabel, QWidget

from aftercase.gui.pages.building import Choice, button
from aftercase.model.review import PERFORMERS, Course, Event
from aftercase.session.desk import Desk
from aftercase.session.guidelist import seconds_of
from aftercase.session.verbs.marking import say_of_mark

_MOMENTS: Final = (
    ("first_sign_us", "First sign"),
    ("recognised_us", "Recognised"),
    ("first_response_us", "First response"),
)
_HOLDER_LETTERS: Final = 10


class CourseFields(QWidget):
    """Three moments, each set to the shown frame by its button, and who held the instruments.

    Args:
        desk: The case on the desk.
        event_id: The complication.
    """

    def __init__(self, desk: Desk, event_id: str) -> None:
        super().__init__()
        self._desk, self._event_id = desk, event_id
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setColumnStretch(0, 1)
        self._times: dict[str, QLabel] = {}
        for row, (field, label) in enumerate(_MOMENTS):
            time, set_here = QLabel(), partial(self._set_here, field, label)
            here = button("here", set_here, f"{label}: the shown frame")
            self._times[field] = time
            for column, widget in enumerate((QLabel(label), time, here)):
                grid.addWidget(widget, row, column)
        self._holder = Choice(
            "Who held the instruments",
            [(word, word.replace("-", " ")) for word in PERFORMERS],
            lambda word: self._change("who held the instruments", holder=word),
        )
        self._holder.setMinimumContentsLength(_HOLDER_LETTERS)
        grid.addWidget(QLabel("Held by"), len(_MOMENTS), 0)
        grid.addWidget(self._holder, len(_MOMENTS), 1, 1, 2)

    def show_event(self, event: Event) -> None:
        """Show what the review says of the complication."""
        course = event.course or Course()
        for field, time in self._times.items():
            us = getattr(course, field)
            time.setText("not said" if us is None else seconds_of(us))
        self._holder.show_word(course.holder)

    def _set_here(self, field: str, label: str) -> None:
        self._change(f"{label.lower()} here", **{field: self._desk.at_us})

    def _change(self, label: str, **fields: object) -> None:
        event = self._desk.record(self._event_id)
        if not isinstance(event, Event):
            return
        course = (event.course or Course()).changed(**fields)
        if not _is_in_order(course):
            self._desk.tell(
                "First sign, recognised, first response: they come in this order.", "refused"
            )
            return
        self._desk.hand.end_merging()  # each of these is one edit of its own
        say_of_mark(self._desk, self._event_id, label, course=course)


def _is_in_order(course: Course) -> bool:
    moments = [us for field, _ in _MOMENTS if (us := getattr(course, field)) is not None]
    return all(earlier <= later for earlier, later in pairwise(moments))
