"""Who reviews: a code and a role, asked at the start and again after a while without anybody."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from PyQt6.QtCore import Qt
from PyQt6.QtGui import QKeyEvent
from PyQt6.QtWidgets import QLabel, QLineEdit, QVBoxLayout, QWidget

from aftercase.errors import AftercaseError
from aftercase.gui.host import Host
from aftercase.gui.pages.building import Choice, button, field_form, label, panel, row, say
from aftercase.session.desk import in_words
from aftercase.session.people import (
    COURTESY,
    Person,
    has_passphrase,
    known_people,
    passphrase_fits,
    remember_person,
    set_passphrase,
)
from aftercase.session.places import Places

ROLE_NAMES: Final = (
    ("teacher", "teacher"),
    ("second-teacher", "second teacher"),
    ("trainee", "trainee"),
    ("preparer", "preparer: brings cases in, marks the clock"),
)
_SOMEBODY_ELSE: Final = ""


class PersonForm(QWidget):
    """Asks who reviews.

    Args:
        at: The program's folders.
        shown: Who is shown first, where anybody is.
        answered: Called with the person.
    """

    def __init__(
        self, at: Places, shown: Person | None, answered: Callable[[Person], object]
    ) -> None:
        super().__init__()
        self._at, self._answered = at, answered
        self._people = {person.code: person for person in known_people(at)}
        names = [(code, code) for code in self._people]
        self._who = Choice(
            "Who reviews", [*names, (_SOMEBODY_ELSE, "somebody else")], lambda word: self._chosen()
        )
        self._code, self._passphrase = QLineEdit(), QLineEdit()
        self._role = Choice("Role", ROLE_NAMES, lambda word: None)
        self._fault = label("", "warn")
        self._lay_out()
        self._who.show_word(self._first_code(shown))
        self._chosen()

    def _first_code(self, shown: Person | None) -> str:
        if shown is not None and shown.code in self._people:
            return shown.code
        return next(iter(self._people), _SOMEBODY_ELSE)

    def _lay_out(self) -> None:
        self._code.setAccessibleName("Your code")
        self._code.setPlaceholderText("such as T01")
        self._passphrase.setAccessibleName("Passphrase")
        self._passphrase.setEchoMode(QLineEdit.EchoMode.Password)
        self._code_name, self._passphrase_name = QLabel("Your code"), QLabel("Passphrase")
        form = field_form()
        form.addRow("Who reviews", self._who)
        form.addRow(self._code_name, self._code)
        form.addRow("Role", self._role)
        form.addRow(self._passphrase_name, self._passphrase)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addLayout(form)
        column.addWidget(self._fault)
        column.addLayout(row(button("Go on", self._go_on, "Go on as this person")))

    def _chosen(self) -> None:
        code = self._who.word
        is_new, asks = code == _SOMEBODY_ELSE, has_passphrase(self._at, code)
        for widget in (self._code_name, self._code):
            widget.setVisible(is_new)
        for widget in (self._passphrase_name, self._passphrase):
            widget.setVisible(asks)
        self._passphrase.clear()
        if not is_new:
            self._role.show_word(self._people[code].role)
        say(self._fault, "")
        if self.isVisible():
            self.take_focus()

    @property
    def first_missing(self) -> QWidget:
        """What asks for an answer that is missing; the list where none is."""
        lines = (line for line in (self._code, self._passphrase) if line.isVisibleTo(self))
        return next(lines, self._who)

    def take_focus(self) -> None:
        """Put the cursor where an answer is missing."""
        self.first_missing.setFocus(Qt.FocusReason.OtherFocusReason)

    def keyPressEvent(self, event: QKeyEvent | None) -> None:  # noqa: N802 - Qt's name
        """Go on by Return, wherever the cursor is."""
        if event is not None and event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self._go_on()
            return
        super().keyPressEvent(event)

    def _go_on(self) -> None:
        code = self._who.word or self._code.text().strip()
        person = Person(code, self._role.word)
        if not passphrase_fits(self._at, code, self._passphrase.text()):
            say(self._fault, f"This is not the passphrase of {code}.", "warn")
            self._passphrase.selectAll()
            return
        try:
            remember_person(self._at, person)
        except AftercaseError as fault:
            say(self._fault, in_words(fault), "warn")
            return
        self._passphrase.clear()
        self._answered(person)


class PersonPage(QWidget):
    """Who reviews, and a passphrase for who wants one."""

    title = "Who reviews"

    def __init__(self, host: Host) -> None:
        super().__init__()
        self._host = host
        column = QVBoxLayout(self)
        self.form = PersonForm(host.at, host.person, self._be)
        words = (
            "A code, never a name. Everything you mark and write is kept under it, apart from "
            "what others write about the same case."
        )
        column.addWidget(panel("", label(words, "soft"), self.form))
        if host.person is not None:
            column.addWidget(panel("", _PassphraseForm(host.at, host.person)))
        column.addStretch(1)
        self.setFocusProxy(self.form.first_missing)

    def _be(self, person: Person) -> None:
        self._host.be(person)
        self._host.leave_page()


class _PassphraseForm(QWidget):
    """Sets, changes or takes away the passphrase of who reviews now."""

    def __init__(self, at: Places, person: Person) -> None:
        super().__init__()
        self._at, self._person = at, person
        self._line = QLineEdit()
        self._line.setEchoMode(QLineEdit.EchoMode.Password)
        self._line.setAccessibleName(f"New passphrase of {person.code}")
        self._line.returnPressed.connect(self._set)
        self._said = label("", "soft")
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(label(f"Passphrase of {person.code}", "heading"))
        column.addWidget(label(COURTESY, "soft"))
        column.addLayout(
            row(
                self._line,
                button("Set", self._set, "Set the passphrase"),
                button("No passphrase", self._take_away, "Ask for no passphrase"),
            )
        )
        column.addWidget(self._said)

    def _set(self) -> None:
        if self._line.text():
            self._keep(self._line.text(), f"{self._person.code} is asked for a passphrase now.")
        else:
            say(self._said, "Type a passphrase first.", "warn")

    def _take_away(self) -> None:
        self._keep("", f"{self._person.code} is asked for no passphrase.")

    def _keep(self, passphrase: str, words: str) -> None:
        try:
            set_passphrase(self._at, self._person, passphrase)
        except AftercaseError as fault:
            say(self._said, in_words(fault), "warn")
            return
        self._line.clear()
        say(self._said, words, "soft")
