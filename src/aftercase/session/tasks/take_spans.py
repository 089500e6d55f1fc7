"""Take a table of spans, labels or remarks into a person's draft."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Final

import pydantic

from aftercase import storage
from aftercase.document.folder import write_review
from aftercase.document.spantable import (
    RowFault,
    SpanRow,
    TableRow,
    TimeColumns,
    read_table,
    require_columns,
    timed,
    until_next,
)
from aftercase.edit.header import change_header
from aftercase.edit.records import add_all
from aftercase.errors import DocumentMissing, NameUnknown, TableBroken
from aftercase.model.base import NOT_SAID, NewId
from aftercase.model.case import Case, window_of
from aftercase.model.guide import Guide
from aftercase.model.problem import problems_of
from aftercase.model.review import (
    HOUR_CLOCKS,
    REMARK_KINDS,
    Event,
    InstrumentSpan,
    Mark,
    PauseSpan,
    RecordList,
    Remark,
    Review,
    StatedHour,
    StepSpan,
    UnseenSpan,
)
from aftercase.model.rules import review_problems
from aftercase.session.header import save_header
from aftercase.session.opened import OpenedCase, draft_of, open_case
from aftercase.session.places import Places

UNTIL_NEXT: Final = "until-next"

Words = Mapping[str, tuple[str, ...]]
"""Word of the guide to the forms it may be written in."""


@dataclass(frozen=True)
class Kind:
    """What a row of a table becomes.

    Attributes:
        name: The review's list, which is also the word for it.
        record: The record's class.
        label: The record's field that the label column names.
        moment: Whether a row without an end is whole (a moment).
        extra: Further columns taken by their own names, each one of the record's fields.
        words: The words the label may be, from the guide.
    """

    name: RecordList
    record: type[Mark]
    label: str
    moment: bool
    extra: tuple[str, ...]
    words: Callable[[Guide], Words]


def _forms(named: Iterable[Any]) -> Words:
    return {one.id: (one.id, one.name, *one.said_as) for one in named}


def _remark_kinds(guide: Guide) -> Words:
    return {kind: (kind, kind.replace("-", " ")) for kind in REMARK_KINDS}


_STEP_COLUMNS: Final = (
    "performer",
    "help",
    "takeover",
    "takeover_reason",
    "tear_direction",
    "result",
    "note",
)

KINDS: Final[Mapping[str, Kind]] = {
    kind.name: kind
    for kind in (
        Kind(
            "steps",
            StepSpan,
            "step",
            False,
            _STEP_COLUMNS,
            lambda guide: _forms(guide.steps),
        ),
        Kind(
            "instruments",
            InstrumentSpan,
            "instrument",
            False,
            ("hand", "note"),
            lambda guide: _forms(guide.instruments),
        ),
        Kind("pauses", PauseSpan, "cause", False, ("note",), lambda g: _forms(g.pause_causes)),
        Kind("unseen", UnseenSpan, "reason", False, ("note",), lambda g: _forms(g.unseen_reasons)),
        Kind("events", Event, "kind", True, ("note",), lambda guide: _forms(guide.events)),
        Kind(
            "remarks",
            Remark,
            "kind",
            True,
            ("text", "reason", "next_time", "starred", "note"),
            _remark_kinds,
        ),
    )
}


@dataclass(frozen=True)
class Taking:
    """How a table is to be taken in.

    Attributes:
        what: One of `KINDS`.
        columns: Its time columns.
        label: Its label column.
        labels: Label of the table to word of the guide, for labels that are neither its id nor
            its name nor a spoken form.
        only: Column and value a row must have to be taken.
        until_next: Whether each row lasts until the next one starts.
        skip_faulty: Whether good rows are taken although others are faulty.
        reviewer: Whose draft they go into.
        role: That person's role, where the draft is new.
    """

    what: str = "steps"
    columns: TimeColumns = field(default_factory=TimeColumns)
    label: str = "label"
    labels: Mapping[str, str] = field(default_factory=dict)
    only: tuple[str, str] | None = None
    until_next: bool = False
    skip_faulty: bool = False
    reviewer: str = "preparer"
    role: str = "preparer"


@dataclass(frozen=True)
class Taken:
    """What came of it.

    Attributes:
        n_taken: Rows that became records.
        faults: Rows that did not, with the reason.
        review: The draft they are in.
    """

    n_taken: int
    faults: tuple[RowFault, ...]
    review: Path


def rows_of(table: Path) -> list[TableRow]:
    """Read a table.

    Raises:
        DocumentMissing: There is no such file.
        TableBroken: It cannot be read.
    """
    content = storage.read_bytes(table)
    if content is None:
        raise DocumentMissing("There is no such table.", hint="Look at its name.", path=table)
    return read_table(content, table)


def take_spans(case_folder: Path, table: Path, taking: Taking, at: Places, new_id: NewId) -> Taken:
    """Take a table into a person's draft, in one edit: all rows, or only the good ones if asked.

    Raises:
        TableBroken: The table cannot be read, or has faulty rows and they are not to be skipped;
            each is named.
        NameUnknown: A label is mapped to a word the guide does not have.
        ReviewClosed: That person's review is sealed.
        DocumentChanged: The draft changed on disk meanwhile.
        WriteFailed: The disk is full, read-only or gone.
    """
    return take_rows(open_case(case_folder, at), rows_of(table), table, taking, new_id)


def take_rows(
    opened: OpenedCase, rows: list[TableRow], table: Path, taking: Taking, new_id: NewId
) -> Taken:
    """Take rows that were read already; see `take_spans`."""
    kind = KINDS[taking.what]
    _require(rows, taking, table)
    _refuse_mixed_customs(opened.case, taking, table)
    meant = [row for row in rows if taking.only is None or _is_meant(row, taking.only)]
    spans, faults = timed(meant, taking.columns)
    if taking.until_next:
        spans, empty = until_next(spans, window_of(opened.case).end_us)
        faults += empty
    words = _word_of(kind.words(opened.guide), taking.labels, kind)
    records: list[Mark] = []
    for span in spans:
        try:
            records.append(_record(span, kind, taking, words, opened, new_id))
        except _Faulty as fault:
            faults.append(RowFault(span.row.line, str(fault)))
    faults.sort(key=lambda fault: fault.line)
    if faults and not taking.skip_faulty:
        raise _refused(faults, table)
    stored = draft_of(opened, taking.reviewer, taking.role, new_id)
    review: Review = add_all(stored.record, kind.name, records)
    written = write_review(opened.folder, stored, review)
    if _starts_only_steps(taking) and opened.case.span_custom == NOT_SAID:
        header = change_header(opened.case, span_custom=UNTIL_NEXT)
        save_header(opened.folder, opened.stored_case, header, opened.guide)
    return Taken(len(records), tuple(faults), written.path)


def _starts_only_steps(taking: Taking) -> bool:
    return taking.until_next and taking.what == "steps"


def _refuse_mixed_customs(case: Case, taking: Taking, table: Path) -> None:
    """Refuse steps that last until the next one where the case's last from touch to touch."""
    if _starts_only_steps(taking) and case.span_custom not in (NOT_SAID, UNTIL_NEXT):
        raise TableBroken(
            f"The steps of this case are marked “{case.span_custom}”, this table's last until "
            "the next one begins; the two are never mixed.",
            hint="Make a case of its own for this table.",
            path=table,
        )


