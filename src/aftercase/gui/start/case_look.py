"""What the start page says of a case, read from its folder."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path
from typing import Final

from aftercase.document.folder import CASE_FILE
from aftercase.errors import AftercaseError
from aftercase.model.base import NOT_SAID
from aftercase.model.review import Review
from aftercase.session.opened import OpenedCase, open_case
from aftercase.session.people import PLACEHOLDER, Person
from aftercase.session.places import Places
from aftercase.session.rendition import still_for_start

UNCHECKED: Final = "identity not checked yet"
NO_PICTURE: Final = "no picture"
NOT_THERE: Final = "not there"
MISSING: Final = "the folder is not there"


@dataclass(frozen=True)
class CaseRow:
    """What the list shows of a case.

    Attributes:
        folder: The case folder.
        code: The case's code.
        about: Guide, trainee and the like, in one line.
        open: What is open, in one line; empty where nothing is.
        plate: What stands instead of a still; empty where there is one.
        is_missing: The folder is not there, or cannot be read; `open` says which.
        still: A picture from inside the case as a JPEG file; None where there is none yet.
    """

    folder: Path
    code: str
    about: str = ""
    open: str = ""
    plate: str = NO_PICTURE
    is_missing: bool = False
    still: bytes | None = field(default=None, repr=False)

    @property
    def spoken(self) -> str:
        """The row as a screen reader says it."""
        parts = (self.code, self.about, self.open, self.plate)
        return ". ".join(part for part in parts if part)


def look_at(folder: Path, code: str, person: Person | None, at: Places) -> CaseRow:
    """Return what is to be said of a case to somebody.

    Args:
        folder: The case folder.
        code: The code it had when it was last open here.
        person: Who reviews; the placeholder where nobody said.
        at: The program's folders.
    """
    if not (folder / CASE_FILE).is_file():
        return CaseRow(folder, code, open=f"{MISSING}: {folder}", plate=NOT_THERE, is_missing=True)
    try:
        opened = open_case(folder, at)
    except AftercaseError as fault:
        return CaseRow(folder, code, open=fault.message, plate=NOT_THERE, is_missing=True)
    case = opened.case
    has_still = case.identity_checked_by is not None and bool(case.parts)
    return CaseRow(
        folder,
        case.code,
        about=about_words(opened),
        open=open_words(opened, (person or PLACEHOLDER).code),
        plate="" if has_still else (UNCHECKED if case.parts else NO_PICTURE),
        still=still_for_start(opened, at) if has_still else None,
    )


def about_words(opened: OpenedCase) -> str:
    """Return guide, eye and trainee in one line, as far as they are said."""
    case = opened.case
    eye = "" if case.eye == NOT_SAID else f"{case.eye} eye"
    parts = (opened.guide.name, eye, f"trainee {case.trainee}" if case.trainee else "")
    return ", ".join(part for part in parts if part)


def open_words(opened: OpenedCase, reader: str) -> str:
    """Return how far reviews are in one line: the reader's own first, others' once closed.

    Another person's draft is theirs alone, and so is that there is one.
    """
    newest: dict[str, Review] = {}
    for review in sorted((one.record for one in opened.reviews), key=lambda one: one.revision):
        if review.reviewer == reader or review.state != "draft":
            newest[review.reviewer] = review
    if not newest:
        return "not reviewed yet"
    words = []
    if own := newest.pop(reader, None):
        words.append(f"yours: {_state_words(own)}")
    words += [f"{code}: {_state_words(review)}" for code, review in sorted(newest.items())]
    return ", ".join(words)


def _state_words(review: Review) -> str:
    if review.state != "draft":
        return review.state
    counts = ((len(review.steps), "step"), (len(review.remarks), "remark"))
    marks = [f"{n} {what}{'' if n == 1 else 's'}" for n, what in counts if n]
    return f"draft, {' and '.join(marks)}" if marks else "draft, empty"
