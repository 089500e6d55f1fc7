"""The rules a case and a review keep; `problems` functions list every broken one."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Iterator
from itertools import pairwise
from pathlib import PurePosixPath, PureWindowsPath
from typing import Final

from aftercase.clock import text_of
from aftercase.model import case as case_model
from aftercase.model import review as review_model
from aftercase.model.base import NOT_SAID
from aftercase.model.case import Case, Part, Window, recording_end_us, window_of
from aftercase.model.guide import Guide
from aftercase.model.measure_rules import picture_measure_problems
from aftercase.model.orientation import surgeon_hour
from aftercase.model.problem import Problem
from aftercase.model.remark_rules import drawing_problems, reply_problems
from aftercase.model.review import (
    RECORD_LISTS,
    Event,
    RecordList,
    Remark,
    Review,
    Span,
    StepSpan,
)

MOST_STRENGTHS: Final = 2
MOST_POINTS: Final = 3
_HOUR_FIELDS: Final = ("hour", "to_hour")


def case_problems(case: Case, guide: Guide | None = None) -> list[Problem]:
    """Return every broken rule of a case's header, rule by rule.

    Args:
        case: The header.
        guide: The case's copy of its guide; words of the guide are not checked without it.
    """
    return [
        *_case_id_problems(case),
        *_part_problems(case.parts),
        *_length_problems(case),
        *_since_problems(case),
        *_mask_problems(case),
        *_case_word_problems(case),
        *(_case_guide_problems(case, guide) if guide is not None else ()),
    ]


def review_problems(review: Review, case: Case, guide: Guide) -> list[Problem]:
    """Return every broken rule of a review, rule by rule."""
    return [
        *_belonging_problems(review, case),
        *_id_problems(review),
        *_time_problems(review, case),
        *_step_problems(review, guide),
        *_own_word_problems(review),
        *_guide_word_problems(review, guide),
        *_event_problems(review, guide, case),
        *drawing_problems(review, case),
        *reply_problems(review),
        *picture_measure_problems(review, case),
        *_closing_problems(review, guide),
    ]


def unsafe_path(path: str) -> bool:
    """Say whether a part's name could leave the folder its films lie in.

    Example:
        >>> unsafe_path("../other.mp4"), unsafe_path("C:/x.mp4"), unsafe_path("card/a.mp4")
        (True, True, False)
    """
    posix, windows = PurePosixPath(path), PureWindowsPath(path)
    return (
        not path.strip()
        or "\0" in path
        or posix.is_absolute()
        or bool(windows.drive or windows.root)
        or ".." in posix.parts
        or ".." in windows.parts
    )


def _case_id_problems(case: Case) -> Iterator[Problem]:
    seen = {case.id}
    for name in ("parts", "machine_readings", "consent", "masks"):
        for position, record in enumerate(getattr(case, name)):
            if record.id in seen:
                yield Problem(f"{name}/{position}/id", f"the id {record.id} is used twice")
            seen.add(record.id)


def _part_problems(parts: tuple[Part, ...]) -> Iterator[Problem]:
    expected_us = 0
    for position, part in enumerate(parts):
        place = f"parts/{position}"
        if unsafe_path(part.path):
            yield Problem(f"{place}/path", "a film's name must stay inside the film folder")
        if part.end_us <= part.start_us:
            yield Problem(f"{place}/end_us", "a part must end after it starts")
        if part.start_us != expected_us:
            yield Problem(
                f"{place}/start_us",
                f"a part must start where the one before ends, at {text_of(expected_us)}",
            )
        if min(part.time_base) <= 0:
            yield Problem(f"{place}/time_base", "the time base must be positive")
        expected_us = part.end_us


def _length_problems(case: Case) -> Iterator[Problem]:
    if not case.parts and case.stated_duration_us is None:
        yield Problem("parts", "a case needs parts or a stated duration")
    if case.stated_duration_us is not None and case.stated_duration_us <= 0:
        yield Problem("stated_duration_us", "a duration must be longer than nothing")
    whole = Window(start_us=0, end_us=recording_end_us(case))
    for name, inner, outer in (
        ("window", case.window, whole),
        ("trim", case.trim, window_of(case)),
    ):
        if inner is None:
            continue
        if inner.end_us <= inner.start_us:
            yield Problem(name, "it must end after it starts")
        elif inner.start_us < outer.start_us or inner.end_us > outer.end_us:
            yield Problem(
                name, f"it must lie within {text_of(outer.start_us)} to {text_of(outer.end_us)}"
            )


def _since_problems(case: Case) -> Iterator[Problem]:
    for name in ("technique", "seat", "turn_deg", "mirrored", "zoom", "machine"):
        moments = Counter(entry.from_us for entry in getattr(case, name))
        for moment, count in moments.items():
            if count > 1:
                yield Problem(name, f"it has {count} values from {text_of(moment)} on")
    for position, entry in enumerate(case.seat):
        said = entry.value != NOT_SAID
        if said and surgeon_hour("right", entry.value) is None:
            yield Problem(f"seat/{position}", f"“{entry.value}” is neither a seat nor an hour")


def _mask_problems(case: Case) -> Iterator[Problem]:
    for position, mask in enumerate(case.masks):
        place = f"masks/{position}"
        if not (0 <= mask.left < mask.right <= 1 and 0 <= mask.top < mask.bottom <= 1):
            yield Problem(place, "a mask must be a rectangle within the picture, 0 to 1")
        if mask.end_us <= mask.start_us:
            yield Problem(f"{place}/end_us", "a mask must end after it starts")


def _case_word_problems(case: Case) -> Iterator[Problem]:
    if case.version != case_model.CASE_VERSION:
        return
    yield from _unknown("eye", case.eye, case_model.EYES)
    yield from _unknown("setting", case.setting, case_model.SETTINGS)
    yield from _unknown("span_custom", case.span_custom, case_model.SPAN_CUSTOMS)


def _case_guide_problems(case: Case, guide: Guide) -> Iterator[Problem]:
    if (case.guide.id, case.guide.guide_version) != (guide.id, guide.guide_version):
        yield Problem(
            "guide",
            f"the case names {case.guide.id} {case.guide.guide_version}, "
            f"its copy is {guide.id} {guide.guide_version}",
        )
    for position, entry in enumerate(case.technique):
        yield from _unknown(
            f"technique/{position}", entry.value, (NOT_SAID, *guide.technique_by_id)
        )
    yield from _header_word_problems(case, guide)
    yield from _density_problems(case, guide)
    for name in ("critical_steps", "planned_steps"):
        for position, step in enumerate(getattr(case, name) or ()):
            yield from _unknown(f"{name}/{position}", step, guide.step_by_id)


def _header_word_problems(case: Case, guide: Guide) -> Iterator[Problem]:
    """Yield header words that are on none of the guide's lists."""
    for listed in guide.header_lists:
        name = listed.field.replace("-", "_")
        value = getattr(case, name, None)
        if isinstance(value, str):
            yield from _unknown(name, value, _words(listed.words))
    for position, difficulty in enumerate(case.difficulties if guide.difficulties else ()):
        yield from _unknown(f"difficulties/{position}", difficulty, _words(guide.difficulties))