class _Faulty(Exception):
    """A row breaks a rule; the text says which."""


def _is_meant(row: TableRow, only: tuple[str, str]) -> bool:
    column, value = only
    return row.fields.get(column) == value


def _require(rows: list[TableRow], taking: Taking, table: Path) -> None:
    columns = [taking.columns.start]
    if taking.columns.end and not (taking.until_next or KINDS[taking.what].moment):
        columns.append(taking.columns.end)
    if taking.what != "pauses":
        columns.append(taking.label)
    if taking.only:
        columns.append(taking.only[0])
    require_columns(rows, columns, table)


def _word_of(words: Words, labels: Mapping[str, str], kind: Kind) -> dict[str, str]:
    """Return every written form, in lower case, with the word it means."""
    for label, word in labels.items():
        if word not in words:
            raise NameUnknown(
                f"“{label}” is mapped to “{word}”, which the guide does not have.",
                hint=f"Its {kind.name} are {', '.join(words)}.",
            )
    spoken = {form.casefold(): word for word, forms in words.items() for form in forms[2:]}
    exact = {form.casefold(): word for word, forms in words.items() for form in forms[:2]}
    given = {label.casefold(): word for label, word in labels.items()}
    return spoken | exact | given


def _record(
    span: SpanRow,
    kind: Kind,
    taking: Taking,
    words: Mapping[str, str],
    opened: OpenedCase,
    new_id: NewId,
) -> Mark:
    if span.end_us is None and not kind.moment:
        raise _Faulty("it has no end")
    fields: dict[str, Any] = {
        "id": new_id(),
        kind.label: _word(span.row.fields.get(taking.label, ""), words, kind),
        **dict(_times(span, kind)),
        **{name: span.row.fields[name] for name in kind.extra if span.row.fields.get(name)},
    }
    if kind.name == "events":
        fields |= dict(_hours(span.row))
    try:
        record = kind.record.model_validate(fields)
    except pydantic.ValidationError as error:
        raise _Faulty(str(problems_of(error)[0])) from error
    _refuse_broken(record, kind, taking, opened)
    return record


def _refuse_broken(record: Mark, kind: Kind, taking: Taking, opened: OpenedCase) -> None:
    """Refuse a record that breaks a rule of its own, by a review that holds nothing else."""
    alone = Review.model_validate(
        {
            "id": record.id,
            "case": opened.case.id,
            "reviewer": taking.reviewer,
            kind.name: (record,),
        }
    )
    for problem in review_problems(alone, opened.case, opened.guide):
        field_name = problem.place.removeprefix(f"{kind.name}/0").removeprefix("/")
        raise _Faulty(f"{field_name}: {problem.what}" if field_name else problem.what)


def _times(span: SpanRow, kind: Kind) -> Iterator[tuple[str, int | None]]:
    yield ("at_us" if kind.moment else "start_us"), span.start_us
    if kind.name != "events":
        yield "end_us", span.end_us


def _hours(row: TableRow) -> Iterator[tuple[str, StatedHour]]:
    clock = row.fields.get("clock") or NOT_SAID
    if clock not in HOUR_CLOCKS:
        raise _Faulty(f"“{clock}” is not a clock; it is one of {', '.join(HOUR_CLOCKS)}")
    for name in ("hour", "to_hour"):
        text = row.fields.get(name)
        if not text:
            continue
        try:
            yield name, StatedHour(hour=float(text.replace(",", ".")), clock=clock)
        except ValueError:
            raise _Faulty(f"“{text}” is no clock hour") from None


def _word(label: str, words: Mapping[str, str], kind: Kind) -> str:
    if not label and kind.name == "pauses":
        return NOT_SAID
    word = words.get(label.casefold())
    if word is None:
        raise _Faulty(f"“{label}” is none of the {kind.name} of this guide")
    return word


def _refused(faults: list[RowFault], table: Path) -> TableBroken:
    listed = "\n".join(f"  - {fault}" for fault in faults)
    return TableBroken(
        f"{len(faults)} row(s) of this table cannot be taken in, so none was:\n{listed}",
        hint="Mend them, or take the others with “--faulty skip”.",
        path=table,
    )
