"""What a resident meant to do differently, above the remarks until it is rated or put away."""

from __future__ import annotations

from typing import Final

from PyQt6.QtCore import Qt
from PyQt6.QtGui import QResizeEvent
from PyQt6.QtWidgets import QFrame, QVBoxLayout, QWidget

from aftercase.gui.pages.building import button, emptied, entry_row, label, scrolled
from aftercase.model.review import Goal
from aftercase.session.desk import Desk

_MOST_LINES: Final = 12
_SHARE: Final = 3
"""So many lines, or this share of the column, at most; more are scrolled."""


class EarlierGoals(QFrame):
    """Every goal of earlier cases that is still to be rated, in full.

    Args:
        desk: The case on the desk.
    """

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self._desk = desk
        self._shown: tuple[Goal, ...] = ()
        self._is_put_away = self._gives_way = False
        self.setFrameShape(QFrame.Shape.StyledPanel)
        self.setProperty("role", "panel")
        self.setAccessibleName("Goals from earlier cases")
        hide = button("Hide", self._put_away, "Hide the goals from earlier cases")
        hide.setFocusPolicy(Qt.FocusPolicy.TabFocus)  # a click leaves the keys with the film
        self._inner = QWidget()
        self._lines = QVBoxLayout(self._inner)
        self._lines.setContentsMargins(0, 0, 0, 0)
        self._area = scrolled(self._inner)
        self._area.setAccessibleName("Goals from earlier cases")
        column = QVBoxLayout(self)
        column.addLayout(entry_row(label("Earlier goals", "heading"), hide))
        column.addWidget(self._area)
        self._stop = desk.listen("review", self._show)
        self._show()

    def stop(self) -> None:
        """Listen no more."""
        self._stop()

    def resizeEvent(self, event: QResizeEvent | None) -> None:  # noqa: N802 - Qt's name
        """Take the height that the goals need in this width."""
        super().resizeEvent(event)
        self.fit()

    def give_way(self, gives_way: bool) -> None:
        """Leave the room to something else, or take it again."""
        self._gives_way = gives_way
        self._show()

    def _show(self) -> None:
        review = self._desk.review
        goals = tuple(
            goal for goal in review.goals if goal.from_case is not None and goal.outcome == "open"
        )
        if goals != self._shown:
            self._shown = goals
            emptied(self._lines)
            for goal in goals:
                self._lines.addWidget(label(f"{goal.act} ({goal.from_case})"))
            self._lines.addWidget(label("They are rated in the closing (C).", "soft"))
            self.fit()
        is_wanted = self._desk.is_draft and not self._is_put_away and not self._gives_way
        self.setVisible(bool(goals) and is_wanted)

    def fit(self) -> None:
        """Take the height that the goals need, as far as there is room beside the remarks."""
        edges_px = 2 * self._area.frameWidth()
        wide_px = self.contentsRect().width() - 2 * self._margin_px() - edges_px
        needed_px = self._lines.heightForWidth(max(wide_px, 1)) + edges_px
        whole = self.parentWidget()
        room_px = whole.height() // _SHARE if whole is not None else 0
        most_px = min(_MOST_LINES * self.fontMetrics().lineSpacing(), room_px)
        self._area.setFixedHeight(min(max(needed_px, 0), most_px))
        is_long = needed_px > most_px
        self._area.setFocusPolicy(Qt.FocusPolicy.TabFocus if is_long else Qt.FocusPolicy.NoFocus)

    def _margin_px(self) -> int:
        layout = self.layout()
        return 0 if layout is None else layout.contentsMargins().left()

    def _put_away(self) -> None:
        self._is_put_away = True
        self.hide()
