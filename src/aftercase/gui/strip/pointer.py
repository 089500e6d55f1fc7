"""What a press, a drag and a click on the strip ask for, told by the strip's signals.

A press on an edge takes the edge; in the opened strip one on a selected mark takes the mark, and
one between the marks, or with Shift, draws a rectangle; any other goes to the frame there.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from PyQt6.QtCore import QPointF, QRectF, Qt

from aftercase.gui.strip.content import MOMENTS, StripMark
from aftercase.gui.strip.drags import (
    SNAP_PX,
    EdgeDrag,
    MarkDrag,
    edge_at,
    edge_drag,
    mark_at,
    mark_drag,
)
from aftercase.gui.strip.hits import Hit, ids_in
from aftercase.gui.strip.stretch import Stretch

if TYPE_CHECKING:
    from aftercase.gui.strip.strip import Strip

_LEAST_DRAG_PX: Final = 4.0
_NO_SNAP: Final = -1.0
_EXTENDING: Final = Qt.KeyboardModifier.ShiftModifier | Qt.KeyboardModifier.ControlModifier


@dataclass(frozen=True)
class Scrub:
    """The playhead in the hand."""


@dataclass(frozen=True)
class Band:
    """A rectangle being drawn, from a corner."""

    corner: QPointF


@dataclass(frozen=True)
class Pan:
    """The clock itself in the hand, at a moment."""

    grabbed_us: int


Drag = Scrub | Band | Pan | EdgeDrag | MarkDrag


class Pointer:
    """The pointer on a strip.

    Args:
        strip: The strip, with a case on it whenever something is pressed.
    """

    def __init__(self, strip: Strip) -> None:
        self._strip = strip
        self._drag: Drag | None = None
        self._hit = Hit()
        self._begun = QPointF()
        self._is_moved = False
        self._told: object = None

    @property
    def is_holding(self) -> bool:
        """Claim that something is in the hand."""
        return self._drag is not None

    def press(
        self, at: QPointF, button: Qt.MouseButton, modifiers: Qt.KeyboardModifier
    ) -> None:  # fmt: skip
        """Take what lies under the pointer into the hand."""
        self._begun, self._is_moved, self._told = at, False, None
        self._hit = self._strip.hit(at)
        self._drag = self._taken(at, button, modifiers)
        is_extending = bool(modifiers & _EXTENDING)
        if isinstance(self._drag, EdgeDrag):
            self._select_hit()
        elif isinstance(self._drag, Scrub):
            if self._hit.ids or (self._hit.lane and self._strip.selected):
                self._strip.selection_wanted.emit(self._hit.ids, is_extending)
            if not is_extending:
                self._tell_moment(self._click_us(at), True)

    def move(self, at: QPointF, modifiers: Qt.KeyboardModifier) -> None:
        """Drag what is in the hand."""
        drag = self._drag
        if drag is None:
            return
        far = (at - self._begun).manhattanLength() >= _LEAST_DRAG_PX
        self._is_moved = self._is_moved or far
        if not self._is_moved:
            return
        if isinstance(drag, Band):
            self._strip.band = QRectF(drag.corner, at).normalized()
            self._strip.update()
        elif isinstance(drag, Pan):
            self._strip.pan_by(drag.grabbed_us - self._strip.us_at(at))
        else:
            self._strip.reveal(at)
            self._follow(drag, at, modifiers, is_final=False)

    def release(self, at: QPointF, modifiers: Qt.KeyboardModifier) -> None:
        """Let go of what is in the hand; without a drag it was a click."""
        drag, self._drag = self._drag, None
        is_extending = bool(modifiers & _EXTENDING)
        if isinstance(drag, Band):
            self._end_band(at, is_extending)
        elif drag is None or isinstance(drag, Pan) or (isinstance(drag, Scrub) and is_extending):
            return
        elif self._is_moved:
            self._follow(drag, at, modifiers, is_final=True)
        else:
            if isinstance(drag, MarkDrag):
                self._strip.selection_wanted.emit(self._hit.ids, False)
            self._tell_moment(self._click_us(at), False)

    def cancel(self) -> None:
        """Let go of what is in the hand and put it back where it was."""
        drag, self._drag = self._drag, None
        if isinstance(drag, EdgeDrag) and self._is_moved:
            self._tell_edge(drag, drag.from_us, True)
        elif isinstance(drag, MarkDrag) and self._is_moved:
            mark = drag.mark
            self._strip.record_moved.emit(mark.id, mark.start_us, mark.end_us, True)
        self._strip.band = None
        self._strip.update()

    def twice(self, at: QPointF) -> None:
        """Ask for a loop over the span that was pressed twice."""
        mark = self._strip.hit(at).mark
        if mark is not None and mark.start_us < mark.end_us:
            self._strip.loop_wanted.emit(mark.start_us, mark.end_us)

    def _taken(
        self, at: QPointF, button: Qt.MouseButton, modifiers: Qt.KeyboardModifier
    ) -> Drag | None:  # fmt: skip
        strip, hit = self._strip, self._hit
        if button == Qt.MouseButton.MiddleButton:
            return Pan(strip.us_at(at))
        if button != Qt.MouseButton.LeftButton or not hit.is_on_clock:
            return None
        content, frames = strip.content, strip.frames
        assert content is not None, "there is a case"
        assert frames is not None, "there is a case"
        if hit.edge:
            alone = bool(modifiers & Qt.KeyboardModifier.AltModifier)
            return edge_drag(content, frames, hit, alone=alone)
        # In the closed strip a drag looks for a place, and must not move the step it begins on.
        is_movable = strip.is_open and strip.is_editable and not modifiers & _EXTENDING
        if is_movable and (mark := self._selected_mark()) is not None:
            return mark_drag(content, mark, strip.us_at(at))
        is_between = strip.is_open and bool(hit.lane) and not hit.ids
        if is_between or modifiers & Qt.KeyboardModifier.ShiftModifier:
            return Band(at)
        return Scrub()

    def _selected_mark(self) -> StripMark | None:
        mark = self._hit.mark
        return mark if mark is not None and mark.id in self._strip.selected else None

    def _select_hit(self) -> None:
        if self._selected_mark() is None and self._hit.neighbour not in self._strip.selected:
            self._strip.selection_wanted.emit(self._hit.ids, False)

    def _follow(
        self, drag: Scrub | EdgeDrag | MarkDrag, at: QPointF, modifiers: Qt.KeyboardModifier,
        *, is_final: bool,
    ) -> None:  # fmt: skip
        strip = self._strip
        us = strip.us_at(at)
        frames = strip.frames
        assert frames is not None, "there is a case"
        is_free = bool(modifiers & Qt.KeyboardModifier.AltModifier)
        reach_us = _NO_SNAP if is_free else SNAP_PX * strip.us_per_px
        if isinstance(drag, EdgeDrag):
            self._tell_edge(drag, edge_at(drag, us, frames, reach_us), is_final)
        elif isinstance(drag, MarkDrag):
            self._tell_mark(drag, mark_at(drag, us, frames, reach_us), is_final)
        else:
            self._tell_moment(us, not is_final)

    def _tell_edge(self, drag: EdgeDrag, us: int, is_final: bool) -> None:
        if (us, is_final) == self._told:
            return
        self._told = us, is_final
        if drag.ended and drag.begun:
            self._strip.border_dragged.emit(drag.ended, drag.begun, us, is_final)
        elif drag.ended:
            self._strip.edge_dragged.emit(drag.ended, "end", us, is_final)
        else:
            self._strip.edge_dragged.emit(drag.begun, "start", us, is_final)

    def _tell_mark(self, drag: MarkDrag, span_us: tuple[int, int], is_final: bool) -> None:
        if (span_us, is_final) == self._told:
            return
        self._told = span_us, is_final
        self._strip.record_moved.emit(drag.mark.id, *span_us, is_final)

    def _tell_moment(self, us: int, is_dragging: bool) -> None:
        start_us = self._strip.frame_start(us)
        if (start_us, is_dragging) != self._told:
            self._told = start_us, is_dragging
            self._strip.moment_wanted.emit(start_us, is_dragging)

    def _click_us(self, at: QPointF) -> int:
        """Return where a click goes: to the edge or the moment that was hit, else to its place."""
        mark = self._hit.mark
        if mark is not None and self._hit.edge:
            return mark.start_us if self._hit.edge == "start" else mark.end_us
        if mark is not None and self._hit.lane in MOMENTS:
            return mark.start_us
        return self._strip.us_at(at)

    def _end_band(self, at: QPointF, is_extending: bool) -> None:
        strip, band = self._strip, self._strip.band
        strip.band = None
        strip.update()
        if band is None:
            strip.selection_wanted.emit(self._hit.ids, is_extending)
            if not is_extending:
                self._tell_moment(strip.us_at(at), False)
            return
        laid = strip.laid
        assert laid is not None, "there is a case"
        scale, top_px = laid.scale, strip.top_px
        stretch = Stretch(scale.us_at(band.left()), scale.us_at(band.right()) + 1)
        ids = ids_in(laid, stretch, band.top() + top_px, band.bottom() + top_px)
        strip.selection_wanted.emit(ids, is_extending)
