"""The desk: one case with one person's review on it, the moment looked at, and who listens.

Everything that shows something of the case is given the desk and listens to it; everything that
changes something asks it. What the world or the person does wrong is told in words, never raised.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Final, Literal

from aftercase.document.files import Stored
from aftercase.edit.marking import Moment
from aftercase.edit.records import found
from aftercase.errors import AftercaseError
from aftercase.media.frameclock import FrameClock
from aftercase.model.base import NewId
from aftercase.model.case import Case, window_of
from aftercase.model.guide import Guide
from aftercase.model.review import RECORD_LISTS, Review
from aftercase.session.inhand import WorkInHand
from aftercase.session.opened import OpenedCase
from aftercase.session.saver import SaveState
from aftercase.session.settings import Settings

Topic = Literal[
    "review", "replayed", "case", "moment", "selection", "strip", "saving", "words", "settings"
]
"""What can be listened to: marks, whose marks are shown, header, shown frame, selection, the
strip's stretch, saving, words to tell, settings."""

Tone = Literal["done", "undone", "refused"]


@dataclass(frozen=True)
class Words:
    """Something to tell, once.

    Attributes:
        text: What happened, and what to do where there is something.
        tone: ``done``, ``undone`` or ``refused``.
    """

    text: str
    tone: Tone = "done"


