"""Fields of the header's form that hold lists."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable

from PyQt6.QtCore import Qt
from PyQt6.QtWidgets import (
    QCheckBox,
    QFormLayout,
    QLineEdit,
    QListWidget,
    QListWidgetItem,
    QVBoxLayout,
)

from aftercase.clock import text_of
from aftercase.gui.pages.building import (
    Choice,
    button,
    emptied,
    entry_row,
    field_form,
    label,
    row,
    say,
)
from aftercase.gui.pages.fields import Field
from aftercase.model.base import NOT_SAID
from aftercase.model.case import ConsentEntry, MachineReading
from aftercase.reports.cautions import REPORT_LOCALLY
from aftercase.session.verbs import header

_LINES_SHOWN = 7
_ID = Qt.ItemDataRole.UserRole


class TicksField(Field):
    """Words of the guide, each ticked or not; Space ticks."""

    def build(self) -> None:
        """Put the list in."""
        self._list = QListWidget()
        self._list.setAccessibleName(self.asked.label)
        self._list.setWordWrap(True)
        for word, name in self.words_offered():
            item = QListWidgetItem(name)
            item.setData(_ID, word)
            item.setFlags(Qt.ItemFlag.ItemIsEnabled | Qt.ItemFlag.ItemIsSelectable
                          | Qt.ItemFlag.ItemIsUserCheckable)  # fmt: skip
            self._list.addItem(item)
        line_px = self._list.fontMetrics().lineSpacing() + 6
        self._list.setMinimumHeight(line_px * _LINES_SHOWN)
        self._list.setMaximumHeight(line_px * _LINES_SHOWN * 2)
        self._list.itemChanged.connect(self._changed)
        self._strangers = label("", "soft")
        self.column.addWidget(self._list)
        self.column.addWidget(self._strangers)

    def words_offered(self) -> Iterable[tuple[str, str]]:
        """Return the words and what each is called."""
        raise NotImplementedError

    def refresh(self) -> None:
        """Tick what is said; words that the guide lacks are named."""
        said = getattr(self.desk.case, self.asked.name)
        self._list.blockSignals(True)
        offered = set()
        for item in self._items():
            offered.add(item.data(_ID))
            on = item.data(_ID) in said
            item.setCheckState(Qt.CheckState.Checked if on else Qt.CheckState.Unchecked)
        self._list.blockSignals(False)
        strange = [word for word in said if word not in offered]
        say(self._strangers, f"Not in the guide: {', '.join(strange)}" if strange else "", "soft")

    def _items(self) -> list[QListWidgetItem]:
        items = (self._list.item(place) for place in range(self._list.count()))
        return [item for item in items if item is not None]

    def _changed(self) -> None:
        ticked = [
            item.data(_ID) for item in self._items() if item.checkState() == Qt.CheckState.Checked
        ]
        offered = {item.data(_ID) for item in self._items()}
        strange = [word for word in getattr(self.desk.case, self.asked.name) if word not in offered]
        words = {self.asked.name: (*ticked, *strange)}
        header.set_fields(self.desk, f"say {self.words}", words)


class DifficultiesField(TicksField):
    """What made the case hard."""

    def words_offered(self) -> Iterable[tuple[str, str]]:
        """Return the guide's list."""
        return [(one.id, one.name) for one in self.desk.guide.difficulties]


class PlannedStepsField(TicksField):
    """Which steps the trainee was to do."""

    def words_offered(self) -> Iterable[tuple[str, str]]:
        """Return the guide's steps."""
        return [(one.id, one.name) for one in self.desk.guide.steps if one.parent is None]


class ListedField(Field):
    """Entries below each other, and below them what adds one."""

    def build(self) -> None:
        """Put the entries and what adds one in."""
        self._rows = QVBoxLayout()
        self._shown: tuple[object, ...] | None = None
        self.column.addLayout(self._rows)
        self.build_adding()

    def refresh(self) -> None:
        """Show the entries that are there now."""
        entries = getattr(self.desk.case, self.asked.name)
        if entries == self._shown:
            return
        self._shown = entries
        emptied(self._rows)
        for entry in entries:
            self.show_entry(self._rows, entry)

    def build_adding(self) -> None:
        """Put in what adds an entry."""
        raise NotImplementedError

    def show_entry(self, rows: QVBoxLayout, entry: object) -> None:
        """Put an entry in."""
        raise NotImplementedError


class ComplicationsField(ListedField):
    """Complications as a person states them, apart from the events of a review."""

    def build_adding(self) -> None:
        """Put the line in, and where else a complication belongs."""
        self._line = QLineEdit()
        self._line.setAccessibleName("Another complication")
        self._line.setPlaceholderText("another complication, then Return")
        self._line.returnPressed.connect(self._add)
        self._caution = label(REPORT_LOCALLY, "warn")
        self.column.addLayout(row(self._line, button("Add", self._add, "Add the complication")))
        self.column.addWidget(self._caution)

    def refresh(self) -> None:
        """Show the complications, and the caution where there is one."""
        super().refresh()
        self._caution.setVisible(bool(self.desk.case.complications))

    def show_entry(self, rows: QVBoxLayout, entry: object) -> None:
        """Put a complication in."""
        text = str(entry)
        drop = button(
            "Remove",
            lambda: header.drop_complication(self.desk, text),
            f"Remove the complication {text}",
        )
        rows.addLayout(entry_row(label(text), drop))

    def _add(self) -> None:
        if header.add_complication(self.desk, self._line.text()):
            self._line.clear()


