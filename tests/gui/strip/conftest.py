"""A small case drawn up by hand: times in seconds, one pixel a tenth of a second."""

from __future__ import annotations

import os

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

from collections.abc import Callable, Iterator, Sequence
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from PyQt6.QtCore import QEvent, QPoint, QPointF, Qt
from PyQt6.QtGui import QMouseEvent, QWheelEvent
from PyQt6.QtWidgets import QApplication, QVBoxLayout, QWidget

from aftercase.gui.strip.content import Content, content_of
from aftercase.gui.strip.stretch import Scale, Stretch
from aftercase.gui.strip.strip import Strip
from aftercase.gui.theme import LIGHT, wear
from aftercase.media.frameclock import ClockPart, FrameClock
from aftercase.model.guide import EventKind, Guide, Instrument, Step
from aftercase.model.review import (
    Event,
    Flag,
    InstrumentSpan,
    PauseSpan,
    Remark,
    Review,
    StepSpan,
    UnseenSpan,
)

S = 1_000_000
NONE = Qt.KeyboardModifier.NoModifier
LEFT = Qt.MouseButton.LeftButton
END_S = 100
FRAME_US = 40_000

CLASSES = ("action", "slip", "complication", "rescue", "outside")


def record_id(name: str) -> str:
    """Return an id that can be recognised."""
    return name.ljust(26, "0")


def span(name: str, start_s: float, end_s: float, **fields: Any) -> dict[str, Any]:
    return {
        "id": record_id(name), "start_us": round(start_s * S), "end_us": round(end_s * S), **fields
    }  # fmt: skip


def at(name: str, at_s: float, **fields: Any) -> dict[str, Any]:
    return {"id": record_id(name), "at_us": round(at_s * S), **fields}


GUIDE = Guide(
    id="by-hand",
    guide_version="1.0",
    name="By hand",
    steps=(
        Step(id="wound", name="Making the wound", strip_label="Wound"),
        Step(id="nucleus", name="Nucleus removal", strip_label="Nucleus"),
        Step(id="groove", name="Groove", strip_label="Groove", parent="nucleus"),
        Step(id="seal", name="Sealing", strip_label="Seal"),
    ),
    instruments=(Instrument(id="knife", name="Knife"), Instrument(id="probe", name="Probe")),
    events=tuple(
        EventKind(id=f"an-{word}", name=f"An {word}", event_class=word) for word in CLASSES
    ),
)  # fmt: skip


def review_of(**lists: Sequence[Any]) -> Review:
    return Review(
        id=record_id("review"),
        case=record_id("case"),
        reviewer="T01",
        **{name: tuple(records) for name, records in lists.items()},
    )


REVIEW = review_of(
    steps=[
        StepSpan(**span("wound", 10, 20, step="wound")),
        StepSpan(**span("nucleus", 20, 60, step="nucleus")),
        StepSpan(**span("groove", 25, 40, step="groove")),
        StepSpan(**span("seal", 70, 95, step="seal")),
    ],
    instruments=[
        InstrumentSpan(**span("probe", 20, 60, instrument="probe", hand="main")),
        InstrumentSpan(**span("knife", 10, 18, instrument="knife", hand="second")),
        InstrumentSpan(**span("knifetwo", 71, 75, instrument="knife")),
    ],
    pauses=[PauseSpan(**span("pause", 60, 70))],
    unseen=[UnseenSpan(**span("unseen", 30, 34))],
    events=[Event(**at("slip", 50, kind="an-slip")), Event(**at("rescue", 80, kind="an-rescue"))],
    remarks=[Remark(**at("good", 15, kind="well-done", text="Held well"))],
    flags=[Flag(**at("flag", 90))],
)
"""Wound, nucleus with a groove in it, a pause, seal; and one of everything else."""


def starts(n_frames: int, first_us: int = 0) -> np.ndarray:
    return first_us + FRAME_US * np.arange(n_frames, dtype=np.int64)


FRAMES = FrameClock([ClockPart(starts(END_S * 25), 0, END_S * S)])
BOUNDS = Stretch(0, END_S * S)
SCALE = Scale(BOUNDS, 0, 1000)
"""A thousand pixels for a hundred seconds."""


def width_of(text: str) -> float:
    """Letters of a made-up font: seven pixels each."""
    return 7.0 * len(text)


@pytest.fixture
def by_hand() -> SimpleNamespace:
    """The case, and what more of its kind is made with."""
    return SimpleNamespace(
        guide=GUIDE, review=REVIEW, frames=FRAMES, bounds=BOUNDS, scale=SCALE, classes=CLASSES,
        second_us=S, frame_us=FRAME_US, starts=starts, width_of=width_of, id=record_id, span=span,
        at=at, review_of=review_of,
    )  # fmt: skip


