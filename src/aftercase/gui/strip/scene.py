"""Everything that one painting of the strip shows."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from PyQt6.QtCore import QRectF, Qt
from PyQt6.QtGui import QColor, QFont, QFontMetricsF, QPainter

from aftercase.gui.strip.content import Content
from aftercase.gui.strip.layout import WORD_SPACE_PX, Layout
from aftercase.gui.strip.places import Sizes
from aftercase.gui.strip.shapes import SignPictures
from aftercase.gui.strip.stretch import Floats
from aftercase.gui.theme import Theme
from aftercase.media.frameclock import FrameClock

_FONT_SHARE: Final = 0.86


class Letters:
    """The strip's letters in one theme, and what follows from their size.

    Args:
        font: The widget's font.
        theme: The colours.
    """

    def __init__(self, font: QFont, theme: Theme) -> None:
        self.plain = QFont(font)
        if self.plain.pointSizeF() > 0:
            self.plain.setPointSizeF(self.plain.pointSizeF() * _FONT_SHARE)
        self.bold = QFont(self.plain)
        self.bold.setBold(True)
        self.metrics = QFontMetricsF(self.plain)
        self.sizes = Sizes(round(self.metrics.height()))
        self.signs = SignPictures(theme, self.bold)
        self.shortened = lru_cache(maxsize=512)(self._shortened)
        # Words are measured as if bold: they become so while their step runs.
        self.width_of = lru_cache(maxsize=4096)(QFontMetricsF(self.bold).horizontalAdvance)

    def _shortened(self, text: str, room_px: float) -> str:
        """Return a text, cut with an ellipsis where it has no room."""
        return self.metrics.elidedText(text, Qt.TextElideMode.ElideRight, room_px)


@dataclass(frozen=True)
class Scene:
    """Everything that is painted.

    Attributes:
        layout: What is in sight.
        content: What there is.
        frames: The recording's frames.
        theme: The colours.
        letters: The letters, and the signs.
        ratio: Device pixels in a pixel.
        width_px: Of the widget.
        height_px: Of the widget.
        top_px: How far it is scrolled down.
        shown_frame_us: The frame on the screen, ``[start, end)``.
        selected: Ids of the selected records.
        running: Ids of the steps at the shown frame.
        activity: Evenly spaced numbers over the recording; none for no curve.
        band: What is being selected; None while nothing is.
        is_editable: Whether marks can be changed.
        has_focus: Whether keys go to the strip.
    """

    layout: Layout
    content: Content
    frames: FrameClock
    theme: Theme
    letters: Letters
    ratio: float
    width_px: int
    height_px: int
    top_px: int
    shown_frame_us: tuple[int, int]
    selected: frozenset[str]
    running: frozenset[str]
    activity: Floats
    band: QRectF | None = None
    is_editable: bool = True
    has_focus: bool = False

    def colour(self, name: str) -> QColor:
        """Return a colour of the theme."""
        return QColor(getattr(self.theme, name))


def paint_plate(painter: QPainter, scene: Scene, rect: QRectF, word: str) -> None:
    """Paint a word on a plate of its own at the left of a rectangle."""
    width = scene.letters.metrics.horizontalAdvance(word) + 2 * WORD_SPACE_PX
    plate = QRectF(rect.left() + 1, rect.top() + 0.5, width - 2, rect.height() - 1)
    painter.fillRect(plate, scene.colour("panel"))
    painter.setPen(scene.colour("text"))
    painter.drawText(plate, Qt.AlignmentFlag.AlignCenter, word)
