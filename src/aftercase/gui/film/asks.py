"""What is asked about the picture: which drawing tool, and how light it is shown."""

from __future__ import annotations

from typing import Final

from PyQt6.QtCore import Qt, pyqtSignal
from PyQt6.QtGui import QHideEvent, QKeyEvent
from PyQt6.QtWidgets import (
    QButtonGroup,
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QSlider,
    QVBoxLayout,
    QWidget,
)

from aftercase.gui.film.drawing import DRAWING_COLOURS, DRAWING_TOOLS
from aftercase.gui.film.light import AS_RECORDED, Light
from aftercase.gui.film.view import FilmView
from aftercase.session.desk import Desk
from aftercase.session.verbs import remarks

_SCALE: Final = 100


class DrawingAsk(QWidget):
    """The drawing tools; the film goes on taking the pointer, and the keys below work here.

    Args:
        film: The film view that is drawn on.
        desk: The case on the desk.
    """

    answered = pyqtSignal()

    def __init__(self, film: FilmView, desk: Desk) -> None:
        super().__init__()
        self._film, self._desk = film, desk
        self._tool, self._colour = DRAWING_TOOLS[0].shape, DRAWING_COLOURS[0][0]
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName("Drawing tools")
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        row = QHBoxLayout()
        column.addLayout(row)
        self._keys = {}
        for choices, chosen, take in (
            ([(t.shape, t.label, t.key) for t in DRAWING_TOOLS], self._tool, self._take_tool),
            (list(DRAWING_COLOURS), self._colour, self._take_colour),
        ):
            group = QButtonGroup(self)
            for word, label, key in choices:
                button = QPushButton(f"{label} ({key})")
                button.setCheckable(True)
                button.setFocusPolicy(Qt.FocusPolicy.NoFocus)
                button.setChecked(word == chosen)
                button.clicked.connect(lambda _, one=word, run=take: run(one))
                group.addButton(button)
                row.addWidget(button)
                self._keys[key] = button
            row.addSpacing(10)
        note = QLabel("Drag, or arrow keys and Return. Backspace takes the last off, Esc leaves.")
        note.setWordWrap(True)
        note.setProperty("role", "soft")
        row.addStretch(1)
        column.addWidget(note)
        self._tell_film()

    def keyPressEvent(self, event: QKeyEvent | None) -> None:  # noqa: N802 - Qt's name
        """Choose a tool or colour, draw by keys, or leave."""
        if event is None:
            return
        if event.key() == Qt.Key.Key_Escape:
            self.answered.emit()
        elif event.key() == Qt.Key.Key_Backspace:
            remarks.take_last_drawing_off(self._desk)
        elif event.text().upper() in self._keys:
            self._keys[event.text().upper()].click()
        else:
            self._film.keyPressEvent(event)

    def hideEvent(self, event: QHideEvent | None) -> None:  # noqa: N802 - Qt's name
        """Put the tool away."""
        self._film.set_drawing(None)

    def _take_tool(self, tool: str) -> None:
        self._tool = tool
        self._tell_film()

    def _take_colour(self, colour: str) -> None:
        self._colour = colour
        self._tell_film()

    def _tell_film(self) -> None:
        self._film.set_drawing(self._tool, self._colour)


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
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 0, 0, 0)
        self._sliders: dict[str, QSlider] = {}
        for place, (name, label, least, most) in enumerate(
            (
                ("brightness", "Brightness", -60, 60),
                ("contrast", "Contrast", 40, 300),
                ("gamma", "Dark parts", 40, 300),
            )
        ):
            slider = QSlider(Qt.Orientation.Horizontal)
            slider.setRange(least, most)
            slider.setValue(round(getattr(film.light, name) * _SCALE))
            slider.setAccessibleName(label)
            slider.valueChanged.connect(self._changed)
            self._sliders[name] = slider
            grid.addWidget(QLabel(label), 0, 2 * place)
            grid.addWidget(slider, 0, 2 * place + 1)
        reset = QPushButton("As recorded")
        reset.clicked.connect(self._reset)
        done = QPushButton("Done (Esc)")
        done.clicked.connect(self.answered.emit)
        grid.addWidget(reset, 0, 6)
        grid.addWidget(done, 0, 7)
        self.setFocusProxy(self._sliders["brightness"])

    def keyPressEvent(self, event: QKeyEvent | None) -> None:  # noqa: N802 - Qt's name
        """Leave on Escape or Return."""
        leaving = (Qt.Key.Key_Escape, Qt.Key.Key_Return, Qt.Key.Key_Enter)
        if event is not None and event.key() in leaving:
            self.answered.emit()

    def _changed(self) -> None:
        shares = {name: slider.value() / _SCALE for name, slider in self._sliders.items()}
        self._film.set_light(Light(**shares))

    def _reset(self) -> None:
        for name, slider in self._sliders.items():
            slider.setValue(round(getattr(AS_RECORDED, name) * _SCALE))
