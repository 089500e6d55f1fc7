"""The tour's steps, and how each is seen to be done."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

from aftercase.session.desk import Desk


@dataclass(frozen=True)
class Before:
    """The desk as it was when a step of the tour began."""

    at_us: int
    n_steps: int
    n_pauses: int
    n_remarks: int
    n_taken_over: int
    words: object


@dataclass(frozen=True)
class TourStep:
    """One thing to do.

    Attributes:
        action: The action whose key is named in the words.
        words: What to do; ``{key}`` stands for the action's key.
        is_done: Claims that it was done since the step began.
    """

    action: str
    words: str
    is_done: Callable[[Before, Desk], bool]


def before(desk: Desk) -> Before:
    """Return the desk as it is now, for telling later what was done."""
    review = desk.review
    return Before(
        desk.at_us,
        len(review.steps),
        len(review.pauses),
        len(review.remarks),
        sum(span.takeover == "taken-over" for span in review.steps),
        desk.words,
    )


def _undone(start: Before, desk: Desk) -> bool:
    return desk.words is not start.words and desk.words is not None and desk.words.tone == "undone"


def _has_more(what: str) -> Callable[[Before, Desk], bool]:
    return lambda start, desk: getattr(before(desk), what) > getattr(start, what)


TOUR: Final = (
    TourStep("play", "Press {key}: the film plays. The same key lets it rest.",
             lambda start, desk: abs(desk.at_us - start.at_us) > 1_000_000),
    TourStep("next-step", "Press {key} when the operation begins: the first step of the guide "
             "begins on the frame you see, in the list on the left.", _has_more("n_steps")),
    TourStep("next-step", "Press {key} again when the next step begins. The one before ends on "
             "the same frame: one key per step.", _has_more("n_steps")),
    TourStep("pause", "Press {key} when nothing is in the eye; again when something is.",
             _has_more("n_pauses")),
    TourStep("takeover", "Press {key}: the teacher takes the running step over. A step like that "
             "is shown, but never counted for the trainee's times.", _has_more("n_taken_over")),
    TourStep("remark", "Press {key}, type what you see, press Return. A sign before it says what "
             "kind it is: + well done, - work on, ? question.", _has_more("n_remarks")),
    TourStep("undo", "Press {key}: the last thing is taken back, and it says what that was.",
             _undone),
    TourStep("previous-mark", "Press {key}: the film goes back to the mark before.",
             lambda start, desk: desk.at_us < start.at_us),
)  # fmt: skip
"""What the tour shows, in order: about five minutes."""

LAST_WORDS: Final = (
    "That is all there is to learn. {keys} shows every key, {closing} closes the review: "
    "strengths, points to work on, goals."
)
