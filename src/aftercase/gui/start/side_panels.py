"""What waits for the person: answers to their remarks, and a trainee's open goals."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from typing import Final

from PyQt6.QtWidgets import QFrame, QLayout, QVBoxLayout, QWidget

from aftercase.gui.host import Host
from aftercase.gui.pages.building import add, button, emptied, entry_row, label, row
from aftercase.gui.start.replies_page import RepliesPage, opening_words, reply_words, say_read
from aftercase.session.goals import OpenGoal
from aftercase.session.inbox import Unread

_MOST_SHOWN: Final = 3
_MOST_LETTERS: Final = 160


class _Panel(QFrame):
    """A frame that is there only while it has something to say."""

    def __init__(self, heading: str) -> None:
        super().__init__()
        self.setFrameShape(QFrame.Shape.StyledPanel)
        self.setProperty("role", "panel")
        self.setAccessibleName(heading)
        column = QVBoxLayout(self)
        column.addWidget(label(heading, "heading"))
        self.lines = QVBoxLayout()
        column.addLayout(self.lines)
        self.hide()

    def show_lines(self, lines: Sequence[QLayout | QWidget], n_more: int) -> None:
        """Show lines, and how many more there are; nothing hides the panel."""
        emptied(self.lines)
        for line in lines:
            add(self.lines, line)
        if n_more:
            self.lines.addWidget(label(f"and {n_more} more", "soft"))
        self.setVisible(bool(lines))


class GoalsPanel(_Panel):
    """A trainee's goals that nobody has said to be met."""

    def __init__(self) -> None:
        super().__init__("Goals still open")

    def show_goals(self, goals: Sequence[OpenGoal]) -> None:
        """Show the goals of the newest cases."""
        lines = [label(f"{one.goal.act} ({one.case_code})") for one in goals[:_MOST_SHOWN]]
        self.show_lines(lines, len(goals) - len(lines))


class RepliesPanel(_Panel):
    """What trainees answered or asked that was not read yet; a page has all of it in full.

    Args:
        host: The window.
    """

    def __init__(self, host: Host) -> None:
        super().__init__("Answers to your remarks")
        self._host = host

    def show_unread(self, unread: Sequence[Unread]) -> None:
        """Show replies, questions first."""
        shown = tuple(unread[:_MOST_SHOWN])
        lines = [entry_row(label(_shortened(reply_words(one))), self._opener(one)) for one in shown]
        self.show_lines(lines, len(unread) - len(shown))
        if shown:
            words = "I read these; show them no more"
            self.lines.addLayout(
                row(
                    button("Read all in full", partial(self._show_page, tuple(unread))),
                    button("Read", partial(self._read, shown, unread), words),
                )
            )

    def _opener(self, unread: Unread) -> QWidget:
        opens = partial(self._host.open_path, unread.folder, unread.spot)
        return button("Open", opens, opening_words(unread))

    def _show_page(self, unread: tuple[Unread, ...]) -> None:
        self._host.show_widget(RepliesPage(self._host, unread))

    def _read(self, shown: Sequence[Unread], unread: Sequence[Unread]) -> None:
        if say_read(self._host, shown):
            self.show_unread(unread[len(shown) :])


def _shortened(text: str) -> str:
    return text if len(text) <= _MOST_LETTERS else f"{text[:_MOST_LETTERS].rstrip()}…"
