"""What the start page says of a case."""

from __future__ import annotations

from pathlib import Path

import pytest

from aftercase.document.folder import new_review, write_review
from aftercase.edit.header import change_header
from aftercase.edit.review import corrected, release, seal
from aftercase.gui.start.case_look import look_at
from aftercase.model.base import NewId
from aftercase.model.review import Remark, Review
from aftercase.session.header import save_header
from aftercase.session.opened import OpenedCase, open_case
from aftercase.session.people import Person
from aftercase.session.places import places
from aftercase.session.tasks.create import Wanted, new_case

ME = Person("T01")


@pytest.fixture
def filmed(tmp_path: Path, film: Path, new_id: NewId) -> OpenedCase:
    wanted = Wanted("case-3", "cataract-phaco", films=(film,), header={"trainee": "R07"})
    return new_case(tmp_path / "case-3", wanted, places(), new_id)


def review_of(opened: OpenedCase, new_id: NewId, reviewer: str, n_remarks: int) -> Review:
    remarks = tuple(Remark(id=new_id(), at_us=0, text="a remark") for _ in range(n_remarks))
    return Review(id=new_id(), case=opened.case.id, reviewer=reviewer, remarks=remarks)


def write(opened: OpenedCase, review: Review) -> None:
    draft = review.changed(state="draft", predecessor_sha256=None)
    write_review(opened.folder, new_review(opened.folder, draft), review)


def test_a_folder_that_is_not_there_is_said_with_its_place(tmp_path: Path) -> None:
    row = look_at(tmp_path / "gone", "case-9", ME, places())
    assert row.is_missing
    assert row.code == "case-9"
    assert str(tmp_path / "gone") in row.open


def test_a_broken_case_says_what_is_wrong_and_the_others_are_shown(tmp_path: Path) -> None:
    (tmp_path / "case.json").write_text("{")
    row = look_at(tmp_path, "case-9", ME, places())
    assert row.is_missing
    assert row.open


def test_nobody_reviewed_it_yet(filmed: OpenedCase) -> None:
    row = look_at(filmed.folder.path, "", ME, places())
    assert (row.code, row.open) == ("case-3", "not reviewed yet")
    assert row.about == "Cataract by phacoemulsification, trainee R07"


def test_ones_own_draft_is_counted_and_stands_first(filmed: OpenedCase, new_id: NewId) -> None:
    write(filmed, release(review_of(filmed, new_id, "R07", 1)))
    write(filmed, review_of(filmed, new_id, "T01", 2))
    row = look_at(filmed.folder.path, "", ME, places())
    assert row.open == "yours: draft, 2 remarks, R07: released"


def test_nothing_is_told_of_another_persons_draft(filmed: OpenedCase, new_id: NewId) -> None:
    write(filmed, review_of(filmed, new_id, "T02", 3))
    assert look_at(filmed.folder.path, "", ME, places()).open == "not reviewed yet"
    write(filmed, release(review_of(filmed, new_id, "T03", 1)))
    opened = open_case(filmed.folder.path, places())
    [first] = [one for one in opened.reviews if one.record.reviewer == "T03"]
    correction = corrected(first.record, first.digest)
    write_review(opened.folder, new_review(opened.folder, correction), correction)
    assert look_at(filmed.folder.path, "", ME, places()).open == "T03: released"


def test_a_closed_review_is_called_sealed_or_released(filmed: OpenedCase, new_id: NewId) -> None:
    write(filmed, seal(review_of(filmed, new_id, "T02", 1)))
    write(filmed, release(review_of(filmed, new_id, "T03", 1)))
    assert look_at(filmed.folder.path, "", ME, places()).open == "T02: sealed, T03: released"


def test_no_still_before_a_person_looked_for_an_identity(filmed: OpenedCase) -> None:
    assert look_at(filmed.folder.path, "", ME, places()).plate == "identity not checked yet"
    checked = change_header(filmed.case, identity_checked_by="T01")
    save_header(filmed.folder, filmed.stored_case, checked, filmed.guide)
    assert look_at(filmed.folder.path, "", ME, places()).plate == ""


def test_a_case_without_film_has_no_picture(case_without_film: OpenedCase) -> None:
    assert look_at(case_without_film.folder.path, "", ME, places()).plate == "no picture"


def test_a_row_is_spoken_with_everything_it_shows(filmed: OpenedCase) -> None:
    assert look_at(filmed.folder.path, "", ME, places()).spoken == (
        "case-3. Cataract by phacoemulsification, trainee R07. not reviewed yet. "
        "identity not checked yet"
    )
