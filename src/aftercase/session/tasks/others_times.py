"""How long others needed for a step: a range, and only where enough of them are behind it."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path
from statistics import quantiles
from typing import Final

from aftercase.media.watch import UNWATCHED, Watch
from aftercase.metrics.critical import PATIENT, TRAINEE
from aftercase.metrics.measures import measured
from aftercase.metrics.steps import UNTIL_NEXT
from aftercase.metrics.subject import Subject
from aftercase.model.review import Review
from aftercase.session.cases import WITHIN_S, look_through, released_of
from aftercase.session.opened import OpenedCase
from aftercase.session.places import Places
from aftercase.session.tasks.hand_over import JUDGES

LEAST_RESIDENTS: Final = 5
LEAST_CASES: Final = 20
"""With fewer the range could be told apart into persons, and says little."""


@dataclass(frozen=True)
class OthersTimes:
    """What others needed for a step.

    Attributes:
        n_cases: Cases that count.
        n_residents: Residents they are of.
        n_left_out: Cases with the step that do not count: taken over, or not said by whom.
        middle_half_us: Half of the cases needed from the first to the second; None where there
            are too few.
    """

    n_cases: int
    n_residents: int
    n_left_out: int
    middle_half_us: tuple[int, int] | None


def times_of_others(
    step: str,
    trainee: str | None,
    folders: Iterable[Path],
    at: Places,
    *,
    watch: Watch = UNWATCHED,
    within_s: float = WITHIN_S,
    now: Callable[[], float] = time.monotonic,
) -> OthersTimes:
    """Return how long other residents needed for a step, as released reviews of teachers say it.

    Only patients' operations count, each once, and of them only those whose step a resident did
    alone or with help, without a takeover.

    Args:
        step: The step.
        trainee: Whose cases are not those of others.
        folders: Case folders to look into.
        at: The program's folders.
        watch: Told of folders looked at; may stop the work.
        within_s: Seconds after which no further folder is opened.
        now: The time, in seconds.

    Raises:
        WorkCancelled: As asked by `watch`.
    """
    totals_us: list[int] = []
    residents: set[str] = set()
    left_out: list[Path] = []

    def seen(opened: OpenedCase) -> None:
        review = _teachers_review(opened)
        if review is None or opened.case.setting != PATIENT or opened.case.trainee == trainee:
            return
        if all(span.step != step for span in review.steps):
            return
        total_us = _total_us(Subject(opened.case, opened.guide, review), step)
        if total_us is None or opened.case.trainee is None:
            left_out.append(opened.folder.path)
        else:
            totals_us.append(total_us)
            residents.add(opened.case.trainee)

    look_through(folders, at, seen, watch=watch, within_s=within_s, now=now)
    enough = len(residents) >= LEAST_RESIDENTS and len(totals_us) >= LEAST_CASES
    middle_half_us = _middle_half(totals_us) if enough else None
    return OthersTimes(len(totals_us), len(residents), len(left_out), middle_half_us)


def _teachers_review(opened: OpenedCase) -> Review | None:
    released = [stored.record for stored in released_of(opened)]
    return next((review for review in released if review.role in JUDGES), None)


def _total_us(subject: Subject, step: str) -> int | None:
    """Return a step's total; None where it is left out of comparisons."""
    if subject.case.span_custom == UNTIL_NEXT:
        return None
    for row in measured("steps", subject).frame.to_dict("records"):
        if row["step"] == step and not row["left_out"] and row["performer"] == TRAINEE:
            return int(row["total_us"])
    return None


def _middle_half(totals_us: list[int]) -> tuple[int, int]:
    first, _, third = quantiles(totals_us, n=4, method="inclusive")
    return round(first), round(third)
