"""The work in hand: a case's header and one person's review, their history, and their saving."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from aftercase.document.files import Stored
from aftercase.document.folder import write_review
from aftercase.edit.history import History
from aftercase.model.case import Case
from aftercase.model.review import Review
from aftercase.session.header import save_header
from aftercase.session.opened import OpenedCase
from aftercase.session.saver import NOT_SAVED, SAVING, Saver, SaveState


@dataclass(frozen=True)
class Work:
    """What is shown: the header and the review."""

    case: Case
    review: Review


class WorkInHand:
    """The one gate through which a review and its case's header change.

    Both have one history, so that undo takes back what was done last, whichever it was. They are
    saved apart: the review to its own file, the header merged with what others wrote meanwhile.

    Args:
        opened: The case.
        stored: The review as it is on disk, or a new draft.
        told: Called with each new saving state, on a saving thread.
    """

    def __init__(
        self,
        opened: OpenedCase,
        stored: Stored[Review],
        *,
        told: Callable[[SaveState], None] = lambda state: None,
    ) -> None:
        self._folder, self._guide = opened.folder, opened.guide
        self._stored, self._stored_case = stored, opened.stored_case
        self._history = History(Work(opened.case, stored.record))
        self._told = told
        self._reviews: Saver[Review] = Saver(self._write_review, told=self._tell)
        self._headers: Saver[Case] = Saver(self._write_header, told=self._tell)

    @property
    def review(self) -> Review:
        """The review as it is shown."""
        return self._history.present.review

    @property
    def case(self) -> Case:
        """The header as it is shown."""
        return self._history.present.case

    @property
    def stored(self) -> Stored[Review]:
        """The review as it was last read or written."""
        return self._stored

    @property
    def history(self) -> History[Work]:
        """What can be undone and redone."""
        return self._history

    @property
    def saving(self) -> SaveState:
        """Whether what is shown is on disk; of the two files the one that is further from it."""
        return max(self._reviews.state, self._headers.state, key=_distance)

    def edit(
        self, edit: Callable[[Review], Review], label: str, *, merge_key: str | None = None
    ) -> Review:
        """Apply an edit to the review and save it in the background.

        Raises:
            AftercaseError: The edit refused; nothing changed.
        """
        work = replace(self._history.present, review=edit(self.review))
        return self._take(self._history.edited(work, label, merge_key=merge_key)).review

    def bring_in(self, edit: Callable[[Review], Review]) -> Review:
        """Apply to the review what nobody did by hand: undo leaves it. Save in the background.

        Raises:
            AftercaseError: The edit refused; nothing changed.
        """
        history = self._history.everywhere(lambda work: replace(work, review=edit(work.review)))
        return self._take(history).review

    def edit_header(
        self, edit: Callable[[Case], Case], label: str, *, merge_key: str | None = None
    ) -> Case:
        """Apply an edit to the header and save it in the background.

        Raises:
            AftercaseError: The edit refused; nothing changed.
        """
        work = replace(self._history.present, case=edit(self.case))
        return self._take(self._history.edited(work, label, merge_key=merge_key)).case

    def end_merging(self) -> None:
        """Let the next edit be one of its own, whatever its key: a drag or a line is finished."""
        self._history = self._history.settled()

    def undo(self) -> str | None:
        """Take the last edit back, save, and return its words; None where there is none."""
        label = self._history.undo_label
        self._take(self._history.undone())
        return label

    def redo(self) -> str | None:
        """Do the last undone edit again, save, and return its words; None where there is none."""
        label = self._history.redo_label
        self._take(self._history.redone())
        return label

    def try_again(self) -> None:
        """Save what is shown once more, after a disk was full or gone."""
        self._reviews.save(self.review)
        if self.case != self._stored_case.record:
            self._headers.save(self.case)

    def wait_until_saved(self, timeout_s: float | None = None) -> SaveState:
        """Wait until nothing is being written."""
        self._reviews.wait(timeout_s)
        self._headers.wait(timeout_s)
        return self.saving

    def close(self) -> SaveState:
        """Write what is still waiting and return whether all is saved."""
        self._reviews.close()
        self._headers.close()
        return self.saving

    def _take(self, history: History[Work]) -> Work:
        before, after = self._history.present, history.present
        # What is closed is never written again: over a seal or a correction nothing goes back.
        self._history = history if _standing(after) == _standing(before) else History(after)
        if after.review is not before.review:
            self._reviews.save(after.review)
        if after.case is not before.case:
            self._headers.save(after.case)
        return after

    def _tell(self, state: SaveState) -> None:
        self._told(self.saving)

    def _write_review(self, review: Review) -> None:
        self._stored = write_review(self._folder, self._stored, review)

    def _write_header(self, case: Case) -> None:
        self._stored_case = save_header(self._folder, self._stored_case, case, self._guide)


def _standing(work: Work) -> tuple[int, str]:
    return work.review.revision, work.review.state


def _distance(state: SaveState) -> int:
    return {SAVING.word: 1, NOT_SAVED: 2}.get(state.word, 0)
