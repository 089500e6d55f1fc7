"""The film view: one picture, fitted or enlarged, with masks and drawings over it."""

from __future__ import annotations

from typing import Final

from PyQt6.QtCore import QPointF, QRectF, QSize, Qt, pyqtSignal
from PyQt6.QtGui import (
    QColor,
    QImage,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPen,
    QResizeEvent,
    QTransform,
    QWheelEvent,
)
from PyQt6.QtWidgets import QWidget

from aftercase.gui.film.drawing import DrawingHand
from aftercase.gui.film.light import AS_RECORDED, Light, lit
from aftercase.gui.film.mapping import WHOLE, Laid, Looked, laid, moved, zoomed
from aftercase.gui.film.painting import paint_items
from aftercase.gui.theme import Theme
from aftercase.media.overlay import Box, display_list
from aftercase.media.picture import Picture, Pixels
from aftercase.model.picture import PicturePoint
from aftercase.model.review import Drawing

_STEP: Final = 1.25
_WHEEL_NOTCH: Final = 120
_CROSS_PX: Final = 14


class FilmView(QWidget):
    """Shows pictures, and lets one look into them, point at them and draw on them.

    Args:
        theme: The colours; the surround is dark in all of them.
    """

    size_changed = pyqtSignal(int, int)
    """Width and height in the screen's own pixels that pictures are shown at."""

    full_size_wanted = pyqtSignal(bool)
    """The picture is enlarged, or no longer."""

    pointed = pyqtSignal(object)
    """A `PicturePoint`, where something was asked to be pointed at."""

    drawn = pyqtSignal(object)
    """A `Drawing` on the shown frame."""

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self._theme = theme
        self._picture: Picture | None = None
        self._image: QImage | None = None
        self._is_exact = True
        self._words = "Drop a film here"
        self._looked: Looked = WHOLE
        self._light = AS_RECORDED
        self._hidden: tuple[Box, ...] = ()
        self._drawings: tuple[Drawing, ...] = ()
        self._grip: QPointF | None = None
        self._points = False
        self.hand = DrawingHand()
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName("Film")
        self.setMouseTracking(True)
        self.setMinimumSize(320, 180)
        self.setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent)

    # What is shown ------------------------------------------------------------------------

    @property
    def light(self) -> Light:
        """Brightness and contrast now."""
        return self._light

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

    def show_picture(self, picture: Picture | None, *, is_exact: bool = True) -> None:
        """Show a picture, or none.

        Args:
            picture: What the player has.
            is_exact: Whether it is the very frame; a small plate says so where not.
        """
        if picture is not self._picture:
            self._picture = picture
            self._image = None if picture is None else _image_of(picture.pixels, self._light)
            self.hand.leave_frame(None if picture is None else picture.times)
        self._is_exact = is_exact
        self.update()

    def say(self, words: str) -> None:
        """Say in words why there is no picture."""
        self._words = words
        self.update()

    def show_over(self, drawings: tuple[Drawing, ...], hidden: tuple[Box, ...]) -> None:
        """Paint drawings and masks over the picture."""
        if (drawings, hidden) != (self._drawings, self._hidden):
            self._drawings, self._hidden = drawings, hidden
            self.update()

    def set_light(self, light: Light) -> None:
        """Show in another light."""
        self._light = light
        if self._picture is not None:
            self._image = _image_of(self._picture.pixels, light)
        self.update()

    # Looking into it ----------------------------------------------------------------------

    def zoom_by(self, factor: float, at: QPointF | None = None) -> None:
        """Enlarge about a point, the middle where none is given."""
        now = self._laid()
        if now is None:
            return
        point = at or QPointF(self.width() / 2, self.height() / 2)
        self._look(zoomed(now, self._looked, factor, (point.x(), point.y()), self._room()))

    def reset_zoom(self) -> None:
        """Show the picture whole."""
        self._look(WHOLE)

    def _look(self, looked: Looked) -> None:
        was_enlarged = self._looked.zoom > 1
        self._looked = looked
        if (looked.zoom > 1) != was_enlarged:
            self.full_size_wanted.emit(looked.zoom > 1)
        self.update()

    def _room(self) -> tuple[float, float]:
        return float(self.width()), float(self.height())

    def _laid(self) -> Laid | None:
        if self._picture is None:
            return None
        return laid(self._picture.pixels, *self._room(), self._looked)

    # Pointing and drawing -----------------------------------------------------------------

    def ask_for_point(self, asks: bool) -> None:
        """Let the next press point at a place of the picture."""
        self._points = asks
        self.setCursor(Qt.CursorShape.CrossCursor if asks else Qt.CursorShape.ArrowCursor)

    def set_drawing(self, tool: str | None, colour: str = "sky") -> None:
        """Take a drawing tool, or none."""
        self.hand.take(tool, colour)
        self.setCursor(Qt.CursorShape.CrossCursor if tool else Qt.CursorShape.ArrowCursor)
        self.update()

    def point_at(self, x: float, y: float) -> PicturePoint | None:
        """Return the place of the picture at a point of the widget; None where there is none."""
        now = self._laid()
        if now is None or self._picture is None:
            return None
        share_x, share_y = now.share_at(x, y)
        times = self._picture.times
        return PicturePoint(x=share_x, y=share_y, part=times.part, at_us=times.start_us)

    # Qt's own -----------------------------------------------------------------------------

    def paintEvent(self, event: QPaintEvent | None) -> None:  # noqa: N802
        """Paint the picture and what lies over it."""
        painter = QPainter(self)
        painter.fillRect(self.rect(), QColor(self._theme.surround))
        now = self._laid()
        if now is None or self._picture is None or self._image is None:
            self._paint_words(painter, self._words)
        else:
            self._paint_picture(painter, now, self._image)
            self._paint_over(painter, now)
            if plate := _plate_words(self._picture, self._is_exact):
                self._paint_plate(painter, plate)
        if self.hasFocus():
            painter.setPen(QPen(QColor(self._theme.accent), 2))
            painter.drawRect(self.rect().adjusted(1, 1, -1, -1))
        painter.end()

    def _paint_picture(self, painter: QPainter, now: Laid, image: QImage) -> None:
        pixels_shown = now.width * self.devicePixelRatioF() / max(1, _across(image, now))
        painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform, pixels_shown < 1.999)
        painter.save()
        painter.setTransform(_transform(image, now), combine=True)
        painter.drawImage(QPointF(0, 0), image)
        painter.restore()

    def _paint_over(self, painter: QPainter, now: Laid) -> None:
        drawings = (*self._drawings, *self.hand.drawings())
        items = display_list(
            now.placing, drawings=drawings, hidden=self._hidden, measure_px=float(self.height())
        )
        paint_items(painter, items, now.left, now.top)
        cross = self.hand.crosshair
        if cross is not None:
            x, y = now.point_of(cross)
            for colour, width in (("#000000", 4), ("#FFFFFF", 2)):
                painter.setPen(QPen(QColor(colour), width))
                painter.drawLine(QPointF(x - _CROSS_PX, y), QPointF(x + _CROSS_PX, y))
                painter.drawLine(QPointF(x, y - _CROSS_PX), QPointF(x, y + _CROSS_PX))

    def _paint_words(self, painter: QPainter, words: str) -> None:
        painter.setPen(QColor(self._theme.surround_text))
        flags = Qt.AlignmentFlag.AlignCenter | Qt.TextFlag.TextWordWrap
        painter.drawText(self.rect().adjusted(24, 24, -24, -24), int(flags), words)

    def _paint_plate(self, painter: QPainter, words: str) -> None:
        metrics = painter.fontMetrics()
        box = QRectF(10, 10, metrics.horizontalAdvance(words) + 16, metrics.height() + 8)
        painter.fillRect(box, QColor(0, 0, 0, 190))
        painter.setPen(QColor("#FFFFFF"))
        painter.drawText(box, Qt.AlignmentFlag.AlignCenter, words)

    def resizeEvent(self, event: QResizeEvent | None) -> None:  # noqa: N802
        """Say what size pictures are shown at now."""
        ratio = self.devicePixelRatioF()
        self.size_changed.emit(round(self.width() * ratio), round(self.height() * ratio))

    def wheelEvent(self, event: QWheelEvent | None) -> None:  # noqa: N802
        """Enlarge about the pointer."""
        if event is not None:
            notches = event.angleDelta().y() / _WHEEL_NOTCH
            self.zoom_by(_STEP**notches, event.position())
            event.accept()

    def mousePressEvent(self, event: QMouseEvent | None) -> None:  # noqa: N802
        """Point, draw, or take hold of the picture."""
        if event is None or event.button() != Qt.MouseButton.LeftButton:
            return
        place = self.point_at(event.position().x(), event.position().y())
        if self._points and place is not None:
            self.ask_for_point(False)
            self.pointed.emit(place)
        elif self.hand.tool and place is not None:
            self.hand.press((place.x, place.y))
            self.update()
        else:
            self._grip = event.position()

    def mouseMoveEvent(self, event: QMouseEvent | None) -> None:  # noqa: N802
        """Draw on, or drag the picture along."""
        if event is None or not event.buttons() & Qt.MouseButton.LeftButton:
            return
        place = self.point_at(event.position().x(), event.position().y())
        now = self._laid()
        if self.hand.is_drawing and place is not None:
            self.hand.move((place.x, place.y))
            self.update()
        elif self._grip is not None and now is not None:
            by = event.position() - self._grip
            self._grip = event.position()
            self._look(moved(now, self._looked, (by.x(), by.y()), self._room()))

    def mouseReleaseEvent(self, event: QMouseEvent | None) -> None:  # noqa: N802
        """Finish what was drawn."""
        self._grip = None
        if self.hand.is_drawing:
            self._finish()

    def mouseDoubleClickEvent(self, event: QMouseEvent | None) -> None:  # noqa: N802
        """Show the picture whole again."""
        if not self.hand.tool:
            self.reset_zoom()

    def keyPressEvent(self, event: QKeyEvent | None) -> None:  # noqa: N802
        """Draw by keys while a tool is taken; else let the window have them."""
        if event is None:
            return
        if self.hand.tool and self.hand.key(event.key(), event.modifiers()):
            if self.hand.is_finished:
                self._finish()
            self.update()
            return
        event.ignore()

    def _finish(self) -> None:
        drawing = self.hand.finish()
        self.update()
        if drawing is not None:
            self.drawn.emit(drawing)


