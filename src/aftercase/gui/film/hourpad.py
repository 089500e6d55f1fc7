"""The hour pad: a clock face that lies as the picture lies, for saying at which hour."""

from __future__ import annotations

import math
from typing import Final

from PyQt6.QtCore import QPointF, QRectF, QSize, Qt, pyqtSignal
from PyQt6.QtGui import (
    QColor,
    QFont,
    QFontMetricsF,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPen,
    QPolygonF,
)
from PyQt6.QtWidgets import QSizePolicy, QWidget

from aftercase.gui.film.padclock import HOURS, HourEntry, PadClock, shorter_way
from aftercase.gui.theme import Theme
from aftercase.model.orientation import DEGREES_AN_HOUR, angle_between, hour_text, side_at
from aftercase.model.review import StatedHour

_LETTERS_ACROSS: Final = 9.5
_SIDES: Final = (3, 6, 9, 12)
_RIM, _OUTER, _INNER, _HUB = 1.0, 0.82, 0.56, 0.25
_SMALL: Final = 0.78
_SMALLEST: Final = 0.45
_DISC: Final = 0.15
_ARC_STEPS: Final = 48


class HourPad(QWidget):
    """A clock face with the eye's own hours large and the picture's small beside them.

    A click says an hour, a drag a stretch from hour to hour; on the keys, see `HourEntry`, and
    Return keeps it. Keys that mean nothing here are left to others.

    Args:
        theme: The colours.
        clock: The clock and how it lies.
        eye: ``right`` or ``left`` for naming the sides; anything else for not said.
    """

    hour_chosen = pyqtSignal(object)
    """A `StatedHour`."""

    stretch_chosen = pyqtSignal(object, object)
    """Two of them: from, to, as the clock's hours run."""

    entry_changed = pyqtSignal(str)
    """What is entered, in words."""

    def __init__(self, theme: Theme, clock: PadClock, eye: str) -> None:
        super().__init__()
        self._theme, self._clock, self._eye = theme, clock, eye
        self._entry = HourEntry()
        self._pressed: float | None = None
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        shrinking = QSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Preferred)
        shrinking.setHeightForWidth(True)
        self.setSizePolicy(shrinking)
        self.setAccessibleName(f"Hour pad, {self.clock_words()}")
        self._tell()

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """Return a size that grows with the letters."""
        height = self.fontMetrics().height()
        side = round(_LETTERS_ACROSS * height)
        return QSize(side + 2 * self._word_px() + 8, side + 3 * height)

    def minimumSizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """Return a size its letters can still be read at, made smaller to fit."""
        return self.sizeHint() * _SMALLEST

    def heightForWidth(self, width: int) -> int:  # noqa: N802 - Qt's name
        """Return the height of a pad that is so wide; no higher than its letters need."""
        hint = self.sizeHint()
        return round(hint.height() * min(1.0, width / hint.width()))

    def clock_words(self) -> str:
        """Say whose hours they are, and why."""
        if self._clock.view is None:
            return (
                "the picture's hours, 12 at the top of the screen: eye, seat or camera turn is not "
                "said in the header"
            )
        return "the eye's own hours; small: the picture's"

    def entry_words(self) -> str:
        """Say what is entered."""
        entry = self._entry
        if entry.hour is None:
            return "no hour yet"
        if not entry.wants_end:
            return self._hour_words(entry.hour)
        end = "…" if entry.to_hour is None else self._hour_words(entry.to_hour)
        return f"{self._hour_words(entry.hour)} to {end}"

    @property
    def is_whole(self) -> bool:
        """Claim that there is something to keep."""
        return self._entry.is_whole

    def clear(self) -> None:
        """Forget what was entered."""
        self._enter(HourEntry())

    def keep(self) -> bool:
        """Choose what is entered, and claim that there was something."""
        entry = self._entry
        if not entry.is_whole or entry.hour is None:
            return False
        if entry.to_hour is None:
            self.hour_chosen.emit(self._stated(entry.hour))
        else:
            self.stretch_chosen.emit(self._stated(entry.hour), self._stated(entry.to_hour))
        return True

    def _stated(self, hour: float) -> StatedHour:
        return StatedHour(hour=hour, clock=self._clock.name)

    def _hour_words(self, hour: float) -> str:
        if self._clock.view is None:
            return f"{hour_text(hour)} of the picture"
        side = side_at(hour, self._eye)
        on_picture = f"picture {hour_text(self._clock.picture_hour(hour))}"
        return f"{hour_text(hour)} ({', '.join(filter(None, (side, on_picture)))})"

    def _side(self, hour: float) -> str:
        return "" if self._clock.view is None else side_at(hour, self._eye) or ""

    def _enter(self, entry: HourEntry) -> None:
        self._entry = entry
        self._tell()
        self.update()

    def _tell(self) -> None:
        self.setAccessibleDescription(self.entry_words())
        self.entry_changed.emit(self.entry_words())

    # Where things lie ---------------------------------------------------------------------

    @property
    def _scale(self) -> float:
        """How much smaller than asked for everything is, so that it fits."""
        hint = self.sizeHint()
        return min(1.0, self.width() / hint.width(), self.height() / hint.height())

    @property
    def _radius(self) -> float:
        scale, height = self._scale, self.fontMetrics().height()
        beside_px = (2 * self._word_px() + 8) * scale
        room = min(self.width() - beside_px, self.height() - 3 * height * scale)
        return max(10.0, room / 2 - 2)

    def _word_px(self) -> int:
        metrics = self.fontMetrics()
        return max(metrics.horizontalAdvance(self._side(hour)) for hour in _SIDES)

    def _letters(self, share: float = 1.0) -> QFont:
        letters = QFont(self.font())
        letters.setPointSizeF(letters.pointSizeF() * self._scale * share)
        return letters

    def _centre(self) -> QPointF:
        return QPointF(self.width() / 2, self.height() / 2)

    def _at(self, angle_deg: float, share: float) -> QPointF:
        """Return the point in a direction from the middle, by a share of the radius."""
        turn = math.radians(angle_deg)
        way = QPointF(math.sin(turn), -math.cos(turn))
        return self._centre() + way * self._radius * share

    def _hour_at(self, point: QPointF) -> float | None:
        """Return the hour that lies at a point; None within the hub, where all hours meet."""
        centre = self._centre()
        if math.dist((point.x(), point.y()), (centre.x(), centre.y())) < _HUB * self._radius:
            return None
        return self._clock.hour_at(angle_between((centre.x(), centre.y()), (point.x(), point.y())))

    # Painting -----------------------------------------------------------------------------

    def paintEvent(self, event: QPaintEvent | None) -> None:  # noqa: N802 - Qt's name
        """Paint the face, the sides of the eye, and what is entered."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        ring = self._theme.focus if self.hasFocus() else self._theme.soft_text
        painter.setPen(QPen(QColor(ring), 3 if self.hasFocus() else 1.5))
        painter.setBrush(QColor(self._theme.raised))
        painter.drawEllipse(self._centre(), self._radius, self._radius)
        self._paint_entry(painter)
        self._paint_hours(painter)
        self._paint_sides(painter)
        painter.end()

    def _paint_hours(self, painter: QPainter) -> None:
        large, small = self._letters(), self._letters(_SMALL)
        large.setBold(True)
        entered = (self._entry.hour, self._entry.to_hour)
        for hour in HOURS:
            colour = self._theme.accent_text if hour in entered else self._theme.text
            at = self._at(self._clock.angle_of(hour), _OUTER)
            self._paint_word(painter, at, str(hour), large, colour)
            if self._clock.view is not None:
                at = self._at(hour * DEGREES_AN_HOUR, _INNER)
                self._paint_word(painter, at, str(hour), small, self._theme.soft_text)

    def _paint_entry(self, painter: QPainter) -> None:
        """Paint a disc on each entered hour, and the stretch between two."""
        entry = self._entry
        accent = QColor(self._theme.accent)
        if entry.hour is not None and entry.to_hour is not None:
            painter.setPen(QPen(accent, 4))
            hours = (entry.to_hour - entry.hour) % 12.0
            steps = [entry.hour + hours * step / _ARC_STEPS for step in range(_ARC_STEPS + 1)]
            way = [self._at(self._clock.angle_of(step % 12.0), _RIM) for step in steps]
            painter.drawPolyline(QPolygonF(way))
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(accent)
        for hour in (entry.hour, entry.to_hour):
            if hour is not None:
                radius = _DISC * self._radius * (0.6 if hour % 1 else 1.0)
                painter.drawEllipse(self._at(self._clock.angle_of(hour), _OUTER), radius, radius)

    def _paint_sides(self, painter: QPainter) -> None:
        letters = self._letters()
        metrics = QFontMetricsF(letters)
        for hour in _SIDES:
            words = self._side(hour)
            angle_deg = self._clock.angle_of(hour)
            turn = math.radians(angle_deg)
            half = metrics.horizontalAdvance(words) / 2
            reach = abs(math.sin(turn)) * (half + 4) + abs(math.cos(turn)) * metrics.height() / 2
            at = self._at(angle_deg, 1 + reach / self._radius)
            self._paint_word(painter, at, words, letters, self._theme.soft_text)

    def _paint_word(
        self, painter: QPainter, at: QPointF, word: str, font: QFont, colour: str
    ) -> None:
        painter.setFont(font)
        painter.setPen(QColor(colour))
        flags = Qt.AlignmentFlag.AlignCenter | Qt.TextFlag.TextDontClip
        painter.drawText(QRectF(at.x() - 1, at.y() - 1, 2, 2), int(flags), word)

    # Qt's own -----------------------------------------------------------------------------

    def keyPressEvent(self, event: QKeyEvent | None) -> None:  # noqa: N802 - Qt's name
        """Enter an hour; Return keeps it, Backspace takes it back."""
        if event is None:
            return
        entry = self._entry.pressed(event.text()) if event.text() else None
        if entry is not None:
            self._enter(entry)
        elif event.key() == Qt.Key.Key_Backspace and self._entry.hour is not None:
            self._enter(self._entry.taken_back())
        elif event.key() not in (Qt.Key.Key_Return, Qt.Key.Key_Enter) or not self.keep():
            event.ignore()

    def mousePressEvent(self, event: QMouseEvent | None) -> None:  # noqa: N802 - Qt's name
        """Begin with the hour that is pressed."""
        if event is not None and event.button() == Qt.MouseButton.LeftButton:
            self._pressed = self._hour_at(event.position())
            self._enter(HourEntry(self._pressed))

    def mouseMoveEvent(self, event: QMouseEvent | None) -> None:  # noqa: N802 - Qt's name
        """Go on to another hour: a stretch."""
        hour = self._hour_at(event.position()) if event is not None else None
        if self._pressed is None or hour is None:
            return
        if hour == self._pressed:
            self._enter(HourEntry(hour))
        else:
            self._enter(HourEntry(*shorter_way(self._pressed, hour), wants_end=True))

    def mouseReleaseEvent(self, event: QMouseEvent | None) -> None:  # noqa: N802 - Qt's name
        """Choose what was pressed."""
        if self._pressed is not None:
            self._pressed = None
            self.keep()
