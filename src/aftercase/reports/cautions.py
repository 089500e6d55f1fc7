"""The sentences that keep a reader from taking a report for what it is not."""

from __future__ import annotations

from typing import Final

from aftercase.model.case import Case
from aftercase.model.guide import Guide
from aftercase.model.review import Review

NOT_QUALITY: Final = "Duration is not quality."

REPORT_LOCALLY: Final = (
    "A complication is entered here. Report it through your own hospital’s system as well; "
    "this review does not do so."
)

CAUTIONS: Final = (
    "For teaching and for improving quality only. This is not a medical device; nothing in it is "
    "meant for a decision about a patient.",
    f"{NOT_QUALITY} A time says how long something took, not how well it was done.",
    "A share of time says nothing about how much of the operation somebody performed; whether "
    "somebody counts as the surgeon is for the supervising physician to say.",
    "Numbers taken off the picture are approximate. They rest on an assumed size, and each is "
    "printed with its error.",
    "What nobody said is printed as “not said”; it is never filled in.",
    "Whoever keeps or passes on this report answers for privacy and consent, and for how long it "
    "is kept, by local law and the institution’s rules. A picture or a sentence can still "
    "point to a person: look before you pass it on.",
    "Assessments and what follows from them are decided by the supervising physicians, not by "
    "this program.",
)


def has_complication(case: Case, guide: Guide, review: Review) -> bool:
    """Say whether a complication is entered, as an event or in the header."""
    kinds = (guide.event_by_id.get(event.kind) for event in review.events)
    return bool(case.complications) or any(
        kind is not None and (kind.event_class == "complication" or kind.report_locally)
        for kind in kinds
    )
