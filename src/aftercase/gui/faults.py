"""What nobody expected: told in a dialogue, with details to copy; the program goes on."""

from __future__ import annotations

import sys
import traceback
from collections.abc import Callable
from types import TracebackType

from PyQt6.QtWidgets import QApplication, QMessageBox, QWidget

from aftercase.errors import AftercaseError
from aftercase.session.desk import in_words

Told = Callable[[str], None]


def watch_for_faults(tell: Told, saved: Callable[[], str]) -> None:
    """Show faults in a dialogue instead of ending the program.

    PyQt6 aborts on an exception in a slot unless a hook is set.

    Args:
        tell: Tells a fault of the world in words, where the window can.
        saved: Says whether everything is saved, in a sentence.
    """

    def hook(kind: type[BaseException], fault: BaseException, trace: TracebackType | None) -> None:
        if isinstance(fault, KeyboardInterrupt):
            QApplication.exit(1)
            return
        if isinstance(fault, AftercaseError):
            tell(in_words(fault))
            return
        details = "".join(traceback.format_exception(kind, fault, trace))
        fault_dialogue(details, saved()).open()

    sys.excepthook = hook


_open: list[QMessageBox] = []


def fault_dialogue(details: str, saved: str, parent: QWidget | None = None) -> QMessageBox:
    """Return the dialogue for a fault of the program's own.

    Args:
        details: The trace, for copying.
        saved: A sentence on what is saved.
        parent: The window.
    """
    box = QMessageBox(parent or QApplication.activeWindow())
    box.setWindowTitle("Something went wrong in Aftercase")
    box.setIcon(QMessageBox.Icon.Warning)
    box.setText("Something went wrong inside the program. You can go on.")
    box.setInformativeText(
        f"{saved} If it happens again, copy the details and send them to whoever looks after "
        "Aftercase where you work. They hold no names and no pictures."
    )
    box.setDetailedText(details)
    copy = box.addButton("Copy details", QMessageBox.ButtonRole.ActionRole)
    box.addButton("Go on", QMessageBox.ButtonRole.AcceptRole)
    if copy is not None:
        copy.clicked.disconnect()  # copying leaves the dialogue open
        copy.clicked.connect(lambda: _copy(details))
    _open.append(box)
    box.finished.connect(lambda _: _open.remove(box))
    return box


def _copy(text: str) -> None:
    clipboard = QApplication.clipboard()
    if clipboard is not None:
        clipboard.setText(text)
