"""Starts the window, and ends only when everything is written."""

from __future__ import annotations

import os
import signal
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Final

from PyQt6.QtCore import QEvent, QTimer
from PyQt6.QtWidgets import QApplication

from aftercase.gui.faults import watch_for_faults
from aftercase.gui.theme import chosen_theme, wear
from aftercase.gui.window import Window
from aftercase.session.places import Places, places
from aftercase.session.settings import read_settings

_LISTEN_MS: Final = 200


def run(given: Sequence[Path] = ()) -> int:
    """Show the window until it is closed and return the exit code.

    Args:
        given: A case folder, or films to make a case of; nothing for the start page.
    """
    at = places()
    application = QApplication.instance() or QApplication(sys.argv[:1])
    assert isinstance(application, QApplication)
    application.setApplicationName("Aftercase")
    application.setDesktopFileName("aftercase")
    window = made_window(application, at)
    window.show()
    window.show_given(tuple(given))
    with _EndedBySignals(application):
        code = application.exec()
    put_away(application, window)
    return code


def put_away(application: QApplication, window: Window) -> None:
    """Destroy a closed window while the application it needs is still there."""
    window.deleteLater()
    application.sendPostedEvents(None, QEvent.Type.DeferredDelete.value)
    _outlives.append(application)  # Python may otherwise destroy it before what is left of Qt's


_outlives: list[QApplication] = []


def made_window(application: QApplication, at: Places) -> Window:
    """Return the window, dressed and watched for faults, not yet shown."""
    settings = read_settings(at)
    theme = chosen_theme(settings.theme, application)
    wear(application, theme, settings.text_size_percent)
    window = Window(at, settings, theme)
    watch_for_faults(lambda text: window.tell(text, "refused"), window.saved_words)
    return window


class _EndedBySignals:
    """Close the window on an interrupt; Python only hears of signals while it runs something."""

    def __init__(self, application: QApplication) -> None:
        self._timer = QTimer(application)
        self._timer.timeout.connect(lambda: None)
        self._application = application

    def __enter__(self) -> None:
        self._before = {
            number: signal.signal(number, lambda *_: self._application.closeAllWindows())
            for number in (signal.SIGINT, signal.SIGTERM)
        }
        self._timer.start(_LISTEN_MS)

    def __exit__(self, *_: object) -> None:
        self._timer.stop()
        for number, handler in self._before.items():
            signal.signal(number, handler)


def missing_screen() -> str | None:
    """Return why no window can be shown here, in words; None where one can."""
    if sys.platform != "linux" or os.environ.get("QT_QPA_PLATFORM"):
        return None
    if os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY"):
        return None
    return "There is no screen here to show a window on."
