"""Gaps: stretches of the operation with no instrument in use; and pauses as marked directly."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
import pandas as pd

from aftercase.metrics.intervals import (
    Moments,
    Spans,
    intersect,
    measure,
    spans_of,
    subtract,
)
from aftercase.metrics.subject import Settings, Subject
from aftercase.metrics.tables import (
    MAIN_HAND,
    UNSAID_HANDS,
    adoption_notes,
    counted,
    duration_text,
    instrument_frame,
    pause_frame,
    spans_in,
    unseen_frame,
)
from aftercase.metrics.window import OperationWindow, operation_window
from aftercase.model.base import NOT_SAID
from aftercase.model.guide import Guide

LEAD_IN: Final = "lead-in"
LEAD_OUT: Final = "lead-out"
SAME_BACK: Final = "same-back"
EXCHANGE: Final = "exchange"
PAUSE: Final = "pause"
UNSEEN: Final = "unseen"

INSTRUMENTS: Final = "instruments"
PAUSES: Final = "pauses"
NOT_MARKED: Final = "not-marked"

_EMPTY_WORDS: Final = {
    "eye-empty": "Eye empty: no instrument of either hand in use.",
    "main-hand-empty": "Main hand empty: an instrument of the second hand may rest in the eye.",
}


@dataclass(frozen=True)
class Gap:
    """A whole gap, before it is cut at step borders."""

    start_us: int
    end_us: int
    kind: str
    before: str | None = None
    after: str | None = None
    cause: str = NOT_SAID
    counts: bool = True

    @property
    def length_us(self) -> int:
        """How long it is."""
        return self.end_us - self.start_us


@dataclass(frozen=True)
class Gaps:
    """The gaps of a review, and what they were worked out from.

    Attributes:
        source: ``instruments``, ``pauses`` or ``not-marked``.
        kept: Gaps by time, none shorter than the shortest that is counted.
        notes: How they were counted and what was left out.
    """

    source: str
    kept: tuple[Gap, ...]
    notes: tuple[str, ...]

    @property
    def idle(self) -> Spans:
        """The gaps that count in totals, as disjoint spans."""
        return spans_of([(gap.start_us, gap.end_us) for gap in self.kept if gap.counts])


def gaps_of(subject: Subject, settings: Settings) -> Gaps:
    """Return the gaps of a review by the source the settings ask for.

    No marks mean "not marked", never that the eye stood idle.
    """
    window = operation_window(subject)
    if window is not None and settings.gap_source in ("auto", INSTRUMENTS):
        in_use = _in_use(subject, settings, window)
        if len(in_use):
            return _from_instruments(subject, settings, window, in_use)
    if settings.gap_source in ("auto", PAUSES) and len(pause_frame(subject)):
        return _from_pauses(subject, window)
    what = {INSTRUMENTS: "Instruments", PAUSES: "Pauses"}.get(
        settings.gap_source, "Instruments and pauses"
    )
    return Gaps(NOT_MARKED, (), (f"{what} are not marked: nothing is known about gaps.",))


def _in_use(subject: Subject, settings: Settings, window: OperationWindow) -> pd.DataFrame:
    """Return the counting instrument spans within the window, of the hand the settings ask for."""
    frame = instrument_frame(subject)
    if settings.empty == "main-hand-empty":
        # An unsaid hand may be the main one: taken as such, it can only make idle time shorter.
        frame = frame[frame["hand"].isin([MAIN_HAND, *UNSAID_HANDS])]
    frame = frame.assign(
        start_us=frame["start_us"].clip(lower=window.start_us),
        end_us=frame["end_us"].clip(upper=window.end_us),
    )
    return frame[frame["start_us"] < frame["end_us"]].reset_index(drop=True)


def _from_instruments(
    subject: Subject, settings: Settings, window: OperationWindow, in_use: pd.DataFrame
) -> Gaps:
    empty = subtract(window.span, spans_in(in_use))
    unseen = spans_in(unseen_frame(subject))
    stretches = subtract(empty, unseen)
    bare = _gaps_between(stretches, in_use)
    gaps, cause_notes = _with_causes(bare, stretches, subject)
    kept = tuple(gap for gap in gaps if gap.length_us >= settings.shortest_gap_us)
    notes = (
        "Source: worked out from the instruments marked.",
        _EMPTY_WORDS[settings.empty],
        *_hand_notes(settings, in_use),
        _dropped_note(gaps, kept, settings.shortest_gap_us),
        *_edge_notes(kept),
        *_unseen_notes(empty, unseen),
        *cause_notes,
        *_other_source_notes(len(subject.review.pauses), "pauses marked directly"),
        *adoption_notes(subject.review.instruments),
    )
    return Gaps(INSTRUMENTS, kept, notes)


def _gaps_between(stretches: Spans, in_use: pd.DataFrame) -> list[Gap]:
    """Return stretches as gaps, with the instruments that end last before and start first after."""
    ends_us, ending = _instruments_by(in_use, "end_us")
    starts_us, starting = _instruments_by(in_use, "start_us")
    last_ends = np.searchsorted(ends_us, stretches[:, 0], side="right").tolist()
    first_starts = np.searchsorted(starts_us, stretches[:, 1], side="left").tolist()
    return [
        _gap(
            start_us,
            end_us,
            ending[last_end - 1] if last_end else set(),
            starting[first_start] if first_start < len(starting) else set(),
        )
        for (start_us, end_us), last_end, first_start in zip(
            stretches.tolist(), last_ends, first_starts, strict=True
        )
    ]


def _instruments_by(in_use: pd.DataFrame, column: str) -> tuple[Moments, list[set[str]]]:
    """Return the moments at which spans start or end, in order, and each one's instruments."""
    at: dict[int, set[str]] = {}
    for moment, instrument in zip(in_use[column], in_use["instrument"], strict=True):
        at.setdefault(int(moment), set()).add(instrument)
    moments = sorted(at)
    return np.array(moments, dtype=np.int64), [at[moment] for moment in moments]


