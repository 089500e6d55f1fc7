"""The list of measures, the table type and the definitions' one home."""

import re
from pathlib import Path

import pytest

from aftercase.errors import NameUnknown
from aftercase.metrics.definitions import DEFINITIONS
from aftercase.metrics.measures import MEASURES, measured
from aftercase.metrics.table import typed_frame

PAGE = Path(__file__).parents[2] / "docs" / "reference" / "metrics.md"


def sections() -> dict[str, str]:
    """The page's sections by the measure their heading names."""
    parts = re.split(r"^## `([a-z-]+)`.*$", PAGE.read_text(encoding="utf-8"), flags=re.MULTILINE)
    return dict(zip(parts[1::2], parts[2::2], strict=True))


@pytest.mark.parametrize("name", MEASURES)
def test_a_review_without_marks_gives_each_measures_columns_and_a_reason(make, name):
    table = measured(name, make.subject())
    assert list(table.frame.columns) == list(MEASURES[name].columns)
    assert table.notes
    assert {str(dtype) for dtype in table.frame.filter(like="_us").dtypes} <= {"Int64"}


@pytest.mark.parametrize("name", MEASURES)
def test_the_definition_is_the_pages_word_for_word(name):
    quoted = re.findall(r"^> (.*)$", sections()[name], flags=re.MULTILINE)
    assert " ".join(quoted) == DEFINITIONS[name]


@pytest.mark.parametrize("name", MEASURES)
def test_every_column_is_explained_on_the_page(name):
    section = sections()[name]
    missing = [column for column in MEASURES[name].columns if f"`{column}`" not in section]
    assert missing == []


def test_the_page_has_no_measure_that_does_not_exist():
    assert set(sections()) == set(MEASURES)


def test_an_unknown_measure_names_those_there_are(make):
    with pytest.raises(NameUnknown) as caught:
        measured("speed", make.subject())
    assert "“speed”" in caught.value.message
    assert all(name in caught.value.hint for name in MEASURES)


def test_a_surplus_column_is_our_own_fault():
    with pytest.raises(ValueError, match="no such columns"):
        typed_frame({"step": "string"}, [{"stpe": "seal"}])
