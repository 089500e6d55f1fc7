"""What is asked about the picture: which drawing tool, and how light it is shown."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from PyQt6.QtCore import Qt, pyqtSignal
from PyQt6.QtGui import QKeyEvent
from PyQt6.QtWidgets import (
    QButtonGroup,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QSlider,
    QVBoxLayout,
    QWidget,
)

from aftercase.gui.film.drawing import DRAWING_COLOURS, DRAWING_TOOLS, Choice
from aftercase.gui.film.light import AS_RECORDED, Light
from aftercase.gui.film.view import FilmView
from aftercase.session.desk import Desk
from aftercase.session.verbs import remarks

_PERCENT: Final = 100
_LIGHTS: Final = (
    ("brightness", "Brightness", -60, 60),
    ("contrast", "Contrast", 40, 300),
    ("gamma", "Dark parts", 40, 300),
)
"""Field of `Light`, label, least and most in percent."""

_DRAWING_NOTE: Final = (
    "Drag on the picture; or move the cross with the arrow keys (Shift: finely) and set points "
    "with Return, a freehand way's last one twice. Backspace takes the last one back, Esc leaves."
)


class DrawingAsk(QWidget):
    """The drawing tools; the keys pressed here are the film's.

    Args:
        film: The film view that is drawn on.
        desk: The case on the desk.
    """

    answered = pyqtSignal()

    def __init__(self, film: FilmView, desk: Desk) -> None:
        super().__init__()
        self._film, self._desk = film, desk
        self._tool, self._colour = DRAWING_TOOLS[0].word, DRAWING_COLOURS[0].word
        self._buttons: dict[str, QPushButton] = {}
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName("Drawing tools")
        row = QHBoxLayout()
        for choices, take in (
            (DRAWING_TOOLS, lambda word: self._take(word, self._colour)),
            (DRAWING_COLOURS, lambda word: self._take(self._tool, word)),
        ):
            self._add_choices(row, choices, take)
            row.addSpacing(10)
        row.addStretch(1)
        note = QLabel(_DRAWING_NOTE)
        note.setWordWrap(True)
        note.setProperty("role", "soft")
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addLayout(row)
        column.addWidget(note)
        film.tool_taken.connect(self._show)
        film.taken_back.connect(self._take_back)
        film.left.connect(self.answered)
        self._take(self._tool, self._colour)

    def stop(self) -> None:
        """Put the tool away."""
        self._film.tool_taken.disconnect(self._show)
        self._film.taken_back.disconnect(self._take_back)
        self._film.left.disconnect(self.answered)
        self._film.set_drawing(None)

    def keyPressEvent(self, event: QKeyEvent | None) -> None:  # noqa: N802 - Qt's name
        """Choose a tool or colour, draw by keys, or leave: as the film does."""
        self._film.keyPressEvent(event)

    def _add_choices(
        self, row: QHBoxLayout, choices: tuple[Choice, ...], take: Callable[[str], None]
    ) -> None:
        group = QButtonGroup(self)
        for choice in choices:
            button = QPushButton(f"{choice.label} ({choice.key})")
            button.setCheckable(True)
            button.setFocusPolicy(Qt.FocusPolicy.NoFocus)
            button.clicked.connect(lambda _, word=choice.word: take(word))
            group.addButton(button)
            row.addWidget(button)
            self._buttons[choice.word] = button

    def _take(self, tool: str, colour: str) -> None:
        self._film.set_drawing(tool, colour)
        self._show(tool, colour)

    def _show(self, tool: str, colour: str) -> None:
        self._tool, self._colour = tool, colour
        for word in (tool, colour):
            self._buttons[word].setChecked(True)

    def _take_back(self) -> None:
        remarks.take_last_drawing_off(self._desk)


class LightAsk(QWidget):
    """Brightness, contrast and gamma of what is shown.

    Args:
        film: The film view.
    """

    answered = pyqtSignal()

    def __init__(self, film: FilmView) -> None:
        super().__init__()
        self._film = film
        self.setAccessibleName("Brightness and contrast")
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        self._sliders: dict[str, QSlider] = {}
        for name, label, least, most in _LIGHTS:
            slider = QSlider(Qt.Orientation.Horizontal)
            slider.setRange(least, most)
            slider.setValue(round(getattr(film.light, name) * _PERCENT))
            slider.setAccessibleName(label)
            slider.valueChanged.connect(self._changed)
            self._sliders[name] = slider
            row.addWidget(QLabel(label))
            row.addWidget(slider, 1)
        for text, run in (("As recorded", self._reset), ("Done (Esc)", self.answered.emit)):
            button = QPushButton(text)
            button.clicked.connect(run)
            row.addWidget(button)
        self.setFocusProxy(self._sliders["brightness"])

    def keyPressEvent(self, event: QKeyEvent | None) -> None:  # noqa: N802 - Qt's name
        """Leave on Escape or Return."""
        leaving = (Qt.Key.Key_Escape, Qt.Key.Key_Return, Qt.Key.Key_Enter)
        if event is not None and event.key() in leaving:
            self.answered.emit()

    def _changed(self) -> None:
        shares = {name: slider.value() / _PERCENT for name, slider in self._sliders.items()}
        self._film.set_light(Light(**shares))

    def _reset(self) -> None:
        for name, slider in self._sliders.items():
            slider.setValue(round(getattr(AS_RECORDED, name) * _PERCENT))
