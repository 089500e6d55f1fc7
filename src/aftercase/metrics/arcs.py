"""How far a tear is carried from one grip to the next, on one clock and in the tear's direction."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any, Final

import pandas as pd

from aftercase.clock import text_of
from aftercase.metrics.hours import EYE, PICTURE, Hours, hours_of
from aftercase.metrics.subject import Settings, Subject
from aftercase.metrics.table import Found
from aftercase.metrics.tables import counted, shown_events, step_frame, steps_at
from aftercase.model.base import NOT_SAID
from aftercase.model.case import Case, value_at
from aftercase.model.guide import Guide
from aftercase.model.orientation import DEGREES_AN_HOUR

GRIP: Final = "grip"
REVERSAL: Final = "reversal"
NEARLY_ROUND_DEG: Final = 360.0 - DEGREES_AN_HOUR
_SENSE_ON_PICTURE: Final = {"clockwise": 1, "anticlockwise": -1}


@dataclass(frozen=True)
class Point:
    """A grip or a reversal inside a tear, with its hours."""

    at_us: int
    role: str
    hours: Hours


def arc_between(from_hour: float, to_hour: float, sense: int) -> float:
    """Return the arc from one hour to another in one direction, 0 <= degrees < 360.

    Args:
        from_hour: Where the arc begins, on any one clock.
        to_hour: Where it ends, on the same clock.
        sense: +1 where the hours rise along the arc, -1 where they fall.

    Example:
        >>> arc_between(2, 9, 1), arc_between(2, 9, -1), arc_between(11, 1, 1)
        (210.0, 150.0, 60.0)
    """
    arc_deg = round(sense * (to_hour - from_hour) * DEGREES_AN_HOUR, 6)  # hours are not binary
    return arc_deg % 360.0


def arcs_found(subject: Subject, _settings: Settings) -> Found:
    """Return the arc between successive grips of each tear whose direction is said."""
    rows: list[dict[str, Any]] = []
    notes = ["More grips are not worse: short, controlled carries are commonly taught."]
    tears = _tears(subject)
    for number, (tear, points) in enumerate(tears, start=1):
        clock = _clock_of(points)
        sense = _sense(subject.case, tear, clock)
        rows.extend(
            {"step": tear["step"], "tear": number, "direction": tear["tear_direction"], **arc}
            for arc in _arcs(points, clock, sense)
        )
        n_without = sum(point.hours.on(clock) is None for point in points)
        if n_without:
            notes.append(
                f"Tear {number}: {counted(n_without, 'point')} without an hour on the "
                f"{clock}'s clock; the count starts anew after each."
            )
    notes.extend(_just_behind_notes(rows))
    if any(row["hour_clock"] == PICTURE for row in rows):
        notes.append("Hours on the picture's clock say so; they are never mixed with the eye's.")
    return Found(tuple(rows), (*notes, *_direction_notes(subject, tears)))


def role_of(guide: Guide, kind: str) -> str | None:
    """Return what an event of a kind is to an arc: a grip, a reversal, or None for nothing.

    A grip is an action whose hour is asked to the half; a reversal is a rescue.
    """
    known = guide.event_by_id.get(kind)
    if known is None:
        return None
    if known.event_class == "rescue":
        return REVERSAL
    return GRIP if known.event_class == "action" and known.hour == "halves" else None


def _tears(subject: Subject) -> list[tuple[pd.Series, list[Point]]]:
    """Return the step spans with a direction, each with the points of which it is the innermost."""
    steps = step_frame(subject)
    directed = steps[steps["tear_direction"].isin(list(_SENSE_ON_PICTURE))]
    by_id = directed.assign(step=directed["id"])
    points: dict[str, list[Point]] = {}
    events = shown_events(subject)
    for event, tear in zip(events, steps_at(by_id, [e.at_us for e in events]), strict=True):
        role = role_of(subject.guide, event.kind)
        if tear is not None and role is not None:
            point = Point(event.at_us, role, hours_of(subject.case, event))
            points.setdefault(tear, []).append(point)
    return [(tear, points[tear["id"]]) for _, tear in directed.iterrows() if tear["id"] in points]


def _clock_of(points: Sequence[Point]) -> str:
    """Return the clock that most points have an hour on; the eye's where both have as many."""
    n_hours = Counter(
        clock for point in points for clock in (EYE, PICTURE) if point.hours.on(clock) is not None
    )
    return PICTURE if n_hours[PICTURE] > n_hours[EYE] else EYE


def _sense(case: Case, tear: pd.Series, clock: str) -> int:
    """Return whether hours rise (+1) or fall (-1) along the tear.

    Its direction is said of the picture; the eye's hours run the other way round where the camera
    flips left and right.
    """
    sense = _SENSE_ON_PICTURE[tear["tear_direction"]]
    mirrored = bool(value_at(case.mirrored, int(tear["start_us"])))
    return -sense if clock == EYE and mirrored else sense


def _arcs(points: Sequence[Point], clock: str, sense: int) -> Iterator[dict[str, Any]]:
    """Yield the arcs of one tear; a reversal, or a point without an hour, starts a new count."""
    count, first, last, path_deg = 1, None, None, 0.0
    for point in points:
        hour = point.hours.on(clock)
        if hour is not None and last is not None and first is not None:
            arc_deg = arc_between(last, hour, sense)
            path_deg += arc_deg
            yield {
                "at_us": point.at_us,
                "count": count,
                "from_hour": last,
                "to_hour": hour,
                "hour_clock": clock,
                "arc_deg": arc_deg,
                "path_deg": path_deg,
                "net_deg": arc_between(first, hour, sense),
            }
        if last is None or hour is None or point.role == REVERSAL:
            count += last is not None
            first, path_deg = hour, 0.0
        last = hour


def _just_behind_notes(rows: Sequence[dict[str, Any]]) -> Iterator[str]:
    """Point at arcs that are nearly a whole turn: more likely a new grip at the same place."""
    for row in rows:
        if row["arc_deg"] > NEARLY_ROUND_DEG:
            yield (
                f"Tear {row['tear']} at {text_of(row['at_us'])}: {row['arc_deg']:.0f} degrees. The "
                "grip lies less than an hour behind the one before: a turn nearly all round, or a "
                "new grip at the same place?"
            )


def _direction_notes(
    subject: Subject, tears: Sequence[tuple[pd.Series, list[Point]]]
) -> Iterator[str]:
    if not tears:
        yield "No grips are marked in a step whose tear direction is said: no arc is worked out."
        return
    steps = {tear["step"] for tear, _ in tears}
    n_undirected = sum(
        span.step in steps and span.tear_direction == NOT_SAID for span in subject.review.steps
    )
    if n_undirected:
        yield f"{counted(n_undirected, 'span')} without a tear direction: no arc there."