def _gap(start_us: int, end_us: int, before: set[str], after: set[str]) -> Gap:
    if not before:
        kind = LEAD_IN
    elif not after:
        kind = LEAD_OUT
    else:
        kind = SAME_BACK if before & after else EXCHANGE
    return Gap(
        start_us,
        end_us,
        kind,
        " + ".join(sorted(before)) or None,
        " + ".join(sorted(after)) or None,
        counts=kind not in (LEAD_IN, LEAD_OUT),
    )


def _with_causes(
    gaps: Sequence[Gap], stretches: Spans, subject: Subject
) -> tuple[list[Gap], tuple[str, ...]]:
    """Give each cause to the gap it overlaps most; of several, a gap takes the longest overlap."""
    best: dict[int, tuple[int, str]] = {}
    n_homeless = 0
    for cause in subject.review.gap_causes:
        overlaps = np.minimum(stretches[:, 1], cause.end_us) - np.maximum(
            stretches[:, 0], cause.start_us
        )
        position = int(overlaps.argmax()) if len(overlaps) else 0
        longest = int(overlaps.max(initial=0))
        n_homeless += longest <= 0
        if longest > best.get(position, (0, ""))[0]:
            best[position] = (longest, cause.cause)
    caused = [
        _with_cause(gap, best[position][1], subject.guide) if position in best else gap
        for position, gap in enumerate(gaps)
    ]
    homeless = (f"Where there is no gap: {counted(n_homeless, 'cause')}.",) if n_homeless else ()
    return caused, (*_not_idle_notes(caused, subject.guide), *homeless)


def _with_cause(gap: Gap, cause: str, guide: Guide) -> Gap:
    return replace(gap, cause=cause, counts=gap.counts and not _out_of_sight(cause, guide))


def _out_of_sight(cause: str, guide: Guide) -> bool:
    return any(choice.id == cause and choice.counts_as == UNSEEN for choice in guide.pause_causes)


def _from_pauses(subject: Subject, window: OperationWindow | None) -> Gaps:
    frame = pause_frame(subject)
    if window is not None:
        frame[["start_us", "end_us"]] = frame[["start_us", "end_us"]].clip(
            window.start_us, window.end_us
        )
        frame = frame[frame["start_us"] < frame["end_us"]]
    kept = tuple(
        _with_cause(Gap(int(start), int(end), PAUSE), str(cause), subject.guide)
        for start, end, cause in zip(
            frame["start_us"], frame["end_us"], frame["cause"], strict=True
        )
    )
    notes = (
        "Source: pauses as marked directly; each counts, however short.",
        *_not_idle_notes(kept, subject.guide),
        *_other_source_notes(len(subject.review.instruments), "instrument marks"),
        *adoption_notes(subject.review.pauses),
    )
    return Gaps(PAUSES, kept, notes)


def _dropped_note(gaps: Sequence[Gap], kept: Sequence[Gap], shortest_us: int) -> str:
    n_dropped = len(gaps) - len(kept)
    sum_us = sum(gap.length_us for gap in gaps) - sum(gap.length_us for gap in kept)
    return (
        f"Shortest gap counted: {duration_text(shortest_us)}; "
        f"{counted(n_dropped, 'shorter gap')} dropped, {duration_text(sum_us)} together."
    )


def _edge_notes(kept: Sequence[Gap]) -> Iterator[str]:
    edges_us = sum(gap.length_us for gap in kept if gap.kind in (LEAD_IN, LEAD_OUT))
    if edges_us:
        yield f"Lead-in and lead-out, {duration_text(edges_us)}, are left out of totals."


def _unseen_notes(empty: Spans, unseen: Spans) -> Iterator[str]:
    hidden_us = measure(intersect(empty, unseen))
    if hidden_us:
        yield (
            f"{duration_text(hidden_us)} without an instrument cannot be seen and is no gap; "
            "beside it, before and after are the nearest instruments marked."
        )


def _hand_notes(settings: Settings, in_use: pd.DataFrame) -> Iterator[str]:
    if settings.empty != "main-hand-empty":
        return
    unsaid = ~in_use["hand_said"].astype(bool)
    either = in_use["hand"].isin(list(UNSAID_HANDS))
    if unsaid.any():
        yield (
            f"{counted(int(unsaid.sum()), 'instrument span')} without a hand taken by usual hand, "
            f"{int((unsaid & either).sum())} of them, of either hand, as the main one."
        )


def _not_idle_notes(gaps: Sequence[Gap], guide: Guide) -> tuple[str, ...]:
    hidden = [gap for gap in gaps if _out_of_sight(gap.cause, guide)]
    if not hidden:
        return ()
    return (
        f"{counted(len(hidden), 'gap')} in which something went on outside the picture left out "
        "of totals.",
    )


def _other_source_notes(n_other: int, what: str) -> Iterator[str]:
    if n_other:
        yield f"There are also {what} ({n_other}); the two are never mixed."
