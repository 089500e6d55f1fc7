"""The hand that draws on a frame, by pointer or by keys; knows nothing of the screen."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from PyQt6.QtCore import Qt

from aftercase.media.picture import FrameTimes
from aftercase.model.review import Drawing

Share = tuple[float, float]

_FINE, _COARSE = 0.005, 0.04
_MOST_POINTS: Final = 500
_LEAST_STEP: Final = 0.002


@dataclass(frozen=True)
class DrawingTool:
    """A tool: its shape, what it is called, and its key while drawing."""

    shape: str
    label: str
    key: str


DRAWING_TOOLS: Final = (
    DrawingTool("arrow", "Arrow", "A"),
    DrawingTool("ring", "Ring", "R"),
    DrawingTool("line", "Line", "L"),
    DrawingTool("freehand", "Freehand", "F"),
)
DRAWING_COLOURS: Final = (("sky", "Sky", "1"), ("orange", "Orange", "2"), ("white", "White", "3"))

_STEPS: Final = {
    Qt.Key.Key_Left: (-1, 0),
    Qt.Key.Key_Right: (1, 0),
    Qt.Key.Key_Up: (0, -1),
    Qt.Key.Key_Down: (0, 1),
}


class DrawingHand:
    """What is being drawn now, in shares of the decoded frame."""

    def __init__(self) -> None:
        self.tool: str | None = None
        self.colour = "sky"
        self.crosshair: Share | None = None
        self._points: list[Share] = []
        self._by_keys = False
        self._frame = FrameTimes(0, 0, 0)

    @property
    def is_drawing(self) -> bool:
        """Claim that something was begun."""
        return bool(self._points)

    @property
    def is_finished(self) -> bool:
        """Claim that the keys have set both points of what is drawn."""
        return self._by_keys and len(self._points) == 2 and self.tool != "freehand"

    def take(self, tool: str | None, colour: str) -> None:
        """Take a tool, or none; what was begun is forgotten."""
        self.tool, self.colour = tool, colour
        self._points, self.crosshair = [], None

    def leave_frame(self, frame: FrameTimes | None) -> None:
        """Take note of the shown frame; what was begun on another one is forgotten."""
        if frame is not None and frame != self._frame:
            self._points = []
            self._frame = frame

    def press(self, place: Share) -> None:
        """Begin at a place."""
        self._by_keys = False
        self._points = [place]

    def move(self, place: Share) -> None:
        """Go on to a place."""
        if self.tool != "freehand":
            self._points = [self._points[0], place]
        elif _far(self._points[-1], place) and len(self._points) < _MOST_POINTS:
            self._points.append(place)

    def key(self, key: int, modifiers: Qt.KeyboardModifier) -> bool:
        """Draw by keys: arrows move the crosshair, Return sets a point; claim that it was one."""
        if key in _STEPS:
            self._step(
                *_STEPS[Qt.Key(key)], fine=bool(modifiers & Qt.KeyboardModifier.ShiftModifier)
            )
            return True
        if key in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and self.crosshair is not None:
            self._by_keys = True
            self._points.append(self.crosshair)
            return True
        return False

    def drawings(self) -> tuple[Drawing, ...]:
        """Return what was begun, as far as it shows."""
        points = list(self._points)
        if self._by_keys and points and self.crosshair is not None:
            points.append(self.crosshair)
        return (self._made(points),) if self.tool and _differ(points) else ()

    def finish(self) -> Drawing | None:
        """Return what was drawn and begin anew; None where it is only a point."""
        points, self._points = self._points, []
        return self._made(points) if self.tool and _differ(points) else None

    def _step(self, right: int, down: int, *, fine: bool) -> None:
        step = _FINE if fine else _COARSE
        x, y = self.crosshair or (0.5, 0.5)
        self.crosshair = (_within(x + right * step), _within(y + down * step))

    def _made(self, points: list[Share]) -> Drawing:
        return Drawing(
            shape=self.tool or "line",
            colour=self.colour,
            part=self._frame.part,
            at_us=self._frame.start_us,
            points=tuple(points),
        )


def _within(share: float) -> float:
    return min(max(share, 0.0), 1.0)


def _far(one: Share, other: Share) -> bool:
    return max(abs(one[0] - other[0]), abs(one[1] - other[1])) >= _LEAST_STEP


def _differ(points: list[Share]) -> bool:
    return len(points) >= 2 and any(_far(points[0], point) for point in points[1:])
