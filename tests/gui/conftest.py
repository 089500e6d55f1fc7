"""A window without a screen, and hands that press its keys."""

from __future__ import annotations

import os
import random
import sys
import traceback
from collections.abc import Callable, Iterator
from pathlib import Path
from types import TracebackType

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

import pytest
from PyQt6.QtWidgets import QApplication, QMessageBox, QWidget
from tests.gui import hands

from aftercase.gui.app import made_window, put_away
from aftercase.gui.window import Window
from aftercase.model.base import NewId, id_source
from aftercase.session.places import Places, places
from aftercase.session.tasks.create import Wanted, new_case

SAMPLE = Path(__file__).resolve().parents[2] / "sample_media" / "demo.mp4"


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
    return hands.until


@pytest.fixture
def press(qapp: QApplication) -> Callable[..., None]:
    """Press keys, named as in the table of actions, where the keyboard's focus is."""
    return hands.press


@pytest.fixture
def type_text(qapp: QApplication) -> Callable[[QWidget, str], None]:
    """Type a text, any language, into the widget that has the focus."""
    return hands.type_text


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
