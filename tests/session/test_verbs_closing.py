"""Sealing and releasing on the desk."""

from __future__ import annotations

import pytest

from aftercase.media.frameclock import FrameClock
from aftercase.session.desk import Desk
from aftercase.session.opened import draft_of, open_case
from aftercase.session.settings import Settings
from aftercase.session.verbs import closing


@pytest.fixture
def desk_of(case_of, at, new_id):
    desks = []

    def make(reviewer):
        opened = open_case(case_of(), at)
        stored = draft_of(opened, reviewer, "teacher", new_id)
        clock = FrameClock.without_film(60_000_000)
        desks.append(Desk(opened, stored, clock, new_id, Settings()))
        return desks[-1]

    yield make
    for desk in desks:
        desk.close()


@pytest.mark.parametrize("deed", [closing.seal_review, closing.release_review])
def test_nobody_in_particular_seals_nothing(deed, desk_of):
    desk = desk_of("me")
    assert not deed(desk)
    assert (desk.review.state, desk.words.tone) == ("draft", "refused")
    assert "who reviews" in desk.words.text


def test_a_review_is_sealed_released_and_corrected_each_keeping_what_was_before(desk_of, at):
    desk = desk_of("T01")
    for deed in (closing.seal_review, closing.release_review, closing.correct_review):
        assert desk.hand.wait_until_saved(10.0).word == "saved"
        desk.saving_changed(desk.hand.saving)
        assert deed(desk)
    assert desk.close().word == "saved"
    reviews = open_case(desk.opened.folder.path, at).reviews
    assert [(one.record.revision, one.record.state) for one in reviews] == [
        (1, "sealed"),
        (2, "released"),
        (3, "draft"),
    ]
