from __future__ import annotations

import errno
from datetime import UTC, datetime

import pytest

from aftercase import storage
from aftercase.document import kept
from aftercase.document.codec import encoded
from aftercase.document.folder import (
    create_case,
    latest_of,
    new_review,
    read_case,
    read_case_guide,
    read_reviews,
    review_files,
    write_review,
)
from aftercase.edit import records
from aftercase.edit.review import corrected, release, seal
from aftercase.errors import (
    AlreadyThere,
    DocumentBroken,
    DocumentChanged,
    DocumentMissing,
    ReviewClosed,
    WriteFailed,
)
from aftercase.model.review import Remark
from aftercase.storage import Disk, digest_of

NOW = datetime(2031, 5, 20, 16, 30, tzinfo=UTC)


def some_id(number):
    return f"id{number:024d}"


def edited(review, number=1):
    return records.add(review, "remarks", Remark(id=some_id(500 + number), at_us=number))


@pytest.fixture
def made(folder, case, guide):
    create_case(folder, case, guide)
    return folder


@pytest.fixture
def draft(made, review):
    return write_review(made, new_review(made, review), review, now=NOW)


def test_a_new_case_holds_header_and_guide(folder, case, guide):
    stored = create_case(folder, case, guide)
    assert read_case(folder) == stored
    assert read_case(folder).record == case
    assert read_case_guide(folder).record == guide


def test_a_case_is_not_made_over_another(made, case, guide):
    before = made.case_file.read_bytes()
    with pytest.raises(AlreadyThere):
        create_case(made, case.changed(code="PE-02"), guide)
    assert made.case_file.read_bytes() == before


@pytest.mark.parametrize("at", range(2))
def test_a_case_that_cannot_be_made_leaves_no_half_case(at, folder, case, guide):
    class Full(Disk):
        writes = 0

        def write_new(self, path, blocks):
            if self.writes == at:
                raise OSError(errno.ENOSPC, "No space left on device")
            self.writes += 1
            super().write_new(path, blocks)

    with pytest.raises(WriteFailed):
        create_case(folder, case, guide, disk=Full())
    assert {entry.name for entry in folder.path.iterdir()} == {storage.LOCK_NAME}


def test_a_folder_without_a_header_is_no_case(folder):
    folder.path.mkdir()
    with pytest.raises(DocumentMissing, match=r"no case\.json") as caught:
        read_case(folder)
    assert caught.value.path == str(folder.path)


def test_a_case_whose_guide_is_gone_says_so(made):
    made.guide_file.unlink()
    with pytest.raises(DocumentMissing) as caught:
        read_case_guide(made)
    assert caught.value.path == str(made.guide_file)


def test_a_case_without_reviews_has_none(made, case):
    assert read_reviews(made, case.id) == []
    assert latest_of([], "T1") is None


def test_a_draft_lies_with_its_reviewer_and_not_in_the_case_folder(draft, made, case):
    assert draft.path == made.drafts / case.id / "T1.r1.json"
    assert not draft.path.is_relative_to(made.path)
    written = {entry.name for entry in made.path.iterdir()} - {storage.LOCK_NAME}
    assert written == {"case.json", "guide.json"}
    assert read_reviews(made, case.id) == [draft]


def test_drafts_of_another_case_are_not_read(draft, made):
    assert read_reviews(made, some_id(101)) == []


def test_sealing_moves_a_review_into_the_case_folder(draft, made, case):
    sealed = write_review(made, draft, seal(draft.record), now=NOW)
    assert sealed.path == made.path / "reviews" / "T1.r1.json"
    assert sealed.digest == digest_of(sealed.path.read_bytes())
    assert not draft.path.exists()
    assert read_reviews(made, case.id) == [sealed]
    assert latest_of([sealed], "T1") == sealed


def test_a_review_can_be_sealed_without_ever_having_been_a_draft_on_disk(made, review, case):
    sealed = write_review(made, new_review(made, review), seal(review), now=NOW)
    assert read_reviews(made, case.id) == [sealed]


@pytest.mark.parametrize("close", [seal, release])
def test_a_closed_review_is_never_written_again(close, draft, made):
    closed = write_review(made, draft, close(draft.record), now=NOW)
    before = closed.path.read_bytes()
    again = [
        close(edited(draft.record)),  # sealed once more with other content
        edited(draft.record),  # a draft of before the sealing, as undo would give it
        draft.record,
    ]
    for review in again:
        for stored in (draft, closed, new_review(made, review)):
            with pytest.raises(ReviewClosed) as caught:
                write_review(made, stored, review, now=NOW)
            assert "correction" in caught.value.hint
    assert closed.path.read_bytes() == before
    assert not draft.path.exists()


