"""What a critique says, as plain records that every writer formats in its own way."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from aftercase.clock import text_of
from aftercase.reports.sheet import Sheet

_FILE_ENDINGS: Final = {"image/jpeg": "jpg", "image/png": "png"}


@dataclass(frozen=True)
class Still:
    """The picture of a remark or a measure, as it goes into a report.

    Attributes:
        mark_id: The remark or the measure it was taken for.
        at_us: Start of the frame it shows.
        width_px: Width of the image.
        height_px: Height of the image.
        content: The bytes of the image file.
        media_type: ``image/jpeg`` or ``image/png``.
        number: Which picture of its mark it is, from 1.
        drawn: Shapes that are drawn on it.
        alt: What it shows, in words; made from its time where empty.
    """

    mark_id: str
    at_us: int
    width_px: int
    height_px: int
    content: bytes
    media_type: str
    number: int = 1
    drawn: tuple[str, ...] = ()
    alt: str = ""

    @property
    def file_name(self) -> str:
        """Name of its file beside a report: the mark's id, safe on every disk."""
        number = "" if self.number == 1 else f"-{self.number}"
        return f"{self.mark_id}{number}.{_FILE_ENDINGS[self.media_type]}"


Stills = Mapping[str, tuple[Still, ...]]
"""The pictures of remarks and measures, by the mark's id."""


@dataclass(frozen=True)
class ReplyItem:
    """What another person replied to a remark.

    Attributes:
        label: Whose reply or question it is.
        text: What they said.
    """

    label: str
    text: str


@dataclass(frozen=True)
class RemarkItem:
    """A remark as it is shown.

    Attributes:
        id: Its id, also its anchor on the page.
        at_us: When.
        end_us: End of the span it covers; None for a moment.
        kind: Its kind's name.
        kind_id: Its kind's word.
        step: Name of the step it was made in; empty outside any marked step.
        text: What was seen.
        reason: Why it matters.
        next_time: What to do next time.
        note: A note beside it.
        starred: Whether the reviewer starred it.
        form_item: Item of a form it is evidence for; empty for none.
        adopted_from: Whose remark it was; empty for the reviewer's own.
        stills: Its pictures: those drawn on, else that of its moment; none where it has none.
        replies: What others replied to it.
    """

    id: str
    at_us: int
    end_us: int | None
    kind: str
    kind_id: str
    step: str
    text: str
    reason: str
    next_time: str
    note: str
    starred: bool
    form_item: str
    adopted_from: str
    stills: tuple[Still, ...]
    replies: tuple[ReplyItem, ...]

    @property
    def when(self) -> str:
        """Its time in words."""
        start = text_of(self.at_us)
        return start if self.end_us is None else f"{start} to {text_of(self.end_us)}"


@dataclass(frozen=True)
class RemarkGroup:
    """The remarks of one step, in the order of the clock."""

    step: str
    remarks: tuple[RemarkItem, ...]


@dataclass(frozen=True)
class TaskItem:
    """A practice task: what it is about, what to do, when it is met, drills that practise it."""

    about: str
    task: str
    met_when: str
    drills: tuple[str, ...]


@dataclass(frozen=True)
class GoalItem:
    """A goal as it is shown.

    Attributes:
        act: What to do.
        step: Name of the step; empty for none.
        seen_when: How it will be seen.
        task: The practice task; empty for none.
        from_case: Case it was set in; empty for this one.
        outcome: What became of it.
        evidence: Id of the remark that shows it; empty where none does.
        evidence_when: Time of that evidence; empty where there is none.
    """

    act: str
    step: str
    seen_when: str
    task: str
    from_case: str
    outcome: str
    evidence: str
    evidence_when: str


