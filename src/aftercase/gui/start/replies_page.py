"""What trainees answered or asked, in full, with the remark they say it to."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

from PyQt6.QtWidgets import QVBoxLayout, QWidget

from aftercase.clock import text_of
from aftercase.errors import AftercaseError
from aftercase.gui.host import Host
from aftercase.gui.pages.building import button, label, panel, row
from aftercase.session.desk import in_words
from aftercase.session.inbox import Unread, mark_read

_UNDERSTOOD = {"understood": "Understood.", "not-yet": "Not understood yet."}


class RepliesPage(QWidget):
    """Every reply that was not read yet.

    Args:
        host: The window.
        unread: The replies, in the order they are shown.
    """

    title = "Answers to your remarks"

    def __init__(self, host: Host, unread: Sequence[Unread]) -> None:
        super().__init__()
        self._host, self._unread = host, tuple(unread)
        column = QVBoxLayout(self)
        for one in self._unread:
            column.addWidget(self._entry(one))
        column.addLayout(row(button("I read these; show them no more", self._read)))
        column.addStretch(1)

    def _entry(self, unread: Unread) -> QWidget:
        reply = unread.reply
        verb = "asks" if reply.asks else "answers"
        remark = unread.remark.text if unread.remark is not None else ""
        opens = partial(self._host.open_path, unread.folder, unread.spot)
        return panel(
            f"{unread.trainee} {verb} in {unread.case_code}, at {text_of(reply.at_us)[:-4]}",
            label(f"To your remark: {remark}" if remark else "Your remark is gone.", "soft"),
            label(reply.text.strip()),
            label(_UNDERSTOOD.get(reply.understood, ""), "soft"),
            row(button("Open at this moment", opens, opening_words(unread))),
        )

    def _read(self) -> None:
        if say_read(self._host, self._unread):
            self._host.leave_page()


def opening_words(unread: Unread) -> str:
    """Return what opening a reply does, for a screen reader."""
    return f"Open {unread.case_code} at {text_of(unread.reply.at_us)[:-4]}"


def say_read(host: Host, replies: Sequence[Unread]) -> bool:
    """Remember that replies were read, and claim that it went well; else say why not."""
    try:
        mark_read(replies, host.at)
    except AftercaseError as fault:
        host.tell(in_words(fault), "refused")
        return False
    return True


def reply_words(unread: Unread) -> str:
    """Return a reply in words: who, in which case, what, and to which remark."""
    verb = "asks" if unread.reply.asks else "answers"
    said = unread.reply.text.strip() or "not understood yet"
    about = f" (to: {unread.remark.text})" if unread.remark and unread.remark.text else ""
    return f"{unread.trainee} {verb} in {unread.case_code}: {said}{about}"
