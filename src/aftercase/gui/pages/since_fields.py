"""Fields whose value may change during the film: a row for each moment it changes at."""

from __future__ import annotations

from functools import partial
from typing import Any

from PyQt6.QtWidgets import QHBoxLayout, QLineEdit, QVBoxLayout, QWidget

from aftercase.clock import text_of
from aftercase.gui.pages.building import Choice, button, emptied, label, say
from aftercase.gui.pages.fields import Field
from aftercase.gui.pages.header_fields import NOT_SAID_WORDS, words_for
from aftercase.gui.shortcuts import leave_undo
from aftercase.model.base import NOT_SAID
from aftercase.model.case import value_at
from aftercase.session.verbs import header
from aftercase.session.verbs.header import FROM_THE_START

_FLAGS = ((NOT_SAID, NOT_SAID_WORDS), ("no", "no"), ("yes", "yes"))


class SinceField(Field):
    """A value from the start, and others from later moments on."""

    def build(self) -> None:
        """Put the rows and what adds one in."""
        self._rows = QVBoxLayout()
        self._editors: dict[int, QWidget] = {}
        self._more = button("", self._add_row)
        self._fault = label("", "warn")
        self.column.addLayout(self._rows)
        self.column.addWidget(self._fault)

    def refresh(self) -> None:
        """Show every value with its moment."""
        values = {entry.from_us: entry.value for entry in self._entries}
        moments = sorted({FROM_THE_START, *values})
        if list(self._editors) != moments:
            self._rebuild(moments)
        for from_us, editor in self._editors.items():
            self.show_value(editor, values.get(from_us))
        at_us = self.desk.at_us
        self._more.setText(f"Changes at {text_of(at_us)}")
        self._more.setAccessibleName(f"{self.asked.label}: changes at the shown frame")
        self._more.setEnabled(at_us not in self._editors)
        say(self._fault, "")

    @property
    def _entries(self) -> tuple[Any, ...]:
        entries: tuple[Any, ...] = getattr(self.desk.case, self.asked.name)
        return entries

    def _rebuild(self, moments: list[int]) -> None:
        had_focus = self._focused_moment()
        self._more.setParent(None)
        emptied(self._rows)
        self._editors = {}
        for from_us in moments:
            since = "from the start" if from_us == FROM_THE_START else f"from {text_of(from_us)} on"
            editor = self.made_editor(from_us, f"{self.asked.label}, {since}")
            self._editors[from_us] = editor
            line = QHBoxLayout()
            line.addWidget(editor, 1)
            if len(moments) > 1:
                when = label(since, "soft")
                when.setWordWrap(False)
                line.addWidget(when)
            if from_us == FROM_THE_START:
                line.addWidget(self._more)
            else:
                name = f"Remove: {self.asked.label}, {since}"
                line.addWidget(button("Remove", partial(self._remove, from_us), name))
            self._rows.addLayout(line)
        if had_focus is not None and had_focus in self._editors:
            self._editors[had_focus].setFocus()

    def _focused_moment(self) -> int | None:
        return next((us for us, editor in self._editors.items() if editor.hasFocus()), None)

    def say_value(self, from_us: int, value: str | float | bool, *, quiet: bool = False) -> None:
        """Let a value hold from a moment on."""
        label = f"say the {self.words}"
        header.say_since(self.desk, self.asked.name, from_us, value, label, quiet=quiet)

    def _add_row(self) -> None:
        at_us = self.desk.at_us
        before = value_at(self._entries, at_us)
        self.say_value(at_us, self.first_value if before is None else before)
        self.refresh()
        if at_us in self._editors:
            self._editors[at_us].setFocus()

    def _remove(self, from_us: int) -> None:
        header.take_back_since(
            self.desk, self.asked.name, from_us, f"take back the later {self.words}"
        )
        self.refresh()

    # What the kinds do differently --------------------------------------------------------

    first_value: str | float | bool = NOT_SAID
    """What a later row begins with where nothing was said before it."""

    def made_editor(self, from_us: int, name: str) -> QWidget:
        """Return the widget for one moment's value."""
        raise NotImplementedError

    def show_value(self, editor: QWidget, value: Any) -> None:
        """Show a value, None where none was said."""
        raise NotImplementedError


class SinceWordField(SinceField):
    """Words of a list."""

    def made_editor(self, from_us: int, name: str) -> QWidget:
        """Return a list of words."""
        words = words_for(self.asked.name, self.desk.guide)
        return Choice(name, words, lambda word: self.say_value(from_us, word))

    def show_value(self, editor: QWidget, value: Any) -> None:
        """Show the word."""
        assert isinstance(editor, Choice)
        editor.show_word(NOT_SAID if value is None else str(value))


class SinceFlagField(SinceField):
    """Yes or no."""

    first_value = True

    def made_editor(self, from_us: int, name: str) -> QWidget:
        """Return a list of yes and no; later rows are removed instead of not said."""
        words = _FLAGS if from_us == FROM_THE_START else _FLAGS[1:]
        return Choice(name, words, lambda word: self._choose(from_us, word))

    def show_value(self, editor: QWidget, value: Any) -> None:
        """Show yes, no or not said."""
        assert isinstance(editor, Choice)
        editor.show_word({None: NOT_SAID, True: "yes", False: "no"}[value])

    def _choose(self, from_us: int, word: str) -> None:
        self.say_value(from_us, NOT_SAID if word == NOT_SAID else word == "yes")


class SinceTextField(SinceField):
    """Words a person types."""

    def made_editor(self, from_us: int, name: str) -> QWidget:
        """Return a line."""
        line = QLineEdit()
        line.setAccessibleName(name)
        line.setPlaceholderText(NOT_SAID_WORDS)
        line.textEdited.connect(lambda text: self._typed(from_us, text))
        line.editingFinished.connect(lambda: self._finished(line.text()))
        leave_undo(line)
        return line

    def show_value(self, editor: QWidget, value: Any) -> None:
        """Show the value, unless what is typed says it already."""
        assert isinstance(editor, QLineEdit)
        if self.value_in(editor.text()) != value:
            editor.setText("" if value in (None, NOT_SAID) else self.text_for(value))

    def _typed(self, from_us: int, text: str) -> None:
        value = self.value_in(text)
        if value is None and from_us == FROM_THE_START:
            label = f"take back the {self.words}"
            header.take_back_since(self.desk, self.asked.name, from_us, label)
        elif value is not None and not self.fault_in(text):
            self.say_value(from_us, value, quiet=True)

    def _finished(self, text: str) -> None:
        say(self._fault, self.fault_in(text), "warn")

    def value_in(self, text: str) -> Any:
        """Return what a text says, None for nothing."""
        return text.strip() or None

    def text_for(self, value: Any) -> str:
        """Return a value as it is typed."""
        return str(value)

    def fault_in(self, text: str) -> str:
        """Return why a text cannot be taken, empty where it can."""
        return ""


class SinceDegreesField(SinceTextField):
    """An angle in degrees."""

    first_value = 0.0

    def value_in(self, text: str) -> Any:
        """Return the angle, the text where it is none, None for nothing typed."""
        typed = text.strip().rstrip("°").replace(",", ".")
        try:
            return float(typed) if typed else None
        except ValueError:
            return typed

    def text_for(self, value: Any) -> str:
        """Return an angle as it is typed."""
        return f"{value:g}"

    def fault_in(self, text: str) -> str:
        """Return why it is no angle."""
        value = self.value_in(text)
        if value is None or (isinstance(value, float) and -360.0 <= value <= 360.0):
            return ""
        return f"“{text.strip()}” is no angle from -360 to 360. It stays as it was."
