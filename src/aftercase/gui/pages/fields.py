"""Fields of the header's form: each shows what the header says and changes nothing else."""

from __future__ import annotations

from PyQt6.QtWidgets import QCheckBox, QLineEdit, QVBoxLayout, QWidget

from aftercase.clock import text_of, us_from_text
from aftercase.errors import TimeUnreadable
from aftercase.gui.pages.building import Choice, button, label, row, say
from aftercase.gui.pages.header_fields import (
    HeaderField,
    density_of,
    density_word,
    density_words,
    read_text,
    words_for,
)
from aftercase.gui.shortcuts import leave_undo
from aftercase.session.desk import Desk, in_words
from aftercase.session.verbs import header


class Field(QWidget):
    """One field of the form.

    Args:
        desk: The desk.
        asked: The field's row in the table.
    """

    def __init__(self, desk: Desk, asked: HeaderField) -> None:
        super().__init__()
        self.desk, self.asked = desk, asked
        self.column = QVBoxLayout(self)
        self.column.setContentsMargins(0, 0, 0, 0)
        self.column.setSpacing(3)
        self.build()
        if asked.note:
            self.column.addWidget(label(asked.note, "soft"))
        self.refresh()

    @property
    def words(self) -> str:
        """The field as it is called in the middle of a sentence."""
        return self.asked.label[:1].lower() + self.asked.label[1:]

    def build(self) -> None:
        """Put the field's widgets into its column."""
        raise NotImplementedError

    def refresh(self) -> None:
        """Show what the header says now."""
        raise NotImplementedError


class WordField(Field):
    """A word of a list."""

    def build(self) -> None:
        """Put the list in."""
        words = words_for(self.asked.name, self.desk.guide)
        self._choice = Choice(self.asked.label, words, self._choose)
        self.column.addWidget(self._choice)

    def refresh(self) -> None:
        """Show the word."""
        self._choice.show_word(getattr(self.desk.case, self.asked.name))

    def _choose(self, word: str) -> None:
        header.set_fields(self.desk, f"say the {self.words}", {self.asked.name: word})
        self.refresh()


class DensityField(Field):
    """How dense the lens is: a step of the guide's scale, or a kind beside it."""

    def build(self) -> None:
        """Put the list in."""
        self._choice = Choice(self.asked.label, density_words(self.desk.guide), self._choose)
        self.column.addWidget(self._choice)

    def refresh(self) -> None:
        """Show the density."""
        self._choice.show_word(density_word(self.desk.case.density, self.desk.guide))

    def _choose(self, word: str) -> None:
        density = density_of(word, self.desk.guide)
        header.set_fields(self.desk, f"say the {self.words}", {"density": density})
        self.refresh()


class TextField(Field):
    """A code, a count, or words; kept as soon as it is one, with why it is none below it."""

    def build(self) -> None:
        """Put the line in."""
        self._line = QLineEdit()
        self._line.setAccessibleName(self.asked.label)
        self._line.setPlaceholderText("not said")
        self._fault = label("", "warn")
        self._line.textEdited.connect(self._typed)
        leave_undo(self._line)
        self._line.editingFinished.connect(self._finished)
        self.column.addWidget(self._line)
        self.column.addWidget(self._fault)

    def refresh(self) -> None:
        """Show the value, unless what is typed says it already."""
        value = getattr(self.desk.case, self.asked.name)
        try:
            says_it = read_text(self.asked.kind, self._line.text()) == value
        except ValueError:
            says_it = False
        if not says_it:
            self._line.setText("" if value is None else str(value))
        say(self._fault, "")

    def _typed(self, text: str) -> None:
        if not self._fault_of(text):
            say(self._fault, "")
            value = read_text(self.asked.kind, text)
            label = f"say the {self.words}"
            header.set_fields(self.desk, label, {self.asked.name: value}, quiet=True)

    def _finished(self) -> None:
        fault = self._fault_of(self._line.text())
        say(self._fault, f"{fault} It stays as it was." if fault else "", "warn")

    def _fault_of(self, text: str) -> str:
        try:
            value = read_text(self.asked.kind, text)
        except ValueError as fault:
            return str(fault)
        return header.field_fault(self.desk, {self.asked.name: value})