def test_a_correction_leaves_the_sealed_review_and_names_its_hash(draft, made, case):
    sealed = write_review(made, draft, seal(draft.record), now=NOW)
    before = sealed.path.read_bytes()
    correction = write_review(made, sealed, corrected(sealed.record, sealed.digest), now=NOW)
    assert correction.path == made.drafts / case.id / "T1.r2.json"
    correction = write_review(made, correction, edited(correction.record), now=NOW)
    second = write_review(made, correction, seal(correction.record), now=NOW)
    assert sealed.path.read_bytes() == before
    assert second.path.name == "T1.r2.json"
    assert second.record.predecessor_sha256 == digest_of(before)
    reviews = read_reviews(made, case.id)
    assert [stored.record.revision for stored in reviews] == [1, 2]
    assert latest_of(reviews, "T1") == second


def test_releasing_a_sealed_review_keeps_both_files(draft, made):
    sealed = write_review(made, draft, seal(draft.record), now=NOW)
    released = write_review(made, sealed, release(sealed.record, sealed.digest), now=NOW)
    assert sealed.path.exists()
    assert released.path.name == "T1.r2.json"


def test_all_sealed_revisions_stay_however_many_there_are(draft, made, case):
    stored = write_review(made, draft, seal(draft.record), now=NOW)
    for number in range(14):
        correction = edited(corrected(stored.record, stored.digest), number)
        stored = write_review(made, new_review(made, correction), seal(correction), now=NOW)
    revisions = [one.record.revision for one in read_reviews(made, case.id)]
    assert revisions == list(range(1, 16))


def test_a_draft_changed_by_another_window_is_not_sealed_away(draft, made, review):
    theirs = write_review(made, draft, edited(review, 1), now=NOW)
    mine = seal(edited(review, 2))
    with pytest.raises(DocumentChanged):
        write_review(made, draft, mine, now=NOW)
    assert theirs.path.read_bytes() == encoded(theirs.record)
    assert not (made.path / "reviews" / "T1.r1.json").exists()
    assert encoded(mine) in [v.read_bytes() for v in kept.kept_versions(draft.path)]


def test_a_read_only_case_folder_leaves_the_draft(draft, made):
    class ReadOnly(Disk):
        def write_new(self, path, blocks):
            if path.is_relative_to(made.path):
                raise OSError(errno.EROFS, "Read-only file system")
            super().write_new(path, blocks)

    with pytest.raises(WriteFailed, match="read-only"):
        write_review(made, draft, seal(draft.record), now=NOW, disk=ReadOnly())
    assert draft.path.read_bytes() == encoded(draft.record)


def test_two_people_never_write_into_each_other_s_file(draft, made, review, case):
    second = review.changed(reviewer="T2", id=some_id(700))
    other = write_review(made, new_review(made, second), second, now=NOW)
    write_review(made, draft, edited(review), now=NOW)
    write_review(made, other, edited(second), now=NOW)
    found = read_reviews(made, case.id)
    assert [stored.record.reviewer for stored in found] == ["T1", "T2"]
    assert latest_of(found, "T2").record == edited(second)


def test_a_draft_begun_twice_is_not_written_over(draft, made, review):
    """Two windows open a case without reviews; the second one to save is told."""
    with pytest.raises(DocumentChanged):
        write_review(made, new_review(made, review), edited(review), now=NOW)
    assert draft.path.read_bytes() == encoded(review)


def test_of_a_draft_and_a_closed_review_of_one_revision_the_closed_one_counts(draft, made, case):
    """As a program killed between sealing and clearing up leaves them."""
    left = draft.path.read_bytes()
    sealed = write_review(made, draft, seal(draft.record), now=NOW)
    draft.path.write_bytes(left)
    found = read_reviews(made, case.id)
    assert len(found) == 2
    assert latest_of(found, "T1") == sealed


def test_revisions_are_counted_as_numbers(made, review, case):
    for revision in (2, 10, 9):
        one = review.changed(revision=revision, predecessor_sha256="ab" * 32)
        write_review(made, new_review(made, one), one, now=NOW)
    names = [path.name for path in review_files(made, case.id)]
    assert names == ["T1.r2.json", "T1.r9.json", "T1.r10.json"]
    assert latest_of(read_reviews(made, case.id), "T1").record.revision == 10


def test_what_is_no_review_s_file_is_passed_over(draft, made, case):
    for name in ("T1.r1.json.bak", "notes.txt", "T1.json", ".T1.r1.json.swp"):
        (draft.path.parent / name).write_text("x", encoding="utf-8")
    assert review_files(made, case.id) == [draft.path]


def test_a_broken_review_is_named(draft, made, case):
    draft.path.write_text("{", encoding="utf-8")
    with pytest.raises(DocumentBroken) as caught:
        read_reviews(made, case.id)
    assert caught.value.path == str(draft.path)
