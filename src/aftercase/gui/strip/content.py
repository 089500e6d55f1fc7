"""What there is to show on the strip: a review as rows of spans and moments, in order of time.

The spans of a row never overlap, so that what is in sight is found by bisection.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from operator import attrgetter
from typing import Final, Literal, NamedTuple

import numpy as np

from aftercase.clock import text_of
from aftercase.gui.strip.stretch import Ints, Stretch
from aftercase.media.frameclock import FrameClock
from aftercase.model.base import NOT_SAID
from aftercase.model.guide import Guide
from aftercase.model.review import InstrumentSpan, Review, StepSpan

Lane = Literal[
    "remarks", "steps", "taken-over", "instruments", "gaps", "pauses", "unseen", "missing", "events"
]
"""What a row shows."""

MOMENTS: Final[tuple[Lane, ...]] = ("remarks", "events")
"""Lanes whose marks stand at a moment."""

WITH_EDGES: Final[tuple[Lane, ...]] = ("steps", "instruments", "pauses", "unseen")
"""Lanes whose spans a person marked and can drag by their edges."""

FLAG: Final = "flag"
_HAND_WORDS: Final = {"main": "main", "second": "second", NOT_SAID: "not said"}
_HAND_ORDER: Final = {word: place for place, word in enumerate(_HAND_WORDS)}


class StripMark(NamedTuple):
    """A span or a moment as the strip shows it.

    Attributes:
        id: The record's id; empty for what nobody marked.
        start_us: Where it begins, or stands.
        end_us: Where it ends; of a moment where it stands, or ends if it covers a span.
        words: What it is called, the longest first.
        look: An event's class, a remark's kind, or `FLAG`; empty for spans.
        is_strong: Whether it is a starred remark.
    """

    id: str
    start_us: int
    end_us: int
    words: tuple[str, ...]
    look: str = ""
    is_strong: bool = False


@dataclass(frozen=True)
class Row:
    """Marks of a lane in order; spans of a row do not overlap.

    Attributes:
        lane: What they are.
        marks: The marks, by start.
        name: What is the same for all of them: an instrument.
        hand: The hand that held it, in a word.
    """

    lane: Lane
    marks: tuple[StripMark, ...]
    name: str = ""
    hand: str = ""

    @cached_property
    def starts_us(self) -> Ints:
        """Where they begin, or stand."""
        return np.fromiter(map(attrgetter("start_us"), self.marks), np.int64, len(self.marks))

    @cached_property
    def ends_us(self) -> Ints:
        """Where they end."""
        return np.fromiter(map(attrgetter("end_us"), self.marks), np.int64, len(self.marks))

    @cached_property
    def covers(self) -> tuple[StripMark, ...]:
        """Those of its moments that cover a span."""
        return tuple(mark for mark in self.marks if mark.end_us > mark.start_us)

    @cached_property
    def number_of(self) -> dict[str, int]:
        """The position of each record, by its id."""
        return {mark.id: number for number, mark in enumerate(self.marks)}

    def seen_in(self, shown: Stretch) -> slice:
        """Return which of the marks are at least partly in a stretch; of moments, which stand."""
        if self.lane in MOMENTS:
            first, stop = np.searchsorted(self.starts_us, [shown.start_us, shown.end_us])
        else:
            first = np.searchsorted(self.ends_us, shown.start_us, side="right")
            stop = np.searchsorted(self.starts_us, shown.end_us)
        return slice(int(first), int(stop))

    def at(self, us: int) -> StripMark | None:
        """Return the span that covers a moment; None where none does."""
        place = int(np.searchsorted(self.starts_us, us, side="right")) - 1
        return self.marks[place] if place >= 0 and us < self.marks[place].end_us else None


@dataclass(frozen=True)
class Content:
    """A review, its gaps and its film's parts as rows.

    Attributes:
        bounds: The case's window; nothing outside is ever shown.
        rows: All rows; of one lane in the order they stand.
        joints: Where one part ends and the next begins, with the next one's number.
        edges_us: Edges of all spans that a person marked, in order, each as often as there are.
        stops_us: All moments at which something begins, ends or stands, in order.
    """

    bounds: Stretch
    rows: tuple[Row, ...]
    joints: tuple[tuple[int, int], ...]
    edges_us: Ints
    stops_us: Ints

    @cached_property
    def mark_by_id(self) -> dict[str, StripMark]:
        """The marks a person made, by their record's id."""
        return {
            mark.id: mark
            for row in self.rows
            if row.lane != "taken-over"
            for mark in row.marks
            if mark.id
        }

    def of(self, *lanes: Lane) -> tuple[Row, ...]:
        """Return the rows of some lanes."""
        return tuple(row for row in self.rows if row.lane in lanes)


