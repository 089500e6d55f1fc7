"""The review: what one person wrote about a case."""

from __future__ import annotations

from typing import Annotated, Final, Literal

from pydantic import Field

from aftercase.model.base import (
    NOT_SAID,
    Code,
    Identified,
    Record,
    RecordId,
    Us,
    Version,
    Word,
    YesNo,
)
from aftercase.model.measure import Calibration, Measure
from aftercase.model.picture import PicturePoint, Share

REVIEW_FORMAT: Final = "aftercase/review"
REVIEW_VERSION: Final = "1.3"

ROLES: Final = ("teacher", "second-teacher", "trainee", "preparer")
STATES: Final = ("draft", "sealed", "released")
PERFORMERS: Final = (NOT_SAID, "trainee", "second-trainee", "teacher", "shared")
TAKEOVERS: Final = (NOT_SAID, "none", "taken-over", "given-back")
REMARK_KINDS: Final = ("well-done", "work-on", "teaching-point", "safety", "question")
HANDS: Final = (NOT_SAID, "main", "second")
OUTCOMES: Final = ("open", "met", "partly", "not-seen", "let-go")
DIRECTIONS: Final = (NOT_SAID, "clockwise", "anticlockwise")
HOUR_CLOCKS: Final = ("eye", "picture", NOT_SAID)
SHAPES: Final = ("arrow", "ring", "line", "freehand")
MOST_DRAWN_POINTS: Final = 500
COLOURS: Final = ("sky", "orange", "white")
UNDERSTANDINGS: Final = (NOT_SAID, "understood", "not-yet")


class Origin(Record):
    """Whose mark an adopted one was; it never counts as agreement."""

    case: RecordId
    reviewer: Code
    revision: Annotated[int, Field(strict=True, ge=1)]
    id: RecordId


class Mark(Identified):
    """Anything a person put on the clock."""

    adopted_from: Origin | None = None
    note: str = ""


class Span(Mark):
    """A stretch of the clock, ``[start_us, end_us)``."""

    start_us: Us
    end_us: Us


class StepSpan(Span):
    """A step, or a numbered attempt at a drill.

    Attributes:
        step: Step id of the guide.
        performer: Who did it, a role; ``not-said`` until someone says so.
        performer_code: The person's code, if any.
        help: How much help was given, apart from quality.
        takeover: Whether the teacher took over: ``not-said``, ``none``, ``taken-over`` (and
            finished it) or ``given-back``.
        takeover_reason: Why.
        taken_over_us: When, if marked.
        given_back_us: When it was given back, if marked.
        tear_direction: Which way the tear goes on the picture, for arcs.
        result: How an attempt at a drill ended.
    """

    step: Word
    performer: str = NOT_SAID
    performer_code: Code | None = None
    help: str = NOT_SAID
    takeover: str = NOT_SAID
    takeover_reason: str = NOT_SAID
    taken_over_us: Us | None = None
    given_back_us: Us | None = None
    tear_direction: str = NOT_SAID
    result: str = NOT_SAID


class InstrumentSpan(Span):
    """An instrument in use, with the hand that held it: ``main``, ``second`` or not said."""

    instrument: Word
    hand: str = NOT_SAID


class PauseSpan(Span):
    """A stretch with nothing in the eye, marked directly; never mixed with worked-out gaps."""

    cause: str = NOT_SAID


class UnseenSpan(Span):
    """A stretch that cannot be seen, with the reason."""

    reason: str = NOT_SAID


class StatedHour(Record):
    """A clock hour a person said; whose clock is part of it.

    Attributes:
        hour: 0 < hour <= 12, halves allowed.
        clock: ``eye``, ``picture`` (12 at the top of the screen) or not said.
    """

    hour: Annotated[float, Field(strict=True, gt=0, le=12)]
    clock: str = NOT_SAID


class Course(Record):
    """How a complication went: each moment a frame's start.

    Attributes:
        first_sign_us: First sign on the picture.
        recognised_us: When it was recognised.
        first_response_us: First thing done about it.
        holder: Who held the instruments, a performer's role.
    """

    first_sign_us: Us | None = None
    recognised_us: Us | None = None
    first_response_us: Us | None = None
    holder: str = NOT_SAID


class Event(Mark):
    """A countable happening at one moment.

    Attributes:
        kind: Event kind id of the guide.
        at_us: Start of the frame it was marked on.
        place: What was pointed at on the picture; its hour is derived.
        hour: An hour a person stated instead of pointing.
        to_hour: The end of a stretch from hour to hour.
        course: For a complication: sign, recognition, response.
    """

    kind: Word
    at_us: Us
    place: PicturePoint | None = None
    to_place: PicturePoint | None = None
    hour: StatedHour | None = None
    to_hour: StatedHour | None = None
    course: Course | None = None


