"""One picture on the screen, fitted or enlarged, with masks and drawings over it."""

from __future__ import annotations

from typing import Final

from PyQt6.QtCore import QEvent, QPointF, QRectF, QSize, Qt, QTimer, pyqtSignal
from PyQt6.QtGui import (
    QColor,
    QImage,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPen,
    QResizeEvent,
    QWheelEvent,
)
from PyQt6.QtWidgets import QWidget

from aftercase.gui.film.light import AS_RECORDED, Light
from aftercase.gui.film.mapping import WHOLE, Laid, Looked, Room, laid, moved, zoomed
from aftercase.gui.film.painting import image_of, paint_items, paint_picture
from aftercase.gui.film.plate import plate_words
from aftercase.gui.theme import Theme
from aftercase.media.overlay import display_list, hidden_in
from aftercase.media.picture import Picture
from aftercase.model.case import Mask
from aftercase.model.review import Drawing

_NOTCH: Final = 1.25
_WHEEL_NOTCH: Final = 120
_LATE_MS: Final = 150
_RIM_PX: Final = 10
_PLATE: Final = QColor(0, 0, 0, 200)
_PLATE_WORDS: Final = QColor("#FFFFFF")


class PictureView(QWidget):
    """Shows pictures, lighter or larger as wished, and what lies over them.

    Args:
        theme: The colours; the surround is dark in all of them.
    """

    size_changed = pyqtSignal(int, int)
    """Width and height in the screen's own pixels that pictures are shown at."""

    full_size_wanted = pyqtSignal(bool)
    """The picture is enlarged, or no longer."""

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self._theme = theme
        self._picture: Picture | None = None
        self._image: QImage | None = None
        self._words = "Drop a film here"
        self._instead = ""
        self._looked: Looked = WHOLE
        self._light = AS_RECORDED
        self._masks: tuple[Mask, ...] = ()
        self._drawings: tuple[Drawing, ...] = ()
        self._grip: QPointF | None = None
        self._is_exact = True
        self._late = QTimer(self)
        self._late.setSingleShot(True)
        self._late.setInterval(_LATE_MS)
        self._late.timeout.connect(self.update)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName("Film")
        self.setMinimumSize(320, 180)
        self.setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent)

    # What is shown ------------------------------------------------------------------------

    @property
    def light(self) -> Light:
        """Brightness, contrast and gamma now."""
        return self._light

    @property
    def looked(self) -> Looked:
        """How far into the picture one looks."""
        return self._looked

    @property
    def zoom(self) -> float:
        """How far the picture is enlarged, 1 to 8."""
        return self._looked.zoom

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """Return a size of the usual shape."""
        return QSize(960, 540)

    def wear(self, theme: Theme) -> None:
        """Use other colours."""
        self._theme = theme
        self.update()

    def show_picture(
        self, picture: Picture | None, *, is_exact: bool = True, instead: str = ""
    ) -> None:
        """Show a picture, or none.

        Args:
            picture: What the player has; with None, the next is shown whole again.
            is_exact: Whether it is the very frame; a plate says so where it stays not.
            instead: Words shown instead of the picture, where there is no film.
        """
        if picture is not self._picture:
            self._picture = picture
            self._image = None if picture is None else image_of(picture.pixels, self._light)
            if picture is None:
                self.reset_zoom()
        if is_exact:
            self._late.stop()
        elif self._is_exact:
            self._late.start()
        self._is_exact, self._instead = is_exact, instead
        self.update()

    def say(self, words: str) -> None:
        """Choose the words that are shown while there is no picture."""
        self._words = words
        self.update()

    def show_over(self, drawings: tuple[Drawing, ...], masks: tuple[Mask, ...]) -> None:
        """Paint drawings over the picture, and those masks that hide something of its frame.

        All of a case's masks are given at once: the picture on the screen may be of another moment
        than the one asked for.
        """
        if (drawings, masks) != (self._drawings, self._masks):
            self._drawings, self._masks = drawings, masks
            self.update()

    def set_light(self, light: Light) -> None:
        """Show in another light."""
        self._light = light
        if self._picture is not None:
            self._image = image_of(self._picture.pixels, light)
        self.update()

    # Looking into it ----------------------------------------------------------------------

    def zoom_by(self, factor: float, at: QPointF | None = None) -> None:
        """Enlarge about a point of the widget, the middle where none is given."""
        if self._picture is None:
            return
        room = self._room()
        at_px = self._in_px(at) if at is not None else (room[0] / 2, room[1] / 2)
        self.look(zoomed(self._picture.pixels, room, self._looked, factor, at_px))

    def pan_by(self, right: float, down: float) -> None:
        """Look further to the right and down, by shares of what is seen."""
        room = self._room()
        self._move_by(-right * room[0], -down * room[1])

    def reset_zoom(self) -> None:
        """Show the picture whole."""
        self.look(WHOLE)

    def look(self, looked: Looked) -> None:
        """Look into the picture as was looked before."""
        was_enlarged = self._looked.zoom > 1
        self._looked = looked
        if (looked.zoom > 1) != was_enlarged:
            self.full_size_wanted.emit(looked.zoom > 1)
        self.update()

    def _move_by(self, right_px: float, down_px: float) -> None:
        if self._picture is not None:
            by_px = right_px, down_px
            self.look(moved(self._picture.pixels, self._room(), self._looked, by_px))

    def _room(self) -> Room:
        ratio = self.devicePixelRatioF()
        return round(self.width() * ratio), round(self.height() * ratio)

    def _in_px(self, point: QPointF) -> tuple[float, float]:
        ratio = self.devicePixelRatioF()
        return point.x() * ratio, point.y() * ratio

    def _laid(self) -> Laid | None:
        if self._picture is None:
            return None
        return laid(self._picture.pixels, self._room(), self._looked)

    # Painting -----------------------------------------------------------------------------

    def paintEvent(self, event: QPaintEvent | None) -> None:  # noqa: N802
        """Paint the picture and what lies over it."""
        painter = QPainter(self)
        painter.fillRect(self.rect(), QColor(self._theme.surround))
        now = self._laid()
        if now is None or self._image is None or self._picture is None or self._instead:
            self._paint_words(painter, self._instead or self._words)
        else:
            painter.save()
            ratio = self.devicePixelRatioF()
            painter.scale(1 / ratio, 1 / ratio)
            paint_picture(painter, self._image, now, sharp=self._looked.zoom > 1)
            self._paint_over(painter, now, self._picture)
            painter.restore()
            self._paint_plates(painter, self._plates(self._picture))
        if self._has_ring():
            self._paint_ring(painter)
        painter.end()

    def _has_ring(self) -> bool:
        """Claim that keys pressed now are answered here."""
        return self.hasFocus()

    def _over(self) -> tuple[Drawing, ...]:
        """Return the drawings that lie over the picture."""
        return self._drawings

    def _plates(self, picture: Picture) -> list[str]:
        """Return what is said in the corner, one plate below the other; empty ones are left out."""
        is_late = not self._is_exact and not self._late.isActive()
        return [plate_words(picture, is_late=is_late)]

    def _paint_over(self, painter: QPainter, now: Laid, picture: Picture) -> None:
        items = display_list(
            now.placing,
            drawings=self._over(),
            hidden=hidden_in(self._masks, picture.times.start_us, picture.times.end_us),
            measure_px=float(min(now.height_px, self._room()[1])),
        )
        paint_items(painter, items, now.left_px, now.top_px)

    def _paint_words(self, painter: QPainter, words: str) -> None:
        painter.setPen(QColor(self._theme.surround_text))
        flags = Qt.AlignmentFlag.AlignCenter | Qt.TextFlag.TextWordWrap
        painter.drawText(self.rect().adjusted(24, 24, -24, -24), int(flags), words)

    def _paint_plates(self, painter: QPainter, plates: list[str]) -> None:
        metrics = painter.fontMetrics()
        top = float(_RIM_PX)
        for words in filter(None, plates):
            box = QRectF(_RIM_PX, top, metrics.horizontalAdvance(words) + 16, metrics.height() + 8)
            painter.fillRect(box, _PLATE)
            painter.setPen(_PLATE_WORDS)
            painter.drawText(box, Qt.AlignmentFlag.AlignCenter, words)
            top = box.bottom() + 4

    def _paint_ring(self, painter: QPainter) -> None:
        """Paint the focus ring, with a dark line inside that sets it off from any picture."""
        painter.setBrush(Qt.BrushStyle.NoBrush)
        for inset, colour in ((1, self._theme.focus), (3, self._theme.surround)):
            painter.setPen(QPen(QColor(colour), 2))
            painter.drawRect(self.rect().adjusted(inset, inset, -inset, -inset))

    # Qt's own -----------------------------------------------------------------------------

    def event(self, event: QEvent | None) -> bool:
        """Ask for pictures of another size on a screen with other pixels."""
        if event is not None and event.type() == QEvent.Type.DevicePixelRatioChange:
            self.size_changed.emit(*self._room())
        return super().event(event)

    def resizeEvent(self, event: QResizeEvent | None) -> None:  # noqa: N802
        """Say what size pictures are shown at now."""
        self.size_changed.emit(*self._room())

    def wheelEvent(self, event: QWheelEvent | None) -> None:  # noqa: N802
        """Enlarge about the pointer."""
        if event is not None:
            notches = event.angleDelta().y() / _WHEEL_NOTCH
            self.zoom_by(_NOTCH**notches, event.position())
            event.accept()

    def mousePressEvent(self, event: QMouseEvent | None) -> None:  # noqa: N802
        """Take hold of the picture."""
        buttons = (Qt.MouseButton.LeftButton, Qt.MouseButton.MiddleButton)
        if event is not None and event.button() in buttons:
            self._grip = event.position()

    def mouseMoveEvent(self, event: QMouseEvent | None) -> None:  # noqa: N802
        """Drag the picture along."""
        if event is not None and self._grip is not None:
            by_px = self._in_px(event.position() - self._grip)
            self._grip = event.position()
            self._move_by(*by_px)

    def mouseReleaseEvent(self, event: QMouseEvent | None) -> None:  # noqa: N802
        """Let the picture go."""
        self._grip = None

    def mouseDoubleClickEvent(self, event: QMouseEvent | None) -> None:  # noqa: N802
        """Show the picture whole again."""
        self.reset_zoom()
