from pathlib import Path

import pytest

from aftercase.edit.header import change_header
from aftercase.edit.records import add
from aftercase.edit.review import corrected, release, seal
from aftercase.model.base import NewId
from aftercase.model.review import PauseSpan
from aftercase.session.inhand import WorkInHand
from aftercase.session.opened import OpenedCase, draft_of, open_case
from aftercase.session.places import Places
from aftercase.session.tasks.create import Wanted, new_case


@pytest.fixture
def opened(tmp_path: Path, at: Places, new_id: NewId) -> OpenedCase:
    wanted = Wanted("C1", "cataract-phaco", duration_us=60_000_000)
    return new_case(tmp_path / "c", wanted, at, new_id)


@pytest.fixture
def hand(opened: OpenedCase, new_id: NewId) -> WorkInHand:
    return WorkInHand(opened, draft_of(opened, "T01", "teacher", new_id))


def _pause(hand: WorkInHand, new_id: NewId) -> None:
    pause = PauseSpan(id=new_id(), start_us=0, end_us=1)
    hand.edit(lambda review: add(review, "pauses", pause), "mark a pause")


def test_header_and_review_are_taken_back_in_the_order_they_were_done(
    hand: WorkInHand, opened: OpenedCase, at: Places, new_id: NewId
) -> None:
    _pause(hand, new_id)
    hand.edit_header(lambda case: change_header(case, eye="right"), "say the eye")
    assert hand.undo() == "say the eye"
    assert (hand.case.eye, len(hand.review.pauses)) == ("not-said", 1)
    assert hand.undo() == "mark a pause"
    assert hand.redo() == "mark a pause"
    assert hand.redo() == "say the eye"
    assert hand.close().word == "saved"
    again = open_case(opened.folder.path, at)
    assert again.case.eye == "right"
    assert len(again.reviews[0].record.pauses) == 1


def test_what_somebody_else_wrote_of_the_header_is_kept(
    hand: WorkInHand, opened: OpenedCase, at: Places, new_id: NewId
) -> None:
    other = WorkInHand(opened, draft_of(opened, "T02", "teacher", new_id))
    other.edit_header(lambda case: change_header(case, training_year=3), "say the year")
    assert other.close().word == "saved"
    hand.edit_header(lambda case: change_header(case, eye="left"), "say the eye")
    assert hand.close().word == "saved"
    case = open_case(opened.folder.path, at).case
    assert (case.eye, case.training_year) == ("left", 3)


def test_nothing_before_a_seal_can_be_taken_back(hand: WorkInHand, new_id: NewId) -> None:
    _pause(hand, new_id)
    hand.edit(seal, "seal")
    assert hand.undo() is None
    assert hand.review.state == "sealed"
    assert hand.close().word == "saved"


def test_a_correction_is_not_taken_back_into_the_review_it_corrects(
    hand: WorkInHand, opened: OpenedCase, at: Places, new_id: NewId
) -> None:
    _pause(hand, new_id)
    hand.edit(release, "release")
    assert hand.wait_until_saved(10.0).word == "saved"
    digest = hand.stored.digest
    assert digest is not None
    hand.edit(lambda review: corrected(review, digest), "begin a correction")
    assert hand.undo() is None
    _pause(hand, new_id)
    assert hand.undo() == "mark a pause"
    assert hand.close().word == "saved"
    states = [stored.record.state for stored in open_case(opened.folder.path, at).reviews]
    assert states == ["released", "draft"]


def test_the_header_of_a_sealed_review_can_still_be_taken_back(hand: WorkInHand) -> None:
    hand.edit(seal, "seal")
    hand.edit_header(lambda case: change_header(case, eye="right"), "say the eye")
    assert hand.undo() == "say the eye"
    assert (hand.case.eye, hand.review.state) == ("not-said", "sealed")
    assert hand.undo() is None
    assert hand.close().word == "saved"
