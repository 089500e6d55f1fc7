"""The tools that draw on a frame, and the hand that holds one; knows nothing of the screen."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from aftercase.gui.film.mapping import Share
from aftercase.media.picture import FrameTimes
from aftercase.model.review import MOST_DRAWN_POINTS, Drawing

_LEAST_APART: Final = 0.002
"""Places nearer than this are one: a hand that trembles, a click that was no line."""

_MOST_OF_A_HAND: Final = 8 * MOST_DRAWN_POINTS
"""A hand's way is thinned when it is kept; this only ends one that never does."""


@dataclass(frozen=True)
class Choice:
    """Something to draw with, what it is called, and its key while drawing."""

    word: str
    label: str
    key: str


DRAWING_TOOLS: Final = (
    Choice("arrow", "Arrow", "A"),
    Choice("ring", "Ring", "R"),
    Choice("line", "Line", "L"),
    Choice("freehand", "Freehand", "F"),
)
DRAWING_COLOURS: Final = (
    Choice("sky", "Sky", "1"),
    Choice("orange", "Orange", "2"),
    Choice("white", "White", "3"),
)


@dataclass(frozen=True)
class Deed:
    """Something done with the crosshair, what it is called, and its keys."""

    word: str
    label: str
    keys: tuple[str, ...]


CROSS_DEEDS: Final = (
    Deed("left", "Cross to the left", ("Left",)),
    Deed("right", "Cross to the right", ("Right",)),
    Deed("up", "Cross up", ("Up",)),
    Deed("down", "Cross down", ("Down",)),
    Deed("set", "Set a point", ("Return", "Enter")),
    Deed("back", "Take the last one back", ("Backspace",)),
    Deed("leave", "Leave", ("Esc",)),
)
"""With Shift the cross goes in small steps."""

CROSS_WAYS: Final = {"left": (-1, 0), "right": (1, 0), "up": (0, -1), "down": (0, 1)}
"""Right and down on the screen."""


class DrawingHand:
    """What is being drawn now, in shares of the decoded frame.

    By pointer: `press`, `move`, `finish`. By keys: `set_point` twice; a freehand way goes through
    every point set and ends where one is set twice.
    """

    def __init__(self) -> None:
        self.tool: str | None = None
        self.colour = DRAWING_COLOURS[0].word
        self._points: list[Share] = []
        self._frame: FrameTimes | None = None

    @property
    def is_drawing(self) -> bool:
        """Claim that something was begun."""
        return bool(self._points)

    def take(self, tool: str | None, colour: str) -> None:
        """Take a tool, or none; what was begun is forgotten."""
        self.tool, self.colour = tool, colour
        self._points = []

    def see(self, frame: FrameTimes | None) -> None:
        """Take note of the shown frame; what was begun on another one is forgotten."""
        if frame != self._frame:
            self._points, self._frame = [], frame

    def press(self, place: Share) -> None:
        """Begin at a place."""
        self._points = [place]

    def move(self, place: Share) -> None:
        """Go on to a place."""
        if self.tool != "freehand":
            self._points = [self._points[0], place]
        elif _apart(self._points[-1], place) and len(self._points) < _MOST_OF_A_HAND:
            self._points.append(place)

    def set_point(self, place: Share) -> Drawing | None:
        """Set the next point and return the drawing that ends there; None while it goes on."""
        ends = bool(self._points) and (
            self.tool != "freehand" or not _apart(self._points[-1], place)
        )
        self._points.append(place)
        return self.finish() if ends else None

    def take_point_back(self) -> None:
        """Forget the last point that was set."""
        self._points = self._points[:-1]

    def drawings(self, towards: Share | None = None) -> tuple[Drawing, ...]:
        """Return what was begun, as far as it shows.

        Args:
            towards: Where the next point would be set.
        """
        points = list(self._points)
        if points and towards is not None:
            points.append(towards)
        drawing = self._drawing(points)
        return () if drawing is None else (drawing,)

    def finish(self) -> Drawing | None:
        """Return what was drawn and begin anew; None where it is no more than a point."""
        points, self._points = self._points, []
        return self._drawing(points)

    def _drawing(self, points: list[Share]) -> Drawing | None:
        if self.tool is None or self._frame is None or not points:
            return None
        if not any(_apart(points[0], point) for point in points):
            return None
        return Drawing(
            shape=self.tool,
            colour=self.colour,
            part=self._frame.part,
            at_us=self._frame.start_us,
            points=tuple(points),
        )


def _apart(one: Share, other: Share) -> bool:
    return max(abs(one[0] - other[0]), abs(one[1] - other[1])) >= _LEAST_APART