def _density_problems(case: Case, guide: Guide) -> Iterator[Problem]:
    """Yield what does not fit the guide's scale of density; another scale is taken as it is."""
    density, scale = case.density, guide.density
    if density is None or scale is None or density.scale != scale.id:
        return
    if density.kind != NOT_SAID:
        yield from _unknown("density/kind", density.kind, scale.kinds)
    values = [float(value.id) for value in scale.values]
    if density.value is not None and not min(values) <= density.value <= max(values):
        yield Problem("density/value", f"it must lie within {min(values):g} to {max(values):g}")


def _belonging_problems(review: Review, case: Case) -> Iterator[Problem]:
    if review.case != case.id:
        yield Problem("case", "this review belongs to another case")
    if review.revision > 1 and not review.predecessor_sha256:
        yield Problem("predecessor_sha256", "a correction must name the review it corrects")


def _id_problems(review: Review) -> Iterator[Problem]:
    seen: set[str] = set()
    for name in RECORD_LISTS:
        for position, record in enumerate(getattr(review, name)):
            if record.id in seen:
                yield Problem(f"{name}/{position}/id", f"the id {record.id} is used twice")
            seen.add(record.id)


def _time_problems(review: Review, case: Case) -> Iterator[Problem]:
    window = window_of(case)
    for name in RECORD_LISTS:
        for position, record in enumerate(getattr(review, name)):
            place = f"{name}/{position}"
            start_us = getattr(record, "start_us", getattr(record, "at_us", None))
            if start_us is None:
                continue
            end_us = getattr(record, "end_us", None)
            if end_us is not None and end_us <= start_us:
                yield Problem(f"{place}/end_us", "it must end after it starts")
            if start_us < window.start_us or max(start_us, end_us or start_us) > window.end_us:
                yield Problem(
                    place,
                    f"it lies outside the case, "
                    f"{text_of(window.start_us)} to {text_of(window.end_us)}",
                )


