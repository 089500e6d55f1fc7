"""Where somebody was in a case, kept and found again."""

from __future__ import annotations

import pytest

from aftercase.edit.records import add
from aftercase.media.frameclock import FrameClock
from aftercase.model.review import Remark
from aftercase.session.desk import Desk
from aftercase.session.opened import draft_of
from aftercase.session.positions import Place, PlaceKeeper, Spot, kept_place, place_at
from aftercase.session.settings import Settings
from aftercase.session.tasks.create import Wanted, new_case

END_US = 60_000_000


@pytest.fixture
def desk_of(tmp_path, at, new_id):
    wanted = Wanted("C1", "cataract-phaco", duration_us=END_US)
    opened = new_case(tmp_path / "c", wanted, at, new_id)
    desks = []

    def desk(reviewer="T01"):
        stored = draft_of(opened, reviewer, "teacher", new_id)
        desks.append(Desk(opened, stored, FrameClock.without_film(END_US), new_id, Settings()))
        return desks[-1]

    yield desk
    for one in desks:
        one.close()


@pytest.fixture
def keeper(at):
    one = PlaceKeeper(at)
    yield one
    one.close()


def keep(at, desk, room="review", rate=1.0):
    keeper = PlaceKeeper(at)
    keeper.keep(desk, room, rate)
    keeper.close()


def file_of(at, desk):
    path = at.state / "positions" / desk.case.id / f"{desk.review.reviewer}.json"
    path.parent.mkdir(parents=True, exist_ok=True)
    return path


def test_at_first_nobody_was_anywhere(at, desk_of):
    assert kept_place(at, desk_of()) is None


def test_a_place_is_found_again_whole(at, desk_of, new_id):
    desk, chosen = desk_of(), (new_id(), new_id())
    desk.show_moment(12_000_000)
    desk.show_stretch(10_000_000, 20_000_000)
    desk.select(*chosen)
    keep(at, desk, "replay", 0.5)
    found = kept_place(at, desk_of())
    assert found == Place(12_000_000, (10_000_000, 20_000_000), chosen, "replay", 0.5)


def test_each_reviewer_has_a_place_of_their_own(at, desk_of):
    one, other = desk_of("T01"), desk_of("T02")
    one.show_moment(1_000_000)
    other.show_moment(2_000_000)
    keep(at, one)
    keep(at, other)
    assert kept_place(at, one).at_us == 1_000_000
    assert kept_place(at, other).at_us == 2_000_000


def test_of_many_places_the_last_is_kept(at, desk_of, keeper):
    desk = desk_of()
    for at_us in range(0, 2_000_000, 40_000):
        desk.show_moment(at_us)
        keeper.keep(desk, "review")
    keeper.close()
    assert kept_place(at, desk).at_us == 1_960_000


def test_a_case_left_on_the_start_page_opens_in_the_review_room(at, desk_of):
    desk = desk_of()
    keep(at, desk, "start")
    assert kept_place(at, desk).room == "review"


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"{",
        b"[]",
        b'{"at_us": "5"}',
        b'{"at_us": true}',
        b'{"at_us": -1}',
        b'{"at_us": 60000000}',
    ],
)
def test_what_is_no_place_in_this_case_is_none(content, at, desk_of):
    desk = desk_of()
    file_of(at, desk).write_bytes(content)
    assert kept_place(at, desk) is None


@pytest.mark.parametrize(
    "rest",
    [
        b"",
        b', "strip_us": [1], "selection": "x", "rate": "fast", "room": "hall"',
        b', "strip_us": [5, 5], "selection": [3], "rate": 0.0',
        b', "strip_us": [0, 60000001], "rate": 1e9',
        b', "strip_us": ["0", "9"]',
    ],
)
def test_what_cannot_be_used_of_a_place_is_as_at_first(rest, at, desk_of):
    desk = desk_of()
    file_of(at, desk).write_bytes(b'{"at_us": 40000' + rest + b"}")
    assert kept_place(at, desk) == Place(40_000, (0, END_US), (), "review", 1.0)


def test_a_spot_whose_record_is_gone_is_its_moment_with_nothing_selected(desk_of, new_id):
    place = place_at(desk_of(), Spot(new_id(), 7_000_000), None)
    assert place == Place(7_000_000, (0, END_US))


@pytest.mark.parametrize(("said_us", "at_us"), [(-5, 0), (END_US, END_US - 1)])
def test_a_spot_outside_the_case_is_its_edge(desk_of, new_id, said_us, at_us):
    assert place_at(desk_of(), Spot(new_id(), said_us), None).at_us == at_us


def test_a_spot_is_where_its_record_is_now_and_selects_it(desk_of, new_id):
    desk, remark_id = desk_of(), new_id()
    remark = Remark(id=remark_id, at_us=9_000_000)
    desk.edit(lambda review: add(review, "remarks", remark), "remark")
    kept = Place(1, (8_000_000, 10_000_000), ("other",), "replay", 0.5)
    place = place_at(desk, Spot(remark_id, 7_000_000), kept)
    assert place == Place(9_000_000, (8_000_000, 10_000_000), (remark_id,), "review", 0.5)


def test_a_stretch_that_does_not_hold_the_spot_becomes_the_whole(desk_of, new_id):
    kept = Place(1, (8_000_000, 10_000_000))
    assert place_at(desk_of(), Spot(new_id(), 10_000_000), kept).strip_us == (0, END_US)
