"""An opened case: what was read, the review in hand with its history, and its saving."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from aftercase.document.files import Stored
from aftercase.document.folder import (
    CaseFolder,
    latest_of,
    new_review,
    read_case,
    read_case_guide,
    read_reviews,
    write_review,
)
from aftercase.edit.history import History
from aftercase.errors import NameUnknown
from aftercase.model.base import NewId
from aftercase.model.case import Case
from aftercase.model.guide import Guide
from aftercase.model.review import Review
from aftercase.session.places import Places
from aftercase.session.saver import Saver, SaveState


@dataclass(frozen=True)
class OpenedCase:
    """A case folder as it was read.

    Attributes:
        folder: Where it lies.
        stored_case: The header with what it was on disk.
        guide: The case's own copy of its guide.
        reviews: All reviews that can be read here, by reviewer and revision.
    """

    folder: CaseFolder
    stored_case: Stored[Case]
    guide: Guide
    reviews: tuple[Stored[Review], ...]

    @property
    def case(self) -> Case:
        """The header."""
        return self.stored_case.record


def open_case(path: Path, at: Places) -> OpenedCase:
    """Read a case folder whole.

    Raises:
        DocumentMissing: It is no case folder, or its guide is gone.
        DocumentBroken: A file of it cannot be read; place and fault are named.
        DocumentTooNew: A file of it was written by a newer program.
    """
    folder = CaseFolder(path, at.drafts)
    case = read_case(folder)
    guide = read_case_guide(folder)
    reviews = read_reviews(folder, case.record.id)
    return OpenedCase(folder, case, guide.record, tuple(reviews))


def chosen_review(opened: OpenedCase, reviewer: str | None) -> Stored[Review]:
    """Return a person's latest review; the only person's where none is named.

    Raises:
        NameUnknown: There is no review, none of that person, or several people's.
    """
    people = sorted({stored.record.reviewer for stored in opened.reviews})
    if not people:
        raise NameUnknown(
            "Nobody has reviewed this case yet.",
            hint="Take in a table with “aftercase spans”, or review it in the window.",
            path=opened.folder.path,
        )
    if reviewer is None and len(people) > 1:
        raise NameUnknown(
            f"{len(people)} people reviewed this case: {', '.join(people)}.",
            hint="Name one with --reviewer.",
            path=opened.folder.path,
        )
    latest = latest_of(list(opened.reviews), reviewer or people[0])
    if latest is None:
        raise NameUnknown(
            f"{reviewer} has not reviewed this case.",
            hint=f"Reviews here: {', '.join(people)}.",
            path=opened.folder.path,
        )
    return latest


def draft_of(opened: OpenedCase, reviewer: str, role: str, new_id: NewId) -> Stored[Review]:
    """Return a person's draft, an empty one where there is no review of theirs yet.

    A person whose latest review is closed gets that one back; editing it is refused with what
    to do.
    """
    latest = latest_of(list(opened.reviews), reviewer)
    if latest is not None:
        return latest
    review = Review(id=new_id(), case=opened.case.id, reviewer=reviewer, role=role)
    return new_review(opened.folder, review)


class ReviewInHand:
    """The one gate through which the review in hand changes.

    Args:
        folder: The case folder.
        stored: The review as it is on disk, or a new draft.
        told: Called with each new saving state, on the saving thread.
    """

    def __init__(
        self,
        folder: CaseFolder,
        stored: Stored[Review],
        *,
        told: Callable[[SaveState], None] = lambda state: None,
    ) -> None:
        self._folder = folder
        self._stored = stored
        self._history = History(stored.record)
        self._saver: Saver[Review] = Saver(self._write, told=told)

    @property
    def review(self) -> Review:
        """The review as it is shown."""
        return self._history.present

    @property
    def history(self) -> History[Review]:
        """What can be undone and redone."""
        return self._history

    @property
    def saving(self) -> SaveState:
        """Whether what is shown is on disk."""
        return self._saver.state

    def edit(
        self, edit: Callable[[Review], Review], label: str, *, merge_key: str | None = None
    ) -> Review:
        """Apply an edit and save it in the background.

        Raises:
            AftercaseError: The edit refused; nothing changed.
        """
        return self._take(self._history.edited(edit(self.review), label, merge_key=merge_key))

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
        self._saver.save(self.review)

    def wait_until_saved(self, timeout_s: float | None = None) -> SaveState:
        """Wait until nothing is being written."""
        return self._saver.wait(timeout_s)

    def close(self) -> SaveState:
        """Write what is still waiting and return whether it is saved."""
        return self._saver.close()

    def _take(self, history: History[Review]) -> Review:
        if history is not self._history:
            self._history = history
            self._saver.save(history.present)
        return history.present

    def _write(self, review: Review) -> None:
        self._stored = write_review(self._folder, self._stored, review)
