"""A window without a screen, and hands that press its keys."""

from __future__ import annotations

import os
import random
import sys
import time
import traceback
from collections.abc import Callable, Iterator
from pathlib import Path
from types import TracebackType

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

import pytest
from PyQt6.QtCore import QEvent, Qt
from PyQt6.QtGui import QKeyEvent, QKeySequence
from PyQt6.QtWidgets import QApplication, QMessageBox, QWidget

from aftercase.gui.app import made_window, put_away
from aftercase.gui.window import Window
from aftercase.model.base import NewId, id_source
from aftercase.session.places import Places, places
from aftercase.session.tasks.create import Wanted, new_case

SAMPLE = Path(__file__).resolve().parents[2] / "sample_media" / "demo.mp4"
SOON_S = 20.0


@pytest.fixture
def at() -> Places:
    """The program's folders of this test."""
    return places()


@pytest.fixture
def new_id() -> NewId:
    """Ids that are the same in every run."""
    return id_source(random.Random(4))


@pytest.fixture
def until(qapp: QApplication) -> Callable[..., None]:
    """Let the program go on until something holds; fails if it does not soon."""

    def wait(holds: Callable[[], object], within_s: float = SOON_S) -> None:
        give_up_s = time.monotonic() + within_s
        while not holds():
            assert time.monotonic() < give_up_s, f"waited {within_s} s in vain"
            qapp.processEvents()
            time.sleep(0.001)
        qapp.processEvents()

    return wait


@pytest.fixture
def press(qapp: QApplication) -> Callable[..., None]:
    """Press keys, named as in the table of actions, where the keyboard's focus is."""

    def pressing(window: QWidget, *keys: str) -> None:
        for key in keys:
            [combination] = [QKeySequence(key)[0]]
            target = QApplication.focusWidget() or window
            _send(target, combination.key(), combination.keyboardModifiers(), _text(key))
            qapp.processEvents()

    return pressing


@pytest.fixture
def type_text(qapp: QApplication) -> Callable[[QWidget, str], None]:
    """Type a text, any language, into the widget that has the focus."""

    def typing(window: QWidget, text: str) -> None:
        for sign in text:
            target = QApplication.focusWidget() or window
            _send(target, 0, Qt.KeyboardModifier.NoModifier, sign)
            qapp.processEvents()

    return typing


def _send(target: QWidget, key: int, modifiers: Qt.KeyboardModifier, text: str) -> None:
    """Send one key as the window system does: shortcuts are asked before the widget."""
    override = QKeyEvent(QEvent.Type.ShortcutOverride, key, modifiers, text)
    QApplication.sendEvent(target, override)
    for kind in (QEvent.Type.KeyPress, QEvent.Type.KeyRelease):
        QApplication.sendEvent(target, QKeyEvent(kind, key, modifiers, text))


def _text(key: str) -> str:
    return key.lower() if len(key) == 1 else ""


@pytest.fixture
def film_case(tmp_path: Path, at: Places, new_id: NewId) -> Path:
    """A case of the sample film that nobody has reviewed yet."""
    wanted = Wanted("C1", "cataract-phaco", films=(SAMPLE,))
    return new_case(tmp_path / "case", wanted, at, new_id).folder.path


@pytest.fixture
def window(qapp: QApplication, at: Places, until: Callable[..., None]) -> Iterator[Window]:
    """The program's window, shown; whatever it had to write is written at the end.

    A fault of the program's own fails the test, though the program itself would go on.
    """
    shown = made_window(qapp, at)
    faults: list[str] = []
    tell_fault = sys.excepthook

    def hook(kind: type[BaseException], fault: BaseException, trace: TracebackType | None) -> None:
        faults.append("".join(traceback.format_exception(kind, fault, trace)))
        tell_fault(kind, fault, trace)

    sys.excepthook = hook
    shown.show()
    shown.show_given(())
    yield shown
    shown.close()
    sys.excepthook = sys.__excepthook__
    put_away(qapp, shown)
    for dialogue in [left for left in qapp.topLevelWidgets() if isinstance(left, QMessageBox)]:
        dialogue.close()
    assert not faults, "\n".join(faults)
    assert not [left for left in qapp.topLevelWidgets() if isinstance(left, Window)]


@pytest.fixture
def opened(window: Window, film_case: Path, until: Callable[..., None]) -> Window:
    """The window with the sample film's case in it, resting on its first frame."""
    window.open_path(film_case)
    until(lambda: window.desk is not None and window.player.is_exact)
    return window
