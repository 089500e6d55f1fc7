from __future__ import annotations

import errno
import json
from datetime import UTC, datetime, timedelta

import pytest

from aftercase.document import kept
from aftercase.document.codec import encoded
from aftercase.document.files import Stored, read_document, read_guide, write_document
from aftercase.edit import records
from aftercase.errors import DocumentBroken, DocumentChanged, DocumentMissing, WriteFailed
from aftercase.model.case import Case
from aftercase.model.review import Remark, Review
from aftercase.storage import Disk, digest_of

NOW = datetime(2031, 5, 20, 16, 30, tzinfo=UTC)


def some_id(number):
    return f"id{number:024d}"


def edited(review, number):
    return records.add(review, "remarks", Remark(id=some_id(500 + number), at_us=number))


@pytest.fixture
def path(tmp_path):
    return tmp_path / "T1.r1.json"


@pytest.fixture
def stored(path, review):
    return write_document(Stored(path, review, None), review, now=NOW)


class FullDisk(Disk):
    """Full from the first, or from a later write on."""

    def __init__(self, writes=0):
        self.left = writes

    def write_new(self, path, blocks):
        if self.left == 0:
            raise OSError(errno.ENOSPC, "No space left on device")
        self.left -= 1
        super().write_new(path, blocks)


def test_a_file_that_is_not_there_is_missing(path):
    with pytest.raises(DocumentMissing) as caught:
        read_document(Review, path)
    assert caught.value.path == str(path)


def test_a_written_document_reads_back_with_its_hash(stored, path, review):
    read = read_document(Review, path)
    assert read == stored == Stored(path, review, digest_of(path.read_bytes()))


def test_writing_what_is_there_already_writes_nothing(stored, path):
    written_at = path.stat().st_mtime_ns
    assert write_document(stored, stored.record, now=NOW) == stored
    assert path.stat().st_mtime_ns == written_at
    assert kept.kept_versions(path) == []


def test_the_version_that_is_written_over_is_kept(stored, path, review):
    before = path.read_bytes()
    write_document(stored, edited(review, 1), now=NOW)
    (version,) = kept.kept_versions(path)
    assert version.read_bytes() == before
    assert read_document(Review, version).record == review


def test_of_many_versions_the_last_ten_are_kept(stored, path, review):
    contents = [encoded(review)]
    for number in range(14):
        stored = write_document(
            stored, edited(stored.record, number), now=NOW + timedelta(seconds=number)
        )
        contents.append(path.read_bytes())
    versions = [version.read_bytes() for version in kept.kept_versions(path)]
    assert versions == contents[4:14]


def test_a_file_changed_on_disk_is_not_written_over_and_both_versions_are_kept(
    stored, path, review
):
    theirs = write_document(stored, edited(review, 1), now=NOW)
    their_bytes = path.read_bytes()
    mine = edited(review, 2)
    with pytest.raises(DocumentChanged) as caught:
        write_document(stored, mine, now=NOW)
    assert path.read_bytes() == their_bytes
    assert read_document(Review, path).record == theirs.record
    (aside,) = [v for v in kept.kept_versions(path) if "set-aside" in v.name]
    assert read_document(Review, aside).record == mine
    assert aside.name in caught.value.hint
    assert str(aside.parent) in caught.value.hint
    assert caught.value.path == str(path)


def test_a_version_set_aside_outlives_all_later_saving(stored, path, review):
    theirs = write_document(stored, edited(review, 1), now=NOW)
    mine = edited(review, 2)
    with pytest.raises(DocumentChanged):
        write_document(stored, mine, now=NOW)
    for number in range(15):
        later = NOW + timedelta(days=40, seconds=number)
        theirs = write_document(theirs, edited(theirs.record, 10 + number), now=later)
    assert encoded(mine) in [version.read_bytes() for version in kept.kept_versions(path)]


def test_a_file_that_was_deleted_meanwhile_is_told_and_mine_is_kept(stored, path, review):
    path.unlink()
    with pytest.raises(DocumentChanged):
        write_document(stored, edited(review, 1), now=NOW)
    assert encoded(edited(review, 1)) in [v.read_bytes() for v in kept.kept_versions(path)]


@pytest.mark.parametrize("writes", [0, 1])
def test_on_a_full_disk_the_earlier_file_is_whole_and_saving_again_works(
    writes, stored, path, review
):
    before = path.read_bytes()
    with pytest.raises(WriteFailed, match="full"):
        write_document(stored, edited(review, 1), now=NOW, disk=FullDisk(writes))
    assert path.read_bytes() == before
    assert kept.kept_versions(path) == []
    after = write_document(stored, edited(review, 1), now=NOW)
    assert read_document(Review, path) == after


def test_a_version_too_many_that_cannot_be_deleted_is_no_failed_save(stored, path, review):
    class NothingGoes(Disk):
        def remove(self, path):
            raise OSError(errno.EACCES, "Permission denied")

    for number in range(12):
        later = NOW + timedelta(seconds=number)
        stored = write_document(
            stored, edited(stored.record, number), now=later, disk=NothingGoes()
        )
    assert read_document(Review, path) == stored
    assert len(kept.kept_versions(path)) == 12


def test_a_newer_minor_file_is_saved_with_its_number_and_fields(path, review):
    data = {**json.loads(encoded(review)), "version": "1.7", "weather": "rain"}
    path.write_text(json.dumps(data), encoding="utf-8")
    read = read_document(Review, path)
    write_document(read, edited(read.record, 1), now=NOW)
    written = json.loads(path.read_text(encoding="utf-8"))
    assert (written["version"], written["weather"]) == ("1.7", "rain")
    assert len(written["remarks"]) == len(data["remarks"]) + 1


def test_a_guide_whose_parts_do_not_fit_together_is_refused_with_its_place(guide, tmp_path):
    data = json.loads(encoded(guide))
    data["steps"][1]["parent"] = "nowhere"
    path = tmp_path / "guide.json"
    path.write_text(json.dumps(data), encoding="utf-8")
    with pytest.raises(DocumentBroken, match="steps/1/parent") as caught:
        read_guide(path)
    assert caught.value.path == str(path)


def test_a_good_guide_reads(guide, tmp_path):
    path = tmp_path / "guide.json"
    path.write_bytes(encoded(guide))
    assert read_guide(path).record == guide


def test_a_case_is_written_like_a_review(case, tmp_path):
    path = tmp_path / "case.json"
    stored = write_document(Stored(path, case, None), case, now=NOW)
    write_document(stored, case.changed(eye="left"), now=NOW)
    assert read_document(Case, path).record.eye == "left"
    assert len(kept.kept_versions(path)) == 1