def _image_of(pixels: Pixels, light: Light) -> QImage:
    """Return a picture as Qt's image, with bytes of its own."""
    image = QImage(
        lit(pixels, light),
        pixels.width_px,
        pixels.height_px,
        pixels.stride_bytes,
        QImage.Format.Format_RGB888,
    )
    return image.convertToFormat(QImage.Format.Format_RGB32)


def _across(image: QImage, now: Laid) -> int:
    return image.height() if now.turn_deg in (90, 270) else image.width()


def _transform(image: QImage, now: Laid) -> QTransform:
    """Return what lays the decoded frame where it is shown: mirrored, then turned, then fitted."""
    corners = [now.point_of(share) for share in ((0.0, 0.0), (1.0, 0.0), (0.0, 1.0))]
    (x0, y0), (x1, y1), (x2, y2) = corners
    width, height = image.width(), image.height()
    return QTransform(
        (x1 - x0) / width, (y1 - y0) / width, (x2 - x0) / height, (y2 - y0) / height, x0, y0
    )


def _plate_words(picture: Picture, is_exact: bool) -> str:
    if picture.damaged:
        return "this frame cannot be decoded"
    if picture.nearby:
        return "near"
    if picture.from_copy:
        return "small copy"
    if picture.doubtful:
        return "may be wrong in part"
    return "" if is_exact else "…"
