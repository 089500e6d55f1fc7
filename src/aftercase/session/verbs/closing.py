"""The closing: strengths, points to work on, goals; then seal, release, or correct."""

from __future__ import annotations

from typing import Final, Literal

from aftercase.edit.records import add, change, delete
from aftercase.edit.review import close_with, corrected, release, seal
from aftercase.model.review import Closing, Goal, Remark, Review
from aftercase.model.rules import MOST_POINTS, MOST_STRENGTHS
from aftercase.session.desk import Desk
from aftercase.session.tasks.hand_over import named

Side = Literal["strengths", "points"]

MOST: Final[dict[Side, int]] = {"strengths": MOST_STRENGTHS, "points": MOST_POINTS}


def candidates(review: Review, side: Side) -> tuple[Remark, ...]:
    """Return the remarks that can stand on one side of the closing, starred ones first."""
    fitting = [remark for remark in review.remarks if (remark.kind == "well-done") == _good(side)]
    return tuple(sorted(fitting, key=lambda remark: (not remark.starred, remark.at_us)))


def suggested(review: Review, side: Side) -> tuple[Remark, ...]:
    """Return the starred remarks that are proposed for one side: the first few in time."""
    starred = [remark for remark in candidates(review, side) if remark.starred]
    return tuple(starred[: MOST[side]])


def _good(side: Side) -> bool:
    return side == "strengths"


def switch_point(desk: Desk, side: Side, remark_id: str) -> bool:
    """Put a remark on one side of the closing, or take it off again."""
    chosen = getattr(desk.review.closing, side)
    on = remark_id not in chosen
    after = (*chosen, remark_id) if on else tuple(one for one in chosen if one != remark_id)
    words = "put into the closing" if on else "take out of the closing"
    return desk.edit(
        lambda review: close_with(review, review.closing.changed(**{side: after})), words
    )


def take_suggested(desk: Desk) -> bool:
    """Fill both sides of the closing from the starred remarks, as far as they are empty."""
    sides: tuple[Side, ...] = ("strengths", "points")
    review = desk.review
    filled = {
        side: tuple(remark.id for remark in suggested(review, side))
        for side in sides
        if not getattr(review.closing, side)
    }
    if not any(filled.values()):
        desk.tell("Star some remarks first, or choose them from the lists.", "refused")
        return False
    return desk.edit(
        lambda review: close_with(review, review.closing.changed(**filled)),
        "take the starred remarks into the closing",
    )


def say_closing(desk: Desk, **fields: object) -> bool:
    """Set the closing's own words or its practice task; typing is one edit."""

    def edit(review: Review) -> Review:
        closing: Closing = review.closing.changed(**fields)
        return close_with(review, closing)

    key = f"closing {' '.join(sorted(fields))}"
    return desk.edit(edit, "write the closing", merge_key=key, quiet=True)


def add_goal(desk: Desk, act: str, **fields: object) -> bool:
    """Set a goal for the next case."""
    if not act.strip():
        return False
    goal = Goal.model_validate({"id": desk.new_id(), "act": act.strip(), **fields})
    return desk.edit(lambda review: add(review, "goals", goal), "set a goal")


def change_goal(desk: Desk, goal_id: str, **fields: object) -> bool:
    """Change a goal, or say what became of it; typing is one edit."""
    key = f"goal {goal_id} {' '.join(sorted(fields))}"
    return desk.edit(
        lambda review: change(review, goal_id, **fields), "change a goal", merge_key=key, quiet=True
    )


def drop_goal(desk: Desk, goal_id: str) -> bool:
    """Take a goal off; one of an earlier case stays as let go, else it would be carried again."""
    goal = desk.record(goal_id)
    if isinstance(goal, Goal) and goal.adopted_from is not None:
        return desk.edit(lambda review: change(review, goal_id, outcome="let-go"), "let a goal go")
    return desk.edit(lambda review: delete(review, goal_id), "take a goal off")


def seal_review(desk: Desk) -> bool:
    """Seal the review: it no longer changes."""
    return desk.edit(lambda review: seal(named(review)), "seal the review")


def release_review(desk: Desk) -> bool:
    """Release the review to the person it is about; a draft is sealed and released in one."""
    if desk.review.state == "sealed" and not is_saved(desk):
        return False
    sha256 = desk.hand.stored.digest
    return desk.edit(lambda review: release(named(review), sha256), "release the review")


def correct_review(desk: Desk) -> bool:
    """Begin a correction: a new revision that keeps the closed one."""
    if not is_saved(desk):
        return False
    sha256 = desk.hand.stored.digest
    if sha256 is None:
        desk.tell("A draft needs no correction: change it as it is.", "refused")
        return False
    return desk.edit(lambda review: corrected(review, sha256), "begin a correction")


def is_saved(desk: Desk) -> bool:
    """Claim that what is shown is on disk; a closed review is named by what is there."""
    if desk.hand.saving.word == "saved":
        return True
    desk.tell("It is still being saved. Try once more when it says “saved”.", "refused")
    return False
