"""What is asked of a new case besides its films: code, guide, technique, stretch of the film."""

from __future__ import annotations

import re
from pathlib import Path

from PyQt6.QtWidgets import QCheckBox, QLabel, QLineEdit, QVBoxLayout, QWidget

from aftercase.document.guides import own_guides, shipped_guides
from aftercase.errors import AftercaseError, AlreadyThere, EditRefused
from aftercase.gui.host import Host
from aftercase.gui.pages.building import Choice, field_form, label, row, say
from aftercase.gui.pages.fields import moment_in
from aftercase.gui.pages.header_fields import words_for
from aftercase.model.base import CODE_FORM, FORMS_IN_WORDS, NOT_SAID
from aftercase.model.guide import Guide
from aftercase.session.desk import in_words
from aftercase.session.settings import cases_folder_of
from aftercase.session.tasks.create import Wanted


class CasePart(QWidget):
    """Code, guide, technique and stretch; only a code and a guide are needed, and both are there.

    Args:
        host: The window.
    """

    def __init__(self, host: Host) -> None:
        super().__init__()
        self._cases = cases_folder_of(host.settings, host.at)
        self._guides = guides_to_choose(host)
        self.code = QLineEdit(free_code(self._cases))
        self.code.setAccessibleName("Code of the case")
        self.code.textChanged.connect(lambda text: self._show_folder())
        named = [(guide.id, guide.name) for guide in self._guides.values()]
        self.guide = Choice("Guide", named, lambda word: self._guide_chosen())
        self.technique = Choice("Technique", [], lambda word: None)
        self.starts, self.ends = QLineEdit(), QLineEdit()
        for line, words in ((self.starts, "start"), (self.ends, "end")):
            line.setAccessibleName(f"This case on its film, {words}")
            line.setPlaceholderText(words)
        self.copies = QCheckBox("Copy the films into the case")
        self.copies.setAccessibleName(self.copies.text())
        self._folder = label("", "soft")
        self._technique_name = QLabel("Technique")
        self._lay_out()
        if host.settings.default_guide in self._guides:
            self.guide.show_word(host.settings.default_guide)
        self._guide_chosen()
        self._show_folder()

    def wanted(self, films: tuple[Path, ...]) -> tuple[Wanted, Path]:
        """Return what the case is made of, and the folder it is made in.

        Raises:
            EditRefused: The code is none.
            AlreadyThere: There is a folder of that code.
            TimeUnreadable: A time is none.
        """
        code = self.code.text().strip()
        if not re.fullmatch(CODE_FORM, code):
            raise EditRefused(f"“{code}” is no code: {FORMS_IN_WORDS[CODE_FORM]}.")
        folder = self._cases / code
        if folder.exists():
            raise AlreadyThere(f"There is a case “{code}” already.", hint="Give another code.")
        technique = self.technique.word if self.technique.isVisibleTo(self) else NOT_SAID
        wanted = Wanted(
            code,
            self.guide.word,
            films=films,
            from_us=moment_in(self.starts.text()),
            to_us=moment_in(self.ends.text()),
            copy_films=self.copies.isChecked(),
            header={} if technique == NOT_SAID else {"technique": technique},
        )
        return wanted, folder

    def _lay_out(self) -> None:
        form = field_form()
        form.addRow("Code of the case", self.code)
        form.addRow("", self._folder)
        form.addRow("Guide", self.guide)
        form.addRow(self._technique_name, self.technique)
        form.addRow("From, to", row(self.starts, QLabel("to"), self.ends))
        form.addRow(
            "",
            label(
                "Only where the film holds more than this case; make the next case from the same "
                "film.",
                "soft",
            ),
        )
        form.addRow("", self.copies)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addLayout(form)

    def _guide_chosen(self) -> None:
        self.technique.clear()
        guide = self._guides[self.guide.word]
        for word, name in words_for("technique", guide):
            self.technique.addItem(name, word)
        for widget in (self._technique_name, self.technique):
            widget.setVisible(bool(guide.techniques))

    def _show_folder(self) -> None:
        say(self._folder, f"Never a patient's name or number. Made in {self._cases}.", "soft")


def guides_to_choose(host: Host) -> dict[str, Guide]:
    """Return the guides a case for a case by id; where an own one is broken, only those shipped."""
    try:
        return shipped_guides() | own_guides(host.at.own_guides)
    except AftercaseError as fault:
        host.tell(in_words(fault), "refused")
        return shipped_guides()


def free_code(cases: Path) -> str:
    """Return the first code that no case in a folder has: ``case-1``, ``case-2`` and so on."""
    number = 1
    while (cases / f"case-{number}").exists():
        number += 1
    return f"case-{number}"
