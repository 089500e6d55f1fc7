"""The still on the start page: from inside the case, and only after a person looked."""

from __future__ import annotations

import io

import numpy as np
import pytest
from PIL import Image

from aftercase.document.files import write_document
from aftercase.edit.header import change_header
from aftercase.model.case import Mask, Window
from aftercase.session.opened import open_case
from aftercase.session.rendition import SIDE_PX, make_still_for_start, still_for_start
from aftercase.session.tasks.create import Wanted, new_case

FRAME_US = 40_000


@pytest.fixture
def case(tmp_path, film, at, new_id):
    """A case of fifty numbered frames at 25 a second; returns its folder."""
    return new_case(
        tmp_path / "c", Wanted("C1", "cataract-phaco", films=(film,)), at, new_id
    ).folder.path


@pytest.fixture
def say(at):
    def change(path, **fields):
        opened = open_case(path, at)
        write_document(opened.stored_case, change_header(opened.case, **fields))

    return change


def kept(path):
    return sorted((path / "cache").glob("start-*.jpg"))


def shown(path, at):
    return still_for_start(open_case(path, at), at)


def test_nothing_is_shown_or_made_before_somebody_looked_for_an_identity(case, at):
    assert shown(case, at) is None
    assert make_still_for_start(case, at) is None
    assert kept(case) == []


def test_the_still_is_the_middle_of_the_case_and_is_kept(case, at, say, read_number):
    say(case, identity_checked_by="T01")
    assert shown(case, at) is None
    still = make_still_for_start(case, at)
    assert read_number(still) == 25  # 50 frames: the one shown at half of two seconds
    assert shown(case, at) == still
    [file] = kept(case)
    assert file.read_bytes() == still
    assert make_still_for_start(case, at) == still


def test_a_check_that_was_taken_back_hides_the_still_at_once(case, at, say):
    say(case, identity_checked_by="T01")
    make_still_for_start(case, at)
    say(case, identity_checked_by=None)
    assert shown(case, at) is None
    assert make_still_for_start(case, at) is None


def test_another_stretch_of_the_film_has_another_still(case, at, say, read_number):
    say(case, identity_checked_by="T01")
    make_still_for_start(case, at)
    say(case, window=Window(start_us=0, end_us=10 * FRAME_US))
    assert shown(case, at) is None
    assert read_number(make_still_for_start(case, at)) == 5
    assert len(kept(case)) == 1  # the one before is gone
    say(case, trim=Window(start_us=6 * FRAME_US, end_us=10 * FRAME_US))
    assert read_number(make_still_for_start(case, at)) == 8


def test_a_stretch_of_one_frame_shows_that_frame(case, at, say, read_number):
    say(case, identity_checked_by="T01", window=Window(start_us=7 * FRAME_US, end_us=8 * FRAME_US))
    assert read_number(make_still_for_start(case, at)) == 7


def test_a_stretch_that_cuts_every_frame_shows_none(case, at, say):
    inside = Window(start_us=7 * FRAME_US + 1, end_us=8 * FRAME_US)
    say(case, identity_checked_by="T01", window=inside)
    assert make_still_for_start(case, at) is None


def test_masks_lie_on_it_and_a_new_mask_makes_it_anew(case, at, say, new_id):
    say(case, identity_checked_by="T01")
    bare = make_still_for_start(case, at)
    mask = Mask(
        id=new_id(), start_us=0, end_us=50 * FRAME_US, left=0.0, top=0.0, right=1.0, bottom=0.5
    )
    say(case, masks=(mask,))
    assert shown(case, at) is None
    grey = np.asarray(Image.open(io.BytesIO(make_still_for_start(case, at))).convert("L"))
    assert grey[: grey.shape[0] // 2 - 8].max() < 16
    assert grey[grey.shape[0] // 2 + 8 :].mean() > 100
    say(case, masks=())
    assert make_still_for_start(case, at) == bare


def test_a_case_without_film_or_with_its_film_unplugged_has_none(case, at, say, case_of, film):
    say(case, identity_checked_by="T01")
    film.rename(film.with_name("away.MP4"))
    assert make_still_for_start(case, at) is None
    assert make_still_for_start(case_of(identity_checked_by="T01"), at) is None


def test_a_large_picture_becomes_a_small_still(tmp_path, at, new_id, film_maker, monkeypatch):
    film = film_maker("WIDE.MP4", 3)
    monkeypatch.setattr("aftercase.session.rendition.SIDE_PX", 64)
    wanted = Wanted("C2", "cataract-phaco", films=(film,), header={"identity_checked_by": "T01"})
    path = new_case(tmp_path / "wide", wanted, at, new_id).folder.path
    assert max(Image.open(io.BytesIO(make_still_for_start(path, at))).size) == 64
    assert SIDE_PX == 320
