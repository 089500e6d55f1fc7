"""Dragging an edge or a whole mark: where it goes, on frames, near other edges; pure."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from aftercase.gui.strip.content import Content, StripMark
from aftercase.gui.strip.hits import Hit
from aftercase.gui.strip.stretch import Ints, Stretch
from aftercase.media.frameclock import FrameClock

SNAP_PX: Final = 6.0


@dataclass(frozen=True)
class EdgeDrag:
    """An edge in the hand.

    Attributes:
        ended: Id of the span that ends there; empty where none is dragged.
        begun: Id of the span that begins there; empty where none is dragged.
        from_us: Where the edge was.
        least_us: The earliest it can go: a frame is left of every span.
        most_us: The latest.
        others_us: Other edges it may snap to, in order.
    """

    ended: str
    begun: str
    from_us: int
    least_us: int
    most_us: int
    others_us: Ints


@dataclass(frozen=True)
class MarkDrag:
    """A whole span or moment in the hand.

    Attributes:
        mark: As it was.
        grabbed_us: Where it was grabbed.
        bounds: What it does not leave.
        others_us: Edges it may snap to, in order.
    """

    mark: StripMark
    grabbed_us: int
    bounds: Stretch
    others_us: Ints


def edge_drag(content: Content, frames: FrameClock, hit: Hit, *, alone: bool) -> EdgeDrag:
    """Take an edge into the hand.

    Args:
        content: What is shown.
        frames: The recording's frames.
        hit: The edge.
        alone: Whether a neighbour that shares the edge stays as it is.
    """
    mark = hit.mark
    assert mark is not None, "an edge was hit"
    next_mark = content.mark_by_id.get(hit.neighbour) if not alone else None
    bounds = content.bounds
    least_us, most_us = bounds.start_us, bounds.end_us
    if hit.edge == "end":
        ended, begun, from_us = mark.id, next_mark.id if next_mark else "", mark.end_us
        least_us = max(least_us, frames.frame_at(mark.start_us).end_us)
        if next_mark is not None:
            most_us = min(most_us, frames.start_of(next_mark.end_us - 1))
    else:
        ended, begun, from_us = "", mark.id, mark.start_us
        most_us = min(most_us, frames.start_of(mark.end_us - 1))
    others = without(content.edges_us, from_us, 1 + (next_mark is not None))
    return EdgeDrag(ended, begun, from_us, least_us, max(least_us, most_us), others)


def mark_drag(content: Content, mark: StripMark, grabbed_us: int) -> MarkDrag:
    """Take a whole mark into the hand."""
    others = content.edges_us
    if mark.end_us > mark.start_us:
        others = without(without(others, mark.start_us, 1), mark.end_us, 1)
    return MarkDrag(mark, grabbed_us, content.bounds, others)


def without(edges_us: Ints, us: int, n: int) -> Ints:
    """Return edges without the first `n` at a moment; fewer where there are fewer."""
    first, stop = np.searchsorted(edges_us, [us, us + 1])
    return np.delete(edges_us, slice(int(first), min(int(first) + n, int(stop))))


def edge_at(drag: EdgeDrag, us: int, frames: FrameClock, reach_us: float) -> int:
    """Return where an edge goes: to another edge in reach, else to the nearest frame's.

    Args:
        drag: The edge.
        us: Where the pointer is.
        frames: The recording's frames.
        reach_us: From how far other edges draw it; below 0 none do.
    """
    other = nearest(drag.others_us, us, reach_us)
    wanted = frames.snapped(us) if other is None else other
    return min(max(wanted, drag.least_us), drag.most_us)


def mark_at(drag: MarkDrag, us: int, frames: FrameClock, reach_us: float) -> tuple[int, int]:
    """Return where a mark goes, on frames and inside the bounds; a moment ends where it starts."""
    length_us = drag.mark.end_us - drag.mark.start_us
    start_us = drag.mark.start_us + us - drag.grabbed_us
    shifts = [
        other - edge
        for edge in {start_us, start_us + length_us}
        if (other := nearest(drag.others_us, edge, reach_us)) is not None
    ]
    start_us += min(shifts, key=abs, default=0)
    last_us = drag.bounds.end_us - max(length_us, 1)
    start_us = min(max(start_us, drag.bounds.start_us), last_us)
    # The last frame's end is an edge, but nothing begins there.
    start_us = frames.start_of(min(frames.snapped(start_us), drag.bounds.end_us - 1))
    start_us = max(start_us, drag.bounds.start_us)
    if not length_us:
        return start_us, start_us
    end_us = max(frames.snapped(start_us + length_us), frames.frame_at(start_us).end_us)
    return start_us, min(end_us, drag.bounds.end_us)


def nearest(edges_us: Ints, us: int, reach_us: float) -> int | None:
    """Return the edge nearest to a moment; None where none is in reach.

    Example:
        >>> nearest(np.array([0, 100, 130]), 112, 15), nearest(np.array([0, 100]), 50, 15)
        (100, None)
    """
    place = int(np.searchsorted(edges_us, us))
    beside = edges_us[max(0, place - 1) : place + 1].tolist()
    edge = min(beside, key=lambda edge: abs(edge - us), default=None)
    return edge if edge is not None and abs(edge - us) <= reach_us else None
