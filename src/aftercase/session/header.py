"""Saving a case's header, with what somebody else changed of it meanwhile."""

from __future__ import annotations

from aftercase.document.codec import broken
from aftercase.document.files import Stored, write_document
from aftercase.document.folder import CaseFolder, read_case
from aftercase.edit.header import Clash, merge
from aftercase.errors import DocumentChanged, EditRefused
from aftercase.model.case import Case
from aftercase.model.guide import Guide
from aftercase.model.rules import case_problems

_TRIES = 5


def save_header(folder: CaseFolder, stored: Stored[Case], mine: Case, guide: Guide) -> Stored[Case]:
    """Save a header; fields that only one side changed are put together.

    Args:
        folder: The case folder.
        stored: The header as it was read.
        mine: My version of it.
        guide: The case's guide.

    Returns:
        What is on disk then: my changes, and theirs where somebody wrote meanwhile.

    Raises:
        EditRefused: My version breaks a rule of the header.
        DocumentChanged: A field was changed on both sides; both values are named, and theirs
            stays.
        WriteFailed: The disk is full, read-only or gone; the earlier file is whole.
    """
    if faults := case_problems(mine, guide):
        listed = broken(faults, folder.case_file).message.partition("\n")[2]
        raise EditRefused(f"The header was not saved:\n{listed}", hint="Mend the named fields.")
    base = stored
    for _ in range(_TRIES):
        try:
            return write_document(base, mine)
        except DocumentChanged:
            theirs = read_case(folder)
            merged = merge(base.record, mine, theirs.record)
            if merged.clashes:
                raise _clashing(merged.clashes, folder) from None
            base, mine = theirs, merged.case
    raise DocumentChanged(
        "The header changes on disk all the time.", hint="Save it again.", path=folder.case_file
    )


def _clashing(clashes: tuple[Clash, ...], folder: CaseFolder) -> DocumentChanged:
    listed = "\n".join(
        f"  - {clash.field}: here {clash.mine!r}, on disk {clash.theirs!r}" for clash in clashes
    )
    return DocumentChanged(
        f"Somebody else changed the same fields of the header:\n{listed}",
        hint="Open the case again and set the fields that matter.",
        path=folder.case_file,
    )
