"""Which steps are shown but left out of every comparison between cases or people, and why."""

from __future__ import annotations

from typing import Final

import pandas as pd

from aftercase.metrics.subject import Subject
from aftercase.model.base import NOT_SAID

SEVERAL: Final = "several"
TAKEN: Final = frozenset({"taken-over", "given-back"})
CONVERTED_RESULT: Final = "converted-to-manual"


def left_out_of_all(subject: Subject) -> tuple[str, ...]:
    """Return why all of a case's steps are left out of comparisons; nothing where they are not.

    A conversion, a second procedure, or a step that makes a case unlike others.
    """
    case, guide = subject.case, subject.guide
    converted = case.result == CONVERTED_RESULT or any(
        entry.value in guide.technique_by_id and guide.technique_by_id[entry.value].converted
        for entry in case.technique
    )
    visited = {span.step for span in subject.review.steps}
    unlike = [step.name for step in guide.steps if step.unlike and step.id in visited]
    return (
        *(["converted"] if converted else []),
        *(["second procedure"] if case.second_procedure not in (NOT_SAID, "none", "") else []),
        *(f"case with: {name}" for name in unlike),
    )


def left_out(spans: pd.DataFrame) -> tuple[str, ...]:
    """Return why a step is left out of comparisons, from its own and its parts' spans."""
    performers = set(spans["performer"])
    return (
        *(["takeover"] if TAKEN & set(spans["takeover"]) else []),
        *(["performer not said"] if NOT_SAID in performers else []),
        *(["several performers"] if len(performers - {NOT_SAID}) > 1 else []),
    )


def single_or_several(values: pd.Series) -> str:
    """Return the one value that all spans have, or ``several``."""
    distinct = set(values)
    return str(distinct.pop()) if len(distinct) == 1 else SEVERAL
