"""The sentence that says what each measure is, word for word as in docs/reference/metrics.md."""

from __future__ import annotations

from typing import Final

DEFINITIONS: Final[dict[str, str]] = {
    "window": (
        "The operation's window runs from the start of the first step mark to the end of the last; "
        "from the first to the last mark of a counting instrument where no step is marked; and "
        "from trim to trim where the case is trimmed."
    ),
    "steps": (
        "A step's total is the time that at least one of its spans, or of its parts' spans, holds; "
        "idle is the counted gap time inside it, and net is total less idle."
    ),
    "attempts": (
        "An attempt is one span of a drill, numbered by its start within the drill; attempts are "
        "never joined, even where they touch."
    ),
    "gaps": (
        "A gap is a stretch of the operation's window in which no counting instrument is marked "
        "and which can be seen, at least as long as the shortest gap counted, and cut at step "
        "borders only after that."
    ),
    "gap-causes": (
        "The number and total of the gaps that count in totals, by the cause a person gave them; "
        "a cause belongs to the gap it overlaps most."
    ),
    "order": (
        "A step is out of order where its first visit begins before the first visit of a step that "
        "a strict rule of the guide, for the technique in force, puts before it; any later visit "
        "is returned to, or repeated where no other step lies between."
    ),
    "events": (
        "The number of events of one kind within one step, the innermost at that moment, and that "
        "number per minute of the step's total."
    ),
    "event-list": (
        "Every event at its moment, with its clock hour where it has one, and for a complication "
        "the time from first sign to recognition and from recognition to first response."
    ),
    "arcs": (
        "An arc is the angle, 30 degrees an hour and from 0 up to 360, from the hour of one grip "
        "to that of the next, in the direction said once for the tear; path is the sum of the arcs "
        "since the count began, and net is the arc from where it began."
    ),
    "critical": (
        "A critical portion is by the trainee where all that is said of the step and of its parts "
        "names the trainee as performer and no takeover; in part where the trainee is one of "
        "several, shared it or was relieved; not said where any performer is not said, and a part "
        "that says nothing goes by its whole."
    ),
    "overlaps": (
        "An overlap is a stretch that spans of two different steps both hold, unless one step is a "
        "part of the other."
    ),
    "unassigned": (
        "Unassigned time is every stretch of the operation's window that no step span holds."
    ),
}
