"""What the player asks of its worker, at the size shown, and what came of the newest order."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from aftercase.media.parts import PartFacts, fitting_side_px
from aftercase.media.pictureworker import Found, Open, Order, PictureWorker, Quick, Run, Show
from aftercase.media.source import Opened, OpenRecording, Shown

_N_AHEAD, _N_BEHIND = 4, 8
"""Frames decoded around one that was gone to: a hand often goes on from there frame by frame."""

_N_BEHIND_GOING_BACK: Final = 16
"""Half a second of frames: the block before them takes longer to decode than any other step."""


class PictureOrders:
    """Orders of one player; a newer one ends the one before.

    Args:
        worker: Carries them out.

    Attributes:
        is_answered: Nothing more comes of the newest order.
    """

    def __init__(self, worker: PictureWorker) -> None:
        self.is_answered = True
        self._worker = worker
        self._number = 0
        self._first_part: PartFacts | None = None
        self._room_px: tuple[int, int] | None = None
        self._full = False
        self._turned = False

    @property
    def opening_share(self) -> float:
        """How much of a recording that opens has been read, 0 to 1."""
        return self._worker.opening_share

    def on_found(self, told: Callable[[], None]) -> None:
        """See `PictureWorker.on_found`."""
        self._worker.on_found(told)

    def close(self) -> None:
        """Let the worker go."""
        self._worker.close()

    # The size -----------------------------------------------------------------------------

    def set_room(self, width_px: int, height_px: int) -> bool:
        """Take note of where pictures are shown, and claim that it is new."""
        before, self._room_px = self._room_px, (width_px, height_px)
        return before != self._room_px

    def set_full(self, full: bool) -> bool:
        """Want pictures at full size, whatever the room; claim that this is new."""
        before, self._full = self._full, full
        return before != full

    # Orders -------------------------------------------------------------------------------

    def open(self, request: OpenRecording) -> None:
        """Open a recording."""
        self._order(Open(request))

    def stand(self) -> None:
        """Want nothing more."""
        self._number, self.is_answered = self._worker.stand(), True

    def go_to(self, at_us: int, quick: Quick, *, waits: bool = False) -> None:
        """Show a picture, and get ready for steps from there."""
        self._show(at_us, quick, waits=waits, n_behind=_N_BEHIND, n_ahead=_N_AHEAD)

    def step_to(self, at_us: int, quick: Quick, *, forward: bool) -> None:
        """Show a picture a step away, and get ready for more such steps."""
        if forward:
            self._show(at_us, quick, n_ahead=_N_AHEAD)
        else:
            self._show(at_us, quick, n_behind=_N_BEHIND_GOING_BACK)

    def chase(self, at_us: int, *, by_copy: bool) -> None:
        """Show the scrub copy's picture; where there is none, the frame as soon as it can be."""
        n_behind = 0 if by_copy else _N_BEHIND_GOING_BACK
        self._show(at_us, "copy", quick_alone=True, n_behind=n_behind)

    def run(self, start_us: int, end_us: int, every: int, *, quick_first: bool) -> None:
        """Show pictures in order."""
        self._order(Run(start_us, end_us, self._side_px, every, quick_first))

    # What came ----------------------------------------------------------------------------

    def peek(self) -> Found | None:
        """Return what came next of the newest order; None where nothing has yet."""
        while (found := self._worker.peek()) is not None and found.number != self._number:
            self._worker.take()
        return found

    def take(self) -> None:
        """Take what `peek` returned."""
        found = self._worker.take()
        if found is None:
            return
        self.is_answered = found.is_last
        if isinstance(found.response, Opened):
            self._first_part = found.response.parts[0]
        elif isinstance(found.response, Shown):
            self._turned = found.response.picture.pixels.turn_deg in (90, 270)

    def _show(
        self,
        at_us: int,
        quick: Quick,
        *,
        quick_alone: bool = False,
        waits: bool = False,
        n_behind: int = 0,
        n_ahead: int = 0,
    ) -> None:
        self._order(Show(at_us, self._side_px, quick, quick_alone, waits, n_behind, n_ahead))

    def _order(self, order: Order) -> None:
        self._number, self.is_answered = self._worker.order(order), False

    @property
    def _side_px(self) -> int | None:
        """The longer side pictures are wanted at; None for as they are."""
        if self._full or self._room_px is None or self._first_part is None:
            return None
        return fitting_side_px(self._first_part, self._room_px, turned=self._turned)
