"""A hand on the strip, and what it does to the review on the desk."""

from __future__ import annotations

import itertools
from types import SimpleNamespace

import pytest

from aftercase.document.folder import new_review
from aftercase.edit.records import add
from aftercase.gui.stripdesk import StripDesk
from aftercase.media.frameclock import FrameClock
from aftercase.model.review import Event, Review, StepSpan
from aftercase.session.desk import Desk
from aftercase.session.places import places
from aftercase.session.settings import Settings
from aftercase.session.tasks.create import Wanted, new_case

END_US = 100_000_000


@pytest.fixture
def player():
    went = []
    return SimpleNamespace(
        went=went,
        go_to=lambda us, *, dragging=False: went.append((us, dragging)),
        loop=lambda start_us, end_us: went.append(("loop", start_us, end_us)),
    )


@pytest.fixture
def desk(tmp_path, by_hand):
    numbers = itertools.count()

    def new_id():
        return f"{next(numbers):026d}"

    wanted = Wanted("case-1", "cataract-phaco", duration_us=END_US)
    opened = new_case(tmp_path / "case-1", wanted, places(), new_id)
    review = Review(id=new_id(), case=opened.case.id, reviewer="T01")
    for name, record in (
        ("steps", StepSpan(**by_hand.span("first", 10, 20, step="main-wound"))),
        ("steps", StepSpan(**by_hand.span("second", 20, 60, step="capsulorhexis"))),
        ("events", Event(**by_hand.at("event", 80, kind="regrab"))),
    ):
        review = add(review, name, record)
    stored = new_review(opened.folder, review)
    made = Desk(opened, stored, FrameClock.without_film(END_US), new_id, Settings())
    yield made
    made.close()


@pytest.fixture
def on_desk(strip, desk, player):
    wiring = StripDesk(SimpleNamespace(player=player), desk, strip)
    strip.open_up()
    yield wiring
    wiring.stop()


def times_of(desk, by_hand, *names):
    records = [desk.record(by_hand.id(name)) for name in names]
    return [(record.start_us, record.end_us) for record in records]


def test_a_dragged_border_moves_both_steps_and_is_undone_as_one(
    on_desk, desk, hand, player, by_hand
):  # fmt: skip
    begin = hand.point("steps", 20)
    ways = [hand.point("steps", second) for second in (22, 24, 26, 28)]
    hand.drag(begin, *ways)
    assert times_of(desk, by_hand, "first", "second") == [
        (10_000_000, 28_000_000), (28_000_000, 60_000_000)
    ]  # fmt: skip
    assert player.went[-1][1] is False
    desk.undo()
    assert times_of(desk, by_hand, "first", "second") == [
        (10_000_000, 20_000_000), (20_000_000, 60_000_000)
    ]  # fmt: skip


def test_a_dragged_edge_goes_on_by_a_frame_though_the_review_changes_under_it(
    on_desk, desk, hand, strip, by_hand
):  # fmt: skip
    strip.show_stretch(59_800_000, 60_200_000)
    begin = hand.point("steps", 60)
    px = 40_000 / strip.us_per_px
    hand.press(begin)
    for n_frames in (1, 2, 3):
        hand.move(begin + (hand.point("steps", 60, by_px=n_frames * px) - begin))
        assert times_of(desk, by_hand, "second") == [(20_000_000, 60_000_000 + n_frames * 40_000)]
    hand.release(hand.point("steps", 60, by_px=3 * px))


def test_two_drags_are_undone_one_by_one(on_desk, desk, hand, by_hand):
    for begin_s, end_s in ((60, 65), (65, 70)):
        hand.drag(hand.point("steps", begin_s), hand.point("steps", end_s))
    assert times_of(desk, by_hand, "second") == [(20_000_000, 70_000_000)]
    desk.undo()
    assert times_of(desk, by_hand, "second") == [(20_000_000, 65_000_000)]


def test_a_moved_event_lies_on_its_new_frame(on_desk, desk, hand, by_hand):
    desk.select(by_hand.id("event"))
    hand.drag(hand.point("events", 80), hand.point("events", 85))
    assert desk.record(by_hand.id("event")).at_us == 85_000_000


def test_what_is_clicked_is_selected_on_the_desk_and_shown_so(on_desk, desk, strip, hand, by_hand):
    hand.click(hand.point("steps", 40))
    assert desk.selection == (by_hand.id("second"),)
    assert strip.selected == {by_hand.id("second")}


def test_the_stretch_is_kept_on_the_desk(on_desk, desk, strip):
    strip.zoom_by(0.5, 40_000_000)
    assert desk.strip_us == strip.stretch_us
    desk.show_stretch(10_000_000, 20_000_000)
    assert strip.stretch_us == (10_000_000, 20_000_000)
