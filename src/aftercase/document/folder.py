"""The case folder: where its header, guide, reviews and derived files lie."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Final

from aftercase import storage
from aftercase.document.codec import encoded
from aftercase.document.files import (
    Stored,
    mine_set_aside,
    read_document,
    read_guide,
    write_document,
)
from aftercase.errors import AlreadyThere, DocumentMissing, ReviewClosed
from aftercase.model.case import Case
from aftercase.model.guide import Guide
from aftercase.model.review import Review

CASE_FILE: Final = "case.json"
GUIDE_FILE: Final = "guide.json"
REVIEWS: Final = "reviews"
CACHE: Final = "cache"

_REVIEW_NAME = re.compile(r"(.+)\.r(\d{1,6})\.json", re.ASCII)


@dataclass(frozen=True)
class CaseFolder:
    """A case's folder, and the private folder its drafts lie in on this computer.

    Attributes:
        path: The case folder, which may be shared.
        drafts: The private folder of drafts of all cases.
    """

    path: Path
    drafts: Path

    @property
    def case_file(self) -> Path:
        """The header's file."""
        return self.path / CASE_FILE

    @property
    def guide_file(self) -> Path:
        """The case's copy of its guide."""
        return self.path / GUIDE_FILE

    def closed_file(self, reviewer: str, revision: int) -> Path:
        """Return where a sealed or released review lies."""
        return self.path / REVIEWS / f"{reviewer}.r{revision}.json"

    def draft_file(self, case_id: str, reviewer: str, revision: int) -> Path:
        """Return where a draft lies: with its reviewer, not in the case folder."""
        return self.drafts / case_id / f"{reviewer}.r{revision}.json"


def read_case(folder: CaseFolder) -> Stored[Case]:
    """Read the header.

    Raises:
        DocumentMissing: The folder is no case folder.
        DocumentBroken: The header cannot be read.
        DocumentTooNew: It was written by a newer program.
    """
    if not folder.case_file.is_file():
        raise DocumentMissing(
            "This is no case folder: it has no case.json.",
            hint="Give the folder of a case, or make one with “aftercase new”.",
            path=folder.path,
        )
    return read_document(Case, folder.case_file)


def read_case_guide(folder: CaseFolder) -> Stored[Guide]:
    """Read the case's own copy of its guide.

    Raises:
        DocumentMissing: The copy is gone.
        DocumentBroken: It is broken; place and fault are named.
    """
    return read_guide(folder.guide_file)


def create_case(
    folder: CaseFolder, case: Case, guide: Guide, *, disk: storage.Disk = storage.DISK
) -> Stored[Case]:
    """Make a case folder with header and guide.

    Raises:
        AlreadyThere: There is a case in that folder.
        WriteFailed: The disk is full, read-only or gone; no half case is left.
    """
    content = encoded(case)
    with storage.locked(folder.path, disk=disk):
        if folder.case_file.exists():
            raise AlreadyThere(
                "There is a case in this folder already.",
                hint="Give a new folder.",
                path=folder.path,
            )
        storage.write_all({folder.guide_file: encoded(guide), folder.case_file: content}, disk=disk)
    return Stored(folder.case_file, case, storage.digest_of(content))


def review_files(folder: CaseFolder, case_id: str) -> list[Path]:
    """Return the files of all reviews that can be read here, by reviewer and revision.

    A draft on this computer stands behind the closed reviews of the same person.
    """
    places = (folder.path / REVIEWS, folder.drafts / case_id)
    return [path for place in places for path in sorted(_reviews_in(place), key=_name_key)]


def read_reviews(folder: CaseFolder, case_id: str) -> list[Stored[Review]]:
    """Read all reviews that can be read here.

    Raises:
        DocumentBroken: One of them cannot be read; place and fault are named.
        DocumentTooNew: One was written by a newer program.
    """
    return [read_document(Review, path) for path in review_files(folder, case_id)]


def latest_of(reviews: list[Stored[Review]], reviewer: str) -> Stored[Review] | None:
    """Return a person's latest revision; of a draft and a closed one the closed wins."""
    own = [stored for stored in reviews if stored.record.reviewer == reviewer]
    return max(own, key=_rank, default=None)


def write_review(
    folder: CaseFolder,
    stored: Stored[Review],
    review: Review,
    *,
    now: datetime | None = None,
    disk: storage.Disk = storage.DISK,
) -> Stored[Review]:
    """Write a review where it belongs: a draft privately, a closed one into the case folder.

    Args:
        folder: The case folder.
        stored: The draft as it was read or last written; where it is a closed review, `review`
            is the next revision, and the closed one stays as it is.
        review: What it says now.
        now: The present, for naming kept versions.
        disk: The disk's calls.

    Raises:
        ReviewClosed: This revision is closed; closed reviews are never written again.
        DocumentChanged: The draft changed on disk; it is untouched.
        WriteFailed: The disk is full, read-only or gone.
    """
    target = folder.closed_file(review.reviewer, review.revision)
    if target.exists():
        raise ReviewClosed(
            "This review is closed and is not written again.",
            hint="Make a correction: a new revision that keeps this one.",
            path=target,
        )
    draft = stored if stored.record.state == "draft" else new_review(folder, review)
    if review.state == "draft":
        return write_document(draft, review, now=now, disk=disk)
    content = encoded(review)
    with mine_set_aside(draft.path, content, now or datetime.now(UTC), disk):
        digest = storage.move_if_same(
            draft.path, target, content, expected_digest=draft.digest, disk=disk
        )
    return Stored(target, review, digest)


def new_review(folder: CaseFolder, review: Review) -> Stored[Review]:
    """Return a draft that is not on disk yet."""
    path = folder.draft_file(review.case, review.reviewer, review.revision)
    return Stored(path, review, None)


def _reviews_in(folder: Path) -> list[Path]:
    if not folder.is_dir():
        return []
    return [path for path in folder.iterdir() if _REVIEW_NAME.fullmatch(path.name)]


def _name_key(path: Path) -> tuple[str, int]:
    match = _REVIEW_NAME.fullmatch(path.name)
    return (match.group(1), int(match.group(2))) if match else (path.name, 0)


def _rank(stored: Stored[Review]) -> tuple[int, bool]:
    return stored.record.revision, stored.record.state != "draft"
