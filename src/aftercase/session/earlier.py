"""The same step in earlier cases, for looking at both side by side."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from aftercase.model.case import Case
from aftercase.model.review import Review
from aftercase.session.cases import cases_near, look_through, released_of
from aftercase.session.opened import OpenedCase
from aftercase.session.places import Places


@dataclass(frozen=True)
class EarlierSpan:
    """A visit of a step in some case.

    Attributes:
        folder: The case folder.
        case_code: The case's code.
        reviewer: Who marked it.
        start_us: Where it starts on that case's clock.
        end_us: Where it ends.
    """

    folder: Path
    case_code: str
    reviewer: str
    start_us: int
    end_us: int


def spans_in(folder: Path, case: Case, review: Review, step: str) -> tuple[EarlierSpan, ...]:
    """Return the visits of a step in a review, in order of the clock."""
    return tuple(
        EarlierSpan(folder, case.code, review.reviewer, span.start_us, span.end_us)
        for span in sorted(review.steps, key=lambda one: one.start_us)
        if span.step == step
    )


def earlier_spans(
    at: Places, here: Path, trainee: str | None, step: str
) -> tuple[EarlierSpan, ...]:
    """Return the visits of a step in other cases of the same trainee, as released reviews have it.

    Cases of others are not among them: what others need is shown only to whoever asks, and never
    of one person. A case that cannot be read is passed over.

    Args:
        at: The program's folders.
        here: The case folder that is left out.
        trainee: The trainee's code; without one there are none.
        step: The step.
    """
    found: list[EarlierSpan] = []

    def seen(opened: OpenedCase) -> None:
        if opened.case.trainee == trainee:
            for stored in released_of(opened):
                found.extend(spans_in(opened.folder.path, opened.case, stored.record, step))

    if trainee is not None:
        look_through(cases_near(here, at), at, seen)
    return tuple(found)
