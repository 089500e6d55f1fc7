"""The closing page: strengths, points to work on, goals; then seal, release, report."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Final

from PyQt6.QtCore import Qt
from PyQt6.QtWidgets import (
    QComboBox,
    QGridLayout,
    QGroupBox,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QPlainTextEdit,
    QPushButton,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)

from aftercase.clock import text_of
from aftercase.gui.elided import ElidedTick
from aftercase.gui.host import Host
from aftercase.gui.pages.building import button, entry_row, label, panel, scrolled
from aftercase.gui.shortcuts import leave_undo
from aftercase.model.review import Goal, Remark
from aftercase.session.stage import Ability
from aftercase.session.verbs import closing
from aftercase.session.verbs.closing import MOST, Side
from aftercase.session.verbs.remarks import KIND_NAMES

_SIDES: Final[tuple[tuple[Side, str], ...]] = (
    ("strengths", "Strengths"),
    ("points", "To work on"),
)
_OUTCOMES: Final = (
    ("open", "not rated yet"),
    ("met", "met"),
    ("partly", "partly met"),
    ("not-seen", "not seen"),
    ("let-go", "let go: a goal no more"),
)
_CAUTION: Final = (
    "For education and quality improvement only. Assessment decisions belong to the supervising "
    "physicians."
)
_STATES: Final = {
    "draft": "A draft: only you have it. Sealing keeps it as it is; releasing hands it over.",
    "sealed": "Sealed: it no longer changes. Release it, or begin a correction.",
    "released": "Released to the person it is about. A correction makes a new revision.",
}
_TRAINEES_RELEASED: Final = "Released to those who teach you. A correction makes a new revision."


class ClosingPage(QWidget):
    """What a review ends with, on one page."""

    title = "Closing"

    def __init__(self, host: Host) -> None:
        super().__init__()
        desk = host.desk
        assert desk is not None, "the closing belongs to a case"
        self._host, self._desk = host, desk
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        inside = QWidget()
        self._inside = QVBoxLayout(inside)
        self._inside.setContentsMargins(0, 0, 0, 0)
        scrolling = scrolled(inside)
        # Asked for its whole height it would push what is done at the end out of sight.
        scrolling.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Ignored)
        self._column.addWidget(scrolling, 1)
        self._built: tuple[tuple[QVBoxLayout, QWidget], ...] = ()
        self._shown = desk.review
        self._stops = [desk.listen("review", self._refresh)]
        self._build()

    def stop(self) -> None:
        """Listen no more."""
        for stop in self._stops:
            stop()

    def _refresh(self) -> None:
        """Build anew, but never under the hands of somebody who is typing."""
        before, now = self._shown, self._desk.review
        self._shown = now
        typed_only = (
            before.closing.changed(words=now.closing.words) == now.closing
            and before.state == now.state
            and before.remarks == now.remarks
            and [goal.id for goal in before.goals] == [goal.id for goal in now.goals]
        )
        if typed_only:
            self._show_words(now.closing.words)
        else:
            self._build()

    def _show_words(self, words: str) -> None:
        """Show what the review says, unless it was typed here just now."""
        text = self.findChild(QPlainTextEdit, "words")
        if text is not None and text.toPlainText() != words:
            text.blockSignals(True)
            text.setPlainText(words)
            text.blockSignals(False)

    def _build(self) -> None:
        focused = self.focusWidget()
        name = focused.objectName() if focused is not None else ""
        for column, old in self._built:
            column.removeWidget(old)
            old.hide()
            old.deleteLater()
        self._built = ((self._inside, self._body()), (self._column, self._sealing()))
        for column, new in self._built:
            column.addWidget(new)
            new.show()
            again = new.findChild(QWidget, name) if name else None
            if again is not None:
                again.setFocus(Qt.FocusReason.OtherFocusReason)

    def _body(self) -> QWidget:
        body = QWidget()
        rows = QVBoxLayout(body)
        for part in (self._carried(), self._sides(), self._words(), self._goals()):
            if part is not None:
                rows.addWidget(part)
        rows.addStretch(1)
        return body

    def _carried(self) -> QWidget | None:
        goals = [goal for goal in self._desk.review.goals if goal.from_case is not None]
        if not goals:
            return None
        box = QGroupBox("Goals from earlier cases: what became of them")
        grid = QGridLayout(box)
        for row, goal in enumerate(goals):
            grid.addWidget(_wrapped(f"{goal.act} (case {goal.from_case})"), row, 0)
            grid.addWidget(self._outcome(goal), row, 1)
            grid.addWidget(self._evidence(goal), row, 2)
        grid.setColumnStretch(0, 1)
        return box

    def _outcome(self, goal: Goal) -> QComboBox:
        choice = _choice(
            [(word, name) for word, name in _OUTCOMES],
            goal.outcome,
            lambda word: closing.change_goal(self._desk, goal.id, outcome=word),
        )
        choice.setObjectName(f"outcome-{goal.id}")
        choice.setAccessibleName(f"What became of: {goal.act}")
        choice.setEnabled(self._desk.is_draft)
        return choice

    def _evidence(self, goal: Goal) -> QComboBox:
        remarks = [(remark.id, _line(remark)) for remark in self._desk.review.remarks]
        choice = _choice(
            [("", "no moment shows it"), *remarks],
            goal.evidence or "",
            lambda found: closing.change_goal(self._desk, goal.id, evidence=found or None),
        )
        choice.setObjectName(f"evidence-{goal.id}")
        choice.setAccessibleName(f"Moment that shows: {goal.act}")
        choice.setMaximumWidth(300)
        choice.setEnabled(self._desk.is_draft)
        return choice

    def _sides(self) -> QWidget:
        box = QWidget()
        columns = QHBoxLayout(box)
        columns.setContentsMargins(0, 0, 0, 0)
        for side, title in _SIDES:
            columns.addWidget(self._side(side, title), 1)
        return box

    def _side(self, side: Side, title: str) -> QGroupBox:
        box = QGroupBox(f"{title} (up to {MOST[side]})")
        rows = QVBoxLayout(box)
        remarks = closing.candidates(self._desk.review, side)
        chosen = getattr(self._desk.review.closing, side)
        for remark in remarks:
            tick = ElidedTick(_line(remark))
            tick.setObjectName(f"{side}-{remark.id}")
            tick.setChecked(remark.id in chosen)
            full = len(chosen) >= MOST[side] and remark.id not in chosen
            tick.setEnabled(self._desk.is_draft and not full)
            tick.clicked.connect(lambda _, one=remark.id: self._switch(side, one))
            rows.addWidget(tick)
        if not remarks:
            rows.addWidget(_wrapped("No remark of this kind yet."))
        rows.addStretch(1)
        return box

    def _switch(self, side: Side, remark_id: str) -> None:
        closing.switch_point(self._desk, side, remark_id)

    def _words(self) -> QWidget:
        box = QGroupBox("In your own words")
        rows = QVBoxLayout(box)
        starred = QPushButton("Take the starred remarks")
        starred.setObjectName("take-starred")
        starred.clicked.connect(lambda: closing.take_suggested(self._desk))
        starred.setEnabled(self._desk.is_draft)
        text = QPlainTextEdit(self._desk.review.closing.words)
        text.setObjectName("words")
        text.setAccessibleName("A sentence of your own to close with")
        text.setPlaceholderText("A sentence of your own to close with")
        text.setTabChangesFocus(True)
        text.setFixedHeight(text.fontMetrics().height() * 3 + 16)
        text.setReadOnly(not self._desk.is_draft)
        leave_undo(text)
        text.textChanged.connect(lambda: closing.say_closing(self._desk, words=text.toPlainText()))
        task = _choice(
            [("", "no practice task"), *((t.id, f"{t.about}: {t.task}") for t in self._tasks())],
            self._desk.review.closing.task or "",
            lambda word: closing.say_closing(self._desk, task=word or None),
        )
        task.setObjectName("task")
        task.setAccessibleName("Practice task")
        task.setEnabled(self._desk.is_draft)
        for widget in (starred, text, task):
            rows.addWidget(widget)
        return box

    def _tasks(self) -> tuple:  # type: ignore[type-arg]
        return self._desk.guide.tasks

    def _goals(self) -> QWidget:
        box = QGroupBox("Goals for the next case")
        rows = QVBoxLayout(box)
        for goal in self._desk.review.goals:
            if goal.from_case is None:
                rows.addLayout(self._goal_row(goal))
        rows.addLayout(self._new_goal())
        return box

    def _goal_row(self, goal: Goal) -> QHBoxLayout:
        row = QHBoxLayout()
        where = f" ({self._desk.guide.step_name(goal.step)})" if goal.step else ""
        seen = f" – seen when: {goal.seen_when}" if goal.seen_when else ""
        row.addWidget(_wrapped(f"{goal.act}{where}{seen}"), 1)
        drop = QPushButton("Take off")
        drop.setObjectName(f"drop-{goal.id}")
        drop.setAccessibleName(f"Take off the goal: {goal.act}")
        drop.setEnabled(self._desk.is_draft)
        drop.clicked.connect(lambda: closing.drop_goal(self._desk, goal.id))
        row.addWidget(drop)
        return row

    def _new_goal(self) -> QGridLayout:
        grid = QGridLayout()
        act, seen = QLineEdit(), QLineEdit()
        act.setObjectName("goal-act")
        act.setPlaceholderText("What to do differently next time")
        seen.setObjectName("goal-seen")
        seen.setPlaceholderText("How it will be seen")
        steps = [("", "in no particular step")]
        steps += [(step.id, step.name) for step in self._desk.guide.steps]
        step = _choice(steps, "", lambda word: None)
        step.setObjectName("goal-step")
        step.setAccessibleName("Step the goal belongs to")
        tasks = [("", "no practice task"), *((t.id, t.about) for t in self._tasks())]
        task = _choice(tasks, "", lambda word: None)
        task.setObjectName("goal-task")
        task.setAccessibleName("Practice task for the goal")
        set_it = QPushButton("Set the goal")
        set_it.setObjectName("goal-set")

        def set_goal() -> None:
            closing.add_goal(
                self._desk,
                act.text(),
                seen_when=seen.text().strip(),
                step=step.currentData() or None,
                task=task.currentData() or None,
            )

        act.returnPressed.connect(set_goal)
        seen.returnPressed.connect(set_goal)
        set_it.clicked.connect(set_goal)
        for widget in (act, seen):
            widget.setAccessibleName(widget.placeholderText())
        controls: tuple[QWidget, ...] = (act, seen, step, task, set_it)
        for place, control in enumerate(controls):
            control.setEnabled(self._desk.is_draft)
            grid.addWidget(control, place // 2, place % 2)
        return grid

    def _sealing(self) -> QWidget:
        """Return what is done at the end; it stays in sight while the rest scrolls."""
        state, role = self._desk.review.state, self._desk.review.role
        words = {**_STATES, **({"released": _TRAINEES_RELEASED} if role == "trainee" else {})}
        said = label(words.get(state, state))
        deeds: tuple[tuple[Ability, str, bool], ...] = (
            ("seal", "Seal", state == "draft"),
            ("release", "Release", state != "released"),
            ("correct", "Correct", state != "draft"),
            ("report", "Write the report", True),
        )
        buttons = []
        for ability, text, on in deeds:
            made = button(text, partial(self._host.use, ability))
            made.setObjectName(ability)
            made.setEnabled(on)
            buttons.append(made)
        return panel("", entry_row(said, *buttons), label(_CAUTION, "soft"))


def _choice(
    choices: list[tuple[str, str]], chosen: str, told: Callable[[str], object]
) -> QComboBox:
    box = QComboBox()
    box.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
    box.setMinimumContentsLength(14)
    for word, name in choices:
        box.addItem(name, word)
    place = box.findData(chosen)
    if place < 0:
        box.addItem(f"{chosen} (not in the list)", chosen)
        place = box.count() - 1
    box.setCurrentIndex(place)
    box.activated.connect(lambda _: told(str(box.currentData())))
    return box


def _line(remark: Remark) -> str:
    """Return a remark as one line: star, time, kind, words."""
    star = "★ " if remark.starred else ""
    kind = KIND_NAMES.get(remark.kind, remark.kind)
    return f"{star}{text_of(remark.at_us)[:-4]}  {kind}: {remark.text}"


def _wrapped(text: str) -> QLabel:
    label = QLabel(text)
    label.setWordWrap(True)
    return label
