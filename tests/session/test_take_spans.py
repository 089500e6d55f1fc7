from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest

from aftercase.document.spantable import TimeColumns
from aftercase.edit.header import change_header
from aftercase.edit.review import seal
from aftercase.errors import DocumentMissing, NameUnknown, ReviewClosed, TableBroken
from aftercase.model.base import NewId
from aftercase.model.review import Review
from aftercase.session.header import save_header
from aftercase.session.inhand import WorkInHand
from aftercase.session.opened import chosen_review, open_case
from aftercase.session.places import Places
from aftercase.session.tasks.create import Wanted, new_case
from aftercase.session.tasks.take_many import Lengths, take_cases
from aftercase.session.tasks.take_spans import Taken, Taking, rows_of
from aftercase.session.tasks.take_timed import take_table


@pytest.fixture
def case(tmp_path: Path, at: Places, new_id: NewId) -> Path:
    path = tmp_path / "case"
    new_case(path, Wanted("C1", "cataract-phaco", duration_us=100_000_000), at, new_id)
    return path


@pytest.fixture
def take(
    tmp_path: Path, case: Path, at: Places, new_id: NewId
) -> Callable[..., tuple[Taken, Review]]:
    def taking_in(
        text: str | bytes, taking: Taking | None = None, **options: object
    ) -> tuple[Taken, Review]:
        table = tmp_path / "table.csv"
        table.write_bytes(text if isinstance(text, bytes) else text.encode())
        wanted = replace(taking or Taking(), **options)  # type: ignore[arg-type]
        taken = take_table(case, table, wanted, at, new_id)
        return taken, chosen_review(open_case(case, at), wanted.reviewer).record

    return taking_in


Take = Callable[..., tuple[Taken, Review]]


def test_a_table_with_a_header_and_no_row_takes_nothing(take: Take) -> None:
    taken, review = take("start,end,label\n")
    assert (taken.n_taken, taken.faults, review.steps) == (0, (), ())


def test_one_step_comes_in_with_nothing_said_of_people(take: Take) -> None:
    _, review = take("start,end,label\n1.5,0:00:09.250,capsulorhexis\n")
    (span,) = review.steps
    assert (span.step, span.start_us, span.end_us) == ("capsulorhexis", 1_500_000, 9_250_000)
    assert (span.performer, span.help, span.takeover) == ("not-said",) * 3


@pytest.mark.parametrize(
    "text",
    [
        "start;end;label\r\n1,5;9,25;capsulorhexis\r\n",
        "\ufeffstart\tend\tlabel\n1.5\t9.25\tCapsulorhexis\n",
        'start,end,label\n"1,5","9,25",CCC\n',
    ],
)
def test_separators_decimal_commas_names_and_spoken_forms_are_understood(
    take: Take, text: str
) -> None:
    _, review = take(text)
    (span,) = review.steps
    assert (span.step, span.start_us, span.end_us) == ("capsulorhexis", 1_500_000, 9_250_000)


def test_utf16_from_a_spreadsheet_is_read(take: Take) -> None:
    _, review = take("start\tend\tlabel\n1\t2\tnucleus\n".encode("utf-16"))
    assert review.steps[0].step == "nucleus"


def test_every_kind_of_row_has_its_columns(take: Take) -> None:
    take(
        "start,end,label,performer,help,takeover,takeover_reason\n"
        "1,9,nucleus,trainee,reminded,given-back,safety\n"
    )
    take("start,end,label,hand\n1,2,phaco-probe,main\n", what="instruments")
    take("start,end\n3,4\n", what="pauses")
    take("start,end,label\n5,6,glare\n", what="unseen")
    take("start,label,hour,clock\n2,regrab,7.5,eye\n", what="events")
    _, review = take(
        "start,end,label,text,reason,next_time,starred\n"
        "2,,work-on,Eye rolled,The view is lost,Pivot in the wound,yes\n"
        "3,4,well done,Calm,,,\n",
        what="remarks",
    )
    assert review.steps[0].takeover_reason == "safety"
    assert review.instruments[0].hand == "main"
    assert review.pauses[0].cause == "not-said"
    assert review.unseen[0].reason == "glare"
    assert review.events[0].hour is not None
    assert (review.events[0].hour.hour, review.events[0].hour.clock) == (7.5, "eye")
    first, second = review.remarks
    assert (first.end_us, first.next_time, first.starred) == (None, "Pivot in the wound", True)
    assert (second.kind, second.end_us) == ("well-done", 4_000_000)


FAULTY = """start,end,label
1,2,nucleus
9,4,nucleus
5,6,sculpture
soon,8,nucleus
7,,nucleus
8,8,nucleus
99,101,nucleus
-3,2,nucleus
"""


def test_each_faulty_row_is_named_with_its_line_and_nothing_is_taken(
    take: Take, case: Path, at: Places
) -> None:
    with pytest.raises(TableBroken) as told:
        take(FAULTY)
    for line in (3, 4, 5, 6, 7, 8, 9):
        assert f"line {line}:" in told.value.message
    assert "line 2:" not in told.value.message
    assert "sculpture" in told.value.message
    assert open_case(case, at).reviews == ()


def test_the_good_rows_are_taken_when_asked(take: Take) -> None:
    taken, review = take(FAULTY, skip_faulty=True)
    assert taken.n_taken == 1
    assert [fault.line for fault in taken.faults] == [3, 4, 5, 6, 7, 8, 9]
    assert len(review.steps) == 1


@pytest.mark.parametrize("word", ["performer=robot", "help=plenty", "takeover=maybe"])
def test_a_word_about_a_person_that_does_not_exist_is_refused(take: Take, word: str) -> None:
    name, _, value = word.partition("=")
    with pytest.raises(TableBroken, match=f"{name}: “{value}”"):
        take(f"start,end,label,{name}\n1,2,nucleus,{value}\n")