def _step_problems(review: Review, guide: Guide) -> Iterator[Problem]:
    for position, span in enumerate(review.steps):
        place = f"steps/{position}"
        yield from _unknown(f"{place}/step", span.step, guide.step_by_id)
        yield from _takeover_problems(place, span)


def _takeover_problems(place: str, span: StepSpan) -> Iterator[Problem]:
    taken = span.takeover in ("taken-over", "given-back")
    if span.takeover_reason != NOT_SAID and not taken:
        yield Problem(f"{place}/takeover_reason", "a reason stands here but no takeover is said")
    for name, us in (("taken_over_us", span.taken_over_us), ("given_back_us", span.given_back_us)):
        if us is not None and not span.start_us <= us <= span.end_us:
            yield Problem(f"{place}/{name}", "it must lie inside the step")
    if (
        span.taken_over_us is not None
        and span.given_back_us is not None
        and span.given_back_us < span.taken_over_us
    ):
        yield Problem(f"{place}/given_back_us", "it was given back before it was taken over")


_OWN_WORDS: Final[tuple[tuple[RecordList, str, tuple[str, ...]], ...]] = (
    ("steps", "performer", review_model.PERFORMERS),
    ("steps", "takeover", review_model.TAKEOVERS),
    ("steps", "tear_direction", review_model.DIRECTIONS),
    ("instruments", "hand", review_model.HANDS),
    ("remarks", "kind", review_model.REMARK_KINDS),
    ("goals", "outcome", review_model.OUTCOMES),
    ("replies", "understood", review_model.UNDERSTANDINGS),
)


def _own_word_problems(review: Review) -> Iterator[Problem]:
    """Check the words the format itself lists; a newer minor version may list more."""
    if review.version != review_model.REVIEW_VERSION:
        return
    yield from _unknown("role", review.role, review_model.ROLES)
    yield from _unknown("state", review.state, review_model.STATES)
    for name, field, known in _OWN_WORDS:
        for position, record in enumerate(getattr(review, name)):
            yield from _unknown(f"{name}/{position}/{field}", getattr(record, field), known)
    for number, remark in enumerate(review.remarks):
        for position, drawing in enumerate(remark.drawings):
            place = f"remarks/{number}/drawings/{position}"
            yield from _unknown(f"{place}/shape", drawing.shape, review_model.SHAPES)
            yield from _unknown(f"{place}/colour", drawing.colour, review_model.COLOURS)
    for position, event in enumerate(review.events):
        for field in _HOUR_FIELDS:
            if (stated := getattr(event, field)) is not None:
                place = f"events/{position}/{field}/clock"
                yield from _unknown(place, stated.clock, review_model.HOUR_CLOCKS)


