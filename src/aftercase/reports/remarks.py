"""Remarks, goals and page one, taken from a review into what is shown."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import replace
from typing import Final

from aftercase.clock import text_of
from aftercase.metrics.subject import Subject
from aftercase.metrics.tables import shown_window, step_frame, steps_at
from aftercase.model.guide import Guide
from aftercase.model.review import Goal, Remark, Review
from aftercase.model.rules import MOST_POINTS, MOST_STRENGTHS
from aftercase.reports.content import (
    FrontPage,
    GoalItem,
    RemarkGroup,
    RemarkItem,
    ReplyItem,
    Still,
    Stills,
    TaskItem,
)
from aftercase.reports.recordsheets import author
from aftercase.reports.replies import replies_to
from aftercase.reports.words import REMARK_KIND_NAMES, SHAPE_NAMES, said

STRENGTH_KINDS: Final = frozenset({"well-done"})
POINT_KINDS: Final = frozenset({"work-on", "safety"})

FROM_STARS: Final = (
    "The review has no closing words yet: these are its starred remarks, in the order of the clock."
)
NOTHING_CHOSEN: Final = "The review has no closing words yet, and no remark is starred."


def remark_items(
    subject: Subject, stills: Stills, others: Iterable[Review] = ()
) -> tuple[RemarkItem, ...]:
    """Return the remarks that lie in what is shown of the case, by time.

    Args:
        subject: The case, its guide and the review.
        stills: Pictures of remarks.
        others: Other people's reviews of the case; what released ones reply stands at the remark.
    """
    window = shown_window(subject.case)
    remarks = sorted(
        (r for r in subject.review.remarks if window.start_us <= r.at_us < window.end_us),
        key=lambda remark: remark.at_us,
    )
    steps = steps_at(step_frame(subject), [remark.at_us for remark in remarks])
    replies = replies_to(subject.review, others)
    return tuple(
        _remark_item(
            remark,
            subject.guide.step_name(step) if step else "",
            stills.get(remark.id, ()),
            replies.get(remark.id, ()),
        )
        for remark, step in zip(remarks, steps, strict=True)
    )


def remark_groups(items: Iterable[RemarkItem]) -> tuple[RemarkGroup, ...]:
    """Return remarks by step, steps in the order of their first remark, stepless ones last."""
    groups: dict[str, list[RemarkItem]] = {}
    for item in items:
        groups.setdefault(item.step, []).append(item)
    stepless = groups.pop("", [])
    found = [RemarkGroup(step, tuple(members)) for step, members in groups.items()]
    if stepless:
        found.append(RemarkGroup("Outside any marked step", tuple(stepless)))
    return tuple(found)


def front_page(
    subject: Subject, items: tuple[RemarkItem, ...], goals: tuple[GoalItem, ...]
) -> FrontPage:
    """Return page one: what the closing names, else the starred remarks, and says so."""
    closing = subject.review.closing
    by_id = {item.id: item for item in items}
    strengths = [by_id[one] for one in closing.strengths if one in by_id]
    points = [by_id[one] for one in closing.points if one in by_id]
    notice = ""
    if not closing.strengths and not closing.points:
        strengths = _starred(items, STRENGTH_KINDS)
        points = _starred(items, POINT_KINDS)
        notice = FROM_STARS if strengths or points else NOTHING_CHOSEN
    return FrontPage(
        tuple(strengths[:MOST_STRENGTHS]),
        tuple(points[:MOST_POINTS]),
        notice,
        task_item(subject.guide, closing.task),
        tuple(goal for goal in goals if not goal.from_case),
        closing.words,
    )


def goal_items(subject: Subject, remarks: Iterable[RemarkItem]) -> tuple[GoalItem, ...]:
    """Return every goal, in the order of the review.

    Args:
        subject: The case, its guide and the review.
        remarks: The remarks that are shown; only they can be led to as evidence.
    """
    shown = {remark.id for remark in remarks}
    return tuple(_goal_item(goal, subject, shown) for goal in subject.review.goals)


def task_item(guide: Guide, word: str | None) -> TaskItem | None:
    """Return a practice task of the guide, or one of its steps to practise; None where unsaid."""
    if word is None:
        return None
    task = next((task for task in guide.tasks if task.id == word), None)
    if task is None:
        return TaskItem("", guide.step_name(word), "", ())
    drills = tuple(guide.step_name(drill) for drill in task.drills if drill in guide.step_by_id)
    return TaskItem(task.about, task.task, task.met_when, drills)


def _remark_item(
    remark: Remark, step: str, stills: tuple[Still, ...], replies: tuple[ReplyItem, ...]
) -> RemarkItem:
    kind = said(remark.kind, REMARK_KIND_NAMES)
    return RemarkItem(
        id=remark.id,
        at_us=remark.at_us,
        end_us=remark.end_us,
        kind=kind,
        kind_id=remark.kind if remark.kind in REMARK_KIND_NAMES else "other",
        step=step,
        text=remark.text,
        reason=remark.reason,
        next_time=remark.next_time,
        note=remark.note,
        starred=remark.starred,
        form_item=remark.form_item or "",
        adopted_from=author(remark.adopted_from),
        stills=tuple(replace(still, alt=still.alt or _alt(still, step)) for still in stills),
        replies=replies,
    )


def _alt(still: Still, step: str) -> str:
    """Return what a picture shows, in words: when, where, and what is drawn on it."""
    pieces = [f"Picture at {text_of(still.at_us)}", step]
    if still.drawn:
        drawn = ", ".join(said(shape, SHAPE_NAMES) for shape in still.drawn)
        pieces.append(f"drawn on it: {drawn}")
    return ", ".join(piece for piece in pieces if piece)


def _starred(items: Iterable[RemarkItem], kinds: frozenset[str]) -> list[RemarkItem]:
    return [item for item in items if item.starred and item.kind_id in kinds]


def _goal_item(goal: Goal, subject: Subject, shown: Collection[str]) -> GoalItem:
    guide, review = subject.guide, subject.review
    task = task_item(guide, goal.task)
    moments: dict[str, int] = {
        **{span.id: span.start_us for span in review.steps},
        **{span.id: span.start_us for span in review.instruments},
        **{event.id: event.at_us for event in review.events},
        **{remark.id: remark.at_us for remark in review.remarks},
    }
    at_us = moments.get(goal.evidence or "")
    return GoalItem(
        act=goal.act,
        step=guide.step_name(goal.step) if goal.step else "",
        seen_when=goal.seen_when,
        task=task.task if task is not None else "",
        from_case="" if goal.from_case == subject.case.code else goal.from_case or "",
        outcome=said(goal.outcome),
        evidence=goal.evidence if goal.evidence and goal.evidence in shown else "",
        evidence_when="" if at_us is None else text_of(at_us),
    )
