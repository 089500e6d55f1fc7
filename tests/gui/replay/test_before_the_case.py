"""Before the next case one key shows goal and moment, in under a minute."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from PyQt6.QtWidgets import QLabel

from aftercase.gui.window import Window
from aftercase.model.review import Closing, Remark, Review

Press = Callable[..., None]
MINUTE_US = 60_000_000


def said(window: Window) -> str:
    panel = window._bench.replay.right
    return "\n".join(one.text() for one in panel.findChildren(QLabel) if one.isVisible())


def rows(window: Window) -> list[str]:
    return [row.text for row in window._bench.replay.left.rows]


def played_us(window: Window) -> tuple[int, int]:
    return tuple(map(int, window.player._range.played_us))


def test_one_key_shows_the_goal_and_plays_the_first_point(room: Window, press: Press) -> None:
    press(room, "M")
    assert "a new grip every two hours\nSeen when: the tear stays inside" in said(room)
    assert "the flap is held too far from the tear" in said(room)
    assert room.player.state == "playing"
    assert played_us(room) == (22_000_000, 27_000_000)
    assert rows(room) == ["the flap is held too far from the tear", "lower the bottle"]
    press(room, "Down")
    assert played_us(room) == (47_000_000, 53_000_000)


def test_the_same_key_shows_all_again(room: Window, press: Press) -> None:
    press(room, "M", "M")
    assert len(rows(room)) == 4
    assert "a new grip" not in said(room)


def test_without_chosen_points_the_starred_ones_to_work_on_are_shown(
    enter: Callable[..., Window],
    case_of: Callable[..., Path],
    write: Callable[..., Review],
    teachers_words: dict,
    press: Press,
) -> None:
    path = case_of(trainee="R07")
    write(path, "T01", **{**teachers_words, "closing": Closing(), "goals": ()})
    window = enter(path)
    press(window, "M")
    assert rows(window) == ["the flap is held too far from the tear"]
    assert "No goal was set." in said(window)


def test_three_long_moments_take_less_than_a_minute(
    enter: Callable[..., Window],
    case_of: Callable[..., Path],
    write: Callable[..., Review],
    press: Press,
) -> None:
    path = case_of(trainee="R07")
    remarks = tuple(
        Remark(
            id=f"long{n}".ljust(26, "x"),
            at_us=n * 40_000_000 + 5_000_000,
            end_us=n * 40_000_000 + 40_000_000,
            kind="work-on",
            text=f"point {n}",
        )
        for n in range(3)
    )
    points = tuple(remark.id for remark in remarks)
    write(path, "T01", remarks=remarks, closing=Closing(points=points))
    window = enter(path)
    press(window, "M")
    lengths_us = []
    for _ in range(3):
        start_us, end_us = played_us(window)
        lengths_us.append(end_us - start_us)
        press(window, "Down")
    assert 0 < sum(lengths_us) < MINUTE_US


def test_nothing_released_shows_nothing(
    enter: Callable[..., Window], case_of: Callable[..., Path], press: Press
) -> None:
    window = enter(case_of(trainee="R07"))
    press(window, "M")
    assert "Nothing is released" in said(window)
    assert window.player.state == "resting"
