"""Move a case and its drafts to another version of their guide."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from aftercase.document.codec import broken
from aftercase.document.files import Stored
from aftercase.document.folder import read_case_guide
from aftercase.document.guides import guide_named
from aftercase.document.together import write_together
from aftercase.edit.header import move_to_guide
from aftercase.errors import EditRefused, ReviewClosed
from aftercase.media.watch import UNWATCHED, Watch
from aftercase.model.case import Case
from aftercase.model.guide import Guide
from aftercase.model.review import Review
from aftercase.model.rules import case_problems
from aftercase.session.opened import OpenedCase, open_case
from aftercase.session.places import Places


def move_case_to_guide(
    path: Path,
    guide: str,
    steps: Mapping[str, str],
    at: Places,
    *,
    watch: Watch = UNWATCHED,
) -> Case:
    """Move a case with every draft here to another guide, or another version of its own.

    Args:
        path: The case folder.
        guide: The guide's id, or its file.
        steps: Old step id to new step id, for every step in use that the guide lacks.
        at: The program's folders.
        watch: May stop the work before anything is written.

    Returns:
        The header now.

    Raises:
        NameUnknown: There is no such guide.
        ReviewClosed: A closed review has a step that the guide lacks; it is never written again.
        EditRefused: A step in use has no place, or the header would break a rule of the guide.
        DocumentMissing, DocumentBroken, DocumentTooNew: The case or the guide cannot be read.
        DocumentChanged, WriteFailed: Nothing was written.
        WorkCancelled: As asked by `watch`.
    """
    opened = open_case(path, at)
    wanted = guide_named(guide, at.own_guides)
    _refuse_closed(opened, wanted)
    drafts = [stored for stored in opened.reviews if stored.record.state == "draft"]
    case, moved = _moved(opened, drafts, wanted, dict(steps))
    _refuse_new_faults(opened, case, wanted)
    watch.step(0, 1)
    changes: list[tuple[Stored[Case] | Stored[Guide] | Stored[Review], Case | Guide | Review]] = [
        (read_case_guide(opened.folder), wanted),
        (opened.stored_case, case),
        *zip(drafts, moved, strict=True),
    ]
    write_together(changes)
    return case


def _moved(
    opened: OpenedCase, drafts: list[Stored[Review]], guide: Guide, steps: dict[str, str]
) -> tuple[Case, list[Review]]:
    """Return the header and the drafts as the guide has them; without drafts the header alone."""
    blank = Review(id=opened.case.id, case=opened.case.id, reviewer="none")
    case, _ = move_to_guide(opened.case, blank, guide, steps)
    return case, [move_to_guide(opened.case, one.record, guide, steps)[1] for one in drafts]


def _refuse_closed(opened: OpenedCase, guide: Guide) -> None:
    for stored in opened.reviews:
        review = stored.record
        strangers = sorted({span.step for span in review.steps} - set(guide.step_by_id))
        if review.state != "draft" and strangers:
            raise ReviewClosed(
                f"{review.reviewer}'s review of this case is {review.state} and has steps that "
                f"version {guide.guide_version} of {guide.id} lacks: {', '.join(strangers)}.",
                hint="Leave the case with the guide it was reviewed by.",
                path=stored.path,
            )


def _refuse_new_faults(opened: OpenedCase, case: Case, guide: Guide) -> None:
    known = set(case_problems(opened.case, opened.guide))
    faults = [fault for fault in case_problems(case, guide) if fault not in known]
    if faults:
        listed = broken(faults, opened.folder.case_file).message.partition("\n")[2]
        raise EditRefused(
            f"The case was not moved:\n{listed}", hint="Mend the named fields of the header first."
        )
