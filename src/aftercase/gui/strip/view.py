"""Showing a case on the strip: which marks, which stretch of the clock, and where on the widget."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np
from PyQt6.QtCore import QEvent, QPointF, QRect, QRectF, Qt, pyqtSignal
from PyQt6.QtGui import (
    QColor,
    QPainter,
    QPaintEvent,
    QPixmap,
    QResizeEvent,
    QShowEvent,
)
from PyQt6.QtWidgets import QScrollBar, QSizePolicy, QWidget

from aftercase.clock import SECOND_US
from aftercase.gui.strip.content import Content, content_of, words_at
from aftercase.gui.strip.layout import Layout, laid_out
from aftercase.gui.strip.paint import paint_moving, paint_still
from aftercase.gui.strip.places import Plan, closed_plan, opened_plan, resting_height_px
from aftercase.gui.strip.scene import Letters, Scene
from aftercase.gui.strip.stretch import Scale, Stretch, following, panned, within, zoomed
from aftercase.gui.theme import Theme
from aftercase.media.frameclock import FrameClock
from aftercase.model.guide import Guide
from aftercase.model.review import Review

LEAST_FRAMES: Final = 8
"""The shortest stretch shows so many frames."""

_MOST_OF_WINDOW: Final = 0.42
_SPAN_ROOM: Final = 0.1
_JUMP_US: Final = SECOND_US
"""A moment so far from the last one was gone to, and is shown even if the last was out of sight."""


class StripView(QWidget):
    """The strip without hands; empty until it is given a case and a review of it.

    Attributes:
        is_open: Whether all lanes are shown.
        is_editable: Whether marks can be dragged.
        frames: The recording's frames; None without a case.
        content: What there is to show; None without a case.
        selected: Ids of the selected records.
        band: What is being selected; None while nothing is.

    Args:
        theme: The colours.
        parent: The widget it stands in.
    """

    stretch_changed = pyqtSignal(object, object)
    """The stretch that is shown now, ``[start, end)``."""

    frames: FrameClock | None
    _guide: Guide | None
    _review: Review | None
    content: Content | None
    selected: frozenset[str]
    _gaps_us: tuple[tuple[int, int], ...]
    _running: frozenset[str]
    _moment_key: object
    _painted_px: tuple[int, int]

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme = theme
        self.is_open = False
        self.is_editable = True
        self.band: QRectF | None = None
        self._laid: Layout | None = None
        self._still: QPixmap | None = None
        self._plan: Plan | None = None
        self._forget()
        self._scroll = QScrollBar(Qt.Orientation.Vertical, self)
        self._scroll.setAccessibleName("Rows of the strip")
        self._scroll.valueChanged.connect(lambda _: self._repaint_all())
        self._scroll.hide()
        self._letters = Letters(self.font(), self._theme)
        self._renew()
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent)
        self.setAccessibleName("Strip: the whole case over time")

    @property
    def is_held(self) -> bool:
        """Claim that something on it is in the hand; it does not go after the film then."""
        return False

    # What is shown ------------------------------------------------------------------------

    def wear(self, theme: Theme) -> None:
        """Use the colours of a theme."""
        self._theme = theme
        self._letters = Letters(self.font(), theme)
        self._repaint_all()

    def show_case(self, frames: FrameClock, guide: Guide, window_us: tuple[int, int]) -> None:
        """Show a case, as a whole; its marks come by `show_review`."""
        self._forget()
        self.frames, self._guide = frames, guide
        self._bounds = self._shown = Stretch(*window_us)
        self._frame_us = _extent(frames, window_us[0])
        self._renew()

    def show_window(self, window_us: tuple[int, int]) -> None:
        """Show another stretch of the film as the case's."""
        self._bounds = Stretch(*window_us)
        self._renew()
        self._show(within(self._shown, self._bounds))

    def show_review(self, review: Review) -> None:
        """Show the marks of a review."""
        self._review = review
        self._renew()

    def show_gaps(self, gaps_us: Sequence[tuple[int, int]]) -> None:
        """Show the gaps that were worked out, ``[start, end)``."""
        self._gaps_us = tuple(gaps_us)
        self._renew()

    def show_activity(self, numbers: Sequence[float]) -> None:
        """Show a curve: numbers evenly spaced over the recording; none for no curve."""
        self._activity = np.asarray(numbers, dtype=np.float64)
        self._repaint_all()

    def show_moment(self, us: int) -> None:
        """Show which frame is on the screen; the strip goes after it if it was in sight."""
        if self.frames is None:
            return
        before_us = self._frame_us[0]
        self._frame_us = _extent(self.frames, us)
        is_followed = self._shown.holds(before_us) or abs(us - before_us) > _JUMP_US
        if is_followed and not self.is_held:
            self._show(following(self._shown, before_us, us, self._bounds))
        self._repaint_playhead()
        self._tell_moment()

    def select(self, ids: Sequence[str]) -> None:
        """Show which records are selected."""
        self.selected = frozenset(ids)
        self._scroll_to_selected()
        self._repaint_all()

    def set_editable(self, is_editable: bool) -> None:
        """Let marks be dragged, or not: a sealed review's are not."""
        self.is_editable = is_editable
        self._repaint_all()

    def stop(self) -> None:
        """Show nothing any more; the case is put away."""
        self._forget()
        self._renew()

    # The stretch --------------------------------------------------------------------------

    @property
    def stretch_us(self) -> tuple[int, int]:
        """The stretch that is shown, ``[start, end)``."""
        return self._shown.start_us, self._shown.end_us

    def show_stretch(self, start_us: int, end_us: int) -> None:
        """Show a stretch, as far as it is the case's."""
        if start_us < end_us:
            self._show(within(Stretch(start_us, end_us), self._bounds))

    def show_whole(self) -> None:
        """Show the whole case."""
        self._show(self._bounds)

    def show_span(self, start_us: int, end_us: int) -> None:
        """Show a span with a little room on both sides."""
        about_us = (start_us + end_us) // 2
        span = within(Stretch(start_us, max(end_us, start_us + 1)), self._bounds)
        self._show(zoomed(span, 1 + _SPAN_ROOM, about_us, self._bounds, self._least_us(about_us)))

    def zoom_by(self, factor: float, about_us: int) -> None:
        """Show a stretch so many times as long, around a moment that stays in its place."""
        shown = following(self._shown, about_us, about_us, self._bounds)
        self._show(zoomed(shown, factor, about_us, self._bounds, self._least_us(about_us)))

    def pan_by(self, us: int) -> None:
        """Show what is later, or earlier, by so much."""
        self._show(panned(self._shown, us, self._bounds))

    def open_up(self) -> None:
        """Open the strip to all lanes, or close it."""
        self.is_open = not self.is_open
        self._plan_anew()

    # Where things lie -----------------------------------------------------------------

    @property
    def laid(self) -> Layout | None:
        """What is in sight now; None without a case."""
        if self._laid is None and self._plan is not None and self.width() > 0:
            sizes = self._plan.sizes
            left_px = sizes.gutter_px(self.is_open) + sizes.side_px
            width_px = self.width() - left_px - sizes.side_px - self._scroll_px()
            scale = Scale(self._shown, left_px, max(1, width_px))
            self._laid = laid_out(self._plan, scale, self._letters.width_of)
        return self._laid

    @property
    def top_px(self) -> int:
        """How far the rows are scrolled down."""
        return self._scroll.value() if self._scroll_px() else 0

    @property
    def us_per_px(self) -> float:
        """How much of the clock one pixel shows."""
        return self.laid.scale.us_per_px if self.laid is not None else 1.0

    def us_at(self, at: QPointF) -> int:
        """Return the moment at a point of the widget; the nearest that is shown."""
        return self.laid.scale.us_at(at.x()) if self.laid is not None else 0

    def frame_start(self, us: int) -> int:
        """Return the start of the frame shown at a moment, of the case's nearest outside of it."""
        if self.frames is None:
            return us
        inside_us = min(max(us, self._bounds.start_us), self._bounds.end_us - 1)
        return max(self.frames.start_of(inside_us), self._bounds.start_us)

    # Inside -------------------------------------------------------------------------------

    def _forget(self) -> None:
        self.frames = self._guide = self._review = self.content = None
        self.selected = frozenset()
        self._gaps_us = ()
        self._activity = np.empty(0)
        self._bounds = self._shown = Stretch(0, 1)
        self._frame_us = (0, 1)
        self._running = frozenset()
        self._moment_key = None
        self._painted_px = (0, 0)

    def _renew(self) -> None:
        """Take what is shown apart anew: the marks, the gaps or the window are others."""
        if self.frames is None or self._guide is None or self._review is None:
            self.content = None
        else:
            self.content = content_of(
                self._review, self._guide, self.frames, self._bounds, self._gaps_us
            )
        self._moment_key = None
        self._plan_anew()
        self._tell_moment()

    def _plan_anew(self) -> None:
        """Place the rows anew: they, the sizes, or whether it is open are others."""
        self._laid = self._plan = None
        if self.content is not None:
            plan = opened_plan if self.is_open else closed_plan
            self._plan = plan(self.content, self._letters.sizes)
        self._fit_height()
        self._repaint_all()

    def _fit_height(self) -> None:
        """Be as high as the rows, but leave most of the window to the film; the rest scrolls."""
        least_px = resting_height_px(self._letters.sizes)
        wanted_px = least_px if self._plan is None else self._plan.height_px
        window = self.window() or self
        most_px = round(window.height() * _MOST_OF_WINDOW)
        height_px = max(least_px, min(wanted_px, most_px))
        self.setFixedHeight(height_px)
        hidden_px = wanted_px - height_px
        self._scroll.setRange(0, hidden_px)
        self._scroll.setPageStep(height_px)
        self._scroll.setVisible(hidden_px > 0)
        width_px = self._scroll.sizeHint().width()
        self._scroll.setGeometry(self.width() - width_px, 0, width_px, height_px)

    def _scroll_to_selected(self) -> None:
        """Scroll to the first row with a selected mark, if it is hidden."""
        if self._plan is None or not self._scroll_px():
            return
        for place in self._plan.places:
            if any(mark.id in self.selected for mark in place.row.marks):
                bottom_px = place.top_px + place.height_px - self.height()
                self._scroll.setValue(min(max(self._scroll.value(), bottom_px), place.top_px))
                return

    def _scroll_px(self) -> int:
        return self._scroll.width() if self._scroll.maximum() > 0 and self.is_open else 0

    def _show(self, shown: Stretch) -> None:
        if shown != self._shown:
            self._shown = shown
            self._laid = None
            self._repaint_all()
            self.stretch_changed.emit(shown.start_us, shown.end_us)

    def _least_us(self, about_us: int) -> int:
        if self.frames is None:
            return 1
        first_us = self.frames.stepped(about_us, -LEAST_FRAMES // 2)
        return max(self.frames.stepped(first_us, LEAST_FRAMES) - first_us, 1)

    def _repaint_all(self) -> None:
        self._still = None
        self.update()

    def _repaint_playhead(self) -> None:
        """Repaint the playhead where it moved by a pixel: it moves at every frame of the film."""
        if self.laid is None:
            return
        scale, ratio = self.laid.scale, self.devicePixelRatioF()
        left_px, right_px = (round(scale.x_of(us) * ratio) for us in self._frame_us)
        # A frame of less than a few pixels is a line at its start.
        now_px = left_px, right_px if right_px - left_px > 2 * ratio else left_px
        if now_px != self._painted_px:
            reach_px = self._letters.sizes.bar_px + 3
            for left, right in (self._painted_px, now_px):
                first, last = int(left / ratio) - reach_px, int(right / ratio) + reach_px
                self.update(QRect(first, 0, last - first, self.height()))
            self._painted_px = now_px

    def _tell_moment(self) -> None:
        """Say what is at the playhead, and mark the running steps, where that changed."""
        if self.content is None:
            self.setAccessibleDescription("no case")
            return
        start_us, end_us = self._frame_us
        key = tuple(np.searchsorted(self.content.stops_us, [start_us, end_us]).tolist())
        if key == self._moment_key:
            return
        self._moment_key = key
        self.setAccessibleDescription(words_at(self.content, start_us, end_us))
        steps = (row.at(start_us) for row in self.content.of("steps"))
        running = frozenset(mark.id for mark in steps if mark is not None)
        if running != self._running:
            self._running = running
            self._repaint_all()

    def _scene(self) -> Scene | None:
        laid = self.laid
        if laid is None or self.content is None or self.frames is None:
            return None
        return Scene(
            layout=laid, content=self.content, frames=self.frames, theme=self._theme,
            letters=self._letters, ratio=self.devicePixelRatioF(),
            width_px=self.width(), height_px=self.height(), top_px=self.top_px,
            shown_frame_us=self._frame_us, selected=self.selected, running=self._running,
            activity=self._activity, band=self.band,
            is_editable=self.is_editable, has_focus=self.hasFocus(),
        )  # fmt: skip

    def _still_picture(self, scene: Scene) -> QPixmap:
        """Return all but the playhead: painted once, however often the film's frame changes."""
        size = self.size() * scene.ratio
        if self._still is None or self._still.size() != size:
            self._still = QPixmap(size)
            self._still.setDevicePixelRatio(scene.ratio)
            painter = QPainter(self._still)
            paint_still(painter, scene)
            painter.end()
        return self._still

    # Qt's own -----------------------------------------------------------------------------

    def paintEvent(self, event: QPaintEvent | None) -> None:  # noqa: N802 - Qt's name
        """Paint what has to be."""
        painter = QPainter(self)
        scene = self._scene()
        if scene is None:
            painter.fillRect(self.rect(), QColor(self._theme.panel))
        else:
            painter.drawPixmap(0, 0, self._still_picture(scene))
            paint_moving(painter, scene)
        painter.end()

    def changeEvent(self, event: QEvent | None) -> None:  # noqa: N802 - Qt's name
        """Take another font."""
        super().changeEvent(event)
        if event is not None and event.type() == QEvent.Type.FontChange:
            self._letters = Letters(self.font(), self._theme)
            self._plan_anew()

    def resizeEvent(self, event: QResizeEvent | None) -> None:  # noqa: N802 - Qt's name
        """Lay out for another width."""
        super().resizeEvent(event)
        self._laid = None
        self._fit_height()

    def showEvent(self, event: QShowEvent | None) -> None:  # noqa: N802 - Qt's name
        """Fit into the window."""
        super().showEvent(event)
        self._fit_height()


def _extent(frames: FrameClock, us: int) -> tuple[int, int]:
    frame = frames.frame_at(us)
    return frame.start_us, frame.end_us
