"""Edits of a case's header, and merging two people's changes of it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final

import pydantic

from aftercase.edit.records import refuse_closed
from aftercase.errors import EditRefused
from aftercase.model.case import Case, ConsentEntry, GuideReference
from aftercase.model.guide import Guide
from aftercase.model.problem import problems_of
from aftercase.model.review import Review

_APPEND_ONLY: Final = ("consent",)
_FIXED: Final = ("format", "id")


@dataclass(frozen=True)
class Clash:
    """A field that two people changed differently."""

    field: str
    mine: Any
    theirs: Any


@dataclass(frozen=True)
class Merged:
    """Two changes of one header put together.

    Attributes:
        case: Theirs, with what only I changed; a clashing field keeps theirs.
        clashes: The fields changed on both sides; empty when all went together.
    """

    case: Case
    clashes: tuple[Clash, ...]


def change_header(case: Case, **fields: Any) -> Case:
    """Change some fields of the header.

    Raises:
        EditRefused: A value breaks its field's rule, or an entry of the consent record would go.
    """
    if fixed := (set(fields) & set(_FIXED)) | (set(fields) - set(type(case).model_fields)):
        raise ValueError(f"{sorted(fixed)} cannot be changed")
    for name in _APPEND_ONLY:
        earlier = getattr(case, name)
        if name in fields and tuple(fields[name])[: len(earlier)] != earlier:
            raise EditRefused("Entries of the consent record are only ever added.")
    try:
        return case.changed(**fields)
    except pydantic.ValidationError as error:
        raise EditRefused(f"{problems_of(error)[0]}.") from error


def add_consent(case: Case, entry: ConsentEntry) -> Case:
    """Add an entry to the consent record.

    Raises:
        EditRefused: Its id is taken.
    """
    if entry.id in {earlier.id for earlier in case.consent}:
        raise EditRefused(f"The id {entry.id} is taken.")
    return case.changed(consent=(*case.consent, entry))


def merge(base: Case, mine: Case, theirs: Case) -> Merged:
    """Merge my changes of a header into what somebody else wrote meanwhile.

    Args:
        base: What both started from.
        mine: My version.
        theirs: The version on disk.
    """
    taken: dict[str, Any] = {}
    clashes = []
    for name in sorted(_all_fields(base) | _all_fields(mine) | _all_fields(theirs)):
        sides: tuple[Any, Any, Any] = (
            getattr(base, name, None),
            getattr(mine, name, None),
            getattr(theirs, name, None),
        )
        before, here, there = sides
        if here in (before, there):
            continue
        if name in _APPEND_ONLY:
            taken[name] = (*there, *(entry for entry in here if entry not in there))
        elif there == before:
            taken[name] = here
        else:
            clashes.append(Clash(name, here, there))
    return Merged(theirs.changed(**taken), tuple(clashes))


def _all_fields(case: Case) -> set[str]:
    return set(type(case).model_fields) | set(case.model_extra or {})


def move_to_guide(
    case: Case, review: Review, guide: Guide, steps: dict[str, str]
) -> tuple[Case, Review]:
    """Move a case and a review to another version of the guide, by an explicit mapping.

    Args:
        case: The header.
        review: A draft.
        guide: The version to move to.
        steps: Old step id to new step id, for every step in use that the new version lacks.

    Raises:
        ReviewClosed: The review is sealed or released.
        EditRefused: A step in use has no place in the new version.
    """
    refuse_closed(review)
    used = {span.step for span in review.steps} | {goal.step for goal in review.goals if goal.step}
    used |= {*review.not_needed, *case.planned_steps, *(case.critical_steps or ())}
    homeless = sorted(step for step in used if steps.get(step, step) not in guide.step_by_id)
    if homeless:
        raise EditRefused(
            f"{', '.join(homeless)} has no place in version {guide.guide_version} of {guide.id}.",
            hint="Name the step it becomes.",
        )
    header = change_header(
        case,
        guide=GuideReference(id=guide.id, guide_version=guide.guide_version),
        planned_steps=_renamed(case.planned_steps, steps),
        critical_steps=case.critical_steps and _renamed(case.critical_steps, steps),
    )
    moved = review.changed(
        steps=tuple(span.changed(step=steps.get(span.step, span.step)) for span in review.steps),
        goals=tuple(
            goal.changed(step=steps.get(goal.step, goal.step)) if goal.step else goal
            for goal in review.goals
        ),
        not_needed=_renamed(review.not_needed, steps),
    )
    return header, moved


def _renamed(used: tuple[str, ...], steps: dict[str, str]) -> tuple[str, ...]:
    return tuple(steps.get(step, step) for step in used)
