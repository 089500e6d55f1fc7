"""Goals of a trainee's earlier cases that are still open, and carrying them into the next case."""

from __future__ import annotations

import time
from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from aftercase.document.files import Stored
from aftercase.media.watch import UNWATCHED, Watch
from aftercase.model.base import NewId
from aftercase.model.guide import Guide
from aftercase.model.review import Goal, Origin, Review
from aftercase.session.cases import WITHIN_S, Skipped, look_through, released_of
from aftercase.session.opened import OpenedCase
from aftercase.session.places import Places

CLOSED: Final = frozenset({"met", "let-go"})
"""A goal that was partly met, or had no occasion to be seen, goes on."""


@dataclass(frozen=True)
class OpenGoal:
    """A goal that nobody has said to be met.

    Attributes:
        goal: As it stands in the newest case it was set in or carried into.
        folder: That case's folder.
        case_code: That case's code.
        origin: Where it was set first.
    """

    goal: Goal
    folder: Path
    case_code: str
    origin: Origin


@dataclass(frozen=True)
class FoundGoals:
    """What was found.

    Attributes:
        goals: The open goals, those of the newest case first.
        skipped: Case folders that were passed over, each with why.
    """

    goals: tuple[OpenGoal, ...]
    skipped: tuple[Skipped, ...]


@dataclass(frozen=True)
class _Standing:
    """A goal as one released review says it."""

    found: OpenGoal
    number: int | None
    written_ns: int


def open_goals(
    trainee: str,
    folders: Iterable[Path],
    at: Places,
    *,
    watch: Watch = UNWATCHED,
    within_s: float = WITHIN_S,
    now: Callable[[], float] = time.monotonic,
) -> FoundGoals:
    """Return a trainee's goals that are still open, from the released reviews of their cases.

    A goal that was carried into later cases counts as the newest of them says. Which case is the
    newer is told by the trainee's running case number where every one of them has it, else by
    when the review was written.

    Args:
        trainee: The trainee's code.
        folders: Case folders to look into, those of other trainees too.
        at: The program's folders.
        watch: Told of folders looked at; may stop the work.
        within_s: Seconds after which no further folder is opened.
        now: The time, in seconds.

    Raises:
        WorkCancelled: As asked by `watch`.
    """
    standings: list[_Standing] = []

    def seen(opened: OpenedCase) -> None:
        if opened.case.trainee == trainee:
            standings.extend(_standings_in(opened))

    skipped = look_through(folders, at, seen, watch=watch, within_s=within_s, now=now)
    return FoundGoals(tuple(_still_open(standings)), skipped)


def _still_open(standings: list[_Standing]) -> Iterator[OpenGoal]:
    """Yield each goal as the newest case says it, unless that says it is met or let go."""
    said: set[tuple[str, str] | None] = set()
    for standing in _newest_first(standings):
        key = _key(standing.found.origin)
        if key not in said and standing.found.goal.outcome not in CLOSED:
            yield standing.found
        said.add(key)


def carried_over(
    review: Review, goals: Sequence[OpenGoal], guide: Guide, new_id: NewId
) -> tuple[Goal, ...]:
    """Return open goals as they come into a review of the next case, without those it has already.

    One that was let go there is had, and does not come again.

    Args:
        review: The review they come into.
        goals: Goals of earlier cases.
        guide: The case's guide; a step or task it does not know is left out of the goal.
        new_id: Source of ids.
    """
    here = {_key(goal.adopted_from) for goal in review.goals}
    fresh = [one for one in goals if _key(one.origin) not in here]
    return tuple(_carried(one, guide, new_id) for one in fresh)


def _carried(found: OpenGoal, guide: Guide, new_id: NewId) -> Goal:
    goal = found.goal
    tasks = {task.id for task in guide.tasks} | set(guide.step_by_id)
    return goal.changed(
        id=new_id(),
        adopted_from=found.origin,
        from_case=goal.from_case or found.case_code,
        outcome="open",
        evidence=None,
        step=goal.step if goal.step in guide.step_by_id else None,
        task=goal.task if goal.task in tasks else None,
    )


def _standings_in(opened: OpenedCase) -> Iterator[_Standing]:
    for stored in released_of(opened):
        written_ns = _written_ns(stored.path)
        for goal in stored.record.goals:
            origin = goal.adopted_from or _origin(goal, stored)
            found = OpenGoal(goal, opened.folder.path, opened.case.code, origin)
            yield _Standing(found, opened.case.running_case_number, written_ns)


def _written_ns(path: Path) -> int:
    try:
        return path.stat().st_mtime_ns
    except OSError:  # it went away meanwhile
        return 0


def _origin(goal: Goal, stored: Stored[Review]) -> Origin:
    review = stored.record
    return Origin(case=review.case, reviewer=review.reviewer, revision=review.revision, id=goal.id)


def _newest_first(standings: list[_Standing]) -> Iterator[_Standing]:
    """Yield what stands in the newest case, then in the one before; within a case as written."""
    numbered = all(one.number is not None for one in standings)
    by_case: dict[Path, list[_Standing]] = defaultdict(list)
    for one in standings:
        by_case[one.found.folder].append(one)

    def moment(some: list[_Standing]) -> tuple[int, int]:
        return (some[0].number or 0) if numbered else 0, max(one.written_ns for one in some)

    for some in sorted(by_case.values(), key=moment, reverse=True):
        yield from some


def _key(origin: Origin | None) -> tuple[str, str] | None:
    return None if origin is None else (origin.case, origin.id)
