"""The right side of the replay room: what is said of a moment, and what one says to it."""

from __future__ import annotations

from collections.abc import Callable

from PyQt6.QtCore import Qt
from PyQt6.QtGui import QKeyEvent
from PyQt6.QtWidgets import QPlainTextEdit, QPushButton, QScrollArea, QVBoxLayout, QWidget

from aftercase.gui.pages.building import label, say
from aftercase.gui.replay.words import UNDERSTOOD
from aftercase.gui.shortcuts import TAKES_KEYS, leave_undo
from aftercase.model.review import Reply

_HANDED_OVER = "It stays yours until you release your own review (C)."
_ANSWER_LINES = 4


class MomentPanel(QScrollArea):
    """Shows words; what is pressed and typed is told.

    Args:
        understood: Called when it is said to be understood, or not.
        typed: Called with the answer after every letter.
        asked: Called with whether the answer is a question.
        left: Called when the keys go back to the film.
    """

    def __init__(
        self,
        understood: Callable[[], None],
        typed: Callable[[str], None],
        asked: Callable[[bool], None],
        left: Callable[[], None],
    ) -> None:
        super().__init__()
        self._left = left
        inner = QWidget()
        self.setAccessibleName("What is said of this moment")
        self.setWidgetResizable(True)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setWidget(inner)
        self._goals_head, self._goals = label("Before the next case", "heading"), label("")
        self._head, self._words, self._times = label("", "heading"), label(""), label("", "soft")
        self._others, self._heard = label("", "soft"), label("")
        self._understood = QPushButton()
        self._understood.clicked.connect(lambda: understood())
        self._answer = QPlainTextEdit()
        self._answer.setAccessibleName("Your answer or question")
        self._answer.setPlaceholderText("Your answer or question (it goes into your own review)")
        self._answer.setTabChangesFocus(True)
        self._answer.setFixedHeight(self._answer.fontMetrics().lineSpacing() * _ANSWER_LINES + 16)
        leave_undo(self._answer)
        self._answer.textChanged.connect(lambda: typed(self._answer.toPlainText()))
        self._ask = QPushButton("It is a question")
        self._ask.setCheckable(True)
        self._ask.clicked.connect(asked)
        for button in (self._understood, self._ask):
            button.setProperty(TAKES_KEYS, True)
            button.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self._handed_over = label(_HANDED_OVER, "soft")
        self._replying = (self._understood, self._answer, self._ask, self._handed_over)
        rows = QVBoxLayout(inner)
        rows.setContentsMargins(6, 6, 6, 6)
        for widget in (
            self._goals_head, self._goals, self._head, self._words, self._times, self._others,
            self._heard, *self._replying,
        ):  # fmt: skip
            rows.addWidget(widget)
        rows.addStretch(1)
        self.show_goals("")
        self.show_moment("", "", "", "")

    def show_moment(self, head: str, words: str, times: str, heard: str) -> None:
        """Show a moment's kind and time, its remark, its step's times, what others said to it."""
        say(self._head, head, "heading")
        say(self._words, words)
        say(self._times, times, "soft")
        say(self._heard, heard)

    def show_reply(self, reply: Reply | None, *, is_open: bool) -> None:
        """Show what one said oneself; nothing of it where nothing can be said."""
        for widget in self._replying:
            widget.setVisible(is_open)
        word = reply.understood if reply is not None else ""
        self._understood.setText(UNDERSTOOD.get(word, "Understood?"))
        text = reply.text if reply is not None else ""
        if self._answer.toPlainText() != text:
            self._answer.blockSignals(True)
            self._answer.setPlainText(text)
            self._answer.blockSignals(False)
        asks = reply is not None and reply.asks
        self._ask.setChecked(asks)
        self._ask.setText("It is a question ✓" if asks else "It is a question")
        self._handed_over.setVisible(is_open and bool(text.strip()))

    def show_goals(self, words: str) -> None:
        """Show what to do differently in the next case; nothing hides it."""
        self._goals_head.setVisible(bool(words))
        say(self._goals, words)

    def show_others(self, words: str) -> None:
        """Show the times of others that were asked for; nothing hides them."""
        say(self._others, words, "soft")

    def take_answer(self) -> None:
        """Let the answer be typed."""
        self._answer.setFocus(Qt.FocusReason.ShortcutFocusReason)

    def keyPressEvent(self, event: QKeyEvent | None) -> None:  # noqa: N802 - Qt's name
        """Give the keys back to the film on Escape."""
        if event is not None and event.key() == Qt.Key.Key_Escape:
            self._left()
            return
        super().keyPressEvent(event)
