"""CSV re-read with pandas, another reader than the one that wrote it."""

from __future__ import annotations

import io
import json
from fractions import Fraction

import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from aftercase.clock import index_at, ticks_to_us, us_from_text
from aftercase.metrics.measures import MEASURES, measured
from aftercase.metrics.subject import Settings
from aftercase.reports.bundle import critique_files
from aftercase.reports.sheet import Column, Sheet
from aftercase.reports.tables import sheet_csv, table_csv, table_json, table_text

READERS = {"point": {"sep": ",", "decimal": "."}, "comma": {"sep": ";", "decimal": ","}}

# Counted by hand from the marks in conftest.py.
TOTAL_MS = {
    "side-port": 6000,
    "viscoelastic-in": 9000,
    "main-wound": 12000,
    "capsulorhexis": 34000,
    "flap-start": 8000,
    "tear-round": 26000,
    "hydrodissection": 6000,
    "nucleus": 30000,
    "nucleus-groove": 22000,
    "nucleus-crack": 8000,
}
IDLE_MS = {
    "main-wound": 500,
    "capsulorhexis": 1520,
    "tear-round": 1520,
    "nucleus": 1000,
    "nucleus-crack": 1000,
}
OPERATION_MS = 115_000


def read(content: bytes, decimal: str) -> pd.DataFrame:
    return pd.read_csv(io.BytesIO(content), encoding="utf-8-sig", **READERS[decimal])


@pytest.fixture(scope="module", params=["point", "comma"])
def written(request, subject, stills):
    made = critique_files(subject, Settings(), stills, decimal=request.param)
    return {name: read(made[name], request.param) for name in made if name.endswith(".csv")}


def test_the_summary_has_the_times_counted_by_hand(written):
    summary = written["summary.csv"].set_index("step")
    assert summary["total_ms"].to_dict() == TOTAL_MS
    assert summary["idle_ms"].to_dict() == {step: IDLE_MS.get(step, 0) for step in TOTAL_MS}
    assert summary["share"].to_dict() == pytest.approx(
        {step: total / OPERATION_MS for step, total in TOTAL_MS.items()}, rel=1e-15
    )


def test_what_nobody_said_is_not_said(written):
    visco = written["summary.csv"].set_index("step").loc["viscoelastic-in"]
    assert visco[["performer", "help", "takeover"]].to_list() == ["not said"] * 3


def test_gaps_are_the_stretches_without_an_instrument_cut_at_steps(written):
    gaps = written["gaps.csv"]
    by_hand = [
        (14, 16),
        (22, 24),
        (24, 24.5),
        (36, 40),
        (48, 49.52),
        (74, 78),
        (86, 88),
        (117, 118),
        (118, 120),
    ]
    assert list(zip(gaps["start_ms"] / 1000, gaps["end_ms"] / 1000, strict=True)) == by_hand
    assert (gaps["length_ms"] == gaps["end_ms"] - gaps["start_ms"]).all()


def test_every_remark_and_event_is_there_at_its_time(written, subject):
    remarks = subject.review.remarks
    assert written["critique.csv"]["at_ms"].to_list() == [
        31200,
        58400,
        66000,
        81000,
        96000,
        112360,
        119000,
    ]
    assert written["critique.csv"]["text"].to_list() == [remark.text for remark in remarks]
    assert written["events.csv"]["at_ms"].to_list() == [52000, 57000, 59000, 61000, 62400, 95000]


def test_a_time_as_text_says_the_same_as_its_milliseconds(written):
    for frame in written.values():
        for name in [name for name in frame if f"{name}_ms" in frame]:
            there = frame[frame[name].notna()]
            assert [us_from_text(text) for text in there[name]] == [
                1000 * int(ms) for ms in there[f"{name}_ms"]
            ]


def test_rows_of_several_cases_can_be_stacked(written):
    for frame in written.values():
        assert set(frame["case"]) == {"PE-007"}
        assert set(frame["reviewer"]) == {"A-03"}


@given(
    rate=st.sampled_from(
        [Fraction(25), Fraction(30000, 1001), Fraction(60000, 1001), Fraction(50)]
    ),
    first=st.integers(0, 10**6),
    chosen=st.integers(0, 99),
)
def test_a_printed_time_gives_back_its_frame(rate, first, chosen):
    starts = [ticks_to_us(first + frame, 1 / rate) for frame in range(100)]
    sheet = Sheet("s", "S", (Column("at", "When", "moment"),), ((starts[chosen],),))
    row = read(sheet_csv(sheet), "point").iloc[0]
    assert index_at(starts, us_from_text(row["at"])) == chosen
    assert index_at(starts, 1000 * int(row["at_ms"])) == chosen


def test_lines_end_as_rfc_4180_says_and_the_mark_comes_first(files):
    for name in ("critique.csv", "summary.csv", "gaps.csv", "events.csv", "measures.csv"):
        content = files[name]
        assert content.startswith(b"\xef\xbb\xbf")
        assert content.endswith(b"\r\n")


def test_a_sheet_without_rows_is_its_heading():
    sheet = Sheet("s", "S", (Column("at", "When", "moment"), Column("n", "N", "count")), ())
    assert sheet_csv(sheet) == "\ufeffat,at_ms,n\r\n".encode()
    assert sheet_csv(sheet, decimal="comma") == "\ufeffat;at_ms;n\r\n".encode()


def test_numbers_are_never_marked_as_text_and_texts_that_calculate_are():
    columns = (Column("n", "N", "number"), Column("at", "When", "moment"), Column("t", "T"))
    sheet = Sheet("s", "S", columns, ((-0.5, -40_000, "-0.5"),))
    assert sheet_csv(sheet).decode().splitlines()[1] == "-0.5,-0:00:00.040,-40,'-0.5"
    assert sheet_csv(sheet, decimal="comma").decode().splitlines()[1] == (
        "-0,5;-0:00:00,040;-40;'-0.5"
    )


@pytest.mark.parametrize("name", MEASURES)
def test_every_measure_can_be_printed(name, subject):
    table = measured(name, subject)
    data = json.loads(json.dumps(table_json(table)))
    frame = read(table_csv(table), "point")
    assert len(data["rows"]) == len(frame) == len(table.frame)
    assert data["measure"] == name
    text = table_text(table)
    assert text.startswith(table.title)
    assert " ".join(table.definition.split()) in text


def test_json_keeps_microseconds_and_blanks(subject):
    rows = table_json(measured("gaps", subject))["rows"]
    assert (rows[0]["start_us"], rows[0]["step"]) == (14_000_000, None)


def test_a_table_of_plain_text_keeps_its_columns_straight(subject):
    lines = table_text(measured("unassigned", subject)).splitlines()
    body = lines[2:9]
    assert [len(line) for line in body] == [len(body[0])] * 7
    assert body[1].split() == ["0:00:14.000", "0:00:16.000", "0:00:02.000"]
