"""The strip and the desk: what is marked is shown, what is dragged is changed."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from PyQt6.QtCore import QObject, QPoint, QTimer

from aftercase.gui.strip.strip import Strip
from aftercase.session.desk import Desk
from aftercase.session.stage import Stage
from aftercase.session.verbs import changing

_GAPS_MS: Final = 400
"""Gaps are worked out so long after the last edit: nobody watches them while marking."""


class StripDesk(QObject):
    """Shows the desk's case on the strip, and carries out what is dragged there.

    Args:
        stage: The window.
        desk: The case on the desk.
        strip: The strip.
    """

    def __init__(self, stage: Stage, desk: Desk, strip: Strip) -> None:
        super().__init__()
        self._stage, self._desk, self._strip = stage, desk, strip
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.setInterval(_GAPS_MS)
        self._timer.timeout.connect(self._show_gaps)
        strip.show_case(desk.frames, desk.guide, desk.bounds_us)
        self._show_review()
        strip.show_stretch(*desk.strip_us)
        strip.show_moment(desk.at_us)
        self._stops: list[Callable[[], None]] = [
            desk.listen("review", self._show_review),
            desk.listen("replayed", self._show_review),
            desk.listen("case", lambda: strip.show_window(desk.bounds_us)),
            desk.listen("moment", lambda: strip.show_moment(desk.at_us)),
            desk.listen("selection", lambda: strip.select(desk.selection)),
            desk.listen("strip", lambda: strip.show_stretch(*desk.strip_us)),
        ]
        self._links = (
            (strip.moment_wanted, self._go_to),
            (strip.edge_dragged, self._drag_edge),
            (strip.border_dragged, self._drag_border),
            (strip.record_moved, self._move),
            (strip.selection_wanted, self._select),
            (strip.menu_wanted, self._menu),
            (strip.loop_wanted, self._loop),
            (strip.stretch_changed, desk.show_stretch),
        )
        for signal, slot in self._links:
            signal.connect(slot)

    def stop(self) -> None:
        """Listen no more."""
        self._timer.stop()
        for stop in self._stops:
            stop()
        for signal, slot in self._links:
            signal.disconnect(slot)
        self._strip.stop()

    def _show_review(self) -> None:
        self._strip.show_review(self._desk.shown_review)
        self._strip.set_editable(self._desk.is_draft and self._desk.replayed is None)
        self._timer.start()

    def _show_gaps(self) -> None:
        # Late: pandas takes a second to load, and the window must not wait for it.
        from aftercase.session.tasks.tabulate import worked_out_gaps_us

        desk, shortest_us = self._desk, self._desk.settings.gap_threshold_us
        self._strip.show_gaps(
            worked_out_gaps_us(desk.case, desk.guide, desk.shown_review, shortest_us)
        )

    def _go_to(self, us: int, is_dragging: bool) -> None:
        self._stage.player.go_to(us, dragging=is_dragging)

    def _drag_edge(self, record_id: str, edge: changing.Edge, us: int, is_final: bool) -> None:
        changing.drag_edge(self._desk, record_id, edge, us)
        self._follow(us if edge == "start" else self._before(us), is_final)

    def _drag_border(self, ends_id: str, begins_id: str, us: int, is_final: bool) -> None:
        changing.drag_border(self._desk, ends_id, begins_id, us)
        self._follow(us, is_final)

    def _move(self, record_id: str, start_us: int, end_us: int, is_final: bool) -> None:
        if start_us == end_us:
            changing.drag_moment(self._desk, record_id, start_us)
        else:
            changing.drag_span(self._desk, record_id, start_us, end_us)
        self._follow(start_us, is_final)

    def _before(self, us: int) -> int:
        """Return the last frame inside a span that ends at a moment."""
        return self._desk.frames.start_of(us - 1)

    def _follow(self, us: int, is_final: bool) -> None:
        """Let the picture follow the edge; after the drag the next one is another edit."""
        self._stage.player.go_to(us, dragging=not is_final)
        if is_final:
            self._desk.hand.end_merging()

    def _select(self, ids: tuple[str, ...], adds: bool) -> None:
        before = self._desk.selection if adds else ()
        self._desk.select(*dict.fromkeys((*before, *ids)))

    def _menu(self, record_id: str, place: QPoint) -> None:
        if record_id and self._desk.replayed is None:
            self._desk.select(record_id)
            self._stage.ask("about-mark")

    def _loop(self, start_us: int, end_us: int) -> None:
        self._stage.player.loop(start_us, end_us)
