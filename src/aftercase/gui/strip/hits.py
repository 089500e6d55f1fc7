"""What lies under the pointer, and which marks lie in a rectangle; pure."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import Final, Literal

import numpy as np

from aftercase.gui.strip.content import WITH_EDGES, Lane, Row, StripMark
from aftercase.gui.strip.layout import Drawn, Layout
from aftercase.gui.strip.stretch import Scale, Stretch

Edge = Literal["start", "end"]

EDGE_REACH_PX: Final = 5.0
_THIN_REACH_PX: Final = 2.0
_LEFT_BODY: Final = 1 / 3
"""Share of a narrow span that each of its edges may take, so that its body can be grabbed."""


@dataclass(frozen=True)
class Hit:
    """What lies under the pointer.

    Attributes:
        lane: The lane; empty beside all lanes.
        marks: The marks; several where they share a sign, none where there is none.
        edge: Which edge of the mark, empty where it is its body.
        neighbour: Id of the span that begins where this one ends, where that edge was hit.
        is_on_clock: Whether the point lies on the clock, not beside it on the rows' names.
    """

    lane: Lane | Literal[""] = ""
    marks: tuple[StripMark, ...] = ()
    edge: Edge | Literal[""] = ""
    neighbour: str = ""
    is_on_clock: bool = True

    @property
    def mark(self) -> StripMark | None:
        """The mark, the earliest of several."""
        return self.marks[0] if self.marks else None

    @property
    def ids(self) -> tuple[str, ...]:
        """The records' ids; none where nobody marked it."""
        return tuple(mark.id for mark in self.marks if mark.id)


def hit_at(
    layout: Layout, x_px: float, y_px: float, handles: Collection[str] | None = ()
) -> Hit:  # fmt: skip
    """Return what lies at a point; what is painted later lies above.

    Args:
        layout: The layout.
        x_px: From the strip's left.
        y_px: From the plan's top.
        handles: Ids of the spans whose edges can be grabbed; None for all.
    """
    scale, side_px = layout.scale, layout.plan.sizes.side_px
    if not scale.left_px - side_px <= x_px <= scale.right_px + side_px:
        return Hit(is_on_clock=False)
    there = [drawn for drawn in reversed(layout.drawn) if _is_level(drawn, y_px)]
    for drawn in there:
        hit = _edge_hit(drawn.place.row, scale, x_px, handles) or _hit(drawn, scale, x_px)
        if hit is not None:
            return hit
    return Hit(there[0].place.row.lane) if there else Hit()


def _is_level(drawn: Drawn, y_px: float) -> bool:
    place = drawn.place
    return place.look != "bar" and place.top_px <= y_px < place.top_px + place.height_px


def _hit(drawn: Drawn, scale: Scale, x_px: float) -> Hit | None:
    row = drawn.place.row
    for sign in drawn.signs:
        if abs(sign.x_px - x_px) <= sign.width_px / 2:
            return Hit(row.lane, sign.marks)
    if drawn.place.look == "signs":
        return None
    near = min(
        _near(row, scale.us_at(x_px)),
        key=lambda mark: _distance_px(mark, scale, x_px),
        default=None,
    )
    if near is None or _distance_px(near, scale, x_px) > _THIN_REACH_PX:
        return None
    return Hit(row.lane, (near,))


def _near(row: Row, us: int) -> Iterator[StripMark]:
    """Return the spans around a moment: the last two that began, and the next."""
    place = int(np.searchsorted(row.starts_us, us, side="right"))
    yield from row.marks[max(0, place - 2) : place + 1]


def _distance_px(mark: StripMark, scale: Scale, x_px: float) -> float:
    """Return how far a point is from a span; less than nothing inside of it."""
    return max(scale.x_of(mark.start_us) - x_px, x_px - scale.x_of(mark.end_us))


def _edge_hit(
    row: Row, scale: Scale, x_px: float, handles: Collection[str] | None
) -> Hit | None:  # fmt: skip
    if row.lane not in WITH_EDGES:
        return None
    found: list[tuple[float, int, StripMark, Edge]] = []
    near = list(_near(row, scale.us_at(x_px)))
    for mark in near:
        if handles is not None and mark.id not in handles:
            continue
        left_px, right_px = scale.x_of(mark.start_us), scale.x_of(mark.end_us)
        is_inside = left_px <= x_px < right_px
        reach_px = min(EDGE_REACH_PX, (right_px - left_px) * _LEFT_BODY) if is_inside else (
            EDGE_REACH_PX
        )  # fmt: skip
        edges: tuple[tuple[Edge, float, int], ...] = (
            ("start", left_px, mark.start_us), ("end", right_px, mark.end_us),
        )  # fmt: skip
        for edge, edge_px, us in edges:
            is_shown = scale.shown.start_us <= us <= scale.shown.end_us
            if is_shown and abs(x_px - edge_px) <= reach_px:
                found.append((abs(x_px - edge_px), len(found), mark, edge))
    if not found:
        return None
    _, _, mark, edge = min(found)
    return _border(row, near, mark, edge)


def _border(row: Row, near: list[StripMark], mark: StripMark, edge: Edge) -> Hit:
    """Return an edge, with the neighbour that shares it, as the end of the earlier one."""
    for earlier, later in pairwise(near):
        if earlier.end_us == later.start_us and (mark, edge) in (
            (earlier, "end"), (later, "start"),
        ):  # fmt: skip
            return Hit(row.lane, (earlier,), "end", later.id)
    return Hit(row.lane, (mark,), edge)


def ids_in(layout: Layout, stretch: Stretch, top_px: float, bottom_px: float) -> tuple[str, ...]:
    """Return the records that lie at least partly in a rectangle, each once.

    Args:
        layout: The layout.
        stretch: The rectangle's width, on the clock.
        top_px: Its top, from the plan's top.
        bottom_px: Its bottom.
    """
    ids: dict[str, None] = {}
    for drawn in layout.drawn:
        place = drawn.place
        if place.look == "bar" or place.top_px + place.height_px <= top_px:
            continue
        if place.top_px < bottom_px:
            marks = place.row.marks[place.row.seen_in(stretch)]
            ids |= dict.fromkeys(mark.id for mark in marks if mark.id)
    return tuple(ids)