def content_of(
    review: Review,
    guide: Guide,
    frames: FrameClock,
    bounds: Stretch,
    gaps_us: Sequence[tuple[int, int]] = (),
) -> Content:
    """Return what the strip shows of a review.

    Args:
        review: The review.
        guide: The case's guide; words it does not know are shown as they are.
        frames: The recording's frames, for its parts.
        bounds: The case's window.
        gaps_us: Stretches without an instrument, ``[start, end)``, as worked out.
    """
    lanes: tuple[tuple[Lane, Iterable[StripMark]], ...] = (
        ("steps", _steps(review, guide)),
        ("taken-over", _taken_over(review)),
        ("gaps", (StripMark("", *gap, ("gap",)) for gap in gaps_us)),
        ("pauses", _pauses(review, guide)),
        ("missing", _missing(frames)),
        ("unseen", _unseen(review, guide)),
    )
    rows = [row for lane, marks in lanes for row in _packed(lane, _inside(marks, bounds))]
    rows += _instrument_rows(review, guide, bounds)
    rows += _moment_rows(review, guide, bounds)
    joints = enumerate(frames.joints_us(), start=2)
    edges = [row for row in rows if row.lane in WITH_EDGES]
    return Content(
        bounds=bounds,
        rows=tuple(rows),
        joints=tuple((us, number) for number, us in joints if bounds.holds(us)),
        edges_us=_in_order(edges),
        stops_us=_in_order(rows),
    )


def told(mark: StripMark) -> str:
    """Return a mark in words: what, and from when to when."""
    until = f" to {text_of(mark.end_us)}" if mark.end_us > mark.start_us else ""
    return f"{mark.words[0]}, {text_of(mark.start_us)}{until}"


def words_at(content: Content, start_us: int, end_us: int) -> str:
    """Return in words what is at a frame, ``[start_us, end_us)``."""
    return "; ".join(_words_at(content, start_us, end_us)) or "nothing marked here"


def _words_at(content: Content, start_us: int, end_us: int) -> Iterator[str]:
    for row in content.rows:
        if row.lane in MOMENTS:
            first, stop = np.searchsorted(row.starts_us, [start_us, end_us])
            yield from (mark.words[0] for mark in row.marks[first:stop])
        elif (mark := row.at(start_us)) is not None:
            hand = f" (hand: {row.hand})" if row.hand else ""
            yield f"{mark.words[0]}{hand}"


def _steps(review: Review, guide: Guide) -> Iterator[StripMark]:
    words = {step.id: (step.name, step.strip_label) for step in guide.steps}
    for span in review.steps:
        name = words.get(span.step) or (guide.step_name(span.step), span.step)
        yield StripMark(span.id, span.start_us, span.end_us, name)


def _taken_over(review: Review) -> Iterator[StripMark]:
    """Return where the teacher has the instruments, as far as it was marked when."""
    for span in review.steps:
        if (from_us := _taken_from(span)) is not None:
            until_us = span.end_us if span.given_back_us is None else span.given_back_us
            if from_us < until_us:
                yield StripMark(span.id, from_us, until_us, ("taken over",))


def _taken_from(span: StepSpan) -> int | None:
    whole = span.start_us if span.takeover == "taken-over" else None
    return whole if span.taken_over_us is None else span.taken_over_us


def _pauses(review: Review, guide: Guide) -> Iterator[StripMark]:
    names = {choice.id: choice.name for choice in guide.pause_causes}
    for span in review.pauses:
        yield StripMark(span.id, span.start_us, span.end_us, _about("pause", span.cause, names))


