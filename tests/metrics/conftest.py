"""A small invented guide, and marks given in seconds."""

from __future__ import annotations

import random
from typing import Any

import pytest

from aftercase.metrics.subject import Subject
from aftercase.model.base import Identified, id_source
from aftercase.model.case import Case, GuideReference, Part, SinceWord
from aftercase.model.guide import Choice, EventKind, Guide, Instrument, OrderRule, Step, Technique
from aftercase.model.picture import PicturePoint
from aftercase.model.review import (
    Event,
    GapCause,
    InstrumentSpan,
    Origin,
    PauseSpan,
    Review,
    StepSpan,
    UnseenSpan,
)

GUIDE = Guide(
    id="small",
    guide_version="1.0",
    name="Small guide",
    span_rule="From the first touch to the last.",
    steps=(
        Step(id="wound", name="Wound", strip_label="Wound", critical="yes"),
        Step(id="tear", name="Tear", strip_label="Tear", critical="yes"),
        Step(id="tear-start", name="Starting", strip_label="Start", parent="tear"),
        Step(id="tear-round", name="Going round", strip_label="Round", parent="tear"),
        Step(id="nucleus", name="Nucleus", strip_label="Nucleus", repeats=True, critical="yes"),
        Step(id="groove", name="Groove", strip_label="Groove", parent="nucleus"),
        Step(id="polish", name="Polish", strip_label="Polish", optional=True),
        Step(id="seal", name="Seal", strip_label="Seal"),
        Step(
            id="vitrectomy",
            name="Vitrectomy",
            strip_label="Vit",
            optional=True,
            unplanned=True,
            unlike=True,
        ),
        Step(id="drill", name="Drill", strip_label="Drill", optional=True, attempts=True),
    ),
    instruments=(
        Instrument(id="probe", name="Probe", hand="main"),
        Instrument(id="hook", name="Hook", hand="second"),
        Instrument(id="forceps", name="Forceps", hand="either"),
        Instrument(id="speculum", name="Speculum", hand="in-place", counts=False),
    ),
    events=(
        EventKind(id="grip", name="Grip", event_class="action", hour="halves"),
        EventKind(id="turned-back", name="Turned back", event_class="rescue", hour="whole"),
        EventKind(id="iris-touch", name="Iris touched", event_class="slip", hour="whole"),
        EventKind(id="zonules", name="Zonules lost", event_class="complication", hour="span"),
    ),
    techniques=(
        Technique(id="crack", name="Crack"),
        Technique(id="chop", name="Chop"),
        Technique(id="by-hand", name="By hand", converted=True),
    ),
    order=(
        OrderRule(kind="strict", step="nucleus", not_before=("tear",)),
        OrderRule(kind="usual", step="tear", not_before=("wound",), note="Air is possible."),
        OrderRule(kind="usual", step="seal", not_before=("polish",), last_visit=True),
        OrderRule(kind="strict", step="polish", not_before=("nucleus",), techniques=("chop",)),
        OrderRule(kind="strict", step="vitrectomy", not_before=("seal",)),
    ),
    pause_causes=(
        Choice(id="teaching", name="teacher explains", counts_as="nobody"),
        Choice(id="hesitation", name="did not know what came next", counts_as="teacher-decides"),
        Choice(id="not-in-picture", name="outside the view", counts_as="unseen"),
        Choice(id="not-said", name="no cause given", counts_as="apart"),
    ),
)


def us(seconds: float) -> int:
    return round(seconds * 1_000_000)


class Maker:
    """Makes records with fresh ids; all times in seconds."""

    guide = GUIDE

    def __init__(self) -> None:
        self.new_id = id_source(random.Random(7))

    def step(self, step: str, start_s: float, end_s: float, **fields: Any) -> StepSpan:
        return self._span(StepSpan, start_s, end_s, step=step, **fields)

    def tool(self, instrument: str, start_s: float, end_s: float, **fields: Any) -> InstrumentSpan:
        return self._span(InstrumentSpan, start_s, end_s, instrument=instrument, **fields)

    def pause(self, start_s: float, end_s: float, **fields: Any) -> PauseSpan:
        return self._span(PauseSpan, start_s, end_s, **fields)

    def unseen(self, start_s: float, end_s: float) -> UnseenSpan:
        return self._span(UnseenSpan, start_s, end_s, reason="glare")

    def cause(self, start_s: float, end_s: float, cause: str) -> GapCause:
        return self._span(GapCause, start_s, end_s, cause=cause)

    def event(self, kind: str, at_s: float, **fields: Any) -> Event:
        return Event(id=self.new_id(), kind=kind, at_us=us(at_s), **fields)

    def point(self, x: float, y: float, at_s: float = 0, part: int = 0) -> PicturePoint:
        return PicturePoint(x=x, y=y, part=part, at_us=us(at_s))

    def part(self, start_s: float, end_s: float, width_px: int = 100, height_px: int = 100) -> Part:
        return Part(
            id=self.new_id(),
            path=f"{start_s}.mp4",
            size_bytes=1,
            duration_us=us(end_s - start_s),
            quick_hash="0",
            time_base=(1, 1000),
            start_us=us(start_s),
            end_us=us(end_s),
            width_px=width_px,
            height_px=height_px,
        )

    def origin(self, reviewer: str) -> Origin:
        return Origin(case="a" * 26, reviewer=reviewer, revision=1, id=self.new_id())

    def since(self, *entries: tuple[float, str]) -> tuple[SinceWord, ...]:
        return tuple(SinceWord(from_us=us(from_s), value=value) for from_s, value in entries)

    def subject(
        self,
        *,
        guide: Guide = GUIDE,
        case: dict[str, Any] | None = None,
        length_s: float = 1000,
        **marks: Any,
    ) -> Subject:
        header = {"stated_duration_us": us(length_s), "setting": "patient", **(case or {})}
        one = Case(
            id=self.new_id(),
            code="C1",
            guide=GuideReference(id=guide.id, guide_version=guide.guide_version),
            **header,
        )
        review = Review(id=self.new_id(), case=one.id, reviewer="T1", **marks)
        return Subject(one, guide, review)

    def _span(self, kind: type[Identified], start_s: float, end_s: float, **fields: Any) -> Any:
        return kind(id=self.new_id(), start_us=us(start_s), end_us=us(end_s), **fields)


@pytest.fixture
def make() -> Maker:
    return Maker()
