from __future__ import annotations

import json

import pytest

from aftercase.document.codec import encoded
from aftercase.document.guides import guide_named, own_guides, shipped_guides
from aftercase.errors import DocumentBroken, DocumentMissing, NameUnknown


def test_three_guides_are_shipped():
    assert sorted(shipped_guides()) == ["cataract-manual-small", "cataract-phaco", "practice"]


def test_without_a_folder_there_are_no_own_guides(tmp_path):
    assert own_guides(tmp_path / "none") == {}


def test_an_own_guide_wins_over_a_shipped_one_of_the_same_id(guide, tmp_path):
    mine = guide.changed(id="practice")
    (tmp_path / "mine.json").write_bytes(encoded(mine))
    assert guide_named("practice", tmp_path) == mine
    assert guide_named("practice", tmp_path / "none") == shipped_guides()["practice"]


def test_a_guide_can_be_given_by_its_file(guide, tmp_path):
    path = tmp_path / "any name.json"
    path.write_bytes(encoded(guide))
    assert guide_named(str(path), tmp_path / "none") == guide


def test_an_unknown_guide_is_answered_with_those_that_exist(tmp_path, guide):
    (tmp_path / "mine.json").write_bytes(encoded(guide))
    with pytest.raises(NameUnknown) as caught:
        guide_named("catarct", tmp_path)
    for name in ("cataract-phaco", "cataract-manual-small", "practice", "two-step"):
        assert name in caught.value.hint


def test_a_guide_s_file_that_is_not_there_is_missing(tmp_path):
    with pytest.raises(DocumentMissing):
        guide_named(str(tmp_path / "gone.json"), tmp_path)


def test_a_broken_own_guide_names_file_place_and_fault(guide, tmp_path):
    data = json.loads(encoded(guide))
    data["steps"][0]["name"] = 7
    path = tmp_path / "mine.json"
    path.write_text(json.dumps(data), encoding="utf-8")
    with pytest.raises(DocumentBroken, match="steps/0/name: ") as caught:
        own_guides(tmp_path)
    assert caught.value.path == str(path)
