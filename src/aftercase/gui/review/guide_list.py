"""The guide as an upright list that fills as the film plays."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from PyQt6.QtCore import QPoint, Qt, QTimer
from PyQt6.QtWidgets import QCheckBox, QLabel, QListWidgetItem, QMenu, QVBoxLayout, QWidget

from aftercase.gui.host import Host
from aftercase.gui.review.choosing_list import ChoosingList
from aftercase.gui.review.step_rows import StepPainter, StepRow, step_row
from aftercase.gui.row_painter import ROW
from aftercase.session.actions.film import LOOP_LEAD_US
from aftercase.session.desk import Desk
from aftercase.session.guidelist import (
    NEXT,
    RUNNING,
    StepLine,
    Stretch,
    idle_us,
    marked_rows,
    step_lines,
)
from aftercase.session.verbs import marking

_IDLE_MS: Final = 600
"""Idle times are worked out so long after the last edit: nobody reads them while marking."""


class GuideList(QWidget):
    """Every step with what is known of it; choosing one goes there.

    Args:
        host: The window.
        desk: The case on the desk.
    """

    def __init__(self, host: Host, desk: Desk) -> None:
        super().__init__()
        self._host, self._desk = host, desk
        self._lines: tuple[StepLine, ...] = ()
        self._rows: list[StepRow] = []
        self._idle: dict[str, int] | None = None
        self._list = ChoosingList("Steps of the guide", self._go, self._show_menu)
        self._list.setItemDelegate(StepPainter(host, self._list))
        self._all = QCheckBox("Show all steps")
        self._all.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self._all.toggled.connect(lambda _: self._show_lines())
        note = QLabel("Duration is not quality.")
        note.setProperty("role", "soft")
        note.setWordWrap(True)
        column = QVBoxLayout(self)
        column.setContentsMargins(4, 4, 4, 4)
        for widget in (self._list, self._all, note):
            column.addWidget(widget)
        self._timer = _once(self, _IDLE_MS, self._show_idle)
        self._stops = [
            desk.listen("review", self._show_review),
            desk.listen("case", self._show_review),
            desk.listen("moment", self._show_moment),
            desk.listen("settings", self._timer.start),
        ]
        self._show_review()

    def stop(self) -> None:
        """Listen no more."""
        self._timer.stop()
        for stop in self._stops:
            stop()

    def rows(self) -> list[tuple[str, str]]:
        """Return what is shown: the step's id, and ``running``, ``next`` or nothing."""
        return [(row.line.step.id, row.word) for row in self._rows]

    def said(self) -> tuple[StepRow, ...]:
        """Return what the rows say, from top to bottom."""
        return tuple(self._rows)

    def _show_review(self) -> None:
        desk = self._desk
        self._lines = step_lines(desk.guide, desk.review, desk.bounds_us[1])
        self._show_lines()
        self._timer.start()

    def _show_lines(self) -> None:
        shown = [line for line in self._lines if self._all.isChecked() or not line.folded]
        words = self._words()
        rows = [
            step_row(line, words.get(line.step.id, ""), self._desk.at_us, self._idle)
            for line in shown
        ]
        self._put(rows)

    def _show_moment(self) -> None:
        """Let the rows say what holds at the shown frame; only those that may change are asked."""
        words, at_us, idle = self._words(), self._desk.at_us, self._idle
        self._put(
            [
                step_row(row.line, words.get(row.line.step.id, ""), at_us, idle)
                if row.line.is_open or row.word != words.get(row.line.step.id, "")
                else row
                for row in self._rows
            ]
        )

    def _show_idle(self) -> None:
        desk = self._desk
        shortest_us = desk.settings.gap_threshold_us
        self._idle = idle_us(desk.case, desk.guide, desk.review, shortest_us, desk.at_us)
        self._show_lines()

    def _words(self) -> dict[str | None, str]:
        desk = self._desk
        running, following = marked_rows(desk.guide, desk.review, desk.at_us)
        return {following: NEXT, running: RUNNING}

    def _put(self, rows: list[StepRow]) -> None:
        """Show rows; a step that begins is scrolled to, and one that was in view stays so."""
        before, now = _running(self._rows), _running(rows)
        begins = now is not None and (
            before is None or rows[now].line.step.id != self._rows[before].line.step.id
        )
        stays = before is not None and self._list.is_in_view(before)
        self._rows = rows
        self._list.show_rows(rows)
        if now is not None and (begins or stays):
            self._list.look_at(now)

    def _go(self, item: QListWidgetItem) -> None:
        """Go to the step's next visit after the shown frame, else to its first."""
        visit = self._visit(_row(item).line)
        if visit is None:
            self._desk.tell(f"{_row(item).line.step.name} is not marked yet.", "refused")
        else:
            self._host.player.go_to(visit[0])

    def _visit(self, line: StepLine) -> Stretch | None:
        later = [visit for visit in line.visits_us if visit[0] > self._desk.at_us]
        return next(iter(later or line.visits_us), None)

    def _show_menu(self, item: QListWidgetItem, place: QPoint) -> None:
        menu = QMenu(self)
        menu.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        for label, run in self.deeds(_row(item).line):
            action = menu.addAction(label)
            assert action is not None
            action.triggered.connect(lambda _, one=run: one())
        menu.popup(place)

    def deeds(self, line: StepLine) -> list[tuple[str, Callable[[], object]]]:
        """Return what a step's menu offers now: the words, and what each does."""
        desk, step = self._desk, line.step.id
        offered: list[tuple[str, Callable[[], object]]] = []
        if desk.is_draft:
            runs = any(
                span.step == step and span.start_us <= desk.at_us < span.end_us
                for span in desk.review.steps
            )
            begins = "End it here" if runs else "Begin it here"
            needed = "It was needed after all" if line.not_needed else "It was not needed"
            offered = [
                (begins, lambda: marking.press_step(desk, step)),
                (needed, lambda: marking.switch_not_needed(desk, step)),
            ]
        visit = self._looped(line)
        if visit is not None:
            player = self._host.player
            offered.append(("Play it over and over", lambda: player.loop(*visit, LOOP_LEAD_US)))
            offered.append(("About it", lambda: self._ask_about(step, visit)))
        return offered

    def _looped(self, line: StepLine) -> Stretch | None:
        """Return the visit at the shown frame, else the one that choosing the step goes to."""
        here = [one for one in line.visits_us if one[0] <= self._desk.at_us < one[1]]
        return here[0] if here else self._visit(line)

    def _ask_about(self, step: str, visit: Stretch) -> None:
        of_it = [
            span.id
            for span in self._desk.review.steps
            if step in (span.step, self._desk.guide.parent_of(span.step))
            and visit[0] <= span.start_us < visit[1]
        ]
        self._desk.select(*of_it[:1])
        self._host.ask("about-mark")


def _running(rows: list[StepRow]) -> int | None:
    return next((place for place, row in enumerate(rows) if row.word == RUNNING), None)


def _once(parent: QWidget, after_ms: int, run: Callable[[], None]) -> QTimer:
    timer = QTimer(parent)
    timer.setSingleShot(True)
    timer.setInterval(after_ms)
    timer.timeout.connect(run)
    return timer


def _row(item: QListWidgetItem) -> StepRow:
    row: StepRow = item.data(ROW)
    return row