@dataclass(frozen=True)
class FrontPage:
    """All that page one holds.

    Attributes:
        strengths: Two at most.
        points: Three at most.
        notice: How they were chosen, where not by the reviewer's closing words.
        task: The practice task, if one was chosen.
        goals: The goals set in this case.
        words: A closing sentence of the reviewer's own; may be empty.
    """

    strengths: tuple[RemarkItem, ...]
    points: tuple[RemarkItem, ...]
    notice: str
    task: TaskItem | None
    goals: tuple[GoalItem, ...]
    words: str


@dataclass(frozen=True)
class Fact:
    """A line of the header."""

    label: str
    value: str


@dataclass(frozen=True)
class MeasureItem:
    """Something measured on the picture, as it is shown.

    Attributes:
        id: Its id, also its anchor on the page.
        at_us: When.
        name: What was measured.
        note: A note beside it.
        numbers: Each number's name, and its value with error, unit and how it was come by.
        hours: Clock hours in words; empty for none.
        said: Sentences that belong to the numbers: the ruler, cautions, what is usual.
        stills: Its picture, with the measure drawn on it; none where there is none.
    """

    id: str
    at_us: int
    name: str
    note: str
    numbers: tuple[Fact, ...]
    hours: str
    said: tuple[str, ...]
    stills: tuple[Still, ...]


@dataclass(frozen=True)
class Section:
    """Tables that belong together, with the sentences that stand above them."""

    title: str
    sheets: tuple[Sheet, ...]
    notices: tuple[str, ...] = ()


@dataclass(frozen=True)
class Definition:
    """A word of the report and what it means here."""

    title: str
    text: str


@dataclass(frozen=True)
class StepBar:
    """A step on the clock.

    Attributes:
        label: Short name.
        is_part: Whether it is a part of the step before it.
        spans_us: Start and end of each visit, in the order of the clock.
        total_us: Time in the step.
        idle_us: Idle time within; None where instruments are not marked.
    """

    label: str
    is_part: bool
    spans_us: tuple[tuple[int, int], ...]
    total_us: int
    idle_us: int | None


@dataclass(frozen=True)
class ClockPicture:
    """What is drawn on the clock.

    Attributes:
        start_us: Where the case starts.
        end_us: Where it ends.
        bars: Steps, in the order of their first start.
        gaps_us: Start and end of each gap that counts in the total.
        gaps_known: Whether instruments or pauses are marked at all.
    """

    start_us: int
    end_us: int
    bars: tuple[StepBar, ...]
    gaps_us: tuple[tuple[int, int], ...]
    gaps_known: bool


@dataclass(frozen=True)
class Cue:
    """A span of the clock with its words, for a caption track."""

    id: str
    start_us: int
    end_us: int
    text: str


@dataclass(frozen=True)
class CritiqueContent:
    """Everything a critique says; times are microseconds on the recording's clock.

    Attributes:
        title: Its heading.
        byline: Whose case, whose review, in codes.
        printed_on: A date, or empty.
        front: Page one.
        header: The case in codes.
        steps: Time and people per step.
        remarks: Remarks by step.
        gaps: Gaps and what could not be seen.
        events: Events, complications, arcs.
        measures: What was measured on the picture, by time.
        order: Findings on the order of steps.
        critical: Critical portions.
        flags: Moments that whoever reviews next is asked to look at.
        goals: All goals.
        definitions: What the words mean here.
        cautions: What the report is not.
        clock: What is drawn.
        step_cues: Chapters.
        remark_cues: Captions.
        csv_sheets: The tables by the name of their file.
    """

    title: str
    byline: str
    printed_on: str
    front: FrontPage
    header: tuple[Fact, ...]
    steps: Section
    remarks: tuple[RemarkGroup, ...]
    gaps: Section
    events: Section
    measures: tuple[MeasureItem, ...]
    order: Section
    critical: Section
    flags: Section
    goals: tuple[GoalItem, ...]
    definitions: tuple[Definition, ...]
    cautions: tuple[str, ...]
    clock: ClockPicture
    step_cues: tuple[Cue, ...]
    remark_cues: tuple[Cue, ...]
    csv_sheets: Mapping[str, Sheet]
