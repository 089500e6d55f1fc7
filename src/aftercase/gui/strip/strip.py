"""The strip as a widget with hands: one thin overview of the whole case under the film.

It changes nothing: what a person wants is told by signals.
"""

from __future__ import annotations

from bisect import bisect_left
from typing import Final

from PyQt6.QtCore import QEvent, QPoint, QPointF, Qt, pyqtSignal
from PyQt6.QtGui import QContextMenuEvent, QHelpEvent, QKeyEvent, QMouseEvent, QWheelEvent
from PyQt6.QtWidgets import QToolTip, QWidget

from aftercase.clock import text_of
from aftercase.gui.strip.content import told
from aftercase.gui.strip.hits import EDGE_REACH_PX, Hit, hit_at
from aftercase.gui.strip.pointer import Pointer
from aftercase.gui.strip.view import StripView
from aftercase.gui.theme import Theme
from aftercase.model.review import RecordList

_WHEEL_FACTOR: Final = 0.8
_WHEEL_PAN: Final = 0.1
_WHEEL_NOTCH: Final = 120


class Strip(StripView):
    """The strip.

    Args:
        theme: The colours.
        parent: The widget it stands in.
    """

    moment_wanted = pyqtSignal(object, bool)
    """A frame's start, and whether the pointer is still being dragged."""
    edge_dragged = pyqtSignal(str, str, object, bool)
    """A span's id, ``start`` or ``end``, where that goes, and whether the drag is over."""
    border_dragged = pyqtSignal(str, str, object, bool)
    """Ids of the span that ends and of the one that begins at a shared edge, where that goes, and
    whether the drag is over."""
    record_moved = pyqtSignal(str, object, object, bool)
    """A record's id, its new start and end (a moment's are the same), whether the drag is over."""
    selection_wanted = pyqtSignal(tuple, bool)
    """Ids of records, and whether they are added to those selected."""
    menu_wanted = pyqtSignal(str, QPoint)
    """A record's id, empty beside all records, and where on the screen."""
    loop_wanted = pyqtSignal(object, object)
    """A stretch that is to be played again and again, ``[start, end)``."""

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(theme, parent)
        self._pointer = Pointer(self)
        self.setMouseTracking(True)

    @property
    def is_held(self) -> bool:
        """Claim that something on it is in the hand; it does not go after the film then."""
        return self._pointer.is_holding

    # The keyboard -------------------------------------------------------------------------

    def select_next(self, name: RecordList = "steps") -> None:
        """Ask for the next record of a list after the selected one, else after the playhead."""
        self._select_beside(name, 1)

    def select_previous(self, name: RecordList = "steps") -> None:
        """Ask for the previous record of a list."""
        self._select_beside(name, -1)

    def _select_beside(self, name: RecordList, step: int) -> None:
        if self.content is None or self._review is None:
            return
        by_id = self.content.mark_by_id
        there = [by_id[record.id] for record in getattr(self._review, name) if record.id in by_id]
        chosen = [place for place, mark in enumerate(there) if mark.id in self.selected]
        if chosen:
            place = (chosen[-1] if step > 0 else chosen[0]) + step
        else:
            starts_us = [mark.start_us for mark in there]
            place = bisect_left(starts_us, self._frame_us[0]) + min(step, 0)
        if there:
            mark = there[min(max(place, 0), len(there) - 1)]
            self.selection_wanted.emit((mark.id,), False)
            self.moment_wanted.emit(self.frame_start(mark.start_us), False)

    # What the pointer asks ----------------------------------------------------------------

    def hit(self, at: QPointF) -> Hit:
        """Return what lies at a point; edges where they can be dragged."""
        if self.laid is None:
            return Hit(is_on_clock=False)
        handles = (None if self.is_open else self.selected) if self.is_editable else ()
        return hit_at(self.laid, at.x(), at.y() + self.top_px, handles)

    def reveal(self, at: QPointF) -> None:
        """Show more of the clock where something is dragged over the strip's end."""
        if self.laid is None:
            return
        scale = self.laid.scale
        over_px = min(at.x() - scale.left_px, 0) + max(at.x() - scale.right_px, 0)
        if over_px:
            self.pan_by(round(over_px * scale.us_per_px))

    def words_under(self, at: QPointF) -> str:
        """Return in words what lies at a point: the marks there, else the row's name."""
        hit = self.hit(at)
        if self.content is None or self.laid is None:
            return ""
        if not hit.is_on_clock:
            y_px = at.y() + self.top_px
            titles = self.laid.plan.titles
            there = [title for title in titles if 0 <= y_px - title.top_px < title.height_px]
            return there[0].text if there else ""
        us = self.laid.scale.us_at(at.x())
        taken = [row.at(us) for row in self.content.of("taken-over") if hit.lane == "steps"]
        lines = [told(mark) for mark in (*hit.marks, *taken) if mark is not None]
        reach_us = EDGE_REACH_PX * self.us_per_px
        lines += [
            f"part {number} begins at {text_of(joint_us)}"
            for joint_us, number in self.content.joints
            if abs(us - joint_us) <= reach_us
        ]
        return "\n".join(lines)

    # Qt's own -----------------------------------------------------------------------------

    def mousePressEvent(self, event: QMouseEvent | None) -> None:  # noqa: N802 - Qt's name
        """Take what lies there into the hand."""
        if event is not None and self.content is not None:
            self._pointer.press(event.position(), event.button(), event.modifiers())

    def mouseMoveEvent(self, event: QMouseEvent | None) -> None:  # noqa: N802 - Qt's name
        """Drag what is in the hand, or show what could be taken."""
        if event is None:
            return
        if self._pointer.is_holding:
            self._pointer.move(event.position(), event.modifiers())
        else:
            is_edge = bool(self.hit(event.position()).edge)
            shape = Qt.CursorShape.SplitHCursor if is_edge else Qt.CursorShape.ArrowCursor
            self.setCursor(shape)

    def mouseReleaseEvent(self, event: QMouseEvent | None) -> None:  # noqa: N802 - Qt's name
        """Let go."""
        if event is not None:
            self._pointer.release(event.position(), event.modifiers())

    def mouseDoubleClickEvent(self, event: QMouseEvent | None) -> None:  # noqa: N802 - Qt's name
        """Ask for a loop over what was pressed twice."""
        if event is not None and event.button() == Qt.MouseButton.LeftButton:
            self._pointer.twice(event.position())

    def wheelEvent(self, event: QWheelEvent | None) -> None:  # noqa: N802 - Qt's name
        """Zoom around the pointer; sideways or with Shift, pan; beside the rows, scroll them."""
        if event is None or self.laid is None:
            return
        across, along = event.angleDelta().x(), event.angleDelta().y()
        is_shifted = bool(event.modifiers() & Qt.KeyboardModifier.ShiftModifier)
        event.accept()
        if event.position().x() < self.laid.scale.left_px and self._scroll_px():
            self._scroll.setValue(self._scroll.value() - along // 4)
        elif across or is_shifted:
            notches = (across or along) / _WHEEL_NOTCH
            self.pan_by(round(-notches * _WHEEL_PAN * self._shown.length_us))
        elif along:
            self.zoom_by(_WHEEL_FACTOR ** (along / _WHEEL_NOTCH), self.us_at(event.position()))

    def contextMenuEvent(self, event: QContextMenuEvent | None) -> None:  # noqa: N802 - Qt's name
        """Ask for the menu of what lies there, or of what is selected."""
        if event is None or self.content is None:
            return
        if event.reason() == QContextMenuEvent.Reason.Keyboard:
            ids = tuple(self.selected)
        else:
            ids = self.hit(QPointF(event.pos())).ids
            if ids and ids[0] not in self.selected:
                self.selection_wanted.emit(ids, False)
        self.menu_wanted.emit(ids[0] if ids else "", event.globalPos())

    def event(self, event: QEvent | None) -> bool:
        """Say what lies under the pointer, and keep Escape while something is dragged."""
        if isinstance(event, QHelpEvent) and event.type() == QEvent.Type.ToolTip:
            QToolTip.showText(event.globalPos(), self.words_under(QPointF(event.pos())), self)
            return True
        if isinstance(event, QKeyEvent) and self._pointer.is_holding and _is_escape(event):
            self._pointer.cancel()
            event.accept()
            return True
        return super().event(event)


def _is_escape(event: QKeyEvent) -> bool:
    """Claim that Escape is pressed, before shortcuts are asked."""
    is_asked = event.type() == QEvent.Type.ShortcutOverride
    return is_asked and event.key() == Qt.Key.Key_Escape
