"""Where a picture lies in a widget: fitted, enlarged, moved; pure."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

from aftercase.media.facts import displayed_size
from aftercase.media.overlay import Placing
from aftercase.media.picture import Pixels

MOST_ZOOM: Final = 8.0


@dataclass(frozen=True)
class Looked:
    """How far into the picture one looks.

    Attributes:
        zoom: 1 fits the whole picture; 8 at most.
        x: Share of the shown picture that lies in the middle, 0..1 from the left.
        y: The same from the top.
    """

    zoom: float = 1.0
    x: float = 0.5
    y: float = 0.5


WHOLE: Final = Looked()


@dataclass(frozen=True)
class Laid:
    """Where a picture lies, in a widget's own units.

    Attributes:
        left: Left edge of the shown picture; may lie outside the widget.
        top: Its top edge.
        width: Its width.
        height: Its height.
        turn_deg: See `Pixels`.
        mirrored: See `Pixels`.
    """

    left: float
    top: float
    width: float
    height: float
    turn_deg: int = 0
    mirrored: bool = False

    @property
    def placing(self) -> Placing:
        """How the decoded frame lies in the shown picture."""
        return Placing(self.width, self.height, self.turn_deg, self.mirrored)

    def share_at(self, x: float, y: float) -> tuple[float, float]:
        """Return the place of the decoded frame, in shares of it, that a widget's point shows."""
        return self.placing.shares(x - self.left, y - self.top)

    def point_of(self, share: tuple[float, float]) -> tuple[float, float]:
        """Return the widget's point that shows a place of the decoded frame."""
        x, y = self.placing.shown(*share)
        return x + self.left, y + self.top


def laid(pixels: Pixels, width: float, height: float, looked: Looked = WHOLE) -> Laid:
    """Return where a picture lies in a widget.

    Args:
        pixels: The picture; its shape alone counts.
        width: Width of the widget.
        height: Height of the widget.
        looked: How far into it one looks.
    """
    wide, high = displayed_size(pixels)
    scale = min(width / wide, height / high) * looked.zoom
    shown_width, shown_height = wide * scale, high * scale
    left = _edge(width, shown_width, looked.x)
    top = _edge(height, shown_height, looked.y)
    return Laid(left, top, shown_width, shown_height, pixels.turn_deg, pixels.mirrored)


def _edge(room: float, length: float, middle: float) -> float:
    """Return the near edge of a length in a room: centred if it fits, else without a bare rim."""
    if length <= room:
        return (room - length) / 2
    return min(0.0, max(room - length, room / 2 - length * middle))


def zoomed(
    now: Laid, looked: Looked, factor: float, at: tuple[float, float], room: tuple[float, float]
) -> Looked:
    """Return the look after enlarging about a point, which stays where it is.

    Args:
        now: Where the picture lies.
        looked: The look that laid it there.
        factor: Above 1 enlarges.
        at: The point, in the widget's units.
        room: Width and height of the widget.
    """
    zoom = min(MOST_ZOOM, max(1.0, looked.zoom * factor))
    factor = zoom / looked.zoom
    x = (at[0] - now.left) / now.width
    y = (at[1] - now.top) / now.height
    width, height = now.width * factor, now.height * factor
    return _held(
        Looked(zoom, (room[0] / 2 - at[0]) / width + x, (room[1] / 2 - at[1]) / height + y),
        (width, height),
        room,
    )


def moved(now: Laid, looked: Looked, by: tuple[float, float], room: tuple[float, float]) -> Looked:
    """Return the look after the picture was dragged by so much."""
    moved_to = replace(looked, x=looked.x - by[0] / now.width, y=looked.y - by[1] / now.height)
    return _held(moved_to, (now.width, now.height), room)


def _held(looked: Looked, size: tuple[float, float], room: tuple[float, float]) -> Looked:
    """Keep the middle where no bare rim shows, so that dragging back answers at once."""
    middles = []
    for length, width, share in zip(size, room, (looked.x, looked.y), strict=True):
        half = min(0.5, width / length / 2)
        middles.append(min(max(share, half), 1 - half))
    return replace(looked, x=middles[0], y=middles[1])
