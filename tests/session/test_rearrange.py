"""Parts of a case in another order: the number burnt into the pictures is the truth."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from aftercase.document.folder import new_review, write_review
from aftercase.errors import EditRefused, RecordingMissing, ReviewClosed
from aftercase.media.stills import png_bytes
from aftercase.model.base import NewId
from aftercase.model.review import Remark, Review, StepSpan
from aftercase.session.films import open_films
from aftercase.session.opened import OpenedCase, open_case
from aftercase.session.places import Places
from aftercase.session.tasks.create import Wanted, new_case
from aftercase.session.tasks.rearrange import rearrange_parts

Films = Callable[..., Path]


@pytest.fixture
def case(tmp_path: Path, film_maker: Films, at: Places, new_id: NewId) -> Path:
    """A case of two parts in the wrong order: frames 10 to 19, then 0 to 9, a draft over both."""
    films = (film_maker("R_2.MP4", 10, first=10), film_maker("R_1.MP4", 10))
    opened = new_case(tmp_path / "c", Wanted("C1", "cataract-phaco", films=films), at, new_id)
    remarks = tuple(
        Remark(id=new_id(), at_us=us, kind="question", text=str(number))
        for us, number in ((0, 10), (360_000, 19), (400_000, 0), (520_000, 3))
    )
    step = StepSpan(id=new_id(), step="incision", start_us=400_000, end_us=800_000)
    write(opened, Review(id=new_id(), case=opened.case.id, reviewer="T01", role="teacher",
                         remarks=remarks, steps=(step,)))  # fmt: skip
    return opened.folder.path


def write(opened: OpenedCase, review: Review) -> None:
    write_review(opened.folder, new_review(opened.folder, review), review)


def numbers_at_marks(
    opened: OpenedCase, at: Places, read_number: Callable[[bytes], int]
) -> dict[str, int]:
    """Read the number in the picture each remark was made on; its text says what it should be."""
    (stored,) = opened.reviews
    with open_films(opened, at) as recording:
        return {
            remark.text: read_number(png_bytes(recording.picture_at(remark.at_us).pixels))
            for remark in stored.record.remarks
        }


def test_marks_stay_on_their_pictures(
    case: Path, at: Places, new_id: NewId, read_number: Callable[[bytes], int]
) -> None:
    before = numbers_at_marks(open_case(case, at), at, read_number)
    done = rearrange_parts(case, (2, 1), (), at, new_id)
    opened = open_case(case, at)
    assert [part.path for part in opened.case.parts] == ["R_1.MP4", "R_2.MP4"]
    assert opened.case == done.case
    assert done.reviewers == ("T01",)
    after = numbers_at_marks(opened, at, read_number)
    assert after == before == {"10": 10, "19": 19, "0": 0, "3": 3}
    (step,) = opened.reviews[0].record.steps
    assert (step.start_us, step.end_us) == (0, 400_000)


def test_a_missing_part_is_added_at_its_place(
    case: Path, film_maker: Films, at: Places, new_id: NewId, read_number: Callable[[bytes], int]
) -> None:
    between = film_maker("R_1b.MP4", 15, first=100)
    done = rearrange_parts(case, (2, 3, 1), (between,), at, new_id)
    assert [part.end_us for part in done.case.parts] == [400_000, 1_000_000, 1_400_000]
    opened = open_case(case, at)
    assert numbers_at_marks(opened, at, read_number)["19"] == 19
    with open_films(opened, at) as recording:
        picture = png_bytes(recording.picture_at(400_000).pixels)
    assert read_number(picture) == 100


def files_of(case: Path, at: Places) -> dict[Path, bytes]:
    files = [case / "case.json", *at.drafts.rglob("*.r1.json"), *case.glob("reviews/*")]
    return {path: path.read_bytes() for path in files}


@pytest.mark.parametrize("order", [(1,), (1, 1), (1, 3), (1, 2, 3)])
def test_an_order_that_leaves_out_or_repeats_a_part_is_refused(
    case: Path, at: Places, new_id: NewId, order: tuple[int, ...]
) -> None:
    before = files_of(case, at)
    with pytest.raises(EditRefused, match="no order of 2 parts"):
        rearrange_parts(case, order, (), at, new_id)
    assert files_of(case, at) == before


def test_a_span_over_the_joint_keeps_everything_as_it_was(
    case: Path, at: Places, new_id: NewId
) -> None:
    opened = open_case(case, at)
    step = StepSpan(id=new_id(), step="incision", start_us=200_000, end_us=500_000)
    write(opened, Review(id=new_id(), case=opened.case.id, reviewer="T02", role="teacher",
                         steps=(step,)))  # fmt: skip
    before = files_of(case, at)
    with pytest.raises(EditRefused, match="come apart"):
        rearrange_parts(case, (2, 1), (), at, new_id)
    assert files_of(case, at) == before


def test_a_sealed_review_refuses_the_move_and_says_what_to_do(
    case: Path, at: Places, new_id: NewId
) -> None:
    opened = open_case(case, at)
    write(opened, Review(id=new_id(), case=opened.case.id, reviewer="T02", role="teacher",
                         state="sealed"))  # fmt: skip
    before = files_of(case, at)
    with pytest.raises(ReviewClosed, match="T02") as told:
        rearrange_parts(case, (2, 1), (), at, new_id)
    assert "new case" in told.value.hint
    assert files_of(case, at) == before


def test_frames_are_needed_so_every_film_must_be_at_hand(
    case: Path, tmp_path: Path, at: Places, new_id: NewId
) -> None:
    (tmp_path / "R_1.MP4").unlink()
    with pytest.raises(RecordingMissing, match=r"R_1\.MP4"):
        rearrange_parts(case, (2, 1), (), at, new_id)


def test_a_case_without_film_has_no_parts_to_move(
    tmp_path: Path, at: Places, new_id: NewId
) -> None:
    new_case(tmp_path / "d", Wanted("C2", "cataract-phaco", duration_us=9), at, new_id)
    with pytest.raises(EditRefused, match="no film"):
        rearrange_parts(tmp_path / "d", (1,), (), at, new_id)


def test_earlier_versions_are_kept(case: Path, at: Places, new_id: NewId) -> None:
    rearrange_parts(case, (2, 1), (), at, new_id)
    assert len(list((case / "earlier").glob("case*.json"))) == 1
