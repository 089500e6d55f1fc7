"""A review is handed over: sealed, released, corrected; and opened when it may be."""

from __future__ import annotations

import hashlib

import pytest

from aftercase.errors import EditRefused, NameUnknown, ReviewClosed
from aftercase.model.case import Case, GuideReference
from aftercase.model.review import Remark, Review
from aftercase.session.tasks.hand_over import correct, may_open, seal_and_release


@pytest.fixture
def path(case_of):
    return case_of()


@pytest.fixture
def draft(path, write, new_id):
    remark = Remark(id=new_id(), at_us=0, text="slowly")
    return write(path, "T01", state="draft", remarks=(remark,))


def files(path):
    return sorted(file.name for file in (path / "reviews").glob("*.json"))


def test_a_draft_is_sealed_and_released_in_one(path, at, draft):
    stored = seal_and_release(path, "T01", at)
    assert stored.record == draft.changed(state="released")
    assert files(path) == ["T01.r1.json"]
    assert stored.digest == hashlib.sha256(stored.path.read_bytes()).hexdigest()
    assert list(at.drafts.rglob("T01.r1.json")) == []


def test_a_draft_can_be_sealed_only_and_released_later_as_its_next_revision(path, at, draft):
    sealed = seal_and_release(path, "T01", at, release=False)
    assert sealed.record.state == "sealed"
    before = sealed.path.read_bytes()
    released = seal_and_release(path, "T01", at).record
    assert files(path) == ["T01.r1.json", "T01.r2.json"]
    assert sealed.path.read_bytes() == before
    assert (released.revision, released.state) == (2, "released")
    assert released.predecessor_sha256 == hashlib.sha256(before).hexdigest()
    assert released.remarks == draft.remarks


def test_a_correction_is_a_draft_of_the_next_revision_and_keeps_the_old(path, at, draft):
    released = seal_and_release(path, "T01", at)
    before = released.path.read_bytes()
    correction = correct(path, "T01", at)
    assert (correction.record.revision, correction.record.state) == (2, "draft")
    assert correction.record.predecessor_sha256 == hashlib.sha256(before).hexdigest()
    assert correction.path.is_relative_to(at.drafts)
    again = seal_and_release(path, "T01", at)
    assert files(path) == ["T01.r1.json", "T01.r2.json"]
    assert released.path.read_bytes() == before
    assert again.record == correction.record.changed(state="released")


def test_what_is_closed_is_not_closed_again(path, at, draft):
    seal_and_release(path, "T01", at)
    with pytest.raises(EditRefused, match="released already"):
        seal_and_release(path, "T01", at)
    with pytest.raises(ReviewClosed):
        seal_and_release(path, "T01", at, release=False)


def test_a_draft_needs_no_correction_and_nobody_has_none(path, at, draft):
    with pytest.raises(EditRefused, match="draft"):
        correct(path, "T01", at)
    for deed in (correct, seal_and_release):
        with pytest.raises(NameUnknown, match="R07"):
            deed(path, "R07", at)


def test_nobody_in_particular_seals_nothing(path, at, write):
    write(path, "me", state="draft")
    with pytest.raises(EditRefused, match="whose review"):
        seal_and_release(path, "me", at)
    assert not (path / "reviews").exists()


@pytest.fixture
def judged():
    """Ask whether a trainee of a case may open another's review."""
    case_id = "c" * 26

    def ask(judge_first=True, other="teacher", **own):
        case = Case(
            id=case_id,
            code="C1",
            guide=GuideReference(id="x", guide_version="1.0"),
            judge_first=judge_first,
        )
        mine = Review(id="a" * 26, case=case_id, reviewer="R07", **{"role": "trainee", **own})
        theirs = Review(id="b" * 26, case=case_id, reviewer="T01", role=other, state="released")
        return may_open(case, mine, theirs)

    return ask


def test_a_teachers_review_waits_until_the_trainee_has_sealed_their_own(judged):
    assert "T01" in judged()
    assert "T01" in judged(other="second-teacher")
    assert judged(state="sealed") is None
    assert judged(state="released") is None


def test_a_correction_of_ones_own_counts_as_sealed_before(judged):
    assert judged(revision=2, predecessor_sha256="0" * 64) is None


@pytest.mark.parametrize("role", ["teacher", "second-teacher", "preparer"])
def test_only_trainees_are_asked_to_judge_first(role, judged):
    assert judged(role=role) is None


def test_nothing_waits_where_the_case_does_not_say_so(judged):
    assert judged(judge_first=False) is None


@pytest.mark.parametrize("other", ["preparer", "trainee"])
def test_only_a_teachers_review_waits(other, judged):
    assert judged(other=other) is None