@pytest.fixture
def content() -> Content:
    return content_of(REVIEW, GUIDE, FRAMES, BOUNDS)


class Told:
    """What a strip's signals said, in order."""

    def __init__(self, strip: Strip) -> None:
        self.said: list[tuple[Any, ...]] = []
        for name in (
            "moment_wanted", "edge_dragged", "border_dragged", "record_moved", "selection_wanted",
            "menu_wanted", "loop_wanted", "stretch_changed",
        ):  # fmt: skip
            getattr(strip, name).connect(self._noting(name))

    def _noting(self, name: str) -> Callable[..., None]:
        return lambda *values: self.said.append((name, *values))

    def of(self, name: str) -> list[tuple[Any, ...]]:
        """Return what one signal said."""
        return [values for said, *values in self.said if said == name]  # type: ignore[misc]


class CountingStrip(Strip):
    """A strip that counts how often it is painted."""

    n_paints = 0

    def paintEvent(self, event: Any) -> None:  # noqa: N802 - Qt's name
        self.n_paints += 1
        super().paintEvent(event)


@pytest.fixture
def strip(qapp: QApplication) -> Iterator[CountingStrip]:
    """The case on a strip in a window of 1280 by 720."""
    wear(qapp, LIGHT, 100)
    window = QWidget()
    window.resize(1280, 720)
    rows = QVBoxLayout(window)
    rows.setContentsMargins(0, 0, 0, 0)
    shown = CountingStrip(LIGHT)
    rows.addStretch(1)
    rows.addWidget(shown)
    window.show()
    shown.show_case(FRAMES, GUIDE, (0, END_S * S))
    shown.show_review(REVIEW)
    qapp.processEvents()
    yield shown
    window.close()
    window.deleteLater()
    qapp.processEvents()


@pytest.fixture
def told(strip: Strip) -> Told:
    return Told(strip)


class Hand:
    """A hand that moves the pointer over a strip, by lane and second."""

    def __init__(self, strip: Strip) -> None:
        self._strip = strip

    def point(self, lane: str, at_s: float, row: int = 0, by_px: float = 0) -> QPointF:
        """Return where a second is in a lane."""
        laid = self._strip.laid
        assert laid is not None
        places = [drawn.place for drawn in laid.drawn if drawn.place.row.lane == lane]
        y_px = places[row].top_px + places[row].height_px / 2 - self._strip.top_px
        return QPointF(laid.scale.x_of(round(at_s * S)) + by_px, y_px)

    def press(self, at: QPointF, modifiers: Any = NONE, button: Any = LEFT) -> None:
        self._send(QEvent.Type.MouseButtonPress, at, button, button, modifiers)

    def move(self, at: QPointF, modifiers: Any = NONE, button: Any = LEFT) -> None:
        self._send(QEvent.Type.MouseMove, at, Qt.MouseButton.NoButton, button, modifiers)

    def release(self, at: QPointF, modifiers: Any = NONE, button: Any = LEFT) -> None:
        nothing = Qt.MouseButton.NoButton
        self._send(QEvent.Type.MouseButtonRelease, at, button, nothing, modifiers)

    def click(self, at: QPointF, modifiers: Any = NONE) -> None:
        self.press(at, modifiers)
        self.release(at, modifiers)

    def drag(
        self, begin: QPointF, *ways: QPointF, modifiers: Any = NONE, button: Any = LEFT
    ) -> None:
        """Press, go to each point, and let go at the last."""
        self.press(begin, modifiers, button)
        for way in ways:
            self.move(way, modifiers, button)
        self.release(ways[-1], modifiers, button)

    def twice(self, at: QPointF) -> None:
        self._send(QEvent.Type.MouseButtonDblClick, at, LEFT, LEFT, NONE)

    def wheel(self, at: QPointF, notches: float, modifiers: Any = NONE) -> None:
        turned = QPoint(0, round(120 * notches))
        QApplication.sendEvent(
            self._strip,
            QWheelEvent(
                at, at, QPoint(), turned, Qt.MouseButton.NoButton, modifiers,
                Qt.ScrollPhase.NoScrollPhase, False,
            ),
        )  # fmt: skip

    def _send(self, kind: Any, at: QPointF, button: Any, held: Any, modifiers: Any) -> None:
        place = self._strip.mapToGlobal(at)
        QApplication.sendEvent(self._strip, QMouseEvent(kind, at, place, button, held, modifiers))


@pytest.fixture
def hand(strip: Strip) -> Hand:
    return Hand(strip)