_READING_LINES = (
    ("label", "The machine calls it"),
    ("value", "Number"),
    ("unit", "Unit"),
)


class ReadingsField(ListedField):
    """Numbers read off the machine."""

    def build_adding(self) -> None:
        """Put the lines in."""
        self._lines = named_lines("Another reading", _READING_LINES, self._add)
        self._at_frame = QCheckBox("read at the shown frame")
        self._at_frame.setAccessibleName("Another reading: read at the shown frame")
        self._fault = label("", "warn")
        add = button("Add", self._add, "Add the reading")
        self.column.addLayout(line_form(self._lines, _READING_LINES))
        self.column.addLayout(row(self._at_frame, add))
        self.column.addWidget(self._fault)

    def show_entry(self, rows: QVBoxLayout, entry: object) -> None:
        """Put a reading in."""
        assert isinstance(entry, MachineReading)
        at = f", at {text_of(entry.at_us)}" if entry.at_us is not None else ""
        words = f"{entry.label}: {entry.value:g} {entry.unit}".strip() + at
        drop = button(
            "Remove",
            lambda: header.drop_reading(self.desk, entry.id),
            f"Remove the reading {words}",
        )
        rows.addLayout(entry_row(label(words), drop))

    def _add(self) -> None:
        said = {name: line.text().strip() for name, line in self._lines.items()}
        value = _number_in(said["value"])
        if not said["label"] or value is None:
            say(self._fault, "A reading needs what the machine calls it, and a number.", "warn")
            return
        at_us = self.desk.at_us if self._at_frame.isChecked() else None
        if header.add_reading(self.desk, said["label"], value, said["unit"], at_us):
            for line in self._lines.values():
                line.clear()
            say(self._fault, "")
            self._lines["label"].setFocus()


def named_lines(
    what: str, asked: Iterable[tuple[str, str]], entered: Callable[[], object]
) -> dict[str, QLineEdit]:
    """Return a line to type in for each thing asked, by its word; Return calls `entered`."""
    lines = {}
    for word, words in asked:
        lines[word] = QLineEdit()
        lines[word].setAccessibleName(f"{what}: {words}")
        lines[word].returnPressed.connect(entered)
    return lines


def line_form(lines: dict[str, QLineEdit], asked: Iterable[tuple[str, str]]) -> QFormLayout:
    """Return lines below each other, each with what it asks."""
    form = field_form()
    for word, words in asked:
        form.addRow(words, lines[word])
    return form


_CONSENT_WORDS = (
    ("given", "consent given"),
    ("withdrawn", "consent withdrawn"),
    ("refused", "consent refused"),
)
_CONSENT_LINES = (
    ("scope", "What for"),
    ("on", "Day"),
    ("until", "Until"),
    ("checked_by", "Paper seen by (code)"),
    ("note", "Note"),
)


class ConsentField(ListedField):
    """The consent record: what is written there stays."""

    def build_adding(self) -> None:
        """Put the lines in."""
        self._entry = Choice("Consent: what happened", _CONSENT_WORDS, lambda word: None)
        self._lines = named_lines("Consent", _CONSENT_LINES, self._add)
        form = line_form(self._lines, _CONSENT_LINES)
        form.insertRow(0, "What happened", self._entry)
        self.column.addLayout(form)
        add = button("Add to the record", self._add, "Add to the consent record; it stays there")
        self.column.addLayout(row(add))

    def show_entry(self, rows: QVBoxLayout, entry: object) -> None:
        """Put an entry in."""
        assert isinstance(entry, ConsentEntry)
        rows.addWidget(label(consent_words(entry)))

    def _add(self) -> None:
        said = {name: line.text().strip() for name, line in self._lines.items()}
        if header.note_consent(self.desk, self._entry.word, **said):
            for line in self._lines.values():
                line.clear()
            self._entry.setFocus()


def consent_words(entry: ConsentEntry) -> str:
    """Return an entry of the consent record in words.

    Example:
        >>> consent_words(ConsentEntry(id="a" * 26, entry="given", scope="teaching", on="3 May"))
        'consent given for teaching, on 3 May'
    """
    parts = [dict(_CONSENT_WORDS).get(entry.entry, entry.entry)]
    if entry.scope != NOT_SAID:
        parts[0] += f" for {entry.scope}"
    for before, text in (
        ("on ", entry.on),
        ("until ", entry.until),
        ("paper seen by ", entry.checked_by),
        ("", entry.note),
    ):
        if text:
            parts.append(before + text)
    return ", ".join(parts)


def _number_in(text: str) -> float | None:
    try:
        value = float(text.strip().replace(",", "."))
    except ValueError:
        return None
    return value if math.isfinite(value) else None