class Drawing(Record):
    """A line drawn on one frame, in shares of the decoded frame as `PicturePoint`.

    Attributes:
        shape: One of `SHAPES`.
        colour: One of `COLOURS`.
        part: Position of the recording's part, 0-based.
        at_us: Start of the frame it was drawn on.
        points: (x, y) each. Arrow: tail, tip. Ring: two opposite corners of the box round it.
            Line: both ends. Freehand: the way of the hand.
    """

    shape: Word
    colour: Word
    part: Annotated[int, Field(strict=True, ge=0)] = 0
    at_us: Us
    points: tuple[tuple[Share, Share], ...]


class Remark(Mark):
    """A timed comment.

    Attributes:
        at_us: Start of the frame it is about.
        end_us: End of the span it covers; None for a moment.
        kind: One of `REMARK_KINDS`.
        text: What was seen.
        reason: Why it matters.
        next_time: What to do next time.
        starred: Whether it is a candidate for the closing points.
        form_item: Item of an assessment form it is evidence for.
        drawings: What was drawn on the picture, the later over the earlier.
    """

    at_us: Us
    end_us: Us | None = None
    kind: str = "teaching-point"
    text: str = ""
    reason: str = ""
    next_time: str = ""
    starred: bool = False
    form_item: Word | None = None
    drawings: tuple[Drawing, ...] = ()


class Flag(Mark):
    """A moment that whoever reviews next is asked to look at; the note says why."""

    at_us: Us


class Reply(Identified):
    """What the reader of another's review says to one of its remarks; never a score.

    Attributes:
        to: The remark.
        at_us: When that remark is.
        watched: Whether its moment was played.
        understood: One of `UNDERSTANDINGS`.
        text: An answer or a question, in words.
        asks: Whether the text is a question.
    """

    to: Origin
    at_us: Us
    watched: YesNo = False
    understood: str = NOT_SAID
    text: str = ""
    asks: YesNo = False


class GapCause(Mark):
    """Why a gap happened; belongs to the gap it overlaps most."""

    start_us: Us
    end_us: Us
    cause: str = NOT_SAID


class Goal(Mark):
    """Something to do differently next time.

    Attributes:
        act: What to do, in words.
        step: Where.
        seen_when: How it will be seen.
        task: Practice task of the guide.
        from_case: Code of the case it was set in, when carried over.
        outcome: One of `OUTCOMES`; ``let-go`` for a goal that was carried over and is one no more.
        evidence: Remark or span of this case that shows it.
    """

    act: str
    step: Word | None = None
    seen_when: str = ""
    task: Word | None = None
    from_case: str | None = None
    outcome: str = "open"
    evidence: RecordId | None = None


class Closing(Record):
    """What the review ends with.

    Attributes:
        strengths: Ids of remarks, two at most on the first page.
        points: Ids of remarks to work on, three at most.
        task: Practice task of the guide.
        words: A sentence of the reviewer's own.
    """

    strengths: tuple[RecordId, ...] = ()
    points: tuple[RecordId, ...] = ()
    task: Word | None = None
    words: str = ""


class Review(Record):
    """What one person wrote about a case; an immutable tree.

    Attributes are explained one by one in ``docs/reference/case-format.md``.
    """

    format: Literal["aftercase/review"] = REVIEW_FORMAT
    version: Version = REVIEW_VERSION
    id: RecordId
    case: RecordId
    reviewer: Code
    role: str = "teacher"
    revision: Annotated[int, Field(strict=True, ge=1)] = 1
    predecessor_sha256: str | None = None
    state: str = "draft"
    steps: tuple[StepSpan, ...] = ()
    instruments: tuple[InstrumentSpan, ...] = ()
    pauses: tuple[PauseSpan, ...] = ()
    unseen: tuple[UnseenSpan, ...] = ()
    events: tuple[Event, ...] = ()
    remarks: tuple[Remark, ...] = ()
    gap_causes: tuple[GapCause, ...] = ()
    goals: tuple[Goal, ...] = ()
    flags: tuple[Flag, ...] = ()
    replies: tuple[Reply, ...] = ()
    calibrations: tuple[Calibration, ...] = ()
    measures: tuple[Measure, ...] = ()
    not_needed: tuple[Word, ...] = ()
    """Steps that did not happen because they were not needed: not missing."""
    closing: Closing = Closing()


RecordList = Literal[
    "steps",
    "instruments",
    "pauses",
    "unseen",
    "events",
    "remarks",
    "gap_causes",
    "goals",
    "flags",
    "replies",
    "calibrations",
    "measures",
]
RECORD_LISTS: Final[tuple[RecordList, ...]] = (
    "steps",
    "instruments",
    "pauses",
    "unseen",
    "events",
    "remarks",
    "gap_causes",
    "goals",
    "flags",
    "replies",
    "calibrations",
    "measures",
)