def _unseen(review: Review, guide: Guide) -> Iterator[StripMark]:
    names = {choice.id: choice.name for choice in guide.unseen_reasons}
    for span in review.unseen:
        yield StripMark(span.id, span.start_us, span.end_us, _about("not seen", span.reason, names))


def _about(what: str, word: str, names: dict[str, str]) -> tuple[str, ...]:
    return (what,) if word == NOT_SAID else (f"{what}: {names.get(word, word)}", what)


def _missing(frames: FrameClock) -> Iterator[StripMark]:
    for part in frames.parts:
        if part.is_missing or not frames.has_film:
            yield StripMark("", part.start_us, part.end_us, ("film not here", "no film"))


def _instrument_rows(review: Review, guide: Guide, bounds: Stretch) -> Iterator[Row]:
    """Return a row for each instrument in each hand, the main hand's first, by first use."""
    in_use: dict[tuple[str, str], list[InstrumentSpan]] = defaultdict(list)
    for span in review.instruments:
        in_use[span.hand, span.instrument].append(span)
    for hand, instrument in sorted(in_use, key=lambda one: _HAND_ORDER.get(one[0], 9)):
        known = guide.instrument_by_id.get(instrument)
        name = known.name if known is not None else f"{instrument} (not in the guide)"
        marks = [
            StripMark(span.id, span.start_us, span.end_us, (name,))
            for span in in_use[hand, instrument]
        ]
        said = _HAND_WORDS.get(hand, hand)
        yield from _packed("instruments", _inside(marks, bounds), name=name, hand=said)


def _moment_rows(review: Review, guide: Guide, bounds: Stretch) -> Iterator[Row]:
    flags = [
        StripMark(flag.id, flag.at_us, flag.at_us, (_worded("look here", flag.note),), FLAG)
        for flag in review.flags
    ]
    remarks = [
        StripMark(
            remark.id,
            remark.at_us,
            remark.at_us if remark.end_us is None else remark.end_us,
            (_worded(remark.kind.replace("-", " "), remark.text),),
            remark.kind,
            remark.starred,
        )
        for remark in review.remarks
    ]
    yield _moment_row("remarks", [*remarks, *flags], bounds)
    kinds = {kind.id: (kind.name, kind.event_class) for kind in guide.events}
    events = []
    for event in review.events:
        name, event_class = kinds.get(event.kind, (f"{event.kind} (not in the guide)", ""))
        words = (f"{event_class}: {name}", name) if event_class else (name,)
        events.append(StripMark(event.id, event.at_us, event.at_us, words, event_class))
    yield _moment_row("events", events, bounds)


def _worded(what: str, text: str) -> str:
    return f"{what}: {text}" if text else what


def _moment_row(lane: Lane, marks: Iterable[StripMark], bounds: Stretch) -> Row:
    there = [mark for mark in marks if bounds.holds(mark.start_us)]
    return Row(lane, tuple(sorted(there, key=attrgetter("start_us", "id"))))


def _inside(marks: Iterable[StripMark], bounds: Stretch) -> Iterator[StripMark]:
    for mark in marks:
        if mark.start_us < bounds.end_us and mark.end_us > bounds.start_us:
            yield mark


def _packed(
    lane: Lane, marks: Iterable[StripMark], *, name: str = "", hand: str = ""
) -> list[Row]:  # fmt: skip
    """Return rows without overlaps: each span in the first row where it has room.

    Of spans that begin together the longer comes first, so that a whole stands above its parts.
    """
    rows: list[list[StripMark]] = []
    for mark in sorted(marks, key=lambda mark: (mark.start_us, -mark.end_us, mark.id)):
        for row in rows:
            if row[-1].end_us <= mark.start_us:
                row.append(mark)
                break
        else:
            rows.append([mark])
    return [Row(lane, tuple(row), name, hand) for row in rows]


def _in_order(rows: Sequence[Row]) -> Ints:
    edges = [edge for row in rows for edge in (row.starts_us, row.ends_us)]
    return np.sort(np.concatenate(edges)) if edges else np.empty(0, np.int64)
