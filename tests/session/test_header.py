from __future__ import annotations

from pathlib import Path

import pytest

from aftercase.edit.header import change_header
from aftercase.errors import DocumentChanged, EditRefused
from aftercase.model.base import NewId
from aftercase.model.case import ConsentEntry
from aftercase.session.header import save_header
from aftercase.session.opened import OpenedCase, open_case
from aftercase.session.places import Places
from aftercase.session.tasks.create import Wanted, new_case


@pytest.fixture
def opened(tmp_path: Path, at: Places, new_id: NewId) -> OpenedCase:
    wanted = Wanted("C1", "cataract-phaco", duration_us=60_000_000)
    return new_case(tmp_path / "c", wanted, at, new_id)


def _save(opened: OpenedCase, **fields: object) -> None:
    mine = change_header(opened.case, **fields)
    save_header(opened.folder, opened.stored_case, mine, opened.guide)


def test_fields_changed_by_one_person_each_are_put_together(opened: OpenedCase, at: Places) -> None:
    other = open_case(opened.folder.path, at)
    _save(other, eye="left")
    _save(opened, training_year=3)
    both = open_case(opened.folder.path, at).case
    assert (both.eye, both.training_year) == ("left", 3)


def test_a_field_changed_by_both_is_shown_with_both_values_and_theirs_stays(
    opened: OpenedCase, at: Places
) -> None:
    other = open_case(opened.folder.path, at)
    _save(other, eye="left")
    with pytest.raises(DocumentChanged) as told:
        _save(opened, eye="right")
    assert "'right'" in told.value.message
    assert "'left'" in told.value.message
    assert open_case(opened.folder.path, at).case.eye == "left"


def test_consent_entries_of_two_people_are_both_kept(
    opened: OpenedCase, at: Places, new_id: NewId
) -> None:
    other = open_case(opened.folder.path, at)
    _save(other, consent=(ConsentEntry(id=new_id(), entry="given", scope="team"),))
    _save(opened, consent=(ConsentEntry(id=new_id(), entry="withdrawn"),))
    entries = {entry.entry for entry in open_case(opened.folder.path, at).case.consent}
    assert entries == {"given", "withdrawn"}


def test_a_header_that_breaks_a_rule_is_not_saved(opened: OpenedCase, at: Places) -> None:
    before = opened.folder.case_file.read_bytes()
    with pytest.raises(EditRefused, match="anaesthesia"):
        _save(opened, anaesthesia="laughing-gas")
    assert opened.folder.case_file.read_bytes() == before
