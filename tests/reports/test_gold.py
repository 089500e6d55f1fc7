"""The sample review's reports against the reports kept in tests/gold/expected.

After a wanted change: `pytest tests/reports --update-gold`, then read the difference.
"""

from __future__ import annotations

from difflib import unified_diff
from pathlib import Path

import pytest

from aftercase.metrics.subject import Settings
from aftercase.reports.bundle import critique_files

EXPECTED = Path(__file__).parents[1] / "gold/expected"
TEXTS = (
    "critique.md",
    "critique.html",
    "critique.csv",
    "summary.csv",
    "gaps.csv",
    "events.csv",
    "measures.csv",
    "steps.vtt",
    "remarks.vtt",
)


@pytest.mark.parametrize("name", TEXTS)
def test_a_report_is_the_one_that_was_read_and_kept(name, files, pytestconfig):
    made, kept = files[name], EXPECTED / name
    if pytestconfig.getoption("--update-gold", default=False):
        kept.write_bytes(made)
    expected = kept.read_bytes()
    difference = "\n".join(
        unified_diff(
            expected.decode().splitlines(),
            made.decode().splitlines(),
            f"expected/{name}",
            f"made/{name}",
            lineterm="",
        )
    )
    assert made == expected, f"the report changed:\n{difference}"


def test_the_bundle_holds_the_files_named_and_a_still_for_each_picture(files, stills):
    names = {still.file_name for pictures in stills.values() for still in pictures}
    assert len(names) == 8
    assert set(files) == {*TEXTS, *(f"stills/{name}" for name in names)}


def test_the_same_review_gives_the_same_bytes(subject, stills, others, files):
    assert critique_files(subject, Settings(), stills, others=others) == files
