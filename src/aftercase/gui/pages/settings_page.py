"""What a person chooses for this computer; every choice holds at once."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Final

from PyQt6.QtWidgets import QCheckBox, QFormLayout, QLabel, QLineEdit, QVBoxLayout, QWidget

from aftercase.gui.host import Host
from aftercase.gui.pages.building import (
    Choice,
    button,
    field_form,
    label,
    panel,
    row,
    say,
    share_width,
)
from aftercase.gui.pages.case_part import guides_to_choose
from aftercase.gui.pages.film_chooser import choose_folder
from aftercase.gui.pages.keys_form import KeysForm
from aftercase.session.settings import (
    GIGABYTE,
    RATES,
    TEXT_SIZES_PERCENT,
    cases_folder_of,
)

_SECOND: Final = 1_000_000
_NUMBER_CHARS: Final = 18


@dataclass(frozen=True)
class NumberSetting:
    """A setting that is typed as a number.

    Attributes:
        name: The setting.
        label: What it is called, with its unit.
        unit: What the number is multiplied with to become the setting.
        least: The least number.
        most: The largest number.
        whole: Whether only whole numbers are one.
        note: What it means.
    """

    name: str
    label: str
    unit: int
    least: float
    most: float
    whole: bool
    note: str = ""


NUMBERS: Final = {
    setting.name: setting
    for setting in (
        NumberSetting("lead_us", "Lead of a remark, seconds", _SECOND, 0, 30, False,
                      "A remark sits this long before the frame shown when typing began."),
        NumberSetting("gap_threshold_us", "Shortest gap that counts, seconds", _SECOND, 0, 600,
                      False, "Shorter ones are shown nowhere and summed nowhere."),
        NumberSetting("text_size_percent", "Text size, percent", 1, *TEXT_SIZES_PERCENT, True),
        NumberSetting("last_rate", "Speed at which films begin to play", 1, *RATES, False),
        NumberSetting("scrub_copies_limit_bytes", "All copies together, gigabytes at most",
                      GIGABYTE, 0, 100_000, False, "The oldest are dropped first."),
        NumberSetting("idle_minutes", "Ask who reviews after idle minutes", 1, 0, 600, True,
                      "The picture is covered then. 0 asks never."),
    )
}  # fmt: skip
"""The settings that are numbers, by name."""

_THEMES: Final = (("system", "as the desktop"), ("light", "light"), ("dark", "dark"))


def read_number(setting: NumberSetting, text: str) -> int | float:
    """Return what was typed as the setting takes it.

    Raises:
        ValueError: It is no such number; the sentence says what is.

    Example:
        >>> read_number(NUMBERS["lead_us"], "2,5"), read_number(NUMBERS["idle_minutes"], "5")
        (2500000, 5)
    """
    kind = "a whole number" if setting.whole else "a number"
    wrong = f"“{text.strip()}” is not {kind} from {setting.least:g} to {setting.most:g}."
    try:
        number = float(text.strip().replace(",", "."))
    except ValueError:
        raise ValueError(wrong) from None
    if not setting.least <= number <= setting.most or (setting.whole and number % 1):
        raise ValueError(wrong)
    value = number * setting.unit
    return value if setting.name == "last_rate" else round(value)


class NumberLine(QWidget):
    """A line for one number; what is none is said below it and not kept.

    Args:
        setting: Its row in the table.
        value: What the setting is now.
        chosen: Called with the setting's new value.
    """

    def __init__(
        self, setting: NumberSetting, value: float, chosen: Callable[[int | float], object]
    ) -> None:
        super().__init__()
        self._setting, self._chosen = setting, chosen
        self._line = QLineEdit(f"{value / setting.unit:g}")
        self._line.setAccessibleName(setting.label)
        self._line.setMaximumWidth(self.fontMetrics().averageCharWidth() * _NUMBER_CHARS)
        self._line.editingFinished.connect(self._finished)
        self._fault = label("", "warn")
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(3)
        column.addWidget(self._line)
        column.addWidget(self._fault)
        if setting.note:
            column.addWidget(label(setting.note, "soft"))
        self._kept = value

    def _finished(self) -> None:
        try:
            value = read_number(self._setting, self._line.text())
        except ValueError as fault:
            say(self._fault, f"{fault} It stays as it was.", "warn")
            return
        say(self._fault, "")
        if value != self._kept:
            self._kept = value
            self._chosen(value)


class SettingsPage(QWidget):
    """Everything that can be chosen, in groups."""

    title = "Settings"

    def __init__(self, host: Host) -> None:
        super().__init__()
        self._host = host
        self._names: list[QLabel] = []
        self.keys = KeysForm(host.settings.keys, lambda keys: self._choose(keys=keys))
        column = QVBoxLayout(self)
        column.addWidget(panel("Keys", self.keys))
        column.addWidget(panel("Writing remarks", self._writing()))
        column.addWidget(panel("Looks", self._looks()))
        column.addWidget(panel("Films and cases", self._films()))
        column.addWidget(panel("Who reviews", self._people()))
        column.addStretch(1)
        share_width(self._names)

    def _choose(self, **choices: Any) -> None:
        self._host.change_settings(**choices)

    def _writing(self) -> QFormLayout:
        form = field_form()
        self._add_number(form, "lead_us")
        form.addRow(self._tick("pause_on_type", "The film rests while a remark is typed"))
        self._add_number(form, "gap_threshold_us")
        return form

    def _looks(self) -> QFormLayout:
        form = field_form()
        theme = Choice("Theme", _THEMES, lambda word: self._choose(theme=word))
        theme.show_word(self._host.settings.theme)
        self._add(form, "Theme", theme)
        self._add_number(form, "text_size_percent")
        return form

    def _films(self) -> QFormLayout:
        form = field_form()
        self._add_number(form, "last_rate")
        form.addRow(self._tick("sound_on", "Films are heard"))
        form.addRow(self._tick("scrub_copies", "Make small copies of films for browsing quickly"))
        self._add_number(form, "scrub_copies_limit_bytes")
        guides = [(guide.id, guide.name) for guide in guides_to_choose(self._host).values()]
        guide = Choice("Guide of new cases", guides, lambda word: self._choose(default_guide=word))
        guide.show_word(self._host.settings.default_guide)
        self._add(form, "Guide of new cases", guide)
        self._folder = label(self._cases_folder)
        self._add(form, "New cases are made in", self._folder)
        form.addRow(
            "",
            row(
                button("Another folder…", self._choose_folder, "Choose where new cases are made"),
                button(
                    "The usual one", lambda: self._take_folder(""), "Make them where it is usual"
                ),
            ),
        )
        return form

    def _people(self) -> QFormLayout:
        form = field_form()
        self._add_number(form, "idle_minutes")
        return form

    def _add_number(self, form: QFormLayout, name: str) -> None:
        setting = NUMBERS[name]
        line = NumberLine(
            setting,
            getattr(self._host.settings, name),
            lambda value: self._choose(**{name: value}),
        )
        self._add(form, setting.label, line)

    def _add(self, form: QFormLayout, words: str, field: QWidget) -> None:
        name = QLabel(words)
        self._names.append(name)
        form.addRow(name, field)

    def _tick(self, name: str, words: str) -> QCheckBox:
        tick = QCheckBox(words)
        tick.setAccessibleName(words)
        tick.setChecked(getattr(self._host.settings, name))
        tick.clicked.connect(lambda on: self._choose(**{name: on}))
        return tick

    def _choose_folder(self) -> None:
        choose_folder(
            self, "Where new cases are made", lambda chosen: self._take_folder(str(chosen[0]))
        )

    def _take_folder(self, folder: str) -> None:
        self._choose(cases_folder=folder)
        say(self._folder, self._cases_folder)

    @property
    def _cases_folder(self) -> str:
        return str(cases_folder_of(self._host.settings, self._host.at))
