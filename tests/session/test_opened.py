from __future__ import annotations

from pathlib import Path

import pytest

from aftercase.document.codec import decoded
from aftercase.edit.records import add, begin_step
from aftercase.edit.review import seal
from aftercase.errors import NameUnknown, ReviewClosed
from aftercase.model.base import NewId
from aftercase.model.review import PauseSpan, Review
from aftercase.session.inhand import WorkInHand
from aftercase.session.opened import OpenedCase, chosen_review, draft_of, open_case
from aftercase.session.places import Places
from aftercase.session.tasks.create import Wanted, new_case

SOON_S = 10.0


@pytest.fixture
def opened(tmp_path: Path, at: Places, new_id: NewId) -> OpenedCase:
    wanted = Wanted("C1", "cataract-phaco", duration_us=60_000_000)
    return new_case(tmp_path / "c", wanted, at, new_id)


def _in_hand(opened: OpenedCase, new_id: NewId) -> WorkInHand:
    return WorkInHand(opened, draft_of(opened, "T01", "teacher", new_id))


def test_a_case_without_reviews_says_so(opened: OpenedCase) -> None:
    with pytest.raises(NameUnknown, match="Nobody has reviewed"):
        chosen_review(opened, None)


def test_every_edit_is_on_disk_when_it_is_shown_as_saved(
    opened: OpenedCase, at: Places, new_id: NewId
) -> None:
    hand = _in_hand(opened, new_id)
    for at_us in range(0, 10_000_000, 1_000_000):
        hand.edit(
            lambda review, us=at_us: begin_step(  # type: ignore[misc]
                review, "capsulorhexis", us, 60_000_000, new_id
            ),
            "begin capsulorhexis",
        )
        assert hand.wait_until_saved(SOON_S).word == "saved"
        on_disk = chosen_review(open_case(opened.folder.path, at), "T01").record
        assert on_disk == hand.review
    hand.close()


def test_undo_and_redo_save_like_edits_and_say_what_they_did(
    opened: OpenedCase, at: Places, new_id: NewId
) -> None:
    hand = _in_hand(opened, new_id)
    pause = PauseSpan(id=new_id(), start_us=0, end_us=1_000_000)
    hand.edit(lambda review: add(review, "pauses", pause), "mark a pause")
    assert hand.undo() == "mark a pause"
    hand.wait_until_saved(SOON_S)
    assert chosen_review(open_case(opened.folder.path, at), "T01").record.pauses == ()
    assert hand.redo() == "mark a pause"
    assert hand.undo() == "mark a pause"
    assert hand.undo() is None
    assert hand.close().word == "saved"


def test_a_draft_lies_in_the_reviewers_own_place_and_a_sealed_one_in_the_case(
    opened: OpenedCase, at: Places, new_id: NewId
) -> None:
    hand = _in_hand(opened, new_id)
    pause = PauseSpan(id=new_id(), start_us=0, end_us=1_000_000)
    hand.edit(lambda review: add(review, "pauses", pause), "mark a pause")
    hand.wait_until_saved(SOON_S)
    assert not (opened.folder.path / "reviews").exists()
    hand.edit(seal, "seal")
    assert hand.close().word == "saved"
    sealed = opened.folder.path / "reviews" / "T01.r1.json"
    assert decoded(Review, sealed.read_bytes(), sealed).state == "sealed"
    assert [path.name for path in at.drafts.rglob("*.r1.json")] == []


def test_a_sealed_review_refuses_edits(opened: OpenedCase, new_id: NewId) -> None:
    hand = _in_hand(opened, new_id)
    hand.edit(seal, "seal")
    with pytest.raises(ReviewClosed):
        hand.edit(lambda review: begin_step(review, "nucleus", 0, 9, new_id), "begin nucleus")
    hand.close()


def test_two_people_on_one_case_never_touch_each_other(
    opened: OpenedCase, at: Places, new_id: NewId
) -> None:
    hands = [
        WorkInHand(opened, draft_of(opened, code, "teacher", new_id)) for code in ("T01", "T02")
    ]
    for number, hand in enumerate(hands, start=1):
        pause = PauseSpan(id=new_id(), start_us=0, end_us=number)
        hand.edit(lambda review, p=pause: add(review, "pauses", p), "mark a pause")  # type: ignore[misc]
        hand.close()
    again = open_case(opened.folder.path, at)
    with pytest.raises(NameUnknown, match="2 people"):
        chosen_review(again, None)
    assert chosen_review(again, "T02").record.pauses[0].end_us == 2


def test_the_same_person_on_two_computers_is_told_and_nothing_is_lost(
    opened: OpenedCase, at: Places, new_id: NewId
) -> None:
    first, second = _in_hand(opened, new_id), _in_hand(opened, new_id)
    for hand, end_us in ((first, 1), (second, 2)):
        pause = PauseSpan(id=new_id(), start_us=0, end_us=end_us)
        hand.edit(lambda review, p=pause: add(review, "pauses", p), "mark a pause")  # type: ignore[misc]
        hand.wait_until_saved(SOON_S)
    assert first.close().word == "saved"
    state = second.close()
    assert state.word == "not-saved"
    assert state.fault is not None
    assert state.fault.slug == "document-changed"
    kept = list(at.drafts.rglob("earlier/*.json"))
    ends = {decoded(Review, path.read_bytes(), path).pauses[0].end_us for path in kept}
    assert 2 in ends  # the refused version is kept beside the one that stands
    assert chosen_review(open_case(opened.folder.path, at), "T01").record.pauses[0].end_us == 1
