"""Where a picture lies on the screen: fitted, enlarged, moved. Pure, in the screen's own pixels."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

from aftercase.media.facts import displayed_size
from aftercase.media.overlay import Placing
from aftercase.media.picture import Pixels

MOST_ZOOM: Final = 8.0
_AS_GOOD_AS_FITTING_PX: Final = 2

Share = tuple[float, float]
"""A place of the decoded frame: from its left and its top, 0..1 of its width and height."""

Room = tuple[int, int]
"""Width and height of where the picture is shown."""


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
    """Where a picture lies, on whole pixels of the screen; it may reach beyond its room.

    Attributes:
        left_px: Left edge of the shown picture.
        top_px: Its top edge.
        width_px: Its width.
        height_px: Its height.
        turn_deg: See `Pixels`.
        mirrored: See `Pixels`.
    """

    left_px: int
    top_px: int
    width_px: int
    height_px: int
    turn_deg: int = 0
    mirrored: bool = False

    @property
    def placing(self) -> Placing:
        """How the decoded frame lies in the shown picture."""
        return Placing(self.width_px, self.height_px, self.turn_deg, self.mirrored)

    def share_at(self, x_px: float, y_px: float) -> Share:
        """Return the place that is shown at a point, the nearest if none is."""
        return self.placing.shares(x_px - self.left_px, y_px - self.top_px)

    def point_of(self, share: Share) -> tuple[float, float]:
        """Return the point that shows a place."""
        x, y = self.placing.shown(*share)
        return x + self.left_px, y + self.top_px

    def shows_at(self, x_px: float, y_px: float) -> bool:
        """Claim that the picture, not what is round it, is shown at a point."""
        across, down = x_px - self.left_px, y_px - self.top_px
        return 0 <= across <= self.width_px and 0 <= down <= self.height_px

    def stepped(self, share: Share, right: float, down: float) -> Share:
        """Return the place so far to the right and down *on the screen*, the nearest if outside.

        Args:
            share: The place to go from.
            right: Share of the shown picture's width.
            down: Share of its height.

        Example:
            >>> Laid(0, 0, 540, 960, turn_deg=90).stepped((0.5, 0.5), 0.25, 0)
            (0.5, 0.75)
        """
        x, y = self.placing.shown(*share)
        return self.placing.shares(x + right * self.width_px, y + down * self.height_px)


def laid(pixels: Pixels, room: Room, looked: Looked = WHOLE) -> Laid:
    """Return where a picture lies.

    A whole one that was decoded for this room is not resampled for a pixel or two, but shown as
    it is.

    Args:
        pixels: The picture; its shape alone counts.
        room: Where it is shown.
        looked: How far into it one looks.
    """
    wide, high = displayed_size(pixels)
    scale = min(max(room[0], 1) / wide, max(room[1], 1) / high)
    if looked.zoom == 1 and abs(round(max(wide, high) * (scale - 1))) <= _AS_GOOD_AS_FITTING_PX:
        scale = 1.0
    width_px = max(1, round(wide * scale * looked.zoom))
    height_px = max(1, round(high * scale * looked.zoom))
    return Laid(
        _edge_px(room[0], width_px, looked.x),
        _edge_px(room[1], height_px, looked.y),
        width_px,
        height_px,
        pixels.turn_deg,
        pixels.mirrored,
    )


def _edge_px(room_px: int, length_px: int, middle: float) -> int:
    """Return the near edge of a length in a room: centred if it fits, else without a bare rim."""
    if length_px <= room_px:
        return (room_px - length_px) // 2
    return round(min(0.0, max(room_px - length_px, room_px / 2 - length_px * middle)))


def zoomed(
    pixels: Pixels, room: Room, looked: Looked, factor: float, at_px: tuple[float, float]
) -> Looked:
    """Return the look after enlarging about a point, which goes on showing the same place.

    Args:
        pixels: The picture; its shape alone counts.
        room: Where it is shown.
        looked: The look so far.
        factor: Above 1 enlarges.
        at_px: The point.
    """
    now = laid(pixels, room, looked)
    zoom = min(MOST_ZOOM, max(1.0, looked.zoom * factor))
    then = laid(pixels, room, Looked(zoom))
    x = (at_px[0] - now.left_px) / now.width_px + (room[0] / 2 - at_px[0]) / then.width_px
    y = (at_px[1] - now.top_px) / now.height_px + (room[1] / 2 - at_px[1]) / then.height_px
    return _held(Looked(zoom, x, y), then, room)


def moved(pixels: Pixels, room: Room, looked: Looked, by_px: tuple[float, float]) -> Looked:
    """Return the look after the picture was dragged by so much, as far as it goes."""
    now = laid(pixels, room, looked)
    looked = _held(looked, now, room)
    x, y = looked.x - by_px[0] / now.width_px, looked.y - by_px[1] / now.height_px
    return _held(replace(looked, x=x, y=y), now, room)


def _held(looked: Looked, size: Laid, room: Room) -> Looked:
    """Keep the middle where no bare rim shows, so that dragging back answers at once."""
    middles = []
    for length_px, room_px, share in (
        (size.width_px, room[0], looked.x),
        (size.height_px, room[1], looked.y),
    ):
        half = min(0.5, room_px / length_px / 2)
        middles.append(min(max(share, half), 1 - half))
    return Looked(looked.zoom, *middles)
