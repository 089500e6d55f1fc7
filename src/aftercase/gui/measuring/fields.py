"""What is typed of a ruler or a measure: sizes, and a note."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any, Final

from PyQt6.QtCore import Qt, pyqtSignal
from PyQt6.QtGui import QKeyEvent
from PyQt6.QtWidgets import QLineEdit, QWidget

from aftercase.gui.pages.building import field_form
from aftercase.gui.shortcuts import leave_undo
from aftercase.session.pointing import TIP_PATH, Pointing

_FIELDS: Final = (
    ("size_mm", "Size, mm", "Size in millimetres"),
    ("size_error_mm", "± mm", "How far off that may be, in millimetres, where known"),
    (
        "threshold_mm_s",
        "Threshold, mm/s",
        "By how much its speed rises and falls in a movement, in mm/s",
    ),
    ("note", "Note", "Note"),
)
"""Field of `Pointing`, label, what it is called where there is room."""

_NOTE: Final = "note"
_MAY_BE_NOTHING: Final = "size_error_mm"
_MOST_MM: Final = 1000.0


class TypedFields(QWidget):
    """Lines to type in; each shows only where it means something.

    Args:
        said: Called with a field of `Pointing` and what it is now.
        refused: Called with why something typed cannot be taken.
    """

    left = pyqtSignal()
    """Return or Escape was pressed in one of them."""

    def __init__(self, said: Callable[[str, Any], None], refused: Callable[[str], None]) -> None:
        super().__init__()
        self._said, self._refused = said, refused
        self._form = field_form()
        self._form.setContentsMargins(0, 0, 0, 0)
        self._form.setVerticalSpacing(3)
        self.setLayout(self._form)
        self._lines: dict[str, _Line] = {}
        for name, words, in_full in _FIELDS:
            line = _Line(in_full)
            line.left.connect(self.left)
            line.textEdited.connect(partial(self._typed, name))
            leave_undo(line)
            self._lines[name] = line
            self._form.addRow(words, line)

    def show_pointing(self, pointing: Pointing | None) -> None:
        """Show what was said; none where no tool is taken."""
        shown = {_NOTE} if pointing is not None else set()
        if pointing is not None and pointing.tool.is_ruler:
            shown |= {"size_mm", "size_error_mm"}
        if pointing is not None and pointing.tool.word == TIP_PATH:
            shown |= {"threshold_mm_s"}
        for name, line in self._lines.items():
            self._form.setRowVisible(line, name in shown)
            if pointing is not None and not line.hasFocus():
                line.setText(_text(getattr(pointing, name)))

    def ask_for_size(self) -> None:
        """Give the keys to the size."""
        self._lines["size_mm"].setFocus(Qt.FocusReason.OtherFocusReason)

    def _typed(self, name: str, text: str) -> None:
        if name == _NOTE:
            self._said(name, text)
            return
        number = _number(text)
        is_size = number is not None and (number > 0 or name == _MAY_BE_NOTHING)
        if text.strip() and not is_size:
            self._refused(f"“{text.strip()}” is no size in millimetres. It stays as it was.")
        else:
            self._said(name, number)


class _Line(QLineEdit):
    """A line that is left by Return and Escape."""

    left = pyqtSignal()

    def __init__(self, in_full: str) -> None:
        super().__init__()
        self.setAccessibleName(in_full)
        self.setToolTip(in_full)

    def keyPressEvent(self, event: QKeyEvent | None) -> None:  # noqa: N802 - Qt's name
        """Type, or leave."""
        leaving = (Qt.Key.Key_Escape, Qt.Key.Key_Return, Qt.Key.Key_Enter)
        if event is not None and event.key() in leaving:
            self.left.emit()
        else:
            super().keyPressEvent(event)


def _text(said: Any) -> str:
    if isinstance(said, float):
        return f"{said:g}"
    return said or ""


def _number(text: str) -> float | None:
    """Return a number that was typed, None for none."""
    try:
        number = float(text.strip().replace(",", "."))
    except ValueError:
        return None
    return number if 0 <= number <= _MOST_MM else None
