"""What a case keeps of how its films are shown, against the ffmpeg program's own turning."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from tests.turned_films import DISPLAYS, shown_by_program, turned_film, without_first_picture

from aftercase.document.files import write_document
from aftercase.model.base import NewId
from aftercase.session.opened import OpenedCase, open_case
from aftercase.session.places import Places
from aftercase.session.tasks.create import Wanted, new_case
from aftercase.session.tasks.rearrange import rearrange_parts


def kept(opened: OpenedCase) -> list[tuple[int | None, bool]]:
    return [(part.shown_turn_deg, part.shown_mirrored) for part in opened.case.parts]


def case_of(folder: Path, films: tuple[Path, ...], at: Places, new_id: NewId) -> OpenedCase:
    return new_case(folder, Wanted("C1", "cataract-phaco", films=films), at, new_id)


def way_of_program(film: Path) -> tuple[int, bool]:
    """Return which of the eight ways makes the program's picture of the one that is not turned."""
    plain, turned = shown_by_program(film, turned=False), shown_by_program(film)
    ways = {
        (turn_deg, mirrored): np.rot90(np.fliplr(plain) if mirrored else plain, turn_deg // 90)
        for turn_deg, mirrored in DISPLAYS
    }
    return min(
        (way for way, made in ways.items() if made.shape == turned.shape),
        key=lambda way: np.abs(ways[way] - turned).mean(),
    )


@pytest.mark.parametrize(("turn_deg", "mirrored"), DISPLAYS)
def test_a_case_keeps_the_turn_and_mirror_by_which_a_film_is_shown(
    tmp_path: Path, at: Places, new_id: NewId, turn_deg: int, mirrored: bool
) -> None:
    film = turned_film(tmp_path / "a.mp4", turn_deg, mirrored=mirrored)
    opened = case_of(tmp_path / "c", (film,), at, new_id)
    assert kept(opened) == [way_of_program(film)] == [(turn_deg, mirrored)]


def test_each_part_has_its_own_and_an_added_one_too(
    tmp_path: Path, at: Places, new_id: NewId
) -> None:
    films = [
        turned_film(tmp_path / f"{name}.mp4", turn_deg, mirrored=mirrored)
        for name, turn_deg, mirrored in (("a", 90, False), ("b", 0, True), ("c", 180, False))
    ]
    opened = case_of(tmp_path / "c", (films[0], films[1]), at, new_id)
    assert kept(opened) == [(90, False), (0, True)]
    rearrange_parts(opened.folder.path, (3, 2, 1), (films[2],), at, new_id)
    assert kept(open_case(opened.folder.path, at)) == [(180, False), (0, True), (90, False)]


def test_a_case_made_before_it_was_kept_gets_it_when_its_parts_are_sorted_again(
    tmp_path: Path, at: Places, new_id: NewId
) -> None:
    film = turned_film(tmp_path / "a.mp4", 270, mirrored=True)
    opened = case_of(tmp_path / "c", (film,), at, new_id)
    [part] = opened.case.parts
    older = part.changed(shown_turn_deg=None, shown_mirrored=False)
    write_document(opened.stored_case, opened.case.changed(parts=(older,)))
    rearrange_parts(opened.folder.path, (1,), (), at, new_id)
    assert kept(open_case(opened.folder.path, at)) == [(270, True)]


def test_what_was_kept_stays_when_parts_are_sorted_again(
    tmp_path: Path, at: Places, new_id: NewId
) -> None:
    opened = case_of(tmp_path / "c", (turned_film(tmp_path / "a.mp4", 90, mirrored=False),), at,
                     new_id)  # fmt: skip
    [part] = opened.case.parts
    write_document(opened.stored_case, opened.case.changed(
        parts=(part.changed(shown_turn_deg=180),)))  # fmt: skip
    rearrange_parts(opened.folder.path, (1,), (), at, new_id)
    assert kept(open_case(opened.folder.path, at)) == [(180, False)]


def test_where_the_first_frame_is_lost_the_first_that_can_be_shown_tells(
    tmp_path: Path, at: Places, new_id: NewId
) -> None:
    film = without_first_picture(turned_film(tmp_path / "a.mp4", 90, mirrored=True))
    assert kept(case_of(tmp_path / "c", (film,), at, new_id)) == [(90, True)]
