"""About the case: the header as a form in which nothing has to be said."""

from __future__ import annotations

from typing import Final

from PyQt6.QtWidgets import QFrame, QLabel, QVBoxLayout, QWidget

from aftercase.gui.host import Host
from aftercase.gui.pages.building import field_form, label, panel, share_width
from aftercase.gui.pages.fields import (
    DensityField,
    Field,
    IdentityField,
    JudgeFirstField,
    TextField,
    WindowField,
    WordField,
)
from aftercase.gui.pages.header_fields import GROUPS, Group, HeaderField, Kind, is_asked
from aftercase.gui.pages.list_fields import (
    ComplicationsField,
    ConsentField,
    DifficultiesField,
    PlannedStepsField,
    ReadingsField,
)
from aftercase.gui.pages.since_fields import (
    SinceDegreesField,
    SinceFlagField,
    SinceTextField,
    SinceWordField,
)

_FIELDS: Final[dict[Kind, type[Field]]] = {
    "word": WordField,
    "code": TextField,
    "count": TextField,
    "text": TextField,
    "since-word": SinceWordField,
    "since-text": SinceTextField,
    "since-degrees": SinceDegreesField,
    "since-flag": SinceFlagField,
    "density": DensityField,
    "difficulties": DifficultiesField,
    "planned-steps": PlannedStepsField,
    "complications": ComplicationsField,
    "readings": ReadingsField,
    "window": WindowField,
    "consent": ConsentField,
    "identity": IdentityField,
    "judge-first": JudgeFirstField,
}


class CaseForm(QWidget):
    """The header of the case on the desk; each change is saved and can be undone."""

    title = "About the case"

    def __init__(self, host: Host) -> None:
        super().__init__()
        desk = host.desk
        assert desk is not None, "the form belongs to a case"
        self._desk = desk
        self._fields: list[tuple[HeaderField, Field, QLabel]] = []
        column = QVBoxLayout(self)
        column.addWidget(
            label(
                f"{desk.guide.name}. Nothing here has to be said, now or ever; what is not said "
                "stays “not said” and is never guessed.",
                "soft",
            )
        )
        for group in GROUPS:
            column.addWidget(self._group(group))
        share_width([name for _, _, name in self._fields])
        column.addStretch(1)
        self._stops = [desk.listen("case", self.refresh), desk.listen("moment", self.refresh)]
        self.refresh()

    def refresh(self) -> None:
        """Show what the header says now."""
        for asked, field, name in self._fields:
            shown = is_asked(asked, self._desk.case, self._desk.guide)
            field.setVisible(shown)
            name.setVisible(shown)
            field.refresh()

    def stop(self) -> None:
        """Listen no more."""
        for stop in self._stops:
            stop()

    def _group(self, group: Group) -> QFrame:
        form = field_form()
        for asked in group.fields:
            field = _FIELDS[asked.kind](self._desk, asked)
            name = QLabel(asked.label)
            form.addRow(name, field)
            self._fields.append((asked, field, name))
        return panel(group.name, form)