class JudgeFirstField(Field):
    """Whether the trainee's own review is sealed before the teacher's is opened."""

    def build(self) -> None:
        """Put the tick in."""
        self._tick = QCheckBox("The trainee seals their own review before opening the teacher's")
        self._tick.setAccessibleName(self._tick.text())
        self._tick.clicked.connect(self._set)
        self.column.addWidget(self._tick)
        self.column.addWidget(
            label("A courtesy between colleagues, not protection: files can be read.", "soft")
        )

    def refresh(self) -> None:
        """Show whether it is asked for."""
        self._tick.setChecked(self.desk.case.judge_first)

    def _set(self, on: bool) -> None:
        words = "ask to judge first" if on else "no longer ask to judge first"
        header.set_fields(self.desk, words, {"judge_first": on})
        self.refresh()


class IdentityField(Field):
    """Who looked at the whole film and found nobody's identity on it."""

    def build(self) -> None:
        """Put the tick and its caution in."""
        self._tick = QCheckBox("I looked: nothing in this case shows who the patient is")
        self._tick.setAccessibleName(self._tick.text())
        self._tick.clicked.connect(self._set)
        self._by = label("", "soft")
        self.column.addWidget(self._tick)
        self.column.addWidget(self._by)
        self.column.addWidget(
            label(
                "A person must look at the whole case, its sound and its file names too: a name "
                "can stand on a label, a screen or a wrist, and the program can miss it. Until "
                "then no picture of the case is shown on the start page.",
                "soft",
            )
        )

    def refresh(self) -> None:
        """Show who looked."""
        code = self.desk.case.identity_checked_by
        self._tick.setChecked(code is not None)
        say(self._by, f"Looked at by {code}." if code is not None else "", "soft")

    def _set(self, on: bool) -> None:
        header.check_identity(self.desk, on)
        self.refresh()


class WindowField(Field):
    """The stretch of the film that is this case."""

    def build(self) -> None:
        """Put both times in."""
        self._from, self._to = QLineEdit(), QLineEdit()
        for line, name in ((self._from, "from"), (self._to, "to")):
            line.setAccessibleName(f"This case on the film, {name}")
            line.editingFinished.connect(self._set)
        self._from.setPlaceholderText("start")
        self._to.setPlaceholderText("end")
        whole = button("The whole film", self._clear, "The whole film is this case")
        self._fault = label("", "warn")
        self.column.addLayout(row(label("from"), self._from, label("to"), self._to, whole))
        self.column.addWidget(self._fault)

    def refresh(self) -> None:
        """Show the stretch."""
        window = self.desk.case.window
        self._from.setText(text_of(window.start_us) if window is not None else "")
        self._to.setText(text_of(window.end_us) if window is not None else "")
        say(self._fault, "")

    def _set(self) -> None:
        window = self.desk.case.window
        shown = (text_of(window.start_us), text_of(window.end_us)) if window else ("", "")
        if (self._from.text().strip(), self._to.text().strip()) == shown:
            return
        try:
            start_us, end_us = moment_in(self._from.text()), moment_in(self._to.text())
        except TimeUnreadable as fault:
            say(self._fault, in_words(fault), "warn")
            return
        if header.set_window(self.desk, start_us, end_us):
            self.refresh()
        else:
            say(self._fault, self.desk.words.text if self.desk.words else "", "warn")

    def _clear(self) -> None:
        header.set_window(self.desk, None, None)
        self.refresh()


def moment_in(text: str) -> int | None:
    """Return a typed time in microseconds, None for nothing typed.

    Raises:
        TimeUnreadable: It is no time.
    """
    return us_from_text(text) if text.strip() else None