def _guide_word_problems(review: Review, guide: Guide) -> Iterator[Problem]:
    lists: tuple[tuple[str, str, Iterable[Span], Collection[str]], ...] = (
        ("steps", "help", review.steps, _words(guide.help)),
        ("steps", "takeover_reason", review.steps, _words(guide.takeover_reasons)),
        ("steps", "result", review.steps, _words(guide.attempt_results)),
        ("instruments", "instrument", review.instruments, guide.instrument_by_id),
        ("pauses", "cause", review.pauses, _words(guide.pause_causes)),
        ("unseen", "reason", review.unseen, _words(guide.unseen_reasons)),
    )
    for name, field, records, known in lists:
        for position, record in enumerate(records):
            value = getattr(record, field)
            if value != NOT_SAID:
                yield from _unknown(f"{name}/{position}/{field}", value, known)
    for position, cause in enumerate(review.gap_causes):
        if cause.cause != NOT_SAID:
            yield from _unknown(
                f"gap_causes/{position}/cause", cause.cause, _words(guide.pause_causes)
            )


def _event_problems(review: Review, guide: Guide, case: Case) -> Iterator[Problem]:
    for position, event in enumerate(review.events):
        place = f"events/{position}"
        yield from _unknown(f"{place}/kind", event.kind, guide.event_by_id)
        kind = guide.event_by_id.get(event.kind)
        if event.course is not None and kind is not None and kind.event_class != "complication":
            yield Problem(f"{place}/course", "only a complication has a course")
        yield from _course_problems(place, event)
        yield from _where_problems(place, event, case)


def _where_problems(place: str, event: Event, case: Case) -> Iterator[Problem]:
    for field in _HOUR_FIELDS:
        if (stated := getattr(event, field)) is not None and stated.hour * 2 % 1:
            yield Problem(f"{place}/{field}", "hours are whole or halves")
    for field in ("place", "to_place"):
        point = getattr(event, field)
        if point is not None and point.part >= max(1, len(case.parts)):
            yield Problem(f"{place}/{field}/part", "the recording has no such part")


def _course_problems(place: str, event: Event) -> Iterator[Problem]:
    if event.course is None:
        return
    moments = [
        (name, us)
        for name in ("first_sign_us", "recognised_us", "first_response_us")
        if (us := getattr(event.course, name)) is not None
    ]
    for (earlier, earlier_us), (later, later_us) in pairwise(moments):
        if later_us < earlier_us:
            yield Problem(f"{place}/course/{later}", f"it lies before {earlier}")


def _closing_problems(review: Review, guide: Guide) -> Iterator[Problem]:
    remarks: dict[str, Remark] = {remark.id: remark for remark in review.remarks}
    for name, most in (("strengths", MOST_STRENGTHS), ("points", MOST_POINTS)):
        chosen = getattr(review.closing, name)
        if len(chosen) > most:
            yield Problem(f"closing/{name}", f"there are {len(chosen)}; at most {most} are taken")
        for position, remark_id in enumerate(chosen):
            if remark_id not in remarks:
                yield Problem(f"closing/{name}/{position}", "no remark has this id")
    tasks = {task.id for task in guide.tasks} | set(guide.step_by_id)
    if review.closing.task is not None:
        yield from _unknown("closing/task", review.closing.task, tasks)
    known = {record.id for name in RECORD_LISTS for record in getattr(review, name)}
    for position, goal in enumerate(review.goals):
        if goal.task is not None:
            yield from _unknown(f"goals/{position}/task", goal.task, tasks)
        if goal.step is not None:
            yield from _unknown(f"goals/{position}/step", goal.step, guide.step_by_id)
        if goal.evidence is not None and goal.evidence not in known:
            yield Problem(f"goals/{position}/evidence", "no record has this id")


def _words(choices: Iterable[object]) -> set[str]:
    return {NOT_SAID, *(str(getattr(choice, "id", "")) for choice in choices)}


def _unknown(place: str, word: str, known: Collection[str]) -> Iterator[Problem]:
    if word not in known:
        yield Problem(place, f"“{word}” is not a known word here")
