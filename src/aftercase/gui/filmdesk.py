"""The film view and the desk: what lies over the shown frame, and what is drawn anew."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from aftercase.gui.film.view import FilmView
from aftercase.media.overlay import drawn_in
from aftercase.metrics.pictureshapes import measure_drawings, ruler_drawings
from aftercase.model.review import Drawing, Review
from aftercase.session.desk import Desk
from aftercase.session.verbs import remarks


class FilmDesk:
    """Shows over the film what belongs to the shown frame.

    Args:
        desk: The case on the desk.
        film: The film view.
        review: Returns the review whose drawings are shown; the replay room has another's.
        replayed_us: Returns the stretch of the moment that is replayed, whose drawings stay
            while it plays; None for none.
    """

    def __init__(
        self,
        desk: Desk,
        film: FilmView,
        review: Callable[[], Review],
        replayed_us: Callable[[], tuple[int, int] | None],
    ) -> None:
        self._desk, self._film = desk, film
        self._review, self._replayed_us = review, replayed_us
        self._stops = [
            desk.listen(topic, self.show)
            for topic in ("moment", "review", "replayed", "case", "selection")
        ]
        film.drawn.connect(self._draw)
        self.show()

    def show(self) -> None:
        """Show drawings, measures and masks of the shown frame."""
        desk = self._desk
        frame = desk.frames.frame_at(desk.at_us)
        drawings = self._drawings(frame.part, frame.start_us, frame.end_us)
        self._film.show_over(drawings, desk.case.masks)

    def stop(self) -> None:
        """Listen no more."""
        for stop in self._stops:
            stop()
        self._film.drawn.disconnect(self._draw)
        self._film.show_over((), ())

    def _drawings(self, part: int, start_us: int, end_us: int) -> tuple[Drawing, ...]:
        replayed = self._replayed_us()
        if replayed is not None and replayed[0] <= start_us < replayed[1]:
            start_us, end_us = replayed[0], end_us
        review = self._review()
        every = [drawing for remark in review.remarks for drawing in remark.drawings]
        return (
            *drawn_in(every, part, start_us, end_us),
            *self._measured(review, part, start_us, end_us),
        )

    def _measured(self, review: Review, part: int, start_us: int, end_us: int) -> Iterator[Drawing]:
        """Yield what rulers and measures look like on their frames, a tip's path on all of them."""
        for ruler in review.calibrations:
            if ruler.part == part and start_us <= ruler.at_us < end_us:
                yield from ruler_drawings(self._desk.case, ruler)
        for one in review.measures:
            times_us = one.times_us or (one.at_us,)
            if one.part == part and any(start_us <= us < end_us for us in times_us):
                yield from measure_drawings(self._desk.case, review, one)

    def _draw(self, drawing: Drawing) -> None:
        remarks.draw_on_frame(self._desk, drawing)
