"""What was measured stands in the page, its Markdown and its table: numbers by hand."""

from __future__ import annotations

import io

import pandas as pd
import pytest

from aftercase.metrics.picturecautions import APPROXIMATE
from aftercase.metrics.subject import Settings, Subject
from aftercase.model.case import Window
from aftercase.reports.building import critique_content
from aftercase.reports.bundle import critique_files


def content_of(subject, **fields):
    changed = Subject(subject.case, subject.guide, subject.review.changed(**fields))
    return critique_content(changed, Settings(), {})


@pytest.fixture(scope="module")
def table(files):
    return pd.read_csv(io.BytesIO(files["measures.csv"]), encoding="utf-8-sig")


def value(table, measure, number, column="value"):
    rows = table[(table["measure"] == measure) & (table["number"] == number)]
    assert len(rows) == 1
    return rows[column].iloc[0]


def test_without_measures_the_page_says_nothing_of_them_and_the_table_has_its_heading(subject):
    review = subject.review.changed(measures=(), calibrations=())
    made = critique_files(Subject(subject.case, subject.guide, review), Settings(), {})
    assert b"Measured on the picture" not in made["critique.html"]
    assert b"Measured on the picture" not in made["critique.md"]
    assert made["measures.csv"].count(b"\r\n") == 1


def test_the_numbers_are_those_worked_out_by_hand(table):
    """12 mm over 480 px: 96 px are 2.4 mm. 6 mm over 300 px: 268 and 256 px are 5.36 and 5.12 mm.

    Opening 15 px from the limbus centre: 0.30 mm, over a mean radius of 232.5 px: 0.0645.
    """
    assert value(table, "length", "length") == pytest.approx(2.4, abs=0.001)
    assert value(table, "capsulorhexis", "longest_diameter") == pytest.approx(5.36, abs=0.001)
    assert value(table, "capsulorhexis", "shortest_diameter") == pytest.approx(5.12, abs=0.001)
    assert value(table, "capsulorhexis", "offset") == pytest.approx(0.30, abs=0.001)
    assert value(table, "capsulorhexis", "offset_share") == pytest.approx(15 / 232.5, abs=1e-4)
    assert value(table, "angle", "angle") == pytest.approx(90, abs=0.01)
    assert value(table, "angle", "hours") == pytest.approx(3, abs=0.001)
    assert value(table, "tip-path", "duration") == pytest.approx(1.6)
    assert value(table, "tip-path", "movements") == 2
    assert value(table, "tip-path", "movements", "threshold_mm_s") == 1
    assert value(table, "area", "area") == pytest.approx(192 * 108 / 2)
    assert value(table, "area", "area", "unit") == "px²"


def test_every_millimetre_has_an_error_and_stands_under_the_caution(table, files):
    lengths = table[table["unit"].isin(["mm", "mm²", "mm/s"])]
    assert (lengths["error"] > 0).all()
    assert (lengths["ruler_error"] > 0).all()
    assert lengths["cautions"].str.contains(APPROXIMATE, regex=False).all()
    for name in ("critique.md", "critique.html"):
        text = files[name].decode()
        caution = text.index(APPROXIMATE)
        assert text.index(" mm", text.index("Measured on the picture</h2>" if "html" in name else
                                            "## Measured on the picture")) > caution  # fmt: skip


def test_measures_stand_by_time_each_with_its_picture_if_there_is_one(subject, files, read_html):
    items = content_of(subject).measures
    assert [item.at_us for item in items] == sorted(one.at_us for one in subject.review.measures)
    page = read_html(files["critique.html"])
    anchors = [attributes.get("id", "") for attributes in page.all("article")]
    assert [a for a in anchors if a.startswith("measure-")] == [f"measure-{i.id}" for i in items]
    words = "Picture at 0:00:30.000, measured on it: angle between two wounds"
    assert f"![{words}](stills/{items[0].id}.png)" in files["critique.md"].decode()


def test_a_measure_outside_the_trim_is_left_out(subject):
    case = subject.case.changed(trim=Window(start_us=0, end_us=31_200_001))
    content = critique_content(Subject(case, subject.guide, subject.review), Settings(), {})
    assert [item.at_us for item in content.measures] == [30_000_000, 31_200_000]


def test_a_measure_that_cannot_be_worked_out_says_why(subject):
    [first, *_] = subject.review.measures
    case = subject.case.changed(parts=(subject.case.parts[0].changed(width_px=0),))
    review = subject.review.changed(measures=(first,))
    content = critique_content(Subject(case, subject.guide, review), Settings(), {})
    [item] = content.measures
    assert item.numbers == ()
    assert "not known" in item.said[0]
    sheet = content.csv_sheets["measures.csv"]
    assert sheet.column("value") == (None,)
    assert "not known" in sheet.column("cautions")[0]