def test_starts_only_last_until_the_next_and_the_last_until_the_end(take: Take) -> None:
    taken, review = take(
        "start,label\n10,nucleus\n2,capsulorhexis\n10,cortex\n",
        until_next=True,
        columns=TimeColumns(end=None),
        skip_faulty=True,
    )
    assert [(s.step, s.start_us, s.end_us) for s in review.steps] == [
        ("capsulorhexis", 2_000_000, 10_000_000),
        ("cortex", 10_000_000, 100_000_000),
    ]
    assert [fault.line for fault in taken.faults] == [2]


def test_the_custom_of_a_table_with_starts_only_is_written_in_the_case(
    take: Take, case: Path, at: Places
) -> None:
    starts_only = {"until_next": True, "columns": TimeColumns(end=None)}
    take("start,label\n2,capsulorhexis\n9,nucleus\n", **starts_only)
    opened = open_case(case, at)
    assert opened.case.span_custom == "until-next"
    header = change_header(opened.case, span_custom="touch-to-touch")
    save_header(opened.folder, opened.stored_case, header, opened.guide)
    with pytest.raises(TableBroken, match="never mixed"):
        take("start,label\n30,cortex\n", **starts_only)


def test_own_labels_are_mapped_and_a_mapping_to_nowhere_is_told(take: Take) -> None:
    _, review = take("start,end,label\n1,2,5\n", labels={"5": "nucleus"})
    assert review.steps[0].step == "nucleus"
    with pytest.raises(NameUnknown) as told:
        take("start,end,label\n1,2,5\n", labels={"5": "sculpture"})
    assert "nucleus" in told.value.hint


def test_only_the_rows_that_are_meant_are_taken(take: Take) -> None:
    taken, _ = take(
        "film,start,end,label\na,1,2,nucleus\nb,3,4,nucleus\n",
        only=("film", "b"),
    )
    assert taken.n_taken == 1


def test_frame_numbers_and_time_codes_follow_the_rate(take: Take) -> None:
    tv = Fraction(30000, 1001)
    _, review = take(
        "start,end,label\n1800,2400,nucleus\n",
        columns=TimeColumns(unit="frames", rate_fps=tv),
    )
    # frame 1800 is shown at 1800 * 1001 / 30000 s = 60.06 s: SMPTE ST 12-1, from memory
    assert review.steps[0].start_us == 60_060_000
    _, review = take(
        "start,end,label\n00:01:00;02,00:01:10;00,cortex\n", columns=TimeColumns(rate_fps=tv)
    )
    assert review.steps[1].start_us == 60_060_000


def test_frame_numbers_are_the_films_own_where_there_is_one(
    tmp_path: Path, film: Path, at: Places, new_id: NewId
) -> None:
    case = tmp_path / "filmed"
    new_case(case, Wanted("F", "cataract-phaco", films=(film,)), at, new_id)
    table = tmp_path / "frames.csv"
    table.write_text("start,end,label\n1,50,nucleus\n")
    wanted = Taking(columns=TimeColumns(unit="frames", first_frame=1))
    take_table(case, table, wanted, at, new_id)
    (span,) = chosen_review(open_case(case, at), None).record.steps
    assert (span.start_us, span.end_us) == (0, 49 * 40_000)
    table.write_text("start,end,label\n1,99,nucleus\n")
    with pytest.raises(TableBroken, match="the film has 50"):
        take_table(case, table, wanted, at, new_id)


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "empty"),
        (b"\x00\xff\xfe\x9d", "UTF-8"),
        (b'start,end,label\n1,2,"open', "line 2"),
        (b"begin,end,label\n1,2,nucleus\n", "no column “start”"),
    ],
)
def test_a_table_that_is_none_says_why(take: Take, content: bytes, words: str) -> None:
    with pytest.raises(TableBroken) as told:
        take(content)
    assert words.casefold() in told.value.message.casefold()


def test_a_missing_table_is_told(tmp_path: Path, case: Path, at: Places, new_id: NewId) -> None:
    with pytest.raises(DocumentMissing):
        take_table(case, tmp_path / "none.csv", Taking(), at, new_id)


def test_a_sealed_review_takes_nothing_in(
    take: Take, case: Path, at: Places, new_id: NewId
) -> None:
    take("start,end,label\n1,2,nucleus\n")
    opened = open_case(case, at)
    hand = WorkInHand(opened, chosen_review(opened, None))
    hand.edit(seal, "seal")
    hand.close()
    with pytest.raises(ReviewClosed):
        take("start,end,label\n3,4,cortex\n")


def test_one_table_can_hold_many_cases(tmp_path: Path, at: Places, new_id: NewId) -> None:
    table, lengths = tmp_path / "all.csv", tmp_path / "lengths.csv"
    table.write_text("film,start,label\nx 1,1,nucleus\ny,2,cortex\nx 1,4,cortex\n")
    lengths.write_text("film,seconds\nx 1,10\ny,20\n")
    taken = take_cases(
        tmp_path / "cases",
        table,
        Taking(until_next=True, columns=TimeColumns(end=None)),
        "film",
        "cataract-phaco",
        at,
        new_id,
        lengths=Lengths(rows_of(lengths), "seconds"),
    )
    assert {name: one.n_taken for name, one in taken.items()} == {"x 1": 2, "y": 1}
    first = chosen_review(open_case(tmp_path / "cases" / "x-1", at), None).record
    assert [(s.start_us, s.end_us) for s in first.steps] == [
        (1_000_000, 4_000_000),
        (4_000_000, 10_000_000),
    ]
