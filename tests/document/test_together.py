"""Two lists of copied films stand for documents that only make sense together."""

from __future__ import annotations

import errno
from pathlib import Path

import pytest

from aftercase.document.files import Stored, read_document
from aftercase.document.together import write_together
from aftercase.errors import DocumentChanged, WriteFailed
from aftercase.model.intake import IntakeList
from aftercase.storage import Disk


@pytest.fixture
def two(tmp_path: Path) -> list[Stored[IntakeList]]:
    found = []
    for name in ("a", "b"):
        path = tmp_path / name / f"{name}.json"
        path.parent.mkdir()
        path.write_text(
            f'{{"format": "aftercase/intake", "version": "1.0", "code": "{name}"}}', "utf-8"
        )
        found.append(read_document(IntakeList, path))
    return found


def changes(two: list[Stored[IntakeList]]) -> list[tuple[Stored[IntakeList], IntakeList]]:
    return [(stored, stored.record.changed(code=f"{stored.record.code}2")) for stored in two]


def codes(two: list[Stored[IntakeList]]) -> list[str]:
    return [read_document(IntakeList, stored.path).record.code for stored in two]


def test_nothing_is_written_of_nothing() -> None:
    write_together([])


def test_all_are_written_and_what_they_were_is_kept(two: list[Stored[IntakeList]]) -> None:
    write_together(changes(two))
    assert codes(two) == ["a2", "b2"]
    for stored in two:
        (kept,) = (stored.path.parent / "earlier").glob("*.json")
        assert read_document(IntakeList, kept).record == stored.record


def test_none_is_written_where_one_changed_meanwhile(two: list[Stored[IntakeList]]) -> None:
    content = two[1].path.read_text("utf-8")
    two[1].path.write_text(content.replace('"b"', '"theirs"'), "utf-8")
    with pytest.raises(DocumentChanged) as told:
        write_together(changes(two))
    assert told.value.path == str(two[1].path)
    assert codes(two) == ["a", "theirs"]


def test_none_is_written_where_one_is_gone(two: list[Stored[IntakeList]]) -> None:
    two[0].path.unlink()
    with pytest.raises(DocumentChanged):
        write_together(changes(two))
    assert read_document(IntakeList, two[1].path).record.code == "b"


@pytest.mark.parametrize("last", range(4))
def test_a_disk_that_fails_at_any_of_the_replacements_leaves_both_as_they_were(
    two: list[Stored[IntakeList]], last: int
) -> None:
    class Failing(Disk):
        left = last

        def replace(self, source: Path, target: Path) -> None:
            if self.left == 0:
                self.left = -1  # taking back works again
                raise OSError(errno.ENOSPC, "No space left on device")
            self.left -= 1
            super().replace(source, target)

    with pytest.raises(WriteFailed):
        write_together(changes(two), disk=Failing())
    assert codes(two) == ["a", "b"]
