"""Pictures drawn by hand, a film view that shows them, and hands that use it."""

from __future__ import annotations

import os

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PyQt6.QtCore import QEvent, QPointF, Qt
from PyQt6.QtGui import QImage, QKeyEvent, QKeySequence, QMouseEvent
from PyQt6.QtWidgets import QApplication, QLineEdit, QWidget

from aftercase.gui.film.view import FilmView
from aftercase.gui.theme import DARK, wear
from aftercase.media.picture import FrameTimes, Picture, Pixels

NONE = Qt.KeyboardModifier.NoModifier
LEFT = Qt.MouseButton.LeftButton

Made = Callable[..., Any]


@pytest.fixture(scope="session")
def picture() -> Made:
    """Make a picture of an array of R, G, B."""

    def make(
        rgb: np.ndarray, *, part: int = 0, start_us: int = 0, end_us: int = 40_000, **fields: Any
    ) -> Picture:
        shape = {
            name: fields.pop(name)
            for name in ("pixel_aspect", "turn_deg", "mirrored")
            if name in fields
        }
        height_px, width_px, _ = rgb.shape
        pixels = Pixels(width_px, height_px, 3 * width_px, rgb.astype(np.uint8).tobytes(), **shape)
        return Picture(FrameTimes(part, start_us, end_us), pixels, **fields)

    return make


@pytest.fixture(scope="session")
def spotted() -> Made:
    """Make a grey frame of 360 x 288 whose green spot of 6 x 6 lies round column 90, row 36."""

    def make(width_px: int = 360, height_px: int = 288) -> np.ndarray:
        frame = np.full((height_px, width_px, 3), 96, np.uint8)
        across, down = width_px // 4, height_px // 8
        frame[down - 3 : down + 3, across - 3 : across + 3] = (0, 200, 0)
        return frame

    return make


@pytest.fixture
def film(qapp: QApplication) -> Iterator[FilmView]:
    """A film view of 768 x 576 on a screen with one pixel a point; another has the focus."""
    wear(qapp, DARK, 100)
    window = QWidget()
    window.resize(800, 640)
    other, view = QLineEdit(window), FilmView(DARK)
    other.move(0, 600)
    view.setParent(window)
    view.resize(768, 576)
    other.setFocus()
    window.show()
    qapp.processEvents()
    yield view
    window.close()
    window.deleteLater()
    qapp.processEvents()


@pytest.fixture(scope="session")
def seen() -> Made:
    """Return what a widget shows, as R, G, B."""
    return lambda widget: array_of(widget.grab().toImage())


def array_of(image: QImage) -> np.ndarray:
    image = image.convertToFormat(QImage.Format.Format_RGB888)
    bits = image.constBits()
    assert bits is not None
    rows = np.frombuffer(bits.asarray(image.sizeInBytes()), np.uint8)
    rows = rows.reshape(image.height(), image.bytesPerLine())[:, : 3 * image.width()]
    return rows.reshape(image.height(), image.width(), 3).astype(np.int16)


@pytest.fixture
def pointer(qapp: QApplication) -> Made:
    """Press, drag through points and let go."""

    def send(widget: Any, kind: QEvent.Type, point: tuple[float, float], button: Any) -> None:
        held = Qt.MouseButton.NoButton if kind == QEvent.Type.MouseButtonRelease else button
        pressed = Qt.MouseButton.NoButton if kind == QEvent.Type.MouseMove else button
        where = QPointF(*point)
        QApplication.sendEvent(widget, QMouseEvent(kind, where, where, pressed, held, NONE))

    def drag(widget: Any, *points: tuple[float, float], button: Any = LEFT) -> None:
        send(widget, QEvent.Type.MouseButtonPress, points[0], button)
        for point in points[1:]:
            send(widget, QEvent.Type.MouseMove, point, button)
        send(widget, QEvent.Type.MouseButtonRelease, points[-1], button)
        qapp.processEvents()

    return drag


@pytest.fixture
def keys(qapp: QApplication) -> Made:
    """Press keys named as in the tables, on a widget."""

    def pressing(widget: Any, *names: str) -> None:
        for name in names:
            combination = QKeySequence(name)[0]
            text = name.lower() if len(name) == 1 else ""
            for kind in (QEvent.Type.KeyPress, QEvent.Type.KeyRelease):
                QApplication.sendEvent(
                    widget,
                    QKeyEvent(kind, combination.key(), combination.keyboardModifiers(), text),
                )
        qapp.processEvents()

    return pressing


@pytest.fixture
def told() -> Made:
    """Collect what a signal tells, each time as a tuple."""

    def listen(signal: Any) -> list[tuple[Any, ...]]:
        heard: list[tuple[Any, ...]] = []
        signal.connect(lambda *what: heard.append(what))
        return heard

    return listen


@pytest.fixture
def all_saved(window: Any, tmp_path: Path) -> Iterator[None]:
    """Wait at the end until the case is written: its folder goes before the window does."""
    yield
    if window.desk is not None:
        window.desk.hand.wait_until_saved(5.0)
