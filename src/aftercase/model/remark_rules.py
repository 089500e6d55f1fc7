"""The rules of what is drawn on remarks and of what is replied to them."""

from __future__ import annotations

from collections.abc import Iterator
from types import MappingProxyType
from typing import Final

from aftercase.clock import text_of
from aftercase.model.case import Case, window_of
from aftercase.model.problem import Problem
from aftercase.model.review import MOST_DRAWN_POINTS, Drawing, Review

_POINTS: Final = MappingProxyType(
    {"arrow": (2, 2), "ring": (2, 2), "line": (2, 2), "freehand": (2, MOST_DRAWN_POINTS)}
)
_ANY_POINTS: Final = (1, MOST_DRAWN_POINTS)


def drawn_points_problem(drawing: Drawing) -> str | None:
    """Return what is wrong with the number of a drawing's points, None where nothing is."""
    least, most = _POINTS.get(drawing.shape, _ANY_POINTS)
    count = len(drawing.points)
    if least <= count <= most:
        return None
    wanted = f"{least}" if least == most else f"{least} to {most}"
    return f"it has {count} points; its shape has {wanted}"


def drawing_problems(review: Review, case: Case) -> Iterator[Problem]:
    """Yield what is wrong with the drawings of a review's remarks."""
    window = window_of(case)
    for number, remark in enumerate(review.remarks):
        for position, drawing in enumerate(remark.drawings):
            place = f"remarks/{number}/drawings/{position}"
            if (problem := drawn_points_problem(drawing)) is not None:
                yield Problem(f"{place}/points", problem)
            if drawing.part >= max(1, len(case.parts)):
                yield Problem(f"{place}/part", "the recording has no such part")
            if not window.start_us <= drawing.at_us <= window.end_us:
                bounds = f"{text_of(window.start_us)} to {text_of(window.end_us)}"
                yield Problem(f"{place}/at_us", f"it lies outside the case, {bounds}")


def reply_problems(review: Review) -> Iterator[Problem]:
    """Yield what is wrong with a review's replies to other people's remarks."""
    answered: set[tuple[str, str]] = set()
    for position, reply in enumerate(review.replies):
        place = f"replies/{position}"
        if reply.to.case != review.case:
            yield Problem(f"{place}/to/case", "the remark belongs to another case")
        if reply.to.reviewer == review.reviewer:
            yield Problem(f"{place}/to/reviewer", "a review does not answer its own remarks")
        if (remark := (reply.to.reviewer, reply.to.id)) in answered:
            yield Problem(f"{place}/to", "there is another reply to this remark")
        answered.add(remark)
        if reply.asks and not reply.text.strip():
            yield Problem(f"{place}/text", "a question needs words")
