"""Goals of earlier cases: all of them in full above the remarks, until rated or put away."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from PyQt6.QtCore import Qt
from PyQt6.QtWidgets import QAbstractButton, QApplication, QLabel, QScrollArea, QWidget
from tests.gui.review.marks import record_id

from aftercase.gui.review.earlier_goals import EarlierGoals
from aftercase.gui.review.remarks_list import RemarksList
from aftercase.gui.theme import LIGHT, wear
from aftercase.session.verbs import closing

ACTS = (
    "Take a new grip before the tear runs outward, at the latest every two clock hours.",
    "Look at the pupil's edge before every new quadrant.",
    "Rest the second hand on the brow while the first one cuts.",
)


def goals(acts: tuple[str, ...] = ACTS, **fields: Any) -> list[dict[str, Any]]:
    return [
        {"id": record_id(f"g{place}"), "act": act, "from_case": "C7", **fields}
        for place, act in enumerate(acts)
    ]


def panel_of(whole: QWidget) -> EarlierGoals:
    found = whole.findChild(EarlierGoals)
    assert found is not None
    return found


def said(panel: EarlierGoals) -> list[str]:
    labels = panel.findChildren(QLabel)
    return [one.text() for one in labels if one.isVisible() and one.text().endswith("(C7)")]


def wholly_seen(panel: EarlierGoals) -> bool:
    """Say whether every goal is seen with all of its lines."""
    labels = [one for one in panel.findChildren(QLabel) if one.isVisible() and "C7" in one.text()]
    return bool(labels) and all(
        one.visibleRegion().boundingRect() == one.rect()
        and one.height() >= one.heightForWidth(one.width())
        for one in labels
    )


def test_without_goals_nothing_stands_there(
    host: Any, desk_with: Callable[..., Any], shown: Callable[..., Any]
) -> None:
    assert not panel_of(shown(RemarksList(host, desk_with()))).isVisible()


def test_every_goal_is_read_in_full(
    host: Any, desk_with: Callable[..., Any], shown: Callable[..., Any], until: Callable[..., None]
) -> None:
    panel = panel_of(shown(RemarksList(host, desk_with(goals=goals()))))
    until(lambda: said(panel) == [f"{act} (C7)" for act in ACTS])
    until(lambda: wholly_seen(panel))


def test_one_that_is_rated_stands_there_no_more_and_comes_back_by_undo(
    host: Any, desk_with: Callable[..., Any], shown: Callable[..., Any], until: Callable[..., None]
) -> None:
    desk = desk_with(goals=goals())
    panel = panel_of(shown(RemarksList(host, desk)))
    closing.change_goal(desk, record_id("g1"), outcome="met")
    until(lambda: said(panel) == [f"{ACTS[0]} (C7)", f"{ACTS[2]} (C7)"])
    for place in (0, 2):
        closing.change_goal(desk, record_id(f"g{place}"), outcome="partly")
    assert not panel.isVisible()
    desk.undo()
    until(lambda: said(panel) == [f"{ACTS[2]} (C7)"])


def test_goals_set_in_this_case_are_not_among_them(
    host: Any, desk_with: Callable[..., Any], shown: Callable[..., Any]
) -> None:
    panel = panel_of(shown(RemarksList(host, desk_with(goals=goals(from_case=None)))))
    assert not panel.isVisible()


def test_they_are_put_away_by_a_button_that_leaves_the_keys_with_the_film(
    host: Any, desk_with: Callable[..., Any], shown: Callable[..., Any]
) -> None:
    desk = desk_with(goals=goals())
    panel = panel_of(shown(RemarksList(host, desk)))
    [hide] = panel.findChildren(QAbstractButton)
    assert hide.accessibleName() == "Hide the goals from earlier cases"
    assert hide.focusPolicy() == Qt.FocusPolicy.TabFocus
    hide.click()
    closing.change_goal(desk, record_id("g1"), outcome="met")
    assert not panel.isVisible()
    assert [goal.outcome for goal in desk.review.goals] == ["open", "met", "open"]


def test_they_give_way_to_a_remark_that_is_edited(
    host: Any, desk_with: Callable[..., Any], shown: Callable[..., Any]
) -> None:
    remark = {"id": record_id("r"), "at_us": 0, "text": "calm"}
    desk = desk_with(goals=goals(), remarks=[remark])
    panel = panel_of(shown(RemarksList(host, desk)))
    desk.select(record_id("r"))
    assert not panel.isVisible()
    desk.select()
    assert panel.isVisible()


@pytest.mark.parametrize("percent", [80, 100, 200])
def test_many_goals_are_scrolled_and_leave_the_remarks_their_room(
    host: Any,
    desk_with: Callable[..., Any],
    shown: Callable[..., Any],
    until: Callable[..., None],
    qapp: QApplication,
    percent: int,
) -> None:
    wear(qapp, LIGHT, percent)
    panel = panel_of(shown(RemarksList(host, desk_with(goals=goals(ACTS * 5))), height=900))
    until(lambda: panel.height() > 0)
    area = panel.findChild(QScrollArea)
    assert area.height() <= 12 * area.fontMetrics().lineSpacing()
    until(lambda: area.verticalScrollBar().maximum() > 0)
    assert area.focusPolicy() == Qt.FocusPolicy.TabFocus
    wear(qapp, LIGHT, 100)
