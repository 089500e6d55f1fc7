"""The film view: a picture that can be pointed at and drawn on, by pointer and by keys."""

from __future__ import annotations

import math
from typing import Final, Literal

from PyQt6.QtCore import QPointF, Qt, pyqtSignal
from PyQt6.QtGui import QKeyEvent, QMouseEvent, QPainter

from aftercase.gui.film.drawing import CROSS_WAYS, DRAWING_COLOURS, DrawingHand
from aftercase.gui.film.keys import colour_of_key, deed_of_key, tool_of_key
from aftercase.gui.film.mapping import Laid, Share
from aftercase.gui.film.painting import paint_cross, paint_places
from aftercase.gui.film.pictureview import PictureView
from aftercase.gui.theme import Theme
from aftercase.media.picture import Picture
from aftercase.model.picture import PicturePoint
from aftercase.model.review import Drawing

Aim = Literal["look", "point", "points", "draw", "way"]
"""Look into it; point at one place, or at several; draw on it, or show a way on it."""

_STEP, _FINE_STEP = 0.04, 0.004
_MIDDLE: Final = (0.5, 0.5)
_REACH_PX: Final = 9
"""How near a set place is taken hold of."""


class FilmView(PictureView):
    """Shows pictures, and lets one look into them, point at them and draw on them.

    While it is drawn on or pointed at, it leaves the keyboard's focus where it is, and whoever has
    it hands keys to `keyPressEvent`.

    Args:
        theme: The colours; the surround is dark in all of them.
    """

    rest_wanted = pyqtSignal()
    """The frame is going to be pointed at or drawn on."""

    pointed = pyqtSignal(object)
    """A `PicturePoint`, where one was asked for."""

    aimed = pyqtSignal(object)
    """A `PicturePoint` that the cross was moved to, where several are pointed at."""

    dragged = pyqtSignal(int, object, bool)
    """Number of a shown place, the `PicturePoint` it is dragged to, and whether it was let go."""

    done = pyqtSignal()
    """All places are set."""

    drawn = pyqtSignal(object)
    """A `Drawing` on the shown frame."""

    way_shown = pyqtSignal(object)
    """The same, where a way was asked for."""

    taken_back = pyqtSignal()
    """The last drawing of the shown frame is to be taken off."""

    tool_taken = pyqtSignal(str, str)
    """Another tool or colour was taken by its key."""

    left = pyqtSignal()
    """The person has done with drawing or pointing."""

    def __init__(self, theme: Theme) -> None:
        super().__init__(theme)
        self._aim: Aim = "look"
        self._prompt = ""
        self._cross: Share | None = None
        self._hand = DrawingHand()
        self._strokes = False
        self._shapes: tuple[Drawing, ...] = ()
        self._places: tuple[Share, ...] = ()
        self._chosen: int | None = None
        self._held: int | None = None
        self._is_dragging = False
        self._last_set: PicturePoint | None = None

    def show_picture(
        self, picture: Picture | None, *, is_exact: bool = True, instead: str = ""
    ) -> None:
        """Show a picture, or none; see `PictureView`."""
        self._hand.see(None if picture is None else picture.times)
        super().show_picture(picture, is_exact=is_exact, instead=instead)

    def ask_for_point(self, asks: bool, prompt: str = "") -> None:
        """Let a place of the picture be pointed at, once; the prompt says which."""
        self._prompt = prompt if asks else ""
        self._take_aim("point" if asks else "look")

    def ask_for_points(self, asks: bool, prompt: str = "") -> None:
        """Let places of the picture be pointed at, one after the other, until it ends."""
        self._prompt = prompt if asks else ""
        self._last_set = self._held = None
        if not asks:
            self.show_points((), ())
        self._take_aim("points" if asks else "look")

    def show_points(
        self,
        shapes: tuple[Drawing, ...],
        places: tuple[Share, ...],
        chosen: int | None = None,
    ) -> None:
        """Show what was pointed at so far.

        Args:
            shapes: What it makes.
            places: What can be taken hold of.
            chosen: Number of the one that stands out.
        """
        self._shapes, self._places, self._chosen = shapes, places, chosen
        self.update()

    def ask_for_way(self, asks: bool, prompt: str = "") -> None:
        """Let a way from one place to another be shown."""
        self._prompt = prompt if asks else ""
        self._hand.take("arrow" if asks else None, DRAWING_COLOURS[0].word)
        self._take_aim("way" if asks else "look")

    def set_drawing(self, tool: str | None, colour: str = DRAWING_COLOURS[0].word) -> None:
        """Take a drawing tool, or none."""
        self._hand.take(tool, colour)
        self._take_aim("draw" if tool else "look")

    def point_at(self, x: float, y: float) -> PicturePoint | None:
        """Return the place of the picture at a point of the widget; None where there is none."""
        now = self._laid()
        at_px = self._in_px(QPointF(x, y))
        if now is None or not now.shows_at(*at_px):
            return None
        return self._place(now.share_at(*at_px))

    def place_beside(self, share: Share, deed: str, *, fine: bool) -> Share:
        """Return the place that lies a step of the cross from another; see `CROSS_WAYS`."""
        now = self._laid()
        if now is None:
            return share
        step = (_FINE_STEP if fine else _STEP) / self._looked.zoom
        right, down = CROSS_WAYS[deed]
        return now.stepped(share, right * step, down * step)

    def _take_aim(self, aim: Aim) -> None:
        begins, looks = self._aim == "look" != aim, aim == "look"
        if begins or looks:
            self._cross = None
        self._aim = aim
        # A click that took the focus would leave the keys to the window's own actions.
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus if looks else Qt.FocusPolicy.NoFocus)
        self.setCursor(Qt.CursorShape.ArrowCursor if looks else Qt.CursorShape.CrossCursor)
        self.update()
        if begins:
            self.rest_wanted.emit()

    def _place(self, share: Share) -> PicturePoint | None:
        """Return a place of the frame; None on a picture that is only near."""
        picture = self._picture
        if picture is None or picture.nearby or self._instead:
            return None
        times = picture.times
        return PicturePoint(x=share[0], y=share[1], part=times.part, at_us=times.start_us)

    def _point(self, place: PicturePoint | None) -> None:
        if place is not None:
            self.ask_for_point(False)
            self.pointed.emit(place)

    def _draw(self, drawing: Drawing | None) -> None:
        if drawing is not None:
            (self.way_shown if self._aim == "way" else self.drawn).emit(drawing)
        self.update()

    def _do(self, deed: str, *, fine: bool) -> None:
        """Do something with the crosshair."""
        now = self._laid()
        if deed in CROSS_WAYS and now is not None:
            self._cross = self.place_beside(self._cross or self._middle(now), deed, fine=fine)
            self._tell_aim()
        elif deed == "set":
            self._set_point()
        elif deed == "back" and self._hand.is_drawing:
            self._hand.take_point_back()
        elif deed == "back" and self._aim in ("draw", "points"):
            self.taken_back.emit()
        elif deed == "leave":
            self.set_drawing(None)
            self.ask_for_points(False)
            self.left.emit()
        self.update()

    def _middle(self, now: Laid) -> Share:
        """Return the place in the middle of what is seen."""
        room = self._room()
        return now.share_at(room[0] / 2, room[1] / 2) if self._looked.zoom > 1 else _MIDDLE

    def _set_point(self) -> None:
        place = self._place(self._cross) if self._cross is not None else None
        if self._aim == "point":
            self._point(place)
        elif self._aim == "points":
            self._point_by_key(place)
        elif place is not None:
            self._draw(self._hand.set_point((place.x, place.y)))

    def _tell_aim(self) -> None:
        place = self._place(self._cross) if self._cross is not None else None
        if self._aim == "points" and place is not None:
            self.aimed.emit(place)

    def _point_by_key(self, place: PicturePoint | None) -> None:
        """Set a place at the cross; where it was set there last, all are set."""
        if self._cross is None or (place is not None and place == self._last_set):
            self.done.emit()
        else:
            self._point_at(place)

    def _point_at(self, place: PicturePoint | None) -> None:
        if place is not None:
            self._last_set = place
            self.pointed.emit(place)

    def _press_points(self, at: QPointF, place: PicturePoint | None) -> None:
        """Take hold of the place that lies there, else set one."""
        self._cross = None
        self._held = self._place_near(at)
        if self._held is None:
            self._point_at(place)

    def _place_near(self, at: QPointF) -> int | None:
        """Return the number of the nearest shown place within reach."""
        now = self._laid()
        if now is None:
            return None
        at_px, reach_px = self._in_px(at), _REACH_PX * self.devicePixelRatioF()
        far_px = [math.dist(now.point_of(place), at_px) for place in self._places]
        nearest = min(range(len(far_px)), key=far_px.__getitem__, default=None)
        return nearest if nearest is not None and far_px[nearest] <= reach_px else None

    def _drag(self, at: QPointF, *, is_over: bool) -> None:
        """Tell where the place in the hand is dragged to; a click moves nothing."""
        now = self._laid()
        place = self._place(now.share_at(*self._in_px(at))) if now is not None else None
        if self._held is not None and place is not None:
            self._is_dragging = True
            self.dragged.emit(self._held, place, is_over)

    def _take_by_key(self, key: int) -> bool:
        """Take the tool or colour of a key, and claim that it was one's."""
        tool, colour = tool_of_key(key), colour_of_key(key)
        if tool is None and colour is None:
            return False
        tool, colour = tool or self._hand.tool or "", colour or self._hand.colour
        self.set_drawing(tool, colour)
        self.tool_taken.emit(tool, colour)
        return True

    # What it changes of a view ------------------------------------------------------------

    def _over(self) -> tuple[Drawing, ...]:
        towards = None if self._strokes else self._cross
        return (*self._drawings, *self._shapes, *self._hand.drawings(towards))

    def _has_ring(self) -> bool:
        return self._aim != "look" or super()._has_ring()

    def _plates(self, picture: Picture) -> list[str]:
        return [*super()._plates(picture), self._prompt]

    def _paint_over(self, painter: QPainter, now: Laid, picture: Picture) -> None:
        super()._paint_over(painter, now, picture)
        paint_places(painter, now, self._places, self._chosen, self._room()[1])
        if self._cross is not None:
            paint_cross(painter, now, self._cross, self._room()[1])

    def mousePressEvent(self, event: QMouseEvent | None) -> None:  # noqa: N802 - Qt's name
        """Point, draw, or take hold of the picture; the middle button always takes hold."""
        if event is None:
            return
        if self._aim == "look" or event.button() != Qt.MouseButton.LeftButton:
            super().mousePressEvent(event)
            return
        place = self.point_at(event.position().x(), event.position().y())
        if self._aim == "point":
            self._point(place)
        elif self._aim == "points":
            self._press_points(event.position(), place)
        elif place is not None:
            self._cross, self._strokes = None, True
            self._hand.press((place.x, place.y))

    def mouseMoveEvent(self, event: QMouseEvent | None) -> None:  # noqa: N802 - Qt's name
        """Draw on, or drag a place or the picture along."""
        now = self._laid()
        if event is not None and self._held is not None:
            self._drag(event.position(), is_over=False)
        elif event is not None and now is not None and self._strokes and self._hand.is_drawing:
            self._hand.move(now.share_at(*self._in_px(event.position())))
            self.update()
        else:
            super().mouseMoveEvent(event)

    def mouseReleaseEvent(self, event: QMouseEvent | None) -> None:  # noqa: N802 - Qt's name
        """End what was drawn, or let the picture go."""
        if event is not None and self._is_dragging:
            self._drag(event.position(), is_over=True)
        self._held, self._is_dragging = None, False
        if self._strokes:
            self._strokes = False
            self._draw(self._hand.finish())
        super().mouseReleaseEvent(event)

    def mouseDoubleClickEvent(self, event: QMouseEvent | None) -> None:  # noqa: N802 - Qt's name
        """Show the picture whole again; while drawing, it is a press like another."""
        if self._aim == "look":
            super().mouseDoubleClickEvent(event)
        else:
            self.mousePressEvent(event)

    def keyPressEvent(self, event: QKeyEvent | None) -> None:  # noqa: N802 - Qt's name
        """Point or draw by keys; all others, and all while one only looks, are the window's."""
        if event is None:
            return
        held = event.modifiers()
        fine = bool(held & Qt.KeyboardModifier.ShiftModifier)
        command = held & (Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.AltModifier)
        deed = deed_of_key(event.key())
        if self._aim == "look" or command:
            event.ignore()
        elif deed is not None:
            self._do(deed, fine=fine)
        elif self._aim != "draw" or not self._take_by_key(event.key()):
            event.ignore()
