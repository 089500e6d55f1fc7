"""What the replay room says of a moment, a review and a filter."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from aftercase.clock import text_of
from aftercase.gui.review.remark_rows import RemarkRow
from aftercase.model.guide import Guide
from aftercase.model.review import Goal, Remark, Reply, Review
from aftercase.session.goals import CLOSED
from aftercase.session.replaying import ReplayMoment, Shown
from aftercase.session.verbs.remarks import KIND_NAMES, KIND_SIGNS

if TYPE_CHECKING:
    from aftercase.session.tasks.others_times import OthersTimes

SIGN_OF: Final = {kind: sign for sign, kind in KIND_SIGNS.items()}
UNDERSTOOD: Final = {"understood": "Understood ✓", "not-yet": "Not clear yet"}
_IN_ROW: Final = {"understood": "✓ understood", "not-yet": "not clear yet"}


def whose_words(review: Review, own: str) -> str:
    """Return whose review it is."""
    if review.reviewer == own:
        return "Your own review"
    return f"{review.reviewer}, {review.role.replace('-', ' ')}, revision {review.revision}"


def head_words(remark: Remark) -> str:
    """Return a remark's sign, kind and time."""
    return f"{SIGN_OF.get(remark.kind, '')} {_kind(remark)} · {_time(remark)}"


def moment_row(moment: ReplayMoment, guide: Guide, reply: Reply | None) -> RemarkRow:
    """Return a moment as a row of the list: what and where it is, and how far one is with it."""
    remark = moment.remark
    starred = ", starred" if remark.starred else ""
    step = f" · {guide.step_name(moment.step)}" if moment.step else ""
    head = f"{_time(remark)} {_kind(remark)}{starred}{step}"
    return RemarkRow(
        remark.id, remark.at_us, remark.kind, remark.starred, head, remark.text, _far_words(reply)
    )


def said_words(remark: Remark) -> str:
    """Return all that a remark says."""
    parts = [remark.text]
    if remark.reason:
        parts.append(f"Why: {remark.reason}")
    if remark.next_time:
        parts.append(f"Next time: {remark.next_time}")
    return "\n\n".join(part for part in parts if part)


def step_words(moment: ReplayMoment, guide: Guide) -> str:
    """Return the times of the step a moment lies in; nothing where it lies in none."""
    if moment.step_span_us is None:
        return ""
    start_us, end_us = moment.step_span_us
    return (
        f"{guide.step_name(moment.step)}: {text_of(start_us)[:-4]} to {text_of(end_us)[:-4]}, "
        f"{text_of(end_us - start_us)}. Duration is not quality."
    )


def others_words(found: OthersTimes) -> str:
    """Return how long others needed, with how many are behind it; or that they are too few."""
    residents = _counted(found.n_residents, "other resident")
    cases = f"{_counted(found.n_cases, 'case')} of {residents}"
    left_out = (
        f" Left out: {found.n_left_out}, taken over or not said by whom."
        if found.n_left_out
        else ""
    )
    if found.middle_half_us is None:
        said = f"Too few for times of others: {cases} known here; 20 cases of 5 are needed."
    else:
        low, high = (text_of(us)[:-4] for us in found.middle_half_us)
        said = f"Others: half of {cases} took {low} to {high}."
    return f"{said}{left_out} Duration is not quality."


def goal_words(review: Review, guide: Guide) -> str:
    """Return the goals of a review, each with how it will be seen and what practises it."""
    goals = [_goal(goal, guide) for goal in review.goals if goal.outcome not in CLOSED]
    task = next((task for task in guide.tasks if task.id == review.closing.task), None)
    practice = [f"To practise: {task.about}: {task.task}"] if task is not None else []
    return "\n\n".join([*(goals or ["No goal was set."]), *practice])


def filter_words(shown: Shown, guide: Guide) -> str:
    """Return which moments are shown."""
    if shown.before_a_case:
        return "Before the next case: what to work on (M shows all)"
    parts = [
        KIND_NAMES.get(shown.kind, shown.kind),
        guide.step_name(shown.step) if shown.step else "",
        "starred" if shown.starred else "",
    ]
    return "Only: " + ", ".join(p for p in parts if p) if any(parts) else "All moments"


def _counted(count: int, word: str) -> str:
    return f"{count} {word}" if count == 1 else f"{count} {word}s"


def _goal(goal: Goal, guide: Guide) -> str:
    where = f" ({guide.step_name(goal.step)})" if goal.step else ""
    seen = f"\nSeen when: {goal.seen_when}" if goal.seen_when else ""
    return f"{goal.act}{where}{seen}"


def _far_words(reply: Reply | None) -> str:
    if reply is None:
        return ""
    far = _IN_ROW.get(reply.understood, "watched" if reply.watched else "")
    answered = ("asked" if reply.asks else "answered") if reply.text.strip() else ""
    return " · ".join(word for word in (far, answered) if word)


def _kind(remark: Remark) -> str:
    return KIND_NAMES.get(remark.kind, remark.kind)


def _time(remark: Remark) -> str:
    return text_of(remark.at_us)[:-4]
