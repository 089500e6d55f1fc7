"""What must hold for any marks, against plain sets of whole seconds."""

from __future__ import annotations

from collections.abc import Iterable

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from aftercase.metrics.measures import measured
from aftercase.metrics.subject import Settings

SECOND_US = 1_000_000
FARTHEST_S = 40

spans = st.tuples(st.integers(0, FARTHEST_S), st.integers(1, 9)).map(
    lambda pair: (pair[0], pair[0] + pair[1])
)
steps = st.lists(
    st.tuples(st.sampled_from(["wound", "tear", "tear-start", "nucleus"]), spans), max_size=8
)
tools = st.lists(st.tuples(st.sampled_from(["probe", "hook", "speculum"]), spans), max_size=8)
any_marks = settings(
    max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None
)


def seconds_in(pairs: Iterable[tuple[int, int]]) -> set[int]:
    return {second for start, end in pairs for second in range(start, end)}


def runs(seconds: set[int]) -> list[tuple[int, int]]:
    """Return the unbroken runs of a set of seconds."""
    found: list[tuple[int, int]] = []
    for second in sorted(seconds):
        if found and found[-1][1] == second:
            found[-1] = (found[-1][0], second + 1)
        else:
            found.append((second, second + 1))
    return found


def subject_of(make, marked_steps, marked_tools, unseen=()):
    return make.subject(
        steps=tuple(make.step(step, *span) for step, span in marked_steps),
        instruments=tuple(make.tool(tool, *span) for tool, span in marked_tools),
        unseen=tuple(make.unseen(*span) for span in unseen),
    )


@any_marks
@given(steps, tools, st.lists(spans, max_size=3), st.integers(0, 4))
def test_gaps_are_the_seconds_without_instrument_that_can_be_seen(
    make, marked_steps, marked_tools, unseen, shortest_s
):
    counting = [span for tool, span in marked_tools if tool != "speculum"]
    basis = [span for _, span in marked_steps] or counting
    window = seconds_in([(min(a for a, _ in basis), max(b for _, b in basis))] if basis else [])
    in_use = seconds_in(counting) & window
    empty = window - in_use - seconds_in(unseen) if in_use else set()
    expected = [run for run in runs(empty) if run[1] - run[0] >= shortest_s]

    subject = subject_of(make, marked_steps, marked_tools, unseen)
    frame = measured("gaps", subject, Settings(shortest_gap_us=shortest_s * SECOND_US)).frame
    whole = frame.groupby("gap").agg({"start_us": "min", "end_us": "max", "length_us": "sum"})
    assert whole.to_numpy().tolist() == [
        [start * SECOND_US, end * SECOND_US, (end - start) * SECOND_US] for start, end in expected
    ]


@any_marks
@given(steps, tools)
def test_totals_idle_and_net_are_counts_of_seconds(make, marked_steps, marked_tools):
    subject = subject_of(make, marked_steps, marked_tools)
    gaps = measured("gaps", subject, Settings(shortest_gap_us=0)).frame
    counting = gaps[gaps["counts_in_total"]]
    idle = seconds_in(
        (start // SECOND_US, end // SECOND_US)
        for start, end in zip(counting["start_us"], counting["end_us"], strict=True)
    )
    parts = {"tear": {"tear", "tear-start"}}
    table = measured("steps", subject, Settings(shortest_gap_us=0))
    blank = "Instruments are not marked: idle and net are blank." in table.notes
    assert table.frame[["idle_us", "net_us"]].isna().all(axis=None) == (blank or table.frame.empty)
    for row in table.frame.to_dict("records"):
        family = parts.get(row["step"], {row["step"]})
        held = seconds_in(span for step, span in marked_steps if step in family)
        assert row["total_us"] == len(held) * SECOND_US
        assert row["n_visits"] == len(runs(held))
        if not blank:
            assert row["idle_us"] == len(held & idle) * SECOND_US
            assert row["net_us"] == len(held - idle) * SECOND_US


@any_marks
@given(steps)
def test_every_second_of_the_window_is_in_a_step_or_in_none(make, marked_steps):
    subject = subject_of(make, marked_steps, [])
    held = seconds_in(span for _, span in marked_steps)
    window = set(range(min(held), max(held) + 1)) if held else set()
    frame = measured("unassigned", subject).frame
    assert frame[["start_us", "end_us"]].to_numpy().tolist() == [
        [start * SECOND_US, end * SECOND_US] for start, end in runs(window - held)
    ]


@any_marks
@given(steps)
def test_two_steps_overlap_in_the_seconds_that_both_hold(make, marked_steps):
    frame = measured("overlaps", subject_of(make, marked_steps, [])).frame
    found: dict[frozenset[str], set[int]] = {}
    for row in frame.to_dict("records"):
        pair = frozenset((row["step"], row["other"]))
        found.setdefault(pair, set()).update(
            range(row["start_us"] // SECOND_US, row["end_us"] // SECOND_US)
        )
    names = sorted({step for step, _ in marked_steps})
    held = {name: seconds_in(s for step, s in marked_steps if step == name) for name in names}
    expected = {
        frozenset((one, other)): held[one] & held[other]
        for one in names
        for other in names
        if one < other and {one, other} != {"tear", "tear-start"} and held[one] & held[other]
    }
    assert found == expected
