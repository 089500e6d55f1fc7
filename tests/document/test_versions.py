from __future__ import annotations

import json
from pathlib import Path

import pytest

from aftercase.document import versions
from aftercase.document.codec import decoded, encoded
from aftercase.document.files import read_document
from aftercase.document.versions import FORMATS, upgraded
from aftercase.errors import DocumentBroken, DocumentTooNew
from aftercase.model.case import Case
from aftercase.model.review import Review

PATH = Path("case.json")


def data_of(case, **fields):
    return {**json.loads(encoded(case)), **fields}


def test_the_current_version_stays_as_it_is(case):
    data = data_of(case)
    assert upgraded(Case, data, PATH) == data


def test_a_newer_minor_keeps_its_higher_number(case):
    assert upgraded(Case, data_of(case, version="1.12"), PATH)["version"] == "1.12"


def test_an_older_minor_becomes_the_current_one(case, monkeypatch):
    monkeypatch.setattr(versions, "FORMATS", {**FORMATS, Case: ("aftercase/case", "1.3")})
    assert upgraded(Case, data_of(case, version="1.2"), PATH)["version"] == "1.3"
    assert upgraded(Case, data_of(case, version="1.10"), PATH)["version"] == "1.10"


def test_a_newer_major_is_refused_and_its_file_not_touched(case, tmp_path):
    path = tmp_path / "case.json"
    content = json.dumps(data_of(case, version="2.0")).encode()
    path.write_bytes(content)
    with pytest.raises(DocumentTooNew, match=r"2\.0.*reads up to 1\.x.*not touched") as caught:
        read_document(Case, path)
    assert caught.value.path == str(path)
    assert "newer version of the program" in caught.value.hint
    assert path.read_bytes() == content
    assert [entry.name for entry in tmp_path.iterdir()] == ["case.json"]


def test_another_kind_of_file_is_named_as_what_it_says_it_is(review):
    with pytest.raises(DocumentBroken, match=r"no aftercase/case file.*'aftercase/review'"):
        decoded(Case, encoded(review), PATH)
    with pytest.raises(DocumentBroken, match="it says None"):
        decoded(Review, b"{}", PATH)


@pytest.mark.parametrize("version", [None, 1, 1.0, "1", "1.0.0", "v1.0", "1.0\n", "١.0", "-1.0"])
def test_a_version_that_is_none_is_refused(version, case):
    with pytest.raises(DocumentBroken, match="version") as caught:
        upgraded(Case, data_of(case, version=version), PATH)
    assert caught.value.hint


def test_a_version_that_was_never_released_is_refused(case):
    with pytest.raises(DocumentBroken, match=r"0\.9, which was never released"):
        upgraded(Case, data_of(case, version="0.9"), PATH)


def _eye_became_a_list(data):
    return {**data, "eye": [data["eye"]]}


def _eye_became_a_word_again(data):
    renamed = {**data, "eye": "-".join(data["eye"])}
    return {name: value for name, value in renamed.items() if name != "obsolete"}


INVENTED = {
    ("aftercase/case", 1): _eye_became_a_list,
    ("aftercase/case", 2): _eye_became_a_word_again,
}


@pytest.fixture
def at_version_three(monkeypatch):
    monkeypatch.setattr(versions, "FORMATS", {**FORMATS, Case: ("aftercase/case", "3.1")})


def test_two_major_versions_are_climbed_one_by_one(case, at_version_three):
    old = data_of(case, version="1.4", eye="left", obsolete=True, unknown={"kept": 1})
    before = json.dumps(old)
    new = upgraded(Case, old, PATH, upgrades=INVENTED)
    assert new == data_of(case, version="3.1", eye="left", unknown={"kept": 1})
    assert json.dumps(old) == before


def test_from_the_middle_only_the_later_step_is_taken(case, at_version_three):
    new = upgraded(Case, data_of(case, version="2.9", eye=["a", "b"]), PATH, upgrades=INVENTED)
    assert (new["version"], new["eye"]) == ("3.1", "a-b")


def test_a_file_of_the_current_major_takes_no_step(case, at_version_three):
    new = upgraded(Case, data_of(case, version="3.0", eye="left"), PATH, upgrades=INVENTED)
    assert (new["version"], new["eye"]) == ("3.1", "left")


def test_every_older_major_of_every_format_has_its_step():
    for name, version in FORMATS.values():
        for major in range(1, int(version.partition(".")[0])):
            assert (name, major) in versions.UPGRADES
