"""What the step marks leave open: times claimed by two steps, and times claimed by none."""

from __future__ import annotations

from itertools import combinations

from aftercase.metrics.intervals import Spans, intersect, measure, subtract
from aftercase.metrics.subject import Settings, Subject
from aftercase.metrics.table import Found
from aftercase.metrics.tables import ancestors, duration_text, spans_in, step_frame
from aftercase.metrics.window import operation_window


def overlaps_found(subject: Subject, _settings: Settings) -> Found:
    """Return where two different steps overlap, by time; a part within its whole is no overlap."""
    guide, steps = subject.guide, step_frame(subject)
    spans = {step: spans_in(steps[steps["step"] == step]) for step in dict.fromkeys(steps["step"])}
    rows = [
        {
            "start_us": start_us,
            "end_us": end_us,
            "length_us": end_us - start_us,
            "step": step,
            "other": other,
        }
        for step, other in combinations(spans, 2)
        if step not in ancestors(guide, other) and other not in ancestors(guide, step)
        for start_us, end_us in intersect(spans[step], spans[other]).tolist()
    ]
    rows.sort(key=lambda row: (row["start_us"], row["end_us"], row["step"], row["other"]))
    none = () if rows else ("No two steps overlap.",)
    return Found(tuple(rows), none)


def unassigned_found(subject: Subject, _settings: Settings) -> Found:
    """Return the stretches of the operation's window that no step holds, by time."""
    window = operation_window(subject)
    if window is None:
        return Found((), ("There is no window: no steps and no instruments are marked.",))
    open_spans: Spans = subtract(window.span, spans_in(step_frame(subject)))
    rows = [
        {"start_us": start_us, "end_us": end_us, "length_us": end_us - start_us}
        for start_us, end_us in open_spans.tolist()
    ]
    if not rows:
        return Found((), ("Every moment of the window belongs to a step.",))
    open_us = measure(open_spans)
    share = open_us / window.length_us
    note = f"Belonging to no step: {duration_text(open_us)}, {share:.1%} of the window."
    return Found(tuple(rows), (note,))
