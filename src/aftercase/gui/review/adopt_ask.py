"""Whose step and instrument marks are taken over."""

from __future__ import annotations

from PyQt6.QtCore import pyqtSignal
from PyQt6.QtWidgets import QLabel, QVBoxLayout, QWidget

from aftercase.edit.review import adopt
from aftercase.errors import EditRefused
from aftercase.gui.host import Host
from aftercase.gui.pages.building import button
from aftercase.gui.review.sign_list import SignList, SignRow
from aftercase.model.review import Review
from aftercase.session.actions.table import SIGNS
from aftercase.session.adopting import Adoptable
from aftercase.session.desk import Desk

_NOTE = "Who marked them is kept with each mark, and they never count as agreement."


class AdoptAsk(QWidget):
    """Adopts the marks of one of the people who marked the clock: one key each.

    Args:
        host: The window.
        desk: The case on the desk.
        found: What can be adopted, at least one.
    """

    answered = pyqtSignal()
    beside = True

    def __init__(self, host: Host, desk: Desk, found: tuple[Adoptable, ...]) -> None:
        super().__init__()
        self._desk = desk
        self._reviews = {one.review.id: one.review for one in found}
        head = QLabel("Adopt the marks of")
        head.setProperty("role", "heading")
        self._list = SignList(host, "Whose marks")
        self._list.show_rows(
            tuple(_row(one, sign) for one, sign in zip(found, SIGNS, strict=False))
        )
        self._list.taken.connect(lambda review_id: self._adopt(self._reviews[review_id]))
        self._list.left.connect(self.answered)
        note = QLabel(_NOTE)
        note.setWordWrap(True)
        note.setProperty("role", "soft")
        leave = button("Leave (Esc)", self.answered.emit)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        for widget in (head, self._list, note, leave):
            column.addWidget(widget)
        self.setFocusProxy(self._list)

    def _adopt(self, other: Review) -> None:
        def edit(review: Review) -> Review:
            adopted = adopt(review, other, self._desk.new_id)
            if adopted == review:
                raise EditRefused(f"All marks of {other.reviewer} are here already.")
            return adopted

        self.answered.emit()
        self._desk.edit(edit, f"adopt the marks of {other.reviewer}")


def _row(one: Adoptable, sign: str) -> SignRow:
    role = one.review.role.replace("-", " ")
    steps = f"{one.n_steps} step{'' if one.n_steps == 1 else 's'}"
    instruments = f"{one.n_instruments} instrument span{'' if one.n_instruments == 1 else 's'}"
    return SignRow(one.review.id, sign, f"{one.review.reviewer}, {role}", f"{steps}, {instruments}")
