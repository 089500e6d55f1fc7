"""The case's header as lines of a report: codes and words, never a name or a date."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Any

from aftercase.clock import text_of
from aftercase.metrics.subject import Subject
from aftercase.model.case import Case, MachineReading, recording_end_us
from aftercase.model.guide import Guide
from aftercase.reports.content import Fact
from aftercase.reports.words import UNSAID, WORD_NAMES, header_names, names_of, said


def header_facts(subject: Subject) -> tuple[Fact, ...]:
    """Return every line of the header, in fixed order; what nobody said is printed as such."""
    case, guide, review = subject.case, subject.guide, subject.review
    review_lines = [
        ("Reviewed by", f"{review.reviewer} ({said(review.role)})"),
        ("State of the review", f"{review.state}, revision {review.revision}"),
    ]
    lines = [*_case_lines(case, guide), *review_lines, *_operation_lines(case, guide)]
    return tuple(Fact(label, value or UNSAID) for label, value in lines)


def over_time(entries: Iterable[Any], shown: Callable[[Any], str]) -> str:
    """Return the values of a list over time; later ones with the moment they hold from."""
    ordered = sorted(entries, key=lambda entry: entry.from_us)
    return ", ".join(
        shown(entry.value)
        if position == 0
        else f"{shown(entry.value)} from {text_of(entry.from_us)}"
        for position, entry in enumerate(ordered)
    )


def _case_lines(case: Case, guide: Guide) -> list[tuple[str, str]]:
    return [
        ("Case", case.code),
        ("Guide", f"{guide.name}, version {guide.guide_version}"),
        ("Setting", _word(case.setting, WORD_NAMES)),
        ("Length of the recording", text_of(recording_end_us(case))),
        *_stretch_lines(case),
        ("Trainee", case.trainee or ""),
        ("Supervisor", case.supervisor or ""),
        ("Training year", _number(case.training_year)),
        ("Running case number", _number(case.running_case_number)),
        ("Planned part", _word(case.planned_part, header_names(guide, "planned-part"))),
        ("Planned steps", ", ".join(map(guide.step_name, case.planned_steps))),
    ]


def _stretch_lines(case: Case) -> list[tuple[str, str]]:
    stretches = (("This case’s stretch of it", case.window), ("Trimmed to", case.trim))
    return [
        (label, f"{text_of(stretch.start_us)} to {text_of(stretch.end_us)}")
        for label, stretch in stretches
        if stretch is not None
    ]


def _operation_lines(case: Case, guide: Guide) -> list[tuple[str, str]]:
    def word(field: str) -> Callable[[str], str]:
        names = header_names(guide, field)
        return lambda value: _word(value, names)

    techniques = WORD_NAMES | names_of(guide.techniques)
    difficulties = names_of(guide.difficulties)
    return [
        ("Technique", over_time(case.technique, lambda value: _word(value, techniques))),
        ("Eye", _word(case.eye, WORD_NAMES)),
        ("Surgeon’s seat", over_time(case.seat, word("seat"))),
        ("Surgeon’s leading hand", word("hand")(case.hand)),
        ("Anaesthesia", word("anaesthesia")(case.anaesthesia)),
        ("Density of the lens", _density(case, guide)),
        ("Difficulties", ", ".join(_word(one, difficulties) for one in case.difficulties)),
        ("Complications named", ", ".join(case.complications)),
        ("Second procedure", word("second-procedure")(case.second_procedure)),
        ("Result", word("result")(case.result)),
        ("Machine", over_time(case.machine, str)),
        *((f"Read off the machine: {one.label}", _reading(one)) for one in case.machine_readings),
    ]


def _word(word: str, names: Mapping[str, str]) -> str:
    """Return a word's name with a capital, as it begins a line; not of a word nobody knows."""
    name = said(word, names)
    return name[:1].upper() + name[1:] if word in names and name != UNSAID else name


def _density(case: Case, guide: Guide) -> str:
    density = case.density
    if density is None:
        return ""
    if density.value is None:
        return _word(density.kind, header_names(guide, "density-kind"))
    own = guide.density is not None and guide.density.id == density.scale
    scale = guide.density.name if own and guide.density is not None else density.scale
    return f"{density.value:g} ({scale})"


def _reading(reading: MachineReading) -> str:
    parts = [f"{reading.value:g} {reading.unit}".strip(), reading.machine]
    if reading.at_us is not None:
        parts.append(f"at {text_of(reading.at_us)}")
    return ", ".join(part for part in parts if part)


def _number(value: int | None) -> str:
    return "" if value is None else str(value)