class Desk:
    """The window's model.

    Not for use by two threads; saving tells its state through `on_saving`, which the window sends
    to its own thread and hands to `saving_changed`.

    Args:
        opened: The case.
        stored: The reviewer's review, or a new draft.
        frames: The recording's frames.
        new_id: Source of ids.
        settings: What the person chose.
        on_saving: Called with each saving state, on a saving thread.
    """

    def __init__(
        self,
        opened: OpenedCase,
        stored: Stored[Review],
        frames: FrameClock,
        new_id: NewId,
        settings: Settings,
        *,
        on_saving: Callable[[SaveState], None] = lambda state: None,
    ) -> None:
        self.opened = opened
        self.frames = frames
        self.new_id = new_id
        self.settings = settings
        self.hand = WorkInHand(opened, stored, told=on_saving)
        self.at_us = frames.start_of(window_of(opened.case).start_us)
        self.selection: tuple[str, ...] = ()
        self.replayed: Review | None = None
        window = window_of(opened.case)
        self.strip_us: tuple[int, int] = (window.start_us, window.end_us)
        self.words: Words | None = None
        self.saving = self.hand.saving
        self._listeners: dict[Topic, list[Callable[[], None]]] = defaultdict(list)

    @property
    def guide(self) -> Guide:
        """The case's own copy of its guide."""
        return self.opened.guide

    @property
    def review(self) -> Review:
        """The review as it is shown."""
        return self.hand.review

    @property
    def shown_review(self) -> Review:
        """The review whose marks are shown: the one that is replayed, else one's own."""
        return self.replayed or self.review

    @property
    def case(self) -> Case:
        """The header as it is shown."""
        return self.hand.case

    @property
    def is_draft(self) -> bool:
        """Claim that the review can be changed."""
        return self.review.state == "draft"

    @property
    def bounds_us(self) -> tuple[int, int]:
        """The stretch of the clock that is this case's, ``[start, end)``."""
        window = window_of(self.case)
        return window.start_us, window.end_us

    @property
    def moment(self) -> Moment:
        """Where a key pressed now marks."""
        end_us = self.bounds_us[1]
        return Moment(self.at_us, min(self.frames.edge_us(self.at_us), end_us), end_us)

    def listen(self, topic: Topic, told: Callable[[], None]) -> Callable[[], None]:
        """Have something called after each change of a topic; returns what ends that."""
        self._listeners[topic].append(told)
        return lambda: self._listeners[topic].remove(told)

    def say(self, topic: Topic) -> None:
        """Tell everyone who listens to a topic."""
        for told in tuple(self._listeners[topic]):
            told()

    def tell(self, text: str, tone: Tone = "done") -> None:
        """Say something to the person."""
        self.words = Words(text, tone)
        self.say("words")

    def show_moment(self, at_us: int) -> None:
        """Take note of the frame that is on the screen now."""
        if at_us != self.at_us:
            self.at_us = at_us
            self.say("moment")

    def show_replayed(self, review: Review | None) -> None:
        """Show the marks of a review that is replayed; None for one's own again."""
        if review is not self.replayed:
            self.replayed = review
            self.say("replayed")

    def show_stretch(self, start_us: int, end_us: int) -> None:
        """Set the stretch of the clock that the strip shows."""
        if (start_us, end_us) != self.strip_us:
            self.strip_us = (start_us, end_us)
            self.say("strip")

    def select(self, *ids: str) -> None:
        """Select some records, and nothing else."""
        if ids != self.selection:
            self.selection = ids
            self.say("selection")

    def selected(self) -> tuple[Any, ...]:
        """Return the selected records that are still there, in the order they were selected."""
        there = {
            record.id: record for name in RECORD_LISTS for record in getattr(self.review, name)
        }
        return tuple(there[record_id] for record_id in self.selection if record_id in there)

    def record(self, record_id: str) -> Any | None:
        """Return a record of the review by its id, None where it is gone."""
        try:
            return found(self.review, record_id)[1]
        except AftercaseError:
            return None

    def edit(
        self,
        edit: Callable[[Review], Review],
        label: str,
        *,
        merge_key: str | None = None,
        quiet: bool = False,
    ) -> bool:
        """Change the review and claim that it changed; a refusal is told.

        Args:
            edit: The edit.
            label: What it does, in words that can follow “undo”.
            merge_key: Edits in a row with the same key are undone as one.
            quiet: Whether nothing is said where it went well.
        """
        return self._changed(
            lambda: self.hand.edit(edit, label, merge_key=merge_key), "review", label, quiet
        )

    def bring_in(self, edit: Callable[[Review], Review]) -> bool:
        """Put into the review what nobody did by hand, and claim that it changed; undo leaves it.

        Args:
            edit: The edit.
        """
        return self._changed(lambda: self.hand.bring_in(edit), "review", "", quiet=True)

    def edit_header(
        self,
        edit: Callable[[Case], Case],
        label: str,
        *,
        merge_key: str | None = None,
        quiet: bool = False,
    ) -> bool:
        """Change the header and claim that it changed; a refusal is told."""
        return self._changed(
            lambda: self.hand.edit_header(edit, label, merge_key=merge_key), "case", label, quiet
        )

    def undo(self) -> None:
        """Take the last edit back and say what it was."""
        self._turn_back(self.hand.undo, "Undone", "Nothing to undo.")

    def redo(self) -> None:
        """Do the last undone edit again and say what it was."""
        self._turn_back(self.hand.redo, "Done again", "Nothing to do again.")

    def take_settings(self, settings: Settings) -> None:
        """Use other settings from now on."""
        self.settings = settings
        self.say("settings")

    def saving_changed(self, state: SaveState) -> None:
        """Take note of a saving state, on the thread of the listeners."""
        self.saving = state
        self.say("saving")
        if state.fault is not None:
            self.tell(in_words(state.fault), "refused")

    def close(self) -> SaveState:
        """Write what is still waiting and return whether all is saved."""
        return self.hand.close()

    def _changed(self, change: Callable[[], object], topic: Topic, label: str, quiet: bool) -> bool:
        before = self.hand.history.present
        try:
            change()
        except AftercaseError as refusal:
            self.tell(in_words(refusal), "refused")
            return False
        if self.hand.history.present is before:
            return False
        self.say(topic)
        if not quiet:
            self.tell(label[:1].upper() + label[1:])
        return True

    def _turn_back(self, turn: Callable[[], str | None], done: str, nothing: str) -> None:
        before = self.hand.history.present
        label = turn()
        after = self.hand.history.present
        if after.review is not before.review:
            self.say("review")
        if after.case is not before.case:
            self.say("case")
        self.tell(f"{done}: {label}" if label else nothing, "undone")


def in_words(fault: AftercaseError) -> str:
    """Return a fault as one text for a person."""
    return " ".join(part for part in (fault.message, fault.hint) if part)


LEAST_STRETCH_FRAMES: Final = 8
