"""A resident goes through a released review, moment by moment, by keys."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from PyQt6.QtWidgets import QLabel, QWidget

from aftercase.gui.review.remark_rows import RemarkRow
from aftercase.gui.window import Window
from aftercase.model.review import Review
from aftercase.session.desk import Desk

Press = Callable[..., None]
Until = Callable[..., None]

LEAD_US = 3_000_000


def desk_of(window: Window) -> Desk:
    assert window.desk is not None
    return window.desk


def sides(window: Window):
    return window._bench.replay


def words(place: QWidget) -> str:
    return "\n".join(one.text() for one in place.findChildren(QLabel) if one.isVisible())


def said(window: Window) -> str:
    return words(sides(window).right)


def rows(window: Window) -> tuple[RemarkRow, ...]:
    return sides(window).left.rows


def played_us(window: Window) -> tuple[int, int]:
    """The stretch that plays."""
    played = window.player._range.played_us
    return int(played[0]), int(played[1])


def test_without_a_released_review_it_says_so(
    enter: Callable[..., Window], case_of: Callable[..., Path]
) -> None:
    window = enter(case_of(trainee="R07"))
    assert "Nothing is released for this case yet" in said(window)
    assert rows(window) == ()


@pytest.mark.parametrize("state", ["draft", "sealed"])
def test_what_is_not_released_is_not_shown(
    enter: Callable[..., Window],
    case_of: Callable[..., Path],
    write: Callable[..., Review],
    teachers_words: dict,
    state: str,
) -> None:
    path = case_of(trainee="R07")
    write(path, "T01", state=state, **teachers_words)
    assert rows(enter(path)) == ()


def test_the_moments_stand_in_the_order_of_the_film(room: Window) -> None:
    texts = [row.text for row in rows(room)]
    assert texts == [
        "calm hands",
        "the flap is held too far from the tear",
        "why a second grip here?",
        "lower the bottle",
    ]


def test_each_plays_from_three_seconds_before_to_its_end(room: Window, press: Press) -> None:
    player, stretches = room.player, []
    for _ in range(4):
        press(room, "Down")
        assert player.state == "playing"
        stretches.append(played_us(room))
    # a moment at 5 s, a span from 25 to 27 s, moments at 32 and 50 s; a moment lasts three seconds
    assert stretches == [
        (2_000_000, 8_000_000),
        (22_000_000, 27_000_000),
        (29_000_000, 35_000_000),
        (47_000_000, 53_000_000),
    ]
    press(room, "Up")
    assert played_us(room) == (29_000_000, 35_000_000)


def test_it_rests_on_the_last_frame_of_the_moment(room: Window, press: Press, until: Until) -> None:
    press(room, "Down", "Down")
    room.player.set_rate(2.0)
    until(lambda: room.player.state == "resting" and room.player.is_exact)
    assert room.player.at_us == 26_960_000  # 25 frames a second: the last one before 27 s


def test_a_moment_before_the_third_second_plays_from_the_start(
    enter: Callable[..., Window],
    case_of: Callable[..., Path],
    write: Callable[..., Review],
    teachers_words: dict,
    press: Press,
) -> None:
    path = case_of(trainee="R07")
    early = teachers_words["remarks"][0].changed(at_us=1_000_000)
    write(path, "T01", remarks=(early,))
    window = enter(path)
    press(window, "Down")
    assert played_us(window) == (0, 4_000_000)


def test_it_plays_again_over_and_over_and_slowly(room: Window, press: Press, until: Until) -> None:
    player = room.player
    press(room, "Down", "Down", "Shift+Space")
    assert player.is_looping
    assert played_us(room) == (22_000_000, 27_000_000)
    press(room, "Shift+Return")
    assert (player.rate, player.is_looping) == (0.25, False)
    assert played_us(room) == (22_000_000, 27_000_000)
    press(room, "Return")
    assert player.rate == 1.0
    press(room, "Left", "Right")
    until(lambda: player.is_exact)
    assert player.state == "resting"


def test_the_speed_of_the_review_room_comes_back_there(room: Window, press: Press) -> None:
    press(room, "Down", "Shift+Return", "Ctrl+2")
    assert room.player.rate == 1.0


def test_its_drawings_are_shown_from_their_frame_on_and_stay(
    room: Window, press: Press, until: Until
) -> None:
    player, film = room.player, room.film
    press(room, "Down", "Down")
    until(lambda: player.at_us >= 22_000_000)
    assert film._drawings == ()
    player.rest()
    for us, n_shown in ((24_960_000, 0), (25_000_000, 1), (26_000_000, 1)):
        player.go_to(us)
        until(lambda us=us: player.is_exact and desk_of(room).at_us == us)
        assert len(film._drawings) == n_shown
    [ring] = film._drawings
    assert (ring.shape, ring.colour) == ("ring", "sky")


def test_remark_kind_and_the_times_of_the_step_are_shown(room: Window, press: Press) -> None:
    press(room, "Down", "Down")
    shown = said(room)
    assert "- work on · 0:00:25" in shown
    assert "the flap is held too far from the tear" in shown
    assert "Why: the tear runs outward" in shown
    assert "Next time: take a new grip sooner" in shown
    assert "Capsulorhexis: 0:00:20 to 0:00:40, 0:00:20.000. Duration is not quality." in shown


def test_a_moment_outside_every_step_shows_no_times(room: Window, press: Press) -> None:
    press(room, "Down", "Down", "Down", "Down")
    assert "lower the bottle" in said(room)
    assert "Duration" not in said(room)


def test_only_the_starred_only_a_kind_only_a_step_and_all_again(room: Window, press: Press) -> None:
    def texts() -> list[str]:
        return [row.text.split()[0] for row in rows(room)]

    press(room, "F")
    assert texts() == ["calm", "the"]
    assert "Only: starred" in words(sides(room).left)
    press(room, "F")
    kinds = []
    for _ in range(4):
        press(room, "T")
        kinds.append(texts())
    assert kinds == [["calm"], ["the", "lower"], ["why"], ["calm", "the", "why", "lower"]]
    steps = []
    for _ in range(3):
        press(room, "S")
        steps.append(texts())
    assert steps == [["calm"], ["the", "why"], ["calm", "the", "why", "lower"]]
    assert "All moments" in words(sides(room).left)


def test_what_waits_is_played_first_after_the_list_changed(room: Window, press: Press) -> None:
    press(room, "Down", "Down", "S", "S", "Down")
    assert played_us(room) == (22_000_000, 27_000_000)


def test_the_strip_shows_the_replayed_review_and_changes_nothing_of_it(
    room: Window, press: Press
) -> None:
    desk = desk_of(room)
    assert [span.step for span in desk.shown_review.steps] == ["side-port", "capsulorhexis"]
    assert room.strip._review is desk.shown_review
    assert not room.strip.is_editable
    assert not room._bench.clock_bar._next.isVisible()
    press(room, "Ctrl+2")
    assert room.strip._review is desk.shown_review is desk.review
    assert room.strip.is_editable


def test_the_next_and_previous_mark_are_those_of_the_replayed_review(
    room: Window, press: Press, until: Until
) -> None:
    went = []
    for key in ("PgDown", "PgDown", "PgUp"):
        press(room, key)
        until(lambda: room.player.is_exact and desk_of(room).at_us == room.player.at_us)
        went.append(room.player.at_us)
    assert went == [2_000_000, 5_000_000, 2_000_000]


def test_a_row_that_is_clicked_plays(room: Window, qtbot) -> None:
    from PyQt6.QtCore import Qt

    shown = sides(room).left._list
    place = shown.visualItemRect(shown.item(2)).center()
    qtbot.mouseClick(shown.viewport(), Qt.MouseButton.LeftButton, pos=place)
    assert played_us(room) == (29_000_000, 35_000_000)


def test_the_second_teachers_review_is_chosen_from_the_list(
    enter: Callable[..., Window],
    reviewed: Path,
    write: Callable[..., Review],
    teachers_words: dict,
) -> None:
    theirs = teachers_words["remarks"][0].changed(text="steady microscope")
    write(reviewed, "T02", "second-teacher", remarks=(theirs,))
    window = enter(reviewed)
    whose = sides(window).left._whose
    assert [whose.itemText(place) for place in range(whose.count())] == [
        "T01, teacher, revision 1",
        "T02, second teacher, revision 1",
    ]
    whose.setCurrentIndex(1)
    whose.activated.emit(1)
    assert [row.text for row in rows(window)] == ["steady microscope"]
    assert sides(window).review.reviewer == "T02"
